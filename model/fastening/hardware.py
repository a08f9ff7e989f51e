"""Screws of bought hardware: slides on their own setting line, hinge cups and plates, pulls, feet and plates."""

import math

from model.cuts import Bore
from model.fastening.bench import Blank, Contact, View, contact, own_view, view_from
from model.fastening.choice import BOLT_LEAST, BOLT_MOST, PLATE, TIP, fitting_screw, lists_screws, pull_bolt
from model.fastening.drive import Bench
from model.fastening.fixing import Fixing, Spot
from model.messages import mm
from model.shapes import Vec
from model.site import Unbuildable
from model.stock.screws import Screw
from model.stock.tables import Hinge, Slide
from model.tolerances import rounded

FIRST = 37.0
"""mm. First hole of a slide behind the front plane of its opening (32 mm line boring: common practice)."""
GRID = 32.0
"""mm. The others lie so many whole steps behind it (32 mm line boring: common practice)."""
SLIDE_END = 25.0
"""mm. Last hole of a slide from its rear end (common practice)."""
FRAMES = frozenset({"stile", "mullion", "rail"})
"""Members whose edge carries a hinge plate."""
ALONG_PLATE = 300.0
"""mm. Screws of a long fitting at most this far apart (common practice)."""


def slide_holes(slide: Slide, length: float) -> list[float]:
    """Where a slide of that length is screwed, from its front end, mm: three holes, two in a short one, four in a long.

    Those of the stock where it gives them; else on the 32 mm grid that begins FIRST behind the front plane.
    """
    if slide.holes:
        return [x for x in slide.holes if x < length]
    first = FIRST - slide.setback
    steps = max(0, math.floor((length - SLIDE_END - first) / GRID + 1e-9))
    count = 2 if length < 300 else 3 if length <= 550 else 4
    return [rounded(first + GRID * k) for k in sorted({round(steps * i / (count - 1)) for i in range(count)})]


def fasten_hardware(bench: Bench, first: str, second: str, unit: str | None) -> None:
    """The screws of a piece of hardware on a panel. Raises Unbuildable where none in stock is short or long enough."""
    a, b = bench.blanks[first], bench.blanks[second]
    piece, host = (a, b) if a.is_hardware else (b, a)
    if host.is_hardware:
        return
    if piece.role == "pull":
        _pull(bench, piece, host, unit)
        return
    c = _cup_on(piece, host) if _is_cup(bench, piece) else contact(piece, host)
    if c is None:
        return
    into = c.walls[1] if not _is_cup(bench, piece) else host.placed.part.thickness
    screw = fitting_screw(bench.stock, into)
    behind: View | None = None
    if screw is None and host.role == "build-out":  # thin strips are screwed through, into what they are fixed to
        behind = _backing(bench, piece, host)
        if behind is not None:
            into += behind.hi[c.axis] - behind.lo[c.axis]
            screw = fitting_screw(bench.stock, into)
    if screw is None and not lists_screws(bench.stock, bench.materials(host.unit)):
        return
    if screw is None:
        raise Unbuildable(
            f"no screw in stock holds {piece.path} on {mm(rounded(into))} of {host.path}: "
            f"it takes one no longer than {mm(rounded(into - TIP + PLATE))}",
            "materials",
        )
    points = _points(bench, piece, c)
    _drive(bench, c, screw, points, unit, _moves(bench, piece, c), behind)


def _backing(bench: Bench, piece: Blank, strip: Blank) -> View | None:
    """What a strip is fixed to, in the frame of the piece it carries."""
    for blank in bench.neighbours(strip):
        if not blank.is_hardware and contact(strip, blank) is not None:
            return view_from(blank, piece.placed.placement)
    return None


def _is_cup(bench: Bench, piece: Blank) -> bool:
    return piece.role == "hinge" and bool(piece.placed.part.body)


def _cup_on(piece: Blank, host: Blank) -> Contact | None:
    """A cup lies in its bore: its plate lies on the face round it, where z is the depth of the bore."""
    view = view_from(host, piece.placed.placement)
    if view is None:
        return None
    own = own_view(piece)
    plane = view.hi[2]
    spans = ((0, view.lo[0], view.hi[0]), (1, view.lo[1], view.hi[1]))
    return Contact(own, view, 2, -1.0, plane, spans, (own.hi[2], view.hi[2] - view.lo[2]))


