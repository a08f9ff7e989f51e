"""What lies on the boards of a plan, as the project says: so much on shelves and tops, and heavy things by name."""

from collections.abc import Iterator

from model.build import Build
from model.part import PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Box
from model.statics.masses import Lump
from model.strength.carrying import sort_of, standing

MM2_PER_M2 = 1e6
MM_PER_M = 1000.0


def heavy_things(build: Build) -> dict[str, list[Lump]]:
    """The heavy things that a project names, by the path of the board each stands on: in the middle of its depth."""
    frames = {wall.name: wall.frame for wall in build.walls}
    of_unit = {u.name: frames[build.stands_at[u.name]] for u in build.plan.units}
    found: dict[str, list[Lump]] = {}
    for thing in standing(build.inputs, build.plan.units, of_unit):
        frame = of_unit[thing.on.path.split("/", 1)[0]]
        box = seen(thing.on, frame)
        at = frame.apply((thing.x, box.center[1], box.hi[2]))
        found.setdefault(thing.on.path, []).append(Lump(thing.load.mass, at))
    return found


def seen(part: PlacedPart, frame: Placement) -> Box:
    """A part as a box along its wall."""
    return frame.inverse().compose(part.placement).box(Box((0.0, 0.0, 0.0), part.part.size))


def spread_over(build: Build, unit: BuiltUnit, part: PlacedPart) -> Lump | None:
    """What is spread over a shelf or a top; None for any other part."""
    sort, loads = sort_of(unit, part), build.inputs.project.value.loads
    if sort not in ("shelf", "top"):
        return None
    box = part.bounds()
    mass = (loads.shelf if sort == "shelf" else loads.top) * box.size[0] * box.size[1] / MM2_PER_M2
    if sort == "shelf" and loads.shelf_run is not None:
        mass = loads.shelf_run * max(box.size[0], box.size[1]) / MM_PER_M
    return Lump(mass, (box.center[0], box.center[1], box.hi[2]))


def on_boards(build: Build, unit: BuiltUnit, heavy: dict[str, list[Lump]]) -> Iterator[tuple[PlacedPart, Lump]]:
    """Everything that lies on the shelves and tops of a unit, board by board."""
    for part in unit.parts:
        lump = spread_over(build, unit, part)
        if lump is not None and lump.mass > 0:
            yield part, lump
        for thing in heavy.get(part.path, ()):
            yield part, thing
