"""The sheet of one part: face A and its edges, every cut dimensioned from one corner, rows of holes in a table."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from exporters.drawings.arrange import COARSE, Arrangement, composed
from exporters.drawings.cuts import COLUMNS, Group, anchor, groups, stops, table_rows
from exporters.drawings.display import Item, Path, Rect, Sheet, Text, rect_of, shifted
from exporters.drawings.frame import Table, Titles, short, wrapped
from exporters.drawings.on_paper import Placed, Space, drawn, placed
from exporters.drawings.rows import Axis, chain, running, running_fits
from exporters.drawings.standards import FIRST_ROW, LETTERS, NEXT_ROW, projection
from exporters.drawings.views import Direction, Lines, view
from model.bill import Row
from model.cuts import FLAT, Bevel, Bore, Cut, PocketBore, Scribe
from model.lengths import LengthUnit, show_number
from model.part import Part, PlacedPart
from model.placement import Placement
from model.shapes import Point2

BETWEEN = 10.0
"""mm. From a view or its dimensions to the next view."""
BAND_OFF = 0.7
"""mm. How far inside an edge its band's chain line runs."""
HEADING = "Cuts: X, Y from the lower left corner, Z from face B"
NARROW, SHORT = 20.0, 100.0
"""mm. A face with cuts is drawn so wide or so long at least, even if that takes a larger paper."""
SEEN = 1.0
"""mm. A hole drawn smaller than this has a cross, and one that is dimensioned."""
VIEW_OF: dict[str, Direction] = {"x0": "x0", "x1": "x1", "y0": "y0", "y1": "y1"}


@dataclass(frozen=True, slots=True, order=True)
class Band:
    """A strip glued to an edge of a panel: which edge, from where to where along it (mm), and the band in words."""

    edge: str
    start: float
    end: float
    words: str


@dataclass(frozen=True, slots=True)
class PartDrawing:
    """What a part's sheet needs to know: the part, its row of the cut list, and the bands on its edges."""

    part: Part
    row: Row
    bands: tuple[Band, ...]
    project: str
    lengths: LengthUnit
    number: tuple[int, int]
    """Sheet and sheets."""


def part_sheet(drawing: PartDrawing) -> Sheet:
    """The sheet. Its scale and paper are the best at which everything finds its place."""
    part, unit = drawing.part, drawing.lengths

    def show(value: float) -> str:
        return show_number(value, unit)

    lying = PlacedPart("part", part, Placement(), "")
    every = groups(part, show), groups(part, show, tabled=True)
    edges = _edges(every[0])
    seen: dict[str, Lines] = {e: view([_toward(lying, e)], VIEW_OF[e], hidden=True) for e in edges}
    face = view([lying], "top", hidden=True)

    def told(scale: float) -> tuple[Group, ...] | None:
        """The cuts, as many dimensioned as find room at a scale; None where not even the least of them do."""
        on = placed(face, scale)
        sides = (on.axis("below"), on.axis("left"))
        for found in every:
            if all(running_fits(sides[i], stops(found, part, i), part.size[i]) for i in (0, 1)):
                return found
        return None

    def views(scale: float) -> list[Item] | None:
        found = told(scale)
        return None if found is None else _views(drawing, found, face, seen, scale)

    def tables(scale: float) -> list[Table]:
        columns, rows = _without_empty(COLUMNS, table_rows(told(scale) or (), part, show))
        return [Table(HEADING, columns, rows, LETTERS)] if rows else []

    title = Titles(
        drawing.project, _title(drawing), part.material, "Part drawing", drawing.row.mark, *drawing.number, unit
    )
    made = Arrangement(f"part-{drawing.row.mark}", f"{drawing.row.mark} {_title(drawing)}", unit, title)
    real = (part.length + part.thickness, part.width + part.thickness)
    beside = BETWEEN + FIRST_ROW  # at least an edge and a row of dimensions each way
    return composed(made, views, tables, _notes(drawing), real, _coarsest(part), beside=(beside, beside))


def _toward(lying: PlacedPart, edge: str) -> PlacedPart:
    """The part without pocket bores that run away from an edge: nothing of them is seen there, and all is crossed."""
    part = lying.part
    kept = tuple(c for c in part.cuts if not isinstance(c, PocketBore) or c.toward[0] != edge[0] or c.toward == edge)
    return lying if len(kept) == len(part.cuts) else replace(lying, part=replace(part, cuts=kept))


def _coarsest(part: Part) -> float:
    """The scale of a part with cuts at which its face is still large enough for their letters."""
    if all(isinstance(c, Bevel | Scribe) for c in part.cuts):
        return COARSE
    return min(COARSE, max(part.width / NARROW, part.length / SHORT))


