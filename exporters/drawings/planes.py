"""Where sections from front to back are taken, and how their planes are marked."""

from collections.abc import Sequence

from exporters.drawings.display import Item, Path, Solid, Text
from exporters.drawings.on_paper import Placed
from exporters.drawings.scan import between, distinct
from exporters.drawings.standards import HEADING
from model.cuts import Bore, PocketBore
from model.faces import INWARD
from model.part import PlacedPart
from model.placement import Placement
from model.shapes import Box

THIN = 60.0
"""mm. A panel thinner than this along the wall is not cut along its plane."""
LETTER = 1.9
"""mm. From the middle of a letter to a line beside it, at least."""
Boxed = Sequence[tuple[Box, PlacedPart]]


def cut_at(boxes: Boxed, span: tuple[float, float], frame: Placement) -> float:
    """Where within a span a section goes through most parts, along none and through no bore: x, mm."""
    solid = [(b, p) for b, p in boxes if p.part.kind != "hardware" and b.lo[0] < span[1] and b.hi[0] > span[0]]
    ends = distinct([*span, *(v for b, _ in solid for v in (b.lo[0], b.hi[0]))])
    thin = [b for b, _ in solid if b.size[0] < THIN]
    bores = [s for _, p in solid for s in _bored(p, frame)]
    middle = (span[0] + span[1]) / 2

    def worth(x: float) -> tuple[float, float, float]:
        along = sum(b.lo[0] - 1 < x < b.hi[0] + 1 for b in thin)
        cut = sum(b.lo[0] < x < b.hi[0] for b, _ in solid)
        met = sum(a - 0.5 < x < b + 0.5 for a, b in bores)
        return (cut - 100 * along - met, -abs(x - middle), x)

    places = [span[0] + (span[1] - span[0]) * k / 32 for k in range(1, 32)]
    return max([*(x for x in between(ends) if span[0] < x < span[1]), *places], key=worth)


def _bored(placed: PlacedPart, frame: Placement) -> list[tuple[float, float]]:
    """From where to where along x each bore of a part lies, but for those along x."""
    at = frame.compose(placed.placement)
    found = []
    for cut in placed.part.cuts:
        if isinstance(cut, PocketBore) or (isinstance(cut, Bore) and abs(at.turn(INWARD[cut.face])[0]) < 0.5):
            found.append(at.box(cut.primitives(placed.part.size)[0].bounds()).span("x"))
    return found


def cutting_plane(
    x: float, letter: str, on: Placed, first: bool, below: Sequence[float] = (), above: Sequence[float] = ()
) -> list[Item]:
    """Where a section is taken: the ends of its plane over and under a view, arrows the way one looks, its letter.

    `below` and `above` are where extension lines run there: the letter keeps off them, past the end if it must.
    """
    at = on.at((x, 0.0))[0]
    y0, y1 = on.rect[1], on.rect[3]
    items: list[Item] = []
    for y, out, stops in ((y1, 1.0, above), (y0, -1.0, below)):
        a, b = y + out * 1.5, y + out * 5.5
        items.append(Path("CUT", ((at, a), (at, b))))
        s = 1.0 if first else -1.0  # from the left where the view from the left stands at the right
        items.append(Path("MARKS", ((at, b), (at + s * 4.0, b))))
        items.append(Solid("MARKS", ((at + s * 6, b), (at + s * 4, b + 0.7), (at + s * 4, b - 0.7))))
        busy = [on.at((v, 0.0))[0] for v in stops]
        places = [(at - s * 2.4, b), (at, b + out * 2.9), (at + s * 2.4, b + out * 3.2), (at - s * 2.4, b + out * 3.2)]
        free = [p for p in places if all(abs(p[0] - v) > LETTER for v in busy)]
        items.append(Text("TEXT", (free or places)[0], letter, HEADING, "centre"))
    return items