def _points(bench: Bench, piece: Blank, c: Contact) -> list[tuple[float, float]]:
    """Where a piece is screwed, in the two axes of its plane (in its own frame)."""
    (_, j0, j1), (_, k0, k1) = c.spans
    item = bench.stock.item(piece.placed.part.material)
    size = piece.placed.part.size
    if isinstance(item, Slide):
        holes = slide_holes(item, size[0])
        return [(x, size[1] / 2) for x in holes if j0 + 5 <= x <= j1 - 5]
    if isinstance(item, Hinge):
        return _cup(item, c, size) if piece.placed.part.body else _plate(item, c, size)
    middle = ((j0 + j1) / 2, (k0 + k1) / 2)
    if min(j1 - j0, k1 - k0) >= 30:
        quarter = ((j1 - j0) / 4, (k1 - k0) / 4)
        return [(middle[0] + s * quarter[0], middle[1] + t * quarter[1]) for s in (-1, 1) for t in (-1, 1)]
    long_first = j1 - j0 >= k1 - k0
    low, high = (j0, j1) if long_first else (k0, k1)
    gaps = max(1, math.ceil((high - low) / ALONG_PLATE - 1e-9))
    end = min(20.0, (high - low) / 4)
    along = [low + end + (high - low - 2 * end) * i / gaps for i in range(gaps + 1)]
    return [(x, middle[1]) if long_first else (middle[0], x) for x in along]


def _cup(hinge: Hinge, c: Contact, size: tuple[float, float, float]) -> list[tuple[float, float]]:
    """Beside the cup, a little further from the edge of the door than its middle."""
    x, y = size[0] / 2, size[1] / 2
    gaps = [(x - c.b.lo[0], 0, 1.0), (c.b.hi[0] - x, 0, -1.0), (y - c.b.lo[1], 1, 1.0), (c.b.hi[1] - y, 1, -1.0)]
    _, axis, away = min(gaps, key=lambda g: (round(g[0], 2), g[1]))
    half, off = hinge.cup_spacing / 2, hinge.cup_offset * away
    if axis == 0:
        return [(x + off, y - half), (x + off, y + half)]
    return [(x - half, y + off), (x + half, y + off)]


def _plate(hinge: Hinge, c: Contact, size: tuple[float, float, float]) -> list[tuple[float, float]]:
    """The mounting plate of an arm: its setback behind the front edge of a side, in the middle of a frame's edge."""
    front = c.b.lo[0]
    x = (c.b.lo[0] + c.b.hi[0]) / 2 if c.b.blank.role in FRAMES else front + hinge.plate_setback
    half = hinge.plate_spacing / 2
    return [(x, size[1] / 2 - half), (x, size[1] / 2 + half)]


def _moves(bench: Bench, piece: Blank, c: Contact) -> tuple[list[float], int]:
    """By how much, and along which axis, holes of a piece may be moved to clear other bores: slides on their grid."""
    if piece.role == "slide" and isinstance(item := bench.stock.item(piece.placed.part.material), Slide):
        if item.holes:
            return [0.0], 0
        return [0.0, *(s * GRID * i for i in range(1, 4) for s in (1, -1))], 0
    if piece.role == "hinge":
        return [0.0], 0
    (_, j0, j1), (_, k0, k1) = c.spans
    return [0.0, 3.0, -3.0, 6.0, -6.0, 9.0, -9.0], 0 if j1 - j0 >= k1 - k0 else 1


