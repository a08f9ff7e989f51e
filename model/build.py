"""From a project file to a built plan: everything laid out, every part built, placed and joined."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from model.fastening.fasten import Fastened, NotFastened, fasten
from model.fastening.on_site import Wall
from model.inputs import Inputs, read_inputs
from model.materials import Materials
from model.part import Joint
from model.plan import BuiltUnit, Plan
from model.room.ceiling import Ceiling, ceiling_of
from model.siting.layout import Layout, RoomWall, lay_out, unbuildable
from model.siting.standing import build_units, touch, touching
from model.stock.tables import Stock
from model.strength.carrying import standing
from model.tolerances import CONTACT

if TYPE_CHECKING:
    from model.cutting.laid import CuttingPlan

__all__ = ["Build", "RoomWall", "assemble", "build", "with_units"]


@dataclass(frozen=True)
class Build:
    """A built project: what every exporter and check is given."""

    plan: Plan
    stock: Stock
    walls: tuple[RoomWall, ...]
    ceiling: float
    """The height of the room, where it is highest (mm)."""
    stands_at: dict[str, str]
    """The wall each unit stands at, by the names of both."""
    overhead: Ceiling
    """The ceiling, slopes and all."""
    inputs: Inputs = field(repr=False)
    """What the project, the room and the unit files say."""

    @cached_property
    def cutting(self) -> "CuttingPlan":
        """The cutting plan for a saw: searched once, when it is first asked for."""
        from model.cutting.plans import cutting_plan  # here, so that the search is loaded only when something is cut

        return cutting_plan(self.plan, self.stock, offcuts=self.inputs.offcuts)


def build(path: Path) -> Build:
    """Read and build the project in a file. Raises ConfigError for anything its maker can mend."""
    return assemble(read_inputs(path))


def assemble(inputs: Inputs) -> Build:
    """The plan of what was read. Raises ConfigError."""
    said = inputs.project.value
    layout = lay_out(inputs)
    overhead = ceiling_of(inputs.room.value, {name: wall.frame for name, wall in layout.walls.items()})
    units = build_units(inputs, layout, overhead)
    joints, stands_at = tuple(_joints(units, inputs, layout)), _stands_at(inputs, layout)
    held = _fastened(inputs, layout, units, joints, stands_at)
    plan = Plan(said.title, held.units, said.lengths, joints, held.between)
    walls = tuple(layout.walls.values())
    standing(inputs, units, {unit: layout.walls[wall].frame for unit, wall in stands_at.items()})  # or it is an error
    return Build(plan, inputs.stock, walls, inputs.room.value.height, stands_at, overhead, inputs)


def _fastened(
    inputs: Inputs, layout: Layout, units: tuple[BuiltUnit, ...], joints: tuple[Joint, ...], stands_at: dict[str, str]
) -> Fastened:
    """The units with their bores and fixings. Raises ConfigError where no screw in stock fits a joint."""
    found = inputs.project.value.corners
    own = {name: unit.options.materials for name, unit in inputs.units.items()}
    own |= {corner.name: corner.materials for corner in found}

    def materials(unit: str) -> Materials:
        return own.get(unit, Materials()).over(inputs.materials).filled()

    walls = {
        unit: Wall(wall.frame, wall.wall.width, wall.wall.studs.centres(wall.wall.width) if wall.wall.studs else ())
        for unit, wall in ((u, layout.walls[name]) for u, name in stands_at.items())
    }
    try:
        return fasten(units, joints, inputs.stock, cache(materials), walls)
    except NotFastened as error:
        if error.unit in inputs.units:
            unbuildable(inputs, inputs.units[error.unit], error.problem)
        raise inputs.error(f"{error.unit}: {error.problem.message}", "materials") from None


def _stands_at(inputs: Inputs, layout: Layout) -> dict[str, str]:
    """The wall of every unit; a corner stands at its first."""
    said = inputs.project.value
    found = {name: spot.wall.name for name, spot in layout.spots.items()}
    found |= {spot.corner.name: spot.first.name for spot in layout.corners}
    found |= {plan.top.name: plan.wall.name for plan in layout.tops}
    for upper in said.uppers:
        found[upper.name] = upper.wall if upper.wall is not None else found[upper.on or ""]
    for shelves in said.connecting:
        found[shelves.name] = found[shelves.between[0]]
    return found


def _joints(units: tuple[BuiltUnit, ...], inputs: Inputs, layout: Layout) -> Iterator[Joint]:
    """What is screwed together on site: neighbours, tops on what bears them, uppers on tops, shelves to uppers."""
    built = {u.name: u for u in units}
    for a, b in itertools.pairwise(layout.spots.values()):
        if a.wall is b.wall and abs(a.x[1] - b.x[0]) <= CONTACT:
            yield from _side_by_side(built[a.unit.name], built[b.unit.name])
    for corner in layout.corners:
        along = [[s for s in layout.spots.values() if s.wall is wall] for wall in (corner.first, corner.second)]
        unit = built[corner.corner.name]
        yield from _side_by_side(built[along[0][-1].unit.name], unit)
        yield from _side_by_side(unit, built[along[1][0].unit.name])
    for plan in layout.tops:
        top = built[plan.top.name]
        pieces = [(p.path, p.bounds()) for p in top.parts if p.role not in ("moulding", "grommet")]
        standing = [built[name] for name in plan.top.over]
        standing += [built[u.name] for u in inputs.project.value.uppers if u.on == plan.top.name]
        yield from (Joint("screwed", piece, path) for piece, path in touching(standing, pieces))
    yield from _tops_at_corners(built, layout)
    for shelves in inputs.project.value.connecting:
        uppers = [built[name] for name in shelves.between]
        sides = [(p.path, p.bounds()) for u in uppers for p in u.parts if p.path in u.ends]
        yield from (Joint("screwed", ledge, side) for side, ledge in touching([built[shelves.name]], sides))


def _side_by_side(left: BuiltUnit, right: BuiltUnit) -> Iterator[Joint]:
    """The right end of a unit and the left end of its neighbour, where both have one and they meet."""
    bounds = {p.path: p.bounds() for u in (left, right) for p in u.parts}
    a, b = left.ends[1], right.ends[0]
    if a in bounds and b in bounds and touch(bounds[a], bounds[b]):
        yield Joint("screwed", a, b)


def _tops_at_corners(built: dict[str, BuiltUnit], layout: Layout) -> Iterator[Joint]:
    """The seam where the tops of two walls meet, piece by piece."""
    for corner in layout.corners:
        pair = [
            built[t.top.name]
            for wall in (corner.first, corner.second)
            for t in layout.tops
            if t.wall is wall and corner.corner.name in t.top.over
        ]
        if len(pair) != 2:
            continue
        for a, b in itertools.product(*(u.parts for u in pair)):
            if a.role == b.role == "top" and touch(a.bounds(), b.bounds()):
                yield Joint("seam", a.path, b.path)


def with_units(build: Build, units: tuple[BuiltUnit, ...]) -> Build:
    """The same build with other units: what a test changes to see that a check sees it."""
    return replace(build, plan=replace(build.plan, units=units))
