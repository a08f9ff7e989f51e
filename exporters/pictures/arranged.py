"""What a picture shows: which parts, where they are, and what of each a cut leaves."""

import difflib
from collections.abc import Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from exporters.pictures.cutaway import FACES, Cut, Plane, plane_of, what_is_left
from exporters.pictures.explode import explode
from exporters.pictures.scene import (
    AT_REST,
    Array,
    Batch,
    Colour,
    Opening,
    Piece,
    at_place,
    drawn,
    joined,
    posed,
    spread,
)
from exporters.pictures.viewpoints import straight_on, wall_of
from model.errors import ProjectError
from model.part import PlacedPart
from model.placement import Placement
from model.shapes import Box

if TYPE_CHECKING:
    from model.build import Build
    from model.plan import BuiltUnit


@dataclass(frozen=True, slots=True)
class Wish:
    """What a picture shows other than the whole plan as it stands.

    `unit` alone, by its name, on a bare floor; `explode` moves joined parts apart, 1 for the usual; `cut` takes a side
    off; `dims` gives the main sizes; `transparent` leaves floor, walls and background out.
    """

    unit: str | None = None
    explode: float = 0.0
    cut: Cut | None = None
    dims: bool = False
    transparent: bool = False


PLAIN = Wish()


@dataclass(frozen=True, eq=False)
class Arranged:
    """The parts as they are drawn, gathered by colour; `parts` are those shown, uncut and at rest where they are drawn
    closed; `leaders` tie what is joined (K x 2 x 3, mm). `straight` is the way straight on (radians, as for a camera).
    """

    batches: list[Batch]
    parts: list[PlacedPart]
    leaders: Array
    straight: float
    walls: bool

    @property
    def points(self) -> Array:
        """All corners of what is drawn (N x 3)."""
        return np.concatenate([b.points[np.unique(b.triangles)] for b in self.batches])


def arranged(
    build: "Build", opening: Opening = 0.0, apart: float = 0.0, hidden: Collection[str] = (), wish: Wish = PLAIN
) -> Arranged:
    """The parts at their places: opened or spread or exploded, cut, without those whose role is in `hidden`.

    Raises ProjectError for a unit the plan does not have, an opening it does not have, a cut that misses.
    """
    units = _chosen(build, wish.unit)
    at, leaders = _places(build, units, opening, apart, wish)
    parts = [p for u in units for p in u.parts if p.role not in hidden]
    if not parts:
        raise ProjectError("there is nothing to draw: the plan has no part that is shown")
    down = 0.0 if wish.unit is None else min(p.moved(at[p.path]).bounds().lo[2] for p in parts)
    lowered = Placement((0.0, 0.0, -down))
    places = {p.path: lowered.compose(at[p.path]) for p in parts}
    plane = _plane(build, parts, places, wish)
    return Arranged(
        _batches(build, parts, places, plane),
        [p.moved(lowered) for p in parts],
        leaders - np.array((0.0, 0.0, down)),
        0.0 if wish.unit is None else straight_on(build, wish.unit),
        walls=not (apart or wish.explode or wish.unit is not None),
    )


def parts_by_colour(
    build: "Build", opening: Opening = 0.0, apart: float = 0.0, hidden: Collection[str] = ()
) -> list[Batch]:
    """The parts of the plan at their places, opened and spread apart, without those whose role is in `hidden`."""
    return arranged(build, opening, apart, hidden).batches


def _chosen(build: "Build", name: str | None) -> "list[BuiltUnit]":
    units = [u for u in build.plan.units if u.parts]
    if name is None:
        return units
    names = [u.name for u in units]
    if name not in names:
        near = difflib.get_close_matches(name, names, 1, 0.5)
        hint = f"did you mean {near[0]}?" if near else f"there is {', '.join(names)}"
        raise ProjectError(f"--unit: no unit or top {name!r}; {hint}")
    return [u for u in units if u.name == name]


def _places(
    build: "Build", units: "list[BuiltUnit]", opening: Opening, apart: float, wish: Wish
) -> tuple[dict[str, Placement], Array]:
    """How far each part moves from rest, by path, and the lines that tie what has moved apart."""
    if not wish.explode:
        moves, spreads = posed(build.plan, opening), spread(build.plan, apart)
        return {
            p.path: spreads.get(u.name, AT_REST).compose(moves.get(p.path, AT_REST)) for u in units for p in u.parts
        }, np.zeros((0, 2, 3))
    if opening or apart:
        raise ProjectError("--explode takes everything out already: leave out --open")
    if wish.dims:
        raise ProjectError("--dims are sizes of what is whole: leave out --explode")
    if not 0 <= wish.explode <= 3:
        raise ProjectError(f"--explode: {wish.explode:g} is too far or none: give 0 to 3, 1 is the usual")
    exploded = explode(build, wish.explode, [u.name for u in units])
    return {path: Placement(move) for path, move in exploded.moves.items()}, exploded.leaders


def _plane(build: "Build", parts: list[PlacedPart], places: dict[str, Placement], wish: Wish) -> Plane | None:
    if wish.cut is None:
        return None
    frame = wall_of(build, wish.unit or parts[0].path).frame
    back = frame.inverse()
    boxes = [p.moved(back.compose(places[p.path])).bounds() for p in parts]
    low, high = np.min([b.lo for b in boxes], axis=0).tolist(), np.max([b.hi for b in boxes], axis=0).tolist()
    return plane_of(wish.cut, frame, Box((low[0], low[1], low[2]), (high[0], high[1], high[2])), build.plan.lengths)


def _batches(build: "Build", parts: list[PlacedPart], places: dict[str, Placement], plane: Plane | None) -> list[Batch]:
    gathered: dict[Colour, list[Piece]] = {}
    for part in parts:
        at = places[part.path].compose(part.placement)
        colour = build.stock.material(part.part.material).colour
        if plane is None or _whole(part, places[part.path], plane):
            gathered.setdefault(colour, []).append(at_place(drawn(part.part), at))
            continue
        own, face = what_is_left(part, at, plane)
        if own is not None:
            gathered.setdefault(colour, []).append(own)
        if face is not None:
            gathered.setdefault(FACES[part.part.kind], []).append(face)
    if not gathered:
        raise ProjectError("--cut: nothing is left to draw")
    return [joined(colour, pieces) for colour, pieces in sorted(gathered.items())]


def _whole(part: PlacedPart, at: Placement, plane: Plane) -> bool:
    """Whether a part lies on the near side of the plane, box and all."""
    box = part.moved(at).bounds()
    far = sum(n * (h if n > 0 else lo) for n, lo, h in zip(plane.normal, box.lo, box.hi, strict=True))
    return far <= plane.offset
