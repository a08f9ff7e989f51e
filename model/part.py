"""Parts as frozen values: a blank and its cuts, placed, joined and set in motion."""

from dataclasses import dataclass, replace
from typing import Literal

from model.cuts import Bore, Cut, Groove, PocketBore, Rabbet, Size
from model.placement import Placement
from model.shapes import Box, Primitive, Vec
from model.tolerances import rounded

Kind = Literal["sheet", "board", "band", "hardware"]
Grain = Literal["length", "any"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One shape of one material, in its own frame: what is cut, drawn, weighed and bought.

    The blank is `length` x `width` x `thickness` mm, lying at the origin: x along the length, z = thickness is face A.
    `material` is the name of the sheet, board, edge band or hardware item in stock. `body`, where given, is a union
    of volumes inside the blank that replaces it (bought hardware, mouldings). `mass` (kg) is given where it does not
    follow from volume and density: bought hardware. Equal parts are one part: one solid, one mark.
    """

    kind: Kind
    material: str
    length: float
    width: float
    thickness: float
    grain: Grain = "length"
    cuts: tuple[Cut, ...] = ()
    body: tuple[Primitive, ...] = ()
    mass: float | None = None

    def __post_init__(self) -> None:
        for name in ("length", "width", "thickness"):
            value = rounded(getattr(self, name))
            if value <= 0:
                raise ValueError(f"a part of {self.material} has a {name} of {value} mm")
            object.__setattr__(self, name, value)
        object.__setattr__(self, "cuts", tuple(sorted(dict.fromkeys(self.cuts), key=_order)))
        blank = Box((0.0, 0.0, 0.0), self.size).grown(0.01)
        for cut in self.cuts:
            self._check(cut)
        for volume in self.body:
            if volume.bounds().common(blank) != volume.bounds():
                raise ValueError(f"{self.material}: {volume} leaves its blank")

    def _check(self, cut: Cut) -> None:
        if cut.depth_in(self.size) <= 0 or not cut.meets(self.size):
            raise ValueError(f"a cut outside its {self.length} x {self.width} x {self.thickness} blank: {cut}")

    @property
    def size(self) -> Size:
        return (self.length, self.width, self.thickness)


def _order(cut: Cut) -> tuple[str, str]:
    return (type(cut).__name__, repr(cut))


def hardware(material: str, size: Size, mass: float, *body: Primitive) -> Part:
    """A bought piece in the frame of its bounding box (mm): a union of volumes, or the box where none is given."""
    return Part(
        kind="hardware",
        material=material,
        length=size[0],
        width=size[1],
        thickness=size[2],
        grain="any",
        body=body,
        mass=round(mass, 4),
    )


def canonical(part: Part) -> tuple[Part, Placement]:
    """The part turned by half turns so that congruent parts compare equal, and where the given part lies in that frame.

    Of the four ways a blank can lie, the one with the most cutting from face A is taken (so that a panel machined
    from one side is machined face up), then the first in a fixed order. Hardware keeps its own frame.
    """
    if part.kind == "hardware" or part.body or not part.cuts:
        return part, Placement()
    ways: list[tuple[tuple[int, tuple[tuple[str, str], ...]], str, tuple[Cut, ...]]] = []
    for axis in ("", "x", "y", "z"):
        cuts = tuple(c.turned(axis, part.size) for c in part.cuts) if axis else part.cuts
        below = sum(isinstance(c, Bore | Groove | Rabbet | PocketBore) and c.face == "B" for c in cuts)
        ways.append(((below, tuple(sorted(_order(c) for c in cuts))), axis, cuts))
    _, axis, cuts = min(ways, key=lambda way: way[:2])
    best = replace(part, cuts=cuts) if axis else part
    return best, _half_turn(axis, part.size)


def _half_turn(axis: str, size: Size) -> Placement:
    """The half turn of a blank about its own middle; its own inverse."""
    if not axis:
        return Placement()
    moved = tuple(0.0 if name == axis else length for name, length in zip("xyz", size, strict=True))
    signs = {name: (1.0 if name == axis else -1.0) for name in "xyz"}
    return Placement(
        (moved[0], moved[1], moved[2]), ((signs["x"], 0.0, 0.0), (0.0, signs["y"], 0.0), (0.0, 0.0, signs["z"]))
    )


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """A part at its place. `path` is unique in a plan: `press base/drawer 3/left side`."""

    path: str
    part: Part
    placement: Placement
    role: str

    @property
    def name(self) -> str:
        return self.path.rsplit("/", 1)[-1]

    def bounds(self) -> Box:
        return self.placement.box(Box((0.0, 0.0, 0.0), self.part.size))

    def moved(self, by: Placement, prefix: str = "") -> "PlacedPart":
        path = f"{prefix}/{self.path}" if prefix else self.path
        return PlacedPart(path, self.part, by.compose(self.placement), self.role)


@dataclass(frozen=True, slots=True)
class Load:
    """What is kept somewhere, as the box it fills: no part of the unit, but it needs its room and rides along.

    `on` is the path of the part it lies on.
    """

    placed: PlacedPart
    on: str

    def moved(self, by: Placement, prefix: str) -> "Load":
        return Load(self.placed.moved(by, prefix), f"{prefix}/{self.on}")


@dataclass(frozen=True, slots=True)
class Joint:
    """Two parts (by path) that are fastened to each other and so must touch."""

    kind: str
    a: str
    b: str

    def under(self, prefix: str) -> "Joint":
        return Joint(self.kind, f"{prefix}/{self.a}", f"{prefix}/{self.b}")


@dataclass(frozen=True, slots=True)
class Motion:
    """What moves together, and how: a slide along a direction (mm) or a swing about an axis (radians).

    `parts` are the paths of everything that rides along. A slide moves by up to `travel` along the unit vector
    `direction`; a swing turns by up to `travel` about the axis through `origin` along `direction` (right-hand rule).
    """

    name: str
    kind: Literal["slide", "swing"]
    parts: tuple[str, ...]
    direction: Vec
    travel: float
    origin: Vec = (0.0, 0.0, 0.0)

    def moved(self, by: Placement, prefix: str) -> "Motion":
        return Motion(
            f"{prefix}/{self.name}",
            self.kind,
            tuple(f"{prefix}/{p}" for p in self.parts),
            by.turn(self.direction),
            self.travel,
            by.apply(self.origin),
        )


def lying(box: Box, along: str, face: str) -> tuple[Size, Placement]:
    """The size and placement of a blank that fills `box`, its length along an axis and face A toward a direction.

    `along` is `x`, `y` or `z`; `face` a direction such as `-x`.
    """
    axis = face[1]
    if axis == along:
        raise ValueError(f"a blank cannot run along {along} and face {face}")
    across = next(a for a in "xyz" if a not in (axis, along))
    lengths = dict(zip("xyz", box.size, strict=True))
    size = (lengths[along], lengths[across], lengths[axis])
    turned = Placement.axes((0.0, 0.0, 0.0), f"+{along}", face)
    low = turned.box(Box((0.0, 0.0, 0.0), size)).lo
    origin = (box.lo[0] - low[0], box.lo[1] - low[1], box.lo[2] - low[2])
    return size, Placement(origin, turned.rotation)
