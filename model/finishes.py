"""What is painted: the faces that lie bare in the finished room, how large they are, and the litres they take.

A point of a face is bare where wood lies just under it and none just over it. What only rests there while a drawer or a
door is shut covers nothing, nor does hardware, which goes on last. Faces at the wall and on the floor are left as they
are. Bores and slanting cuts are passed over: they change an area by less than a brush does.
"""

import math
from bisect import bisect_left
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from model.config.types import Name, Strict
from model.cuts import Cutout, Groove, Notch, Rabbet
from model.faces import Face
from model.part import Part, PlacedPart
from model.placement import Placement
from model.plan import Plan
from model.shapes import AXES, Box, Vec
from model.stock.finishes import Finish, layers

NEAR = 0.05
"""mm. Over and under a face by this much is looked for wood: more than faces that touch may miss each other by."""
AT_WALL = 1.0
"""mm. A face that looks to the wall so near the rear of its unit does not show."""
AT_FLOOR = 25.0
"""mm. A face that looks down so near the floor does not show."""
MM2_PER_M2 = 1e6

FACES: dict[Face, tuple[int, int]] = {
    "A": (2, 1),
    "B": (2, -1),
    "x0": (0, -1),
    "x1": (0, 1),
    "y0": (1, -1),
    "y1": (1, 1),
}
"""The axis each face is square to, and the way along it that the face looks."""
_BOXES = (Groove, Rabbet, Notch, Cutout)
_FRONTS = {"front", "door", "front panel", "drawer front"}
_DRAWERS = {"drawer side", "drawer front or back", "drawer bottom", "tray"}
_FRAMES = {
    "stile",
    "mullion",
    "facing",
    "apron",
    "skirt",
    "filler",
    "kick board",
    "toe board",
    "end panel",
    "moulding",
    "edge",
}
Rect = tuple[float, float, float, float]


class Finishing(Strict):
    """What is finished with what, each a finish in stock; what is left out stays as it comes."""

    fronts: Name | None = None
    """Fronts of drawers and doors, all round."""
    frames: Name | None = None
    """Face frames, facings, skirts and toe boards, fillers and end panels."""
    cases: Name | None = None
    """Sides, bottoms, shelves and backs, inside and where they show outside."""
    drawers: Name | None = None
    """Drawer boxes and trays."""
    tops: Name | None = None
    """Tops, their edges and backsplashes."""

    def of(self, group: str) -> str | None:
        found: str | None = getattr(self, group)
        return found


@dataclass(frozen=True, slots=True)
class Painted:
    """A part that is painted: the finish and the bare area of each of its faces, m2."""

    unit: str
    placed: PlacedPart
    finish: str
    faces: tuple[tuple[Face, float], ...]

    @property
    def area(self) -> float:
        """m2."""
        return sum(area for _, area in self.faces)


@dataclass(frozen=True, slots=True)
class Amount:
    """What is used of a finish: the area it covers (m2), in how many coats, and the litres that takes."""

    finish: Finish
    area: float
    litres: float


def group_of(placed: PlacedPart, kind: str, roles: Mapping[str, str]) -> str:
    """Which of the groups of `Finishing` a part is of; `kind` is that of its unit, `roles` those of parts by path."""
    role = placed.role
    if placed.part.kind == "band":
        role = roles.get(placed.path.rpartition(" band, ")[0], role)
    if kind == "top":
        return "tops"
    if role in _FRONTS:
        return "fronts"
    if role in _DRAWERS:
        return "drawers"
    return "frames" if role in _FRAMES or (role == "rail" and placed.part.kind == "board") else "cases"