def _title(drawing: PartDrawing) -> str:
    return short(drawing.row.names[0], 25)


def _without_empty(
    columns: Sequence[str], rows: Sequence[tuple[str, ...]]
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """The table without columns that say nothing."""
    kept = [i for i in range(len(columns)) if any(r[i] for r in rows)]
    return tuple(columns[i] for i in kept), tuple(tuple(r[i] for i in kept) for r in rows)


def _edges(found: Sequence[Group]) -> list[str]:
    """The edges that are drawn: the lower and the right one, and others that something is bored into."""
    bored = {c.face for g in found for c in g.cuts if isinstance(c, Bore) and c.face not in FLAT}
    return [e for e in ("y0", "x1", "y1", "x0") if e in ("y0", "x1") or e in bored]


def _notes(drawing: PartDrawing) -> list[str]:
    row, part, unit = drawing.row, drawing.part, drawing.lengths
    size = " x ".join(show_number(v, unit) for v in part.size)
    used = ", ".join(row.units)
    lines = [
        f"{row.quantity} off, {size} {unit}, {part.material}",
        *wrapped(f"Names: {', '.join(row.names)}", 80, 2),
        *wrapped(f"Used in: {used}", 80, 2),
    ]
    if row.grain == "length":
        lines.append("Grain along the length.")
    lines += [f"Edge {band.edge}: {band.words}." for band in drawing.bands]
    if part.cuts:
        lines.append("Face A up, end x0 left, edge y0 below; dashed: cut from face B or from an edge.")
    if any(isinstance(c, PocketBore) for c in part.cuts):
        lines.append(
            "Pocket bore: X, Y where its axis meets the face, tilted from the face; its wide part ends so far, along "
            "the axis, before the edge, its narrow part goes on through the edge."
        )
    extra = [f"{show_number(c.extra, unit)} at {c.edge}" for c in part.cuts if isinstance(c, Scribe)]
    if extra:
        lines.append(f"To be scribed on site, so sawn larger than drawn: by {', '.join(extra)}.")
    if any(isinstance(c, Bevel) for c in part.cuts):
        lines.append("Bevel: over the whole edge; the face named is so much less, the other as drawn.")
    if unit == "in":
        lines.append("Lengths to the nearest 1/32 in.")
    return [line for raw in lines for line in wrapped(raw, 80, 3)]


def _views(
    drawing: PartDrawing, found: Sequence[Group], face: Lines, seen: dict[str, Lines], scale: float
) -> list[Item]:
    """Face A with its dimensions, the edges round it, letters and the grain."""
    part, unit = drawing.part, drawing.lengths
    on = placed(face, scale)
    items = drawn(face, on)
    if part.body:
        xs, ys = [], []
    else:
        xs, ys = stops(found, part, 0), stops(found, part, 1)
    items += _dimensions(on.axis("below"), xs, part.length, unit)
    items += _dimensions(on.axis("left"), ys, part.width, unit)
    items += _bands(drawing, on)
    items += _crosses(found, on)
    space = Space()
    space.take(items)
    if part.grain == "length" and part.kind != "hardware":
        items += _grain(on, space)
    marked = [(g.tag, on.at(p), r / scale) for g in found if not _on_edge(g) for p, r in _anchors(g, part)]
    every = [(g.tag, on.at(p), r / scale) for g in found if not _on_edge(g) for p, r in map(_of(part), g.cuts)]
    for tag, about, clear in marked:
        items += space.tag(tag, about, clear, others=[(p, r) for t, p, r in every if t != tag])
    around = rect_of(items)
    for edge, lines in seen.items():
        block = _edge_view(edge, lines, scale, found, drawing)
        items += _beside(block, edge, on.rect, around, projection(unit) == "first")
    return items


def _dimensions(axis: Axis, inner: list[float], whole: float, unit: LengthUnit) -> list[Item]:
    """Running dimensions from the datum corner, then the whole."""
    row, reach = running(axis, inner, FIRST_ROW, unit, whole)
    away = reach + NEXT_ROW * 0.7 if inner else FIRST_ROW
    overall, _ = chain(axis, (0.0, whole), away, unit, "overall")
    return [*row, *overall]


def _on_edge(group: Group) -> bool:
    first = group.cuts[0]
    return isinstance(first, Bore) and first.face not in FLAT


def _anchors(group: Group, part: Part) -> Iterator[tuple[tuple[float, float], float]]:
    """Where a group's letter stands: at each cut, or at the first of each row."""
    if not group.rows:
        yield from (anchor(cut, part) for cut in group.cuts)
        return
    firsts = {row.first for row in group.rows}
    for cut in group.cuts:
        at, clear = anchor(cut, part)
        if at in firsts:
            yield at, clear


def _of(part: Part) -> Callable[[Cut], tuple[Point2, float]]:
    return lambda cut: anchor(cut, part)


def _crosses(found: Sequence[Group], on: Placed) -> list[Item]:
    """Crosses at the middles of holes on the faces that are dimensioned, or too small to be seen."""
    items: list[Item] = []
    for group in found:
        for cut in group.cuts:
            if isinstance(cut, Bore) and cut.face in FLAT:
                r = cut.diameter / 2 / on.scale
                if group.dimensioned or 2 * r < SEEN:
                    (x, y), out = on.at((cut.u, cut.v)), max(r, 0.3) + 0.6
                    items += [Path("NOTES", ((x - out, y), (x + out, y))), Path("NOTES", ((x, y - out), (x, y + out)))]
    return items


def _grain(on: Placed, space: Space) -> list[Item]:
    """A double arrow along the grain with its word, where nothing is in the way; nothing where no place is free."""
    x0, y0, x1, y1 = on.rect
    long = min(22.0, (x1 - x0) * 0.7)
    if long < 12:
        return []
    places = [
        (x0 + (x1 - x0) * u, y0 + (y1 - y0) * v)
        for v in (0.62, 0.5, 0.75, 0.3, 0.4, 0.85, 0.2, 0.1, 0.9)
        for u in (0.5, 0.4, 0.6, 0.25, 0.75)
    ]
    at = space.free((long + 2, 6.0), places)
    if at is None:
        return []
    x, y = at[0], at[1] - 1.2
    a, b = x - long / 2, x + long / 2
    heads = [Path("NOTES", ((e - s * 2.2, y + 0.8), (e, y), (e - s * 2.2, y - 0.8))) for e, s in ((a, -1), (b, 1))]
    items: list[Item] = [Path("NOTES", ((a, y), (b, y))), *heads, Text("NOTES", (x, y + 2.2), "grain", 1.8, "centre")]
    space.take(items)
    return items


def _bands(drawing: PartDrawing, on: Placed) -> list[Item]:
    """A chain line along each edge that gets a band."""
    items: list[Item] = []
    for band in drawing.bands:
        across = "xy".index(band.edge[0])
        edge = 0.0 if band.edge[1] == "0" else drawing.part.size[across]
        inward = BAND_OFF if band.edge[1] == "0" else -BAND_OFF
        ends = [(edge, v) if across == 0 else (v, edge) for v in (band.start, band.end)]
        shift = (inward, 0.0) if across == 0 else (0.0, inward)
        items.append(Path("CENTRE", tuple((x + shift[0], y + shift[1]) for x, y in (on.at(p) for p in ends))))
    return items


def _edge_view(edge: str, lines: Lines, scale: float, found: Sequence[Group], drawing: PartDrawing) -> list[Item]:
    """One edge, its name, the letters of what is bored into it; at the right one the thickness."""
    on = placed(lines, scale)
    items = drawn(lines, on)
    if edge == "x1":
        t = drawing.part.thickness
        row, _ = chain(on.axis("below"), (-t, 0.0), FIRST_ROW * 0.6, drawing.lengths, "thickness")
        items += row
    space = Space()
    space.take(items)
    x0, y0, x1, y1 = on.rect
    name = Text("NOTES", ((x0 + x1) / 2, y1 + 2.6), edge, LETTERS, "centre")
    if edge[0] == "y":
        name = Text("NOTES", (x0 - 2.0, (y0 + y1) / 2), edge, LETTERS, "right")
    items.append(name)
    space.take([name])
    for group in found:
        first = group.cuts[0]
        if not (isinstance(first, Bore) and first.face == edge):
            continue
        for row in group.rows:
            u, v = row.first
            flat = {"x0": (v, u), "x1": (-v, u), "y0": (u, v), "y1": (u, -v)}[edge]
            items += space.tag(group.tag, on.at(flat), first.diameter / 2 / scale)
    return items


def _beside(block: list[Item], edge: str, face: Rect, around: Rect, first_angle: bool) -> list[Item]:
    """The view of an edge where its projection has it: third angle on its own side of the face, first on the other."""
    x0, y0, x1, y1 = rect_of(block)
    outward = 1.0 if edge[1] == "1" else -1.0
    if first_angle:
        outward = -outward
    if edge[0] == "y":
        dy = around[3] + BETWEEN - y0 if outward > 0 else around[1] - BETWEEN - y1
        return [shifted(i, face[0], dy) for i in block]
    dx = around[2] + BETWEEN - x0 if outward > 0 else around[0] - BETWEEN - x1
    return [shifted(i, dx, face[1]) for i in block]
