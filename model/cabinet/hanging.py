"""How uppers are fixed: hung on a bevelled cleat screwed into the studs, or screwed down through a bottom rail."""

import math
from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from model.cabinet.carcass import Span
from model.config.types import Angle, NonNegativeLength, PositiveLength, Strict
from model.draft import Draft, Panel
from model.messages import mm
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock.tables import Screw
from model.tolerances import rounded

SCREW_END = 50.0
"""mm. First and last screw of a rail or cleat from its ends (common practice)."""
STUD_EDGE = 25.0
"""mm. A screw into a stud no nearer than this to the end of its cleat, or the end splits (common practice)."""
SEAM_KEEP = 20.0
"""mm. A screw down into a top stays so far from a seam of it, or it splits the edge (common practice)."""
BITE = 38.0
"""mm. What a wall screw reaches behind its cleat: 13 mm of wall board and 25 mm of stud (common practice)."""
LAND = 25.0
"""mm. The narrower face of a cleat half is at least this high: the screws sit in it (common practice)."""


class Cleat(Strict):
    """A strip ripped in two at an angle: one half on the wall, its mate on the upper."""

    height: PositiveLength = 80.0
    """Of each half, over its long face."""
    angle: Angle = Field(default=45.0, ge=20, le=60)
    """Of the bevel, from square (45 degrees: common practice)."""
    play: NonNegativeLength = 3.0
    """The half on the wall is this much shorter at each end, so that a hung upper can be shifted."""
    into: Literal["studs", "masonry"] = "studs"
    """Screwed at the `studs` where the room knows them, or at even places into `masonry`."""
    screws: int = Field(default=1, ge=1, le=2)
    """Screws at each place, one above the other."""
    spacing: PositiveLength = Field(default=406.0, ge=50)
    """Screws at most this far apart where no stud is known (406 mm, 16 in: common practice)."""


class Hang(Strict):
    """An upper hung on the wall."""

    cleat: Cleat = Cleat()
    """The cleat, as thick as the carcass."""
    spacer: PositiveLength = 60.0
    """Height of the strip at the foot that keeps the upper plumb; a screw through the back there locks it."""


def cleat_run(cleat: Cleat, thickness: float) -> float:
    """How much narrower the narrow face of a cleat half is: what an upper is lifted by to hook it on, mm."""
    return rounded(thickness * math.tan(math.radians(cleat.angle)))


def screw_places(length: float, spacing: float, end: float = SCREW_END) -> list[float]:
    """Places of evenly spaced screws along a rail, mm from its end: at the ends and at most `spacing` apart."""
    if length <= 2 * end:
        return [length / 2]
    gaps = max(1, math.ceil((length - 2 * end) / spacing - 1e-9))
    return [end + i * (length - 2 * end) / gaps for i in range(gaps + 1)]


@dataclass(frozen=True, slots=True)
class ScrewReach:
    """Where the tip of a screw ends that is driven down through a rail, mm.

    `below` the lower edge of the rail (negative: it never leaves the rail), `bites` of that in what lies under the
    rail, `past` the underside of that (negative: so much wood is left under the tip).
    """

    below: float
    bites: float
    past: float


def screw_reach(rail: float, screw: Screw, below: float) -> ScrewReach:
    """How far a screw driven flush through a rail `rail` mm high goes into the `below` mm that lie under it."""
    reach = rounded(screw.length - rail)
    return ScrewReach(reach, min(max(reach, 0.0), below), rounded(reach - below))


def bore_rail(rail: Panel, screw: Screw, spacing: float, seams: tuple[float, ...] = ()) -> None:
    """Bores straight down through a rail on edge, evenly spaced; near a seam of the top under it, one on either side.

    Raises Unbuildable where the screw stays inside.
    """
    (x0, y0, z0), (x1, y1, z1) = rail.box.lo, rail.box.hi
    if screw_reach(z1 - z0, screw, 0.0).below <= 0:
        raise Unbuildable(
            f"{screw.name} is {mm(screw.length)} long and never leaves a bottom rail {mm(rounded(z1 - z0))} high: "
            "take a longer screw or a lower rail",
            "bottom_rail",
        )
    places = {rounded(x0 + x) for x in screw_places(x1 - x0, spacing)}
    for seam in seams:
        near = {x for x in places if abs(x - seam) < SEAM_KEEP}
        if near:
            places = (places - near) | {rounded(seam - SEAM_KEEP), rounded(seam + SEAM_KEEP)}
    for x in sorted(x for x in places if x0 < x < x1):
        rail.bore((x, (y0 + y1) / 2, z1), "-z", screw.clearance_diameter, purpose="screw", sink=screw.sink)