def painted(plan: Plan, finishing: Finishing, walls: Mapping[str, Placement] | None = None) -> tuple[Painted, ...]:
    """Every part that gets a finish and has a bare face, in the order of the plan.

    `walls` are the frames of the walls the units stand at, by unit (x along it, y into it, z up); a unit without one
    is taken as if its wall were that of the plan's own axes.
    """
    if not any(finishing.of(group) for group in type(finishing).model_fields):
        return ()
    wood = [p for p in plan.walk() if p.part.kind != "hardware"]
    neighbours = _Neighbours.of(wood, _moving(plan))
    roles = {p.path: p.role for p in wood}
    found: list[Painted] = []
    for unit in plan.units:
        own = [p for p in unit.parts if p.part.kind != "hardware"]
        frame = (walls or {}).get(unit.name, Placement()).inverse()
        rear = max((frame.box(p.bounds()).hi[1] for p in own), default=0.0)
        for placed in own:
            finish = finishing.of(group_of(placed, unit.kind, roles))
            if finish is None:
                continue
            shown: list[Face] = [face for face in FACES if not _hidden(placed, face, frame, rear)]
            areas: list[tuple[Face, float]] = [
                (face, bare_area(placed, face, neighbours.of_path[placed.path])) for face in shown
            ]
            faces: tuple[tuple[Face, float], ...] = tuple(
                (face, round(area / MM2_PER_M2, 6)) for face, area in areas if area > 0.5
            )
            if faces:
                found.append(Painted(unit.name, placed, finish, faces))
    return tuple(found)


def amounts(what: tuple[Painted, ...], finishes: Mapping[str, Finish]) -> tuple[Amount, ...]:
    """Every finish that is used, undercoats too, in the order they go on; nothing is added for waste."""
    areas: dict[str, float] = {}
    for each in what:
        for finish in layers(finishes, each.finish):
            areas[finish.name] = areas.get(finish.name, 0.0) + each.area
    order = sorted(areas, key=lambda name: (len(layers(finishes, name)), list(finishes).index(name)))
    return tuple(Amount(finishes[n], areas[n], areas[n] * finishes[n].coats / finishes[n].coverage) for n in order)


def bare_area(placed: PlacedPart, face: Face, near: tuple[PlacedPart, ...]) -> float:
    """The area of a face that no other part covers, mm^2."""
    axis, way = FACES[face]
    plane = placed.part.size[axis] if way > 0 else 0.0
    inside, holes = _slice(placed.part, Placement(), axis, plane - way * NEAR)
    back = placed.placement.inverse()
    over: list[tuple[Rect, list[Rect]]] = []
    for other in near:
        at = back.compose(other.placement)
        if _quarter_turns(at):
            rect, gaps = _slice(other.part, at, axis, plane + way * NEAR)
            if rect is not None:
                over.append((rect, gaps))
    return 0.0 if inside is None else _left(inside, holes, over)


def _slice(part: Part, at: Placement, axis: int, plane: float) -> tuple[Rect | None, list[Rect]]:
    """The rectangle in which a plane cuts a placed blank, and those in which it cuts what is taken out of it."""
    whole = _in_plane(at.box(Box((0.0, 0.0, 0.0), part.size)), axis, plane)
    if whole is None:
        return None, []
    taken = (p.bounds() for cut in part.cuts if isinstance(cut, _BOXES) for p in cut.primitives(part.size))
    return whole, [gap for box in taken if (gap := _in_plane(at.box(box), axis, plane)) is not None]


def _in_plane(box: Box, axis: int, plane: float) -> Rect | None:
    if not box.lo[axis] < plane < box.hi[axis]:
        return None
    u, v = (i for i in range(3) if i != axis)
    return (box.lo[u], box.lo[v], box.hi[u], box.hi[v])