def _drive(
    bench: Bench,
    c: Contact,
    screw: Screw,
    points: list[tuple[float, float]],
    unit: str | None,
    moves: tuple[list[float], int],
    behind: View | None = None,
) -> None:
    n = c.normal
    (j, j0, j1), (k, k0, k1) = c.spans
    reach = rounded(screw.length - PLATE)
    depth = rounded(min(reach, c.walls[1] - TIP)) if behind is None else c.walls[1]
    r = screw.pilot_diameter / 2
    spots: list[Spot] = []
    for u, v in points:
        for step in moves[0]:
            a, b = (u + step, v) if moves[1] == 0 else (u, v + step)
            if step and not (j0 + r < a < j1 - r and k0 + r < b < k1 - r):
                continue
            at = [0.0, 0.0, 0.0]
            at[c.axis], at[j], at[k] = c.plane, rounded(a), rounded(b)
            p: Vec = (at[0], at[1], at[2])
            beyond: Vec = (p[0] + n[0] * depth, p[1] + n[1] * depth, p[2] + n[2] * depth)
            held = c.b.is_clear(p, n, depth + TIP if behind is None else depth, r)
            if held and (behind is None or behind.is_clear(beyond, n, reach - depth + TIP, r)):
                c.b.bore(p, n, screw.pilot_diameter, depth if behind is None else None, "pilot")
                if behind is not None:
                    behind.bore(beyond, n, screw.pilot_diameter, rounded(reach - depth), "pilot")
                top = (p[0] - n[0] * PLATE, p[1] - n[1] * PLATE, p[2] - n[2] * PLATE)
                spots.append(Spot(top, n))
                break
    if spots:
        frame = c.a.blank.placed.placement
        bench.note(
            unit,
            Fixing(
                item=screw.name,
                kind="fitting screw",
                length=screw.length,
                through=c.a.blank.path,
                into=(c.b.blank.path,) if behind is None else (c.b.blank.path, behind.blank.path),
                spots=tuple(s.moved(frame) for s in spots),
            ),
        )


def _pull(bench: Bench, piece: Blank, front: Blank, unit: str | None) -> None:
    """The machine screws of a pull, through its front and what is behind it; with none in stock it has its own."""
    if not bench.stock.bolts:
        return
    frame = piece.placed.placement
    size = piece.placed.part.size
    holes: list[Vec] = []
    toward = front.placed.placement
    for cut in front.placed.part.cuts:
        if isinstance(cut, Bore) and cut.purpose == "pull":
            at = frame.inverse().apply(toward.apply(cut.bar(front.placed.part.size).base))
            if -0.5 <= at[0] <= size[0] + 0.5 and -0.5 <= at[1] <= size[1] + 0.5:
                holes.append((rounded(at[0]), rounded(at[1]), 0.0))
    ways: dict[str, list[Vec]] = {}
    backs: dict[str, Blank | None] = {}
    for hole in sorted(holes):  # at the end of a narrow sub-front one hole may pass beside it
        back = _behind(bench, front, frame.apply(hole))
        ways.setdefault(back.path if back else "", []).append(hole)
        backs[back.path if back else ""] = back
    for path, mine in sorted(ways.items()):
        back = backs[path]
        passes = rounded(front.placed.part.thickness + (back.placed.part.thickness if back else 0.0))
        bolt = pull_bolt(bench.stock, passes)
        if bolt is None:
            raise Unbuildable(
                f"no machine screw in stock goes through {mm(passes)} of {front.path} and into its pull: "
                f"it takes one {mm(passes + BOLT_LEAST)} to {mm(passes + BOLT_MOST)} long",
                "materials",
                "pull",
            )
        bench.note(
            unit,
            Fixing(
                item=bolt.name,
                kind="bolt",
                length=bolt.length,
                through=back.path if back else front.path,
                into=(front.path, piece.path) if back else (piece.path,),
                spots=tuple(Spot((x, y, -passes), (0.0, 0.0, 1.0)).moved(frame) for x, y, _ in mine),
            ),
        )


def _behind(bench: Bench, front: Blank, hole: Vec) -> Blank | None:
    """What is bored for the same pull behind its front."""
    for blank in bench.neighbours(front):
        if blank.is_hardware:
            continue
        size = blank.placed.part.size
        for cut in blank.placed.part.cuts:
            if isinstance(cut, Bore) and cut.purpose == "pull":
                at = blank.placed.placement.apply(cut.bar(size).base)
                if sum(abs(p - q) > 0.5 for p, q in zip(at, hole, strict=True)) <= 1:
                    return blank
    return None
