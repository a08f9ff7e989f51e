"""Doors on concealed cup hinges: one or two leaves over or in an opening, their swing included."""

import math
from typing import Literal

from model.cabinet.bands import around
from model.cabinet.carcass import Span
from model.cabinet.drawers import place_pull
from model.cabinet.fittings import CUP_CLEARANCE, hinge_parts
from model.cabinet.frame import Frame, Opening
from model.cabinet.fronts import FrontOptions
from model.config.types import Angle, NonNegativeLength, Strict
from model.draft import Draft, Panel
from model.messages import mm
from model.placement import Placement
from model.shapes import Box, Vec
from model.site import Site, Unbuildable
from model.stock.cabinet import EdgeBand
from model.stock.tables import Hinge
from model.tolerances import rounded

FROM_END = 100.0
"""mm. Outer hinges this far from the ends of a door (common practice)."""
HINGES_BY_HEIGHT: tuple[tuple[float, int], ...] = ((900.0, 2), (1600.0, 3), (2000.0, 4), (math.inf, 5))
"""Number of hinges up to a height of door, mm (common practice; the maker's table of a hinge goes before it)."""
HINGE_ROOM = 5.0
"""mm. Shelves behind doors stay this far back, clear of hinge arms on a frame."""
PULL_INSET = 50.0
"""mm. A door pull's middle from the free edge."""
LEAF_LEAST = 100.0
"""mm. On a narrower leaf the pull comes so near to the hinge that it swings into what stands beside it."""


class DoorOptions(Strict):
    """The doors of a unit."""

    leaves: Literal[1, 2] = 2
    """One door or a pair."""
    hinged: Literal["left", "right"] = "left"
    """Where a single door is hung."""
    stand_off: NonNegativeLength = 1.5
    """Gap between an overlay door and what it closes on (bumpers)."""
    opens: Angle = 100.0
    """How far a door swings."""
    pull_at: Literal["high", "middle", "low"] = "high"
    """Where on the door the pull sits."""


def hinge_count(height: float) -> int:
    return next(count for limit, count in HINGES_BY_HEIGHT if height <= limit)


def hinge_heights(z: Span, avoid: tuple[Span, ...], reach: float) -> list[float]:
    """Middles of the hinges of a door over z, each `reach` mm up and down of its middle, clear of what lies at `avoid`.

    Spread evenly between the ends, then each moved by the least that clears shelves and the hinge before it.
    Raises Unbuildable where that cannot be done.
    """
    count = hinge_count(z[1] - z[0])
    from_end = min(FROM_END, (z[1] - z[0]) / 4)
    found: list[float] = []
    for i in range(count):
        wish = z[0] + from_end + (z[1] - z[0] - 2 * from_end) * i / (count - 1)
        steps = (wish + sign * 4.0 * step for step in range(200) for sign in (1, -1))
        middle = next((m for m in steps if _clear(m, reach, z, avoid, found)), None)
        if middle is None:
            raise Unbuildable(
                f"no place for {count} hinges on a door {mm(rounded(z[1] - z[0]))} high beside the shelves: "
                "take fewer shelves or a higher door",
                "doors",
            )
        found.append(middle)
    return found


def _clear(middle: float, reach: float, z: Span, avoid: tuple[Span, ...], taken: list[float]) -> bool:
    return (
        z[0] + reach <= middle <= z[1] - reach
        and all(middle + reach <= lo or middle - reach >= hi for lo, hi in avoid)
        and all(abs(middle - other) >= 2 * reach for other in taken)
    )


def shelf_room(fronts: FrontOptions, doors: DoorOptions | None, site: Site, frame: Frame | None) -> float:
    """How far behind the frame (or the carcass edge) shelves must stay for doors and their hinges, mm."""
    if doors is None:
        return 0.0
    return HINGE_ROOM + fronts.stands_in(site.sheet("front").thickness, frame.thickness if frame else 0.0)


