"""Every board of a built plan as a case to be worked out: its layers, what carries it, what lies on it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from model.build import Build
from model.cuts import Cutout, Notch
from model.loads import Loads
from model.part import PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Box
from model.statics.openings import options_at
from model.strength.boards import GRAVITY, MM2_PER_M2, Bearing, Case, Layer, Weight
from model.strength.carrying import Sort, Standing, boards, standing
from model.strength.limits import LIMITS, Limit, LimitName
from model.strength.plate import Plate
from model.strength.supports import Axis, Carried, Surroundings, Touching, carried
from model.strength.woods import Wood, wood
from model.tolerances import rounded

LASTING: dict[Sort, float] = {"shelf": 1.0, "tray": 0.3, "top": 0.3, "drawer bottom": 1.0, "deck": 0.3}
"""How much of a load lies for years: stores stay, what people bring comes and goes (EN 1990 Table A1.1: 0.3 for rooms
people live in, from memory; all of what is stored: common practice)."""

UNSEEN: LimitName = "cabinet"
"""The limit of what nobody sees sag, drawer bottoms and the deck of a bed: what is asked of cabinets, whatever is asked
of shelves."""


@dataclass(frozen=True, slots=True)
class Board:
    """A board that carries something, with how it is carried. `case` is None for one in grooves all round (`plate`,
    under `pressure`, MPa), and where `unknown` says why it cannot be worked out."""

    unit: BuiltUnit
    part: PlacedPart
    sort: Sort
    limit: Limit
    carried: Carried | None = None
    case: Case | None = None
    plate: Plate | None = None
    pressure: float = 0.0
    unknown: str = ""


def all_boards(build: Build) -> Iterator[Board]:
    """Every board of the plan that carries something."""
    frames = frames_of(build)
    fronts = {name: frame.turn((0.0, -1.0, 0.0)) for name, frame in frames.items()}
    around = Surroundings(build.plan, fronts)
    things = standing(build.inputs, build.plan.units, frames)
    for unit, part, sort in boards(build.plan.units):
        yield _board(build, around, frames.get(unit.name, Placement()), things, unit, part, sort)


def frames_of(build: Build) -> dict[str, Placement]:
    """The frame of the wall each unit stands at."""
    walls = {w.name: w.frame for w in build.walls}
    return {unit: walls[wall] for unit, wall in build.stands_at.items()}


def _board(
    build: Build,
    around: Surroundings,
    frame: Placement,
    things: tuple[Standing, ...],
    unit: BuiltUnit,
    part: PlacedPart,
    sort: Sort,
) -> Board:
    loads = build.inputs.project.value.loads
    limit = LIMITS[loads.top_limit if sort == "top" else UNSEEN if sort in ("drawer bottom", "deck") else loads.limit]
    material = wood(build.stock, part.part.material)
    if material is None:
        return Board(unit, part, sort, limit, unknown="is no sheet or board of the stock")
    area = part.part.length * part.part.width
    if sort == "drawer bottom":
        if material.across is None:
            return Board(unit, part, sort, limit, unknown=_softness(material))
        inside = _inside(around, part)
        plate = Plate(*inside, part.part.thickness, material.along, material.across)
        return Board(unit, part, sort, limit, plate=plate, pressure=_mass(build, unit, part) * GRAVITY / area)
    found = carried(around, part)
    if found is None:
        return Board(unit, part, sort, limit, unknown="no two supports were found for it")
    layers = tuple(_layers(build, part, material, found))
    if any(layer.wood.modulus(layer.along) is None for layer in layers):
        soft = next(layer.wood for layer in layers if layer.wood.modulus(layer.along) is None)
        return Board(unit, part, sort, limit, found, unknown=_softness(soft))
    length, wide = _sizes(part, found.axis)
    live = _live(build, loads, around, unit, part, sort, length, wide)
    bearings = tuple(
        Bearing(rounded(b.at), rounded(b.area), b.loose, _presses(build, around, b.paths)) for b in found.bearings
    )
    weights = tuple(_weight(part, found.axis, frame, thing) for thing in things if thing.on.path == part.path)
    person = loads.person * GRAVITY if sort == "top" else 0.0
    case = Case(length, layers, bearings, live, LASTING[sort], weights, person, _bridged(found, length))
    return Board(unit, part, sort, limit, found, case)


def _softness(material: Wood) -> str:
    return f"the stock does not say how stiff {material.name} is across its grain (stiffness: across)"


def _sizes(part: PlacedPart, axis: Axis) -> tuple[float, float]:
    size = (part.part.length, part.part.width)
    return size if axis == "x" else (size[1], size[0])


def _inside(around: Surroundings, part: PlacedPart) -> tuple[float, float]:
    """The clear length and width between the walls of a drawer, in the frame of its bottom."""
    spans = {"x": [0.0, part.part.length], "y": [0.0, part.part.width]}
    for t in around.near(part):
        if t.part.role not in ("drawer side", "drawer front or back"):
            continue
        for axis, ends in spans.items():
            low, high = t.box.span(axis)
            if high - low > 4 * part.part.thickness + 20:
                continue  # it runs this way
            if low < ends[1] / 2:
                ends[0] = max(ends[0], high)
            else:
                ends[1] = min(ends[1], low)
    return spans["x"][1] - spans["x"][0], spans["y"][1] - spans["y"][0]


def _layers(build: Build, part: PlacedPart, material: Wood, found: Carried) -> Iterator[Layer]:
    length, wide = _sizes(part, found.axis)
    first = Layer(material, found.axis == "x", 0.0, length, wide, 0.0, part.part.thickness)
    yield first
    for cut in part.part.cuts:
        if isinstance(cut, Cutout | Notch):
            (a, b), (c, d) = ((cut.u0, cut.u1), (cut.v0, cut.v1))[:: 1 if found.axis == "x" else -1]
            yield replace(first, lo=max(a, 0.0), hi=min(b, length), width=-(min(d, wide) - max(c, 0.0)))
    for number, t in enumerate(found.with_it, 1):
        other = wood(build.stock, t.part.part.material)
        if other is not None:
            yield _layer(other, t, found.axis, length, wide, number)


def _layer(other: Wood, t: Touching, axis: Axis, length: float, wide: float, number: int) -> Layer:
    across: Axis = "y" if axis == "x" else "x"
    (a, b), (c, d), (low, high) = t.over(axis), t.over(across), t.box.span("z")
    along = t.along == (axis == "x")
    width = d - c if t.side == "beside" else min(d, wide) - max(c, 0.0)
    bond = 0 if t.joint == "glued" else number
    lo, hi = rounded(max(a, 0.0)), rounded(min(b, length))
    return Layer(other, along, lo, hi, rounded(width), rounded(low), rounded(high - low), bond)


def _bridged(found: Carried, length: float) -> tuple[bool, bool]:
    """Whether a board that is fixed under this one runs on past each of its ends."""
    spans = [t.over(found.axis) for t in found.with_it if t.side == "below"]
    return any(a < -1.0 for a, _ in spans), any(b > length + 1.0 for _, b in spans)


def _presses(build: Build, around: Surroundings, paths: tuple[str, ...]) -> float:
    """What the softest wood that bears may be pressed with; 0 where it is steel."""
    found = [wood(build.stock, around.plan.by_path[path].part.material) for path in paths]
    return min((w.presses for w in found if w is not None), default=0.0)


def _weight(part: PlacedPart, axis: Axis, frame: Placement, thing: Standing) -> Weight:
    """A heavy thing, its place along the wall turned into one along the span, in the middle of the board's depth."""
    middle = frame.inverse().compose(part.placement).box(Box((0.0, 0.0, 0.0), part.part.size)).center
    place = part.placement.inverse().apply(frame.apply((thing.x, middle[1], middle[2])))
    return Weight(place[0 if axis == "x" else 1], thing.load.mass * GRAVITY, thing.load.width)


