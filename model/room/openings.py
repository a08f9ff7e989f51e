"""What a wall does to the units before it: openings in backs for outlets, notches over a baseboard.

Units are built without a thought of what is on the wall; here the parts that are in the way are cut.
"""

from collections.abc import Iterator
from dataclasses import replace

from model.cuts import Cut, Cutout, cut_from_box
from model.messages import mm
from model.part import Part, PlacedPart, canonical
from model.placement import Placement
from model.plan import BuiltUnit
from model.room.room import Outlet, Wall
from model.shapes import Box
from model.tolerances import CONTACT, rounded

OUTLET_AIR = 5.0
"""mm. An opening in a back is this much larger than the plate, all round (common practice)."""

BASEBOARD_AIR = 3.0
"""mm. A notch is this much larger than the baseboard it goes over (common practice)."""

LEAST_LEFT = 20.0
"""mm. What a notch leaves of a part is at least this long and wide, or it is not worth fixing."""

FAR = 1e5


class Obstructed(Exception):
    """A unit cannot be fitted to its wall; `message` holds its lengths still to be shown."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


def fitted(unit: BuiltUnit, at: Placement, wall: Wall, notch: bool) -> BuiltUnit:
    """The unit, in its own frame, with its backs opened for outlets and, with `notch`, sawn out over the baseboard.

    `at` is where its origin lies in the wall's frame. Raises Obstructed where a part cannot be cut so.
    """
    parts = list(unit.parts)
    back = at.inverse()
    for opening in (back.box(plate(o, OUTLET_AIR)) for o in wall.outlets if o.kind == "outlet"):
        parts = [_opened(p, opening) if p.role == "back" else p for p in parts]
    if notch and wall.baseboard:
        out, up = wall.baseboard.thickness + BASEBOARD_AIR, wall.baseboard.height + BASEBOARD_AIR
        foot = back.box(Box((-FAR / 2, -out, -FAR / 100), (FAR / 2, FAR / 100, up)))
        parts = [_notched(unit.name, p, foot) for p in parts]
    return replace(unit, parts=tuple(parts))


def without(unit: BuiltUnit, box: Box) -> BuiltUnit:
    """The unit, in its own frame, with what lies in `box` sawn away. Raises Obstructed where a part cannot be."""
    return replace(unit, parts=tuple(_sawn(unit.name, p, box) for p in unit.parts))


def _sawn(unit: str, placed: PlacedPart, box: Box) -> PlacedPart:
    inside = box.common(placed.bounds())
    if inside is None:
        return placed
    own = placed.placement.inverse().box(inside)
    try:
        cut = cut_from_box(own, placed.part.size)
    except ValueError:
        return _shortened(unit, placed, own)
    return placed if cut is None else _with(placed, cut)


def plate(outlet: Outlet, air: float = 0.0, out: float = 10.0, into: float = 10.0) -> Box:
    """The box round an outlet's plate in its wall's frame, `air` mm larger, from `out` before the wall to `into` it."""
    half_x, half_z = outlet.width / 2 + air, outlet.height / 2 + air
    return Box((outlet.x - half_x, -out - air, outlet.z - half_z), (outlet.x + half_x, into, outlet.z + half_z))


def opens(placed: PlacedPart, box: Box) -> bool:
    """Whether a part has an opening right through it that leaves all of `box` (in the part's surroundings) free."""
    size = placed.part.size
    inner = placed.placement.inverse().box(box)
    return any(
        cut.u0 <= inner.lo[0] + CONTACT
        and cut.v0 <= inner.lo[1] + CONTACT
        and cut.u1 >= inner.hi[0] - CONTACT
        and cut.v1 >= inner.hi[1] - CONTACT
        for cut in placed.part.cuts
        if isinstance(cut, Cutout) and inner.lo[2] < size[2] and inner.hi[2] > 0
    )


def _opened(placed: PlacedPart, opening: Box) -> PlacedPart:
    """The panel with the opening, where it lies inside its outline; else as it is."""
    bounds = placed.bounds()
    shared = opening.replace(y=bounds.span("y")).common(bounds)
    if shared is None or opening.common(bounds.grown(2 * OUTLET_AIR)) is None:
        return placed
    cut = cut_from_box(placed.placement.inverse().box(shared), placed.part.size)
    return _with(placed, cut) if isinstance(cut, Cutout) else placed


def _with(placed: PlacedPart, cut: Cut) -> PlacedPart:
    part, turn = canonical(replace(placed.part, cuts=(*placed.part.cuts, cut)))
    return replace(placed, part=part, placement=placed.placement.compose(turn))


def _notched(unit: str, placed: PlacedPart, foot: Box) -> PlacedPart:
    """The part without what lies in `foot`: a notch, or the whole edge where that lies in it."""
    inside = foot.common(placed.bounds())
    if inside is None:
        return placed
    if placed.part.kind == "hardware":
        raise Obstructed(f"{unit}: {placed.path} is in the way of the baseboard: let it stand off")
    level = placed.role not in ("back", "cleat") and _lies_level(placed)
    if level:
        raise Obstructed(
            f"{unit}: {placed.path} lies {mm(placed.bounds().lo[2])} above the floor, lower than the baseboard: "
            "raise the toe kick, or let it stand off"
        )
    return _sawn(unit, placed, foot)


def _lies_level(placed: PlacedPart) -> bool:
    return abs(placed.placement.turn((0.0, 0.0, 1.0))[2]) > 0.5


def _shortened(unit: str, placed: PlacedPart, own: Box) -> PlacedPart:
    """The part with the edge sawn off that `own` (in its frame) covers from side to side."""
    part = placed.part
    for axis, ends in enumerate(zip(own.lo, own.hi, strict=True)):
        if axis == 2 or (ends[0] <= CONTACT and ends[1] >= part.size[axis] - CONTACT):
            continue
        low = ends[0] <= CONTACT
        left = rounded(part.size[axis] - (ends[1] - ends[0]))
        if left < LEAST_LEFT:
            break
        turn = Placement()
        cuts = part.cuts
        if low:  # turned end for end, so that what is sawn off lies at the far edge
            turn = Placement((part.length, part.width, 0.0), ((-1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, 1.0)))
            cuts = tuple(c.turned("z", part.size) for c in cuts)
        size = [left if i == axis else length for i, length in enumerate(part.size)]
        kept = tuple(_kept(cuts, part, axis, left))
        shorter = replace(part, length=size[0], width=size[1], cuts=kept)
        shape, again = canonical(shorter)
        return replace(placed, part=shape, placement=placed.placement.compose(turn).compose(again))
    raise Obstructed(f"{unit}: too little is left of {placed.path}, which is sawn out for what it meets there")


def _kept(cuts: tuple[Cut, ...], part: Part, axis: int, left: float) -> Iterator[Cut]:
    """The cuts that still meet a part sawn off at `left` along an axis."""
    for cut in cuts:
        if min(p.bounds().lo[axis] for p in cut.primitives(part.size)) < left - CONTACT:
            yield cut
