"""The cuts of a part as a drawing tells them: like ones under one letter, many holes in a table."""

from bisect import bisect_left
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from model.cuts import FLAT, Bevel, Bore, Cut, Cutout, Groove, Notch, PocketBore, Rabbet, Scribe
from model.part import Part
from model.shapes import Point2
from model.tolerances import CONTACT

Show = Callable[[float], str]
MANY = 5
"""From so many like holes on they stand in the table, by rows, not in the drawing."""
COLUMNS = ("tag", "no.", "cut", "on", "size", "depth", "X", "Y", "Z")
DRAWN = "drawn"
"""Stands in the table for a place that is dimensioned in the drawing."""


@dataclass(frozen=True, slots=True)
class Row:
    """So many holes from `first` to `last`, evenly spaced, in the coordinates of their face."""

    count: int
    first: Point2
    last: Point2


@dataclass(frozen=True, slots=True)
class Group:
    """Cuts that are alike but for their place."""

    tag: str
    cuts: tuple[Cut, ...]
    what: str
    face: str
    size: str
    depth: str
    rows: tuple[Row, ...]
    """Where they are, for the table; empty where they are dimensioned or need no place."""

    @property
    def dimensioned(self) -> bool:
        return not self.rows and not isinstance(self.cuts[0], Bevel | Scribe)


def groups(part: Part, show: Show, tabled: bool = False) -> tuple[Group, ...]:
    """The cuts by letter, in order of work; with `tabled` every hole stands in the table."""
    found: dict[tuple[str, str, str, str], list[Cut]] = {}
    for cut in sorted(part.cuts, key=_order):
        found.setdefault(_words(cut, part, show), []).append(cut)
    return tuple(
        Group(_letter(i), tuple(cuts), *words, _rows(cuts, tabled)) for i, (words, cuts) in enumerate(found.items())
    )


_RANK = (Notch, Cutout, Rabbet, Groove, Bevel, Scribe, PocketBore, Bore)


def _order(cut: Cut) -> tuple[int, str]:
    return _RANK.index(type(cut)), repr(cut)