def _live(
    build: Build,
    loads: Loads,
    around: Surroundings,
    unit: BuiltUnit,
    part: PlacedPart,
    sort: Sort,
    length: float,
    wide: float,
) -> float:
    """The load on each mm of the span, N."""
    if sort == "tray":
        return _mass(build, unit, part) * GRAVITY / length
    if sort == "shelf" and loads.shelf_run is not None:
        return loads.shelf_run * GRAVITY / 1000.0
    area = {"shelf": loads.shelf, "top": loads.top, "deck": loads.bed}[sort]
    if part.role == "slat":
        wide = _share_of_bed(around, unit, part)
    return area * wide * GRAVITY / MM2_PER_M2


def _share_of_bed(around: Surroundings, unit: BuiltUnit, part: PlacedPart) -> float:
    """How wide a strip of the mattress each slat carries."""
    back = part.placement.inverse()
    slats = [p for p in unit.parts if p.role == "slat"]
    places = [back.compose(p.placement).box(Box((0.0, 0.0, 0.0), p.part.size)).span("y") for p in slats]
    return (max(b for _, b in places) - min(a for a, _ in places)) / len(slats)


def _mass(build: Build, unit: BuiltUnit, part: PlacedPart) -> float:
    """What lies in a drawer or on a tray, kg: what its unit's file lets it carry, itself included, less itself."""
    own = part.path.rsplit("/", 1)[0] + "/"
    itself = sum(_weighs(build, p) for p in unit.parts if p.path.startswith(own))
    return max(0.0, _rated(build, unit, part) - (itself if part.role == "drawer bottom" else 0.0))


def _weighs(build: Build, placed: PlacedPart) -> float:
    """The mass of the blank of a part, kg."""
    part = placed.part
    if part.mass is not None:
        return part.mass
    return build.stock.material(part.material).mass_of(part.length, part.length * part.width * part.thickness)


def _rated(build: Build, unit: BuiltUnit, part: PlacedPart) -> float:
    options = options_at(build, unit, part.path)
    said = getattr(options, "tray" if part.role == "tray" else "drawers", None)
    return getattr(said, "load", 20.0)