def wall_places(span: Span, cleat: Cleat, studs: tuple[float, ...]) -> list[float]:
    """Where a wall cleat over `span` is screwed, x in the unit: at the studs behind it, else evenly.

    Raises Unbuildable where studs are known and none lies behind the cleat.
    """
    if cleat.into == "masonry" or not studs:
        return [span[0] + x for x in screw_places(span[1] - span[0], cleat.spacing)]
    found = sorted(x for x in studs if span[0] + STUD_EDGE <= x <= span[1] - STUD_EDGE)
    if not found:
        raise Unbuildable(
            f"no stud lies behind the cleat, {mm(rounded(span[1] - span[0]))} long: move the upper to one or widen it",
            "hang",
            "cleat",
        )
    return found


@dataclass(frozen=True)
class Slot:
    """The room between the back of an upper and the wall where its cleat lies, mm in the unit.

    `x` is the clear width there, `y` from the back to the wall, `z` from the underside of the bottom to what closes it
    above. `fast` is what both the upper's half and the spacer are fastened to, `over` and `under` what else holds one
    or the other.
    """

    x: Span
    y: Span
    z: Span
    fast: tuple[Panel, ...]
    over: tuple[Panel, ...]
    under: tuple[Panel, ...]


def hang(draft: Draft, site: Site, options: Hang, slot: Slot) -> None:
    """Both halves of the cleat and the spacer. Raises Unbuildable where they do not fit or the screw is too short."""
    sheet, cleat = site.sheet("carcass"), options.cleat
    run, high = cleat_run(cleat, sheet.thickness), cleat.height
    if high - run < LAND:
        raise Unbuildable(
            f"a cleat {mm(high)} high keeps {mm(high - run)} on its narrow face, it needs {mm(LAND)}",
            *("hang", "cleat", "height"),
        )
    # the upper is lifted by one run to hook it on, and its spacer comes up with it
    lowest = rounded(slot.z[1] - 2 * high + run)
    if lowest - run < slot.z[0] + options.spacer:
        raise Unbuildable(
            f"two halves of {mm(high)} and a spacer of {mm(options.spacer)} need more height than "
            f"{mm(rounded(slot.z[1] - slot.z[0]))}",
            *("hang", "cleat", "height"),
        )
    mate = draft.sheet("cleat, upper half", _strip(slot, slot.x, (slot.z[1] - high, slot.z[1])), sheet, *_ON_EDGE)
    mate.bevel("-z", "-y", run)
    for panel in (*slot.fast, *slot.over):
        draft.join("screwed", mate, panel)
    x = (slot.x[0] + cleat.play, slot.x[1] - cleat.play)
    half = draft.sheet("cleat, wall half", _strip(slot, x, (lowest, lowest + high)), sheet, *_ON_EDGE)
    half.bevel("+z", "+y", run)
    draft.join("hung", mate, half)
    _screw_to_wall(half, site, cleat, run)
    spacer = draft.sheet(
        "spacer", _strip(slot, slot.x, (slot.z[0], slot.z[0] + options.spacer)), sheet, "x", "-y", "spacer"
    )
    for panel in (*slot.fast, *slot.under):
        draft.join("screwed", spacer, panel)


_ON_EDGE = ("x", "-y", "wall cleat")


def _strip(slot: Slot, x: Span, z: Span) -> Box:
    return Box((x[0], slot.y[0], z[0]), (x[1], slot.y[1], z[1]))


def _screw_to_wall(half: Panel, site: Site, cleat: Cleat, run: float) -> None:
    """Bores through the half on the wall, in the height of its narrow face."""
    screw = site.screw("wall_screw")
    (x0, y0, z0), (x1, y1, z1) = half.box.lo, half.box.hi
    if screw.length - (y1 - y0) < BITE:
        raise Unbuildable(
            f"{screw.name} reaches {mm(rounded(screw.length - (y1 - y0)))} behind the cleat, it needs {mm(BITE)} "
            "for wall board and stud",
            *("materials", "wall_screw"),
        )
    for x in wall_places((x0, x1), cleat, site.stud_x):
        for i in range(cleat.screws):
            z = z0 + (z1 - run - z0) * (i + 1) / (cleat.screws + 1)
            half.bore((x, y0, z), "+y", screw.clearance_diameter, purpose="wall screw", sink=screw.sink)