def _letter(i: int) -> str:
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # no I and no O: they look like figures
    return letters[i] if i < len(letters) else letters[i // len(letters) - 1] + letters[i % len(letters)]


def _words(cut: Cut, part: Part, show: Show) -> tuple[str, str, str, str]:
    """What it is, the face it is cut from, its size, its depth."""
    depth = cut.depth_in(part.size)
    match cut:
        case Bore():
            behind = part.size["xyz".index(cut.face[0])] if cut.face not in FLAT else part.thickness
            deep = "through" if depth >= behind - CONTACT else show(depth)
            size = f"dia {show(cut.diameter)}"
            if cut.countersink is not None:
                size += f", sunk {show(cut.countersink)} ({cut.countersink_degrees:.3g} deg)"
            return f"{cut.purpose} bore", cut.face, size, deep
        case PocketBore():
            size = f"dia {show(cut.diameter)}, {show(cut.pilot_diameter)} at {cut.degrees:.3g} deg"
            return "pocket bore", f"{cut.face} to {cut.toward}", size, f"{show(cut.shoulder)} off {cut.toward}"
        case Bevel():
            return "bevel", cut.edge, f"{cut.degrees(part.size):.3g} deg", f"{cut.face} {show(cut.run)} less"
        case Scribe():
            return "leave to scribe", cut.edge, "", show(cut.extra)
        case Cutout():
            return "cutout", "A", f"radius {show(cut.radius)}" if cut.radius else "square", "through"
        case Notch():
            return "notch", "A", "", "through"
        case Groove() | Rabbet():
            return type(cut).__name__.lower(), cut.face, "", show(cut.depth)


def _rows(cuts: list[Cut], tabled: bool) -> tuple[Row, ...]:
    first = cuts[0]
    if not isinstance(first, Bore | PocketBore):
        return ()
    if first.face in FLAT and len(cuts) < MANY and not tabled:
        return ()
    places = sorted((c.u, c.v) for c in cuts if isinstance(c, Bore | PocketBore))
    ways = [_in_rows(places, 0), _in_rows(places, 1)]
    return tuple(sorted(min(ways, key=len), key=lambda r: (r.first[1], r.first[0])))


def _in_rows(places: list[Point2], along: int) -> list[Row]:
    """Places as evenly spaced rows along one axis."""
    lines: dict[float, list[float]] = {}
    for p in places:
        lines.setdefault(p[1 - along], []).append(p[along])
    rows: list[Row] = []
    for across in sorted(lines):
        for run in _runs(sorted(lines[across])):
            ends = [(v, across) if along == 0 else (across, v) for v in (run[0], run[-1])]
            rows.append(Row(len(run), ends[0], ends[1]))
    return rows


def _runs(values: list[float]) -> list[list[float]]:
    """Values in order as evenly spaced runs, the longest first taken; two alone make no row.

    A long run may pass over values of another, as two rows of pairs of holes do; a short one that does is chance.
    """
    left, runs = list(values), []
    while len(left) > 2:
        every = (_run(left, i, j) for i in range(len(left)) for j in range(i + 1, len(left)))
        kept = [r for r in every if len(r) > MANY or (len(r) > 2 and _together(r, values))]
        if not kept:
            break
        runs.append(max(kept, key=_worth))
        left = [v for v in left if v not in runs[-1]]
    return sorted([*runs, *([v] for v in left)])


def _together(run: list[float], values: list[float]) -> bool:
    """Whether no other value lies among those of a run."""
    return values.index(run[-1]) - values.index(run[0]) == len(run) - 1


def _worth(run: list[float]) -> tuple[int, float, float]:
    return len(run), run[0] - run[1], -run[0]


def _run(values: list[float], i: int, j: int) -> list[float]:
    """From the value `i` on by equal steps, the first to the value `j`."""
    run, step = [values[i], values[j]], values[j] - values[i]
    k = bisect_left(values, run[-1] + step - CONTACT)
    while k < len(values) and abs(values[k] - run[-1] - step) <= CONTACT:
        run.append(values[k])
        k = bisect_left(values, run[-1] + step - CONTACT)
    return run


def table_rows(found: Iterable[Group], part: Part, show: Show) -> list[tuple[str, ...]]:
    """Rows of the table. X and Y are from the lower left corner, Z from face B; `a .. b`: evenly spaced from a to b."""
    rows: list[tuple[str, ...]] = []
    for g in found:
        head = (g.what, g.face, g.size, g.depth)
        if not g.rows:
            place = (DRAWN, DRAWN, "") if g.dimensioned else ("", "", "")
            rows.append((g.tag, str(len(g.cuts)), *head, *place))
        for i, row in enumerate(g.rows):
            again = head if i == 0 else ('"', '"', '"', '"')
            rows.append((g.tag, str(row.count), *again, *_place(row, g.face[:2].strip(), show)))
    return rows


def _place(row: Row, face: str, show: Show) -> tuple[str, str, str]:
    u, v = (_span(row.first[i], row.last[i], show) for i in (0, 1))
    if face in FLAT:
        return u, v, ""
    return ("", u, v) if face[0] == "x" else (u, "", v)


def _span(a: float, b: float, show: Show) -> str:
    return show(a) if abs(a - b) <= CONTACT else f"{show(a)} .. {show(b)}"


def stops(found: Iterable[Group], part: Part, axis: int) -> list[float]:
    """Where cuts that are dimensioned begin, end or have their middles along x (0) or y (1), inside the blank."""
    values: list[float] = []
    for g in found:
        if not g.dimensioned:
            continue
        for cut in g.cuts:
            if isinstance(cut, Bore | PocketBore):
                values.append((cut.u, cut.v)[axis])
            elif not isinstance(cut, Bevel | Scribe):
                values += [(cut.u0, cut.v0)[axis], (cut.u1, cut.v1)[axis]]
    whole = part.size[axis]
    inner = sorted(v for v in values if CONTACT < v < whole - CONTACT)
    return [v for i, v in enumerate(inner) if i == 0 or v - inner[i - 1] > CONTACT]


def anchor(cut: Cut, part: Part) -> tuple[Point2, float]:
    """Where a cut's letter points to on face A, and how far it keeps off (mm)."""
    if isinstance(cut, Bore | PocketBore):
        return (cut.u, cut.v), cut.diameter / 2
    if isinstance(cut, Bevel | Scribe):
        middle = {"x": (0.0, part.width / 2), "y": (part.length / 2, 0.0)}[cut.edge[0]]
        far = {"x1": (part.length, 0.0), "y1": (0.0, part.width)}.get(cut.edge, (0.0, 0.0))
        return (middle[0] + far[0], middle[1] + far[1]), 0.0
    x = (max(cut.u0, 0.0) + min(cut.u1, part.length)) / 2
    y = (max(cut.v0, 0.0) + min(cut.v1, part.width)) / 2
    return (x, y), 0.0