def make_doors(
    draft: Draft,
    site: Site,
    options: DoorOptions,
    opening: Opening,
    lap: float,
    gap: float,
    avoid: tuple[Span, ...],
    prefix: str = "",
    band: EdgeBand | None = None,
) -> None:
    """One or two doors over an opening, with hinges, pulls and swings. `avoid` is where shelves lie, in z.

    `prefix` is what their names begin with; with a `band` their edges are banded.
    """
    sheet, hinge = site.sheet("front"), site.hinge()
    inset = lap < 0
    back = sheet.thickness if inset else -options.stand_off
    z = (opening.z[0] - lap, opening.z[1] + lap)
    x = opening.front_x(lap)
    if sheet.thickness <= hinge.cup_depth:
        raise Unbuildable(
            f"a {mm(hinge.cup_depth)} cup goes through a {mm(sheet.thickness)} door", "materials", "front"
        )
    middle = (x[0] + x[1]) / 2
    leaves: list[tuple[str, Span, str]] = [(f"{prefix}door", x, options.hinged)]
    if options.leaves == 2:
        leaves = [
            (f"{prefix}left door", (x[0], middle - gap / 2), "left"),
            (f"{prefix}right door", (middle + gap / 2, x[1]), "right"),
        ]
    reach = max(hinge.cup_diameter, hinge.arm_width) / 2 + HINGE_ROOM
    for name, span, side in leaves:
        if span[1] - span[0] < LEAF_LEAST:
            raise Unbuildable(
                f"a door {mm(rounded(span[1] - span[0]))} wide is too narrow: {mm(LEAF_LEAST)} at least", "doors"
            )
        box = Box((span[0], back - sheet.thickness, z[0]), (span[1], back, z[1]))
        door = draft.sheet(f"{name}/door", box, sheet, "z", "+y", "door")
        stand_off = 0.0 if inset else options.stand_off
        _hinges(draft, hinge, name, door, side, opening, stand_off, hinge_heights(z, avoid, reach))
        free = span[1] - PULL_INSET if side == "left" else span[0] + PULL_INSET
        place_pull(draft, site.pull(), f"{name}/pull", door, None, (free, _pull_height(options, z, site)), True)
        corner = (span[0] if side == "left" else span[1], box.lo[1], box.lo[2])
        around(draft, band, door)
        _swing(draft, name, corner, side, math.radians(options.opens))


def _pull_height(options: DoorOptions, z: Span, site: Site) -> float:
    reach = min(site.pull().length / 2 + PULL_INSET, (z[1] - z[0]) / 2)
    return {"high": z[1] - reach, "middle": (z[0] + z[1]) / 2, "low": z[0] + reach}[options.pull_at]


def _swing(draft: Draft, name: str, corner: Vec, side: str, angle: float) -> None:
    """A turn about the outer corner of the door's face on the hinge side: it opens clear of its neighbour."""
    draft.swing(name, draft.under(name), corner, (0.0, 0.0, -1.0 if side == "left" else 1.0), angle)


def _hinges(
    draft: Draft, hinge: Hinge, name: str, door: Panel, side: str, opening: Opening, stand_off: float, zs: list[float]
) -> None:
    left = side == "left"
    host = opening.left if left else opening.right
    edge = opening.x[0] if left else opening.x[1]
    x = door.box.lo[0] + hinge.cup_setback if left else door.box.hi[0] - hinge.cup_setback
    back = door.box.hi[1]
    # on a frame the arm is held by the stile's edge, on a bare carcass by the side
    reach = max(host.box.hi[1] - back - stand_off, 0.0) if host.role in ("stile", "mullion") else hinge.arm_length
    arm_length = max(min(reach, hinge.arm_length), 20.0)
    cup, arm = hinge_parts(hinge, stand_off, arm_length)
    for i, z in enumerate(zs, 1):
        door.bore((x, back, z), "-y", hinge.cup_diameter, hinge.cup_depth, "hinge cup")
        r = (hinge.cup_diameter - CUP_CLEARANCE) / 2
        cup_path, arm_path = f"{name}/hinge {i} cup", f"{name} hinge {i} arm"
        bottom = back - hinge.cup_depth
        draft.place(cup_path, cup, Placement.axes((x - r, bottom, z + r), "+x", "+y"), "hinge")
        at = Placement.axes((0.0, 0.0, 0.0), "+y", "+x" if left else "-x")
        low = at.box(Box((0.0, 0.0, 0.0), arm.size)).lo
        start = edge if left else edge - arm.thickness
        origin = (start - low[0], back + stand_off - low[1], z - arm.width / 2 - low[2])
        draft.place(arm_path, arm, Placement(origin, at.rotation), "hinge")
        draft.join("screwed", cup_path, f"{name}/door")
        draft.join("hinged", arm_path, cup_path)
        draft.join("screwed", arm_path, host)
