"""The sheets of a project, in order: the room, its units, their parts."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from exporters.drawings.details import detail_sheet
from exporters.drawings.display import Sheet
from exporters.drawings.frame import Titles
from exporters.drawings.joints import details_of
from exporters.drawings.parts import Band, PartDrawing, part_sheet
from exporters.drawings.rooms import room_sheets
from exporters.drawings.standards import projection
from exporters.drawings.units import UnitDrawing, unit_sheet
from exporters.drawings.windows import Made
from exporters.filenames import file_stems, mark_stem
from model.bill import cut_list
from model.lengths import show_number
from model.part import Part, PlacedPart
from model.plan import Plan
from model.shapes import Box

if TYPE_CHECKING:
    from model.build import Build


def all_sheets(build: "Build") -> Iterator[Sheet]:
    """Every sheet of a project."""
    yield from wall_sheets(build)
    yield from unit_sheets(build)
    yield from part_sheets(build)


def part_sheets(build: "Build") -> Iterator[Sheet]:
    """One sheet for each distinct panel and board."""
    rows = [r for r in cut_list(build.plan, build.stock) if r.kind in ("sheet", "board")]
    bands = edge_bands(build.plan)
    for i, row in enumerate(rows):
        mark_stem(row.mark, "a drawing")
        yield part_sheet(
            PartDrawing(
                row.part, row, bands.get(row.part, ()), build.plan.title, build.plan.lengths, (i + 1, len(rows))
            )
        )


def edge_bands(plan: Plan) -> dict[Part, tuple[Band, ...]]:
    """The strips that are glued to the edges of each part."""
    found: dict[Part, dict[str, Band]] = {}
    for joint in plan.joints:
        pair = [plan.by_path[path] for path in (joint.a, joint.b)]
        strips = [p for p in pair if p.part.kind == "band"]
        if joint.kind == "glued" and len(strips) == 1:
            strip = strips[0]
            panel = pair[1] if pair[0] is strip else pair[0]
            if band := _band(strip, panel, plan):
                found.setdefault(panel.part, {}).setdefault(band.edge, band)
    return {part: tuple(sorted(edges.values())) for part, edges in found.items()}


def _band(strip: PlacedPart, panel: PlacedPart, plan: Plan) -> Band | None:
    """Where a strip lies along an edge of a panel's blank; None where it lies on a face."""
    at = panel.placement.inverse().compose(strip.placement)
    box = at.box(Box((0.0, 0.0, 0.0), strip.part.size))
    x, y, _ = box.center
    beyond = {"x0": -x, "x1": x - panel.part.length, "y0": -y, "y1": y - panel.part.width}
    edge = max(beyond, key=lambda e: beyond[e])
    if beyond[edge] <= 0:
        return None
    start, end = box.span("y" if edge[0] == "x" else "x")
    size = f"{show_number(strip.part.thickness, plan.lengths)} {plan.lengths}"
    return Band(edge, max(start, 0.0), end, f"band {strip.part.material}, {size} thick")


def unit_sheets(build: "Build") -> Iterator[Sheet]:
    """Each unit seen as it stands at its wall, and a sheet of its joints enlarged where it has any."""
    plan = build.plan
    frames = {w.name: w.frame.inverse() for w in build.walls}
    materials = tuple(sorted({p.part.material for p in plan.walk()}))
    stems = file_stems(u.name for u in plan.units)
    side = "left" if projection(plan.lengths) == "first" else "right"
    units = [u for u in plan.units if u.parts]
    made = {u.name: Made(u, frames[build.stands_at[u.name]], side) for u in units}
    details = {name: details_of(m) for name, m in made.items()}
    count, number = len(units) + sum(bool(d) for d in details.values()), 0
    for unit in units:
        own = details[unit.name]
        number += 1
        yield unit_sheet(
            UnitDrawing(
                unit, made[unit.name].frame, plan.marks, materials, plan.title, plan.lengths, (number, count),
                f"unit-{stems[unit.name]}", tuple(own),
            )
        )  # fmt: skip
        if own:
            number += 1
            titles = Titles(
                plan.title,
                unit.name,
                "details of joints",
                "Unit details",
                f"{unit.code} details",
                number,
                count,
                plan.lengths,
            )
            name = f"details-{stems[unit.name]}"
            yield detail_sheet(name, made[unit.name], own, plan.marks, materials, titles)


def wall_sheets(build: "Build") -> Iterator[Sheet]:
    """The plan, and the elevation of each wall that has something on it."""
    yield from room_sheets(build, file_stems(w.name for w in build.walls))