def _left(inside: Rect, holes: list[Rect], over: list[tuple[Rect, list[Rect]]]) -> float:
    """The area of a rectangle without its holes and without what lies over it, which may have gaps of its own."""
    every = [inside, *holes, *(r for rect, gaps in over for r in (rect, *gaps))]
    us = sorted({min(max(x, inside[0]), inside[2]) for r in every for x in (r[0], r[2])})
    vs = sorted({min(max(y, inside[1]), inside[3]) for r in every for y in (r[1], r[3])})
    free = [bytearray(b"\1" * (len(vs) - 1)) for _ in us[1:]]
    _mark(free, holes, us, vs)
    for rect, gaps in over:
        covered = [bytearray(len(vs) - 1) for _ in us[1:]]
        _mark(covered, [rect], us, vs, 1)
        _mark(covered, gaps, us, vs)
        for column, over_it in zip(free, covered, strict=True):
            for j, there in enumerate(over_it):
                if there:
                    column[j] = 0
    return math.fsum(
        (us[i + 1] - us[i]) * (vs[j + 1] - vs[j])
        for i, column in enumerate(free)
        for j, bare in enumerate(column)
        if bare
    )


def _mark(grid: list[bytearray], rects: list[Rect], us: list[float], vs: list[float], value: int = 0) -> None:
    """Set the cells of a grid that lie in any of the rectangles."""
    for u0, v0, u1, v1 in rects:
        low, high = bisect_left(vs, v0), bisect_left(vs, v1)
        for i in range(bisect_left(us, u0), min(bisect_left(us, u1), len(grid))):
            for j in range(low, min(high, len(vs) - 1)):
                grid[i][j] = value


def _quarter_turns(at: Placement) -> bool:
    return all(min(abs(c), 1 - abs(c)) < 1e-6 for row in at.rotation for c in row)


def _hidden(placed: PlacedPart, face: Face, frame: Placement, rear: float) -> bool:
    """Whether a face lies at the wall or on the floor; `frame` brings the room into the frame of the wall."""
    axis, way = FACES[face]
    at = frame.compose(placed.placement)
    looks = at.turn(tuple(float(way) if i == axis else 0.0 for i in range(3)))  # pyright: ignore[reportArgumentType]
    middle: list[float] = [c / 2 for c in placed.part.size]
    middle[axis] = placed.part.size[axis] if way > 0 else 0.0
    x: Vec = at.apply((middle[0], middle[1], middle[2]))
    to_wall = looks[1] > 0.999 and (placed.role == "back" or x[1] >= rear - AT_WALL)
    return to_wall or (looks[2] < -0.999 and x[2] <= AT_FLOOR)


def _moving(plan: Plan) -> dict[str, tuple[str, ...]]:
    """The motions each part that moves rides along with, by path."""
    found: dict[str, tuple[str, ...]] = {}
    for motion in plan.motions:
        for path in motion.parts:
            found[path] = (*found.get(path, ()), motion.name)
    return found


@dataclass(frozen=True)
class _Neighbours:
    """Which parts lie at which: only those that move together, or both stand still."""

    parts: list[PlacedPart]
    moving: dict[str, tuple[str, ...]]

    @classmethod
    def of(cls, parts: list[PlacedPart], moving: dict[str, tuple[str, ...]]) -> "_Neighbours":
        return cls(parts, moving)

    @cached_property
    def of_path(self) -> dict[str, tuple[PlacedPart, ...]]:
        found: dict[str, list[PlacedPart]] = {p.path: [] for p in self.parts}
        for a, b in self._pairs():
            if self.moving.get(a.path) == self.moving.get(b.path):
                found[a.path].append(b)
                found[b.path].append(a)
        return {path: tuple(near) for path, near in found.items()}

    def _pairs(self) -> Iterator[tuple[PlacedPart, PlacedPart]]:
        """Pairs whose bounds lie within reach of each other, swept along x."""
        bounds = sorted(((p.bounds().grown(NEAR), p) for p in self.parts), key=lambda found: found[0].lo)
        active: list[tuple[Box, PlacedPart]] = []
        for box, placed in bounds:
            active = [other for other in active if other[0].hi[0] > box.lo[0]]
            for other, there in active:
                if all(other.lo[i] < box.hi[i] and box.lo[i] < other.hi[i] for i in range(1, len(AXES))):
                    yield there, placed
            active.append((box, placed))
