"""What a base stands on: toe kicks sawn into the sides, skirts, plinths, and feet that take up an uneven floor."""

import math
from dataclasses import dataclass
from typing import Literal

from model.cabinet.carcass import Carcass, Span
from model.cabinet.fittings import foot_part
from model.config.types import NonNegativeLength, PositiveLength, Strict
from model.draft import Draft, Panel
from model.messages import mm
from model.placement import Placement
from model.shapes import Box
from model.site import Site, Unbuildable
from model.tolerances import rounded

FOOT_IN = 30.0
"""mm. Edge of a foot from the ends of what it carries (common practice)."""
CROSS_EVERY = 600.0
"""mm. Cross pieces of a plinth, and feet along a wide board, at most this far apart (common practice)."""


class ToeKick(Strict):
    """Room for the toes under a base."""

    style: Literal["notch", "skirt", "plinth"] = "notch"
    """`notch`: sawn out of the sides and closed by a board set back. `skirt`: a board flush with the frame (or with
    overlay fronts where there is none), on a board behind it that shows in the gap over the skirt. `plinth`: a low
    frame of its own, set back, on which the carcass stands."""
    height: PositiveLength = 90.0
    """Floor to the top of the notch or plinth, or to the top of the skirt (90 to 100 mm, 3 1/2 to 4 in: common
    practice)."""
    depth: PositiveLength = 75.0
    """Front of the unit to the board behind the notch, or to the plinth (75 mm, 3 in: common practice)."""
    gap: NonNegativeLength = 25.0
    """Top of a skirt to the underside of the frame."""


class Feet(Strict):
    """Feet under the sides or the plinth, of the stock named for `foot`."""

    height: PositiveLength | None = None
    """How far they are turned out on a level floor; the middle of what they can do unless given."""


@dataclass(frozen=True)
class Stand:
    """Levels of what is under a carcass, mm above the floor.

    `lift` is where wood begins, `sides` the lower ends of the sides, `frame` the underside of the frame. `levelling` is
    how far the feet can be turned in and out from there: the floor error they take up.
    """

    lift: float
    sides: float
    frame: float
    levelling: Span


def stand_of(kick: ToeKick | None, feet: Feet | None, site: Site) -> Stand:
    """The levels. Raises Unbuildable where feet and toe kick do not go together."""
    lift, levelling = 0.0, (0.0, 0.0)
    if feet is not None:
        foot = site.foot()
        lift = feet.height if feet.height is not None else rounded((foot.least + foot.most) / 2)
        if not foot.least <= lift <= foot.most:
            raise Unbuildable(
                f"{foot.name} turns from {mm(foot.least)} to {mm(foot.most)}, not to {mm(lift)}", "feet", "height"
            )
        levelling = (rounded(lift - foot.least), rounded(foot.most - lift))
    if kick is None:
        return Stand(lift, lift, lift, levelling)
    if kick.height - lift < 20:
        raise Unbuildable(
            f"a toe kick {mm(kick.height)} high leaves {mm(rounded(kick.height - lift))} for its board over the feet: "
            "raise it, or set toe_kick: null",
            "toe_kick",
            "height",
        )
    if kick.style == "plinth":
        return Stand(lift, kick.height, kick.height, levelling)
    return Stand(lift, lift, kick.height + (kick.gap if kick.style == "skirt" else 0.0), levelling)


def make_toe_kick(
    draft: Draft, box: Carcass, kick: ToeKick | None, site: Site, stand: Stand, floor: float, front: float, framed: bool
) -> Span:
    """Make the toe kick; gives where the bottom begins in y and where cleats under it may begin.

    `floor` is the upper face of the bottom, `front` the front edge of the sides.
    """
    t = box.sheet.thickness
    if kick is None:
        return front, front
    if kick.style == "skirt":
        _skirt(draft, box, kick, site, stand, floor, front, framed)
        face = front if framed else 0.0
        return face + t, face + t
    if kick.depth <= front:
        raise Unbuildable(f"a toe kick {mm(kick.depth)} deep ends inside the face frame", "toe_kick", "depth")
    if kick.depth + 4 * t > box.left.box.hi[1]:
        raise Unbuildable(f"a toe kick {mm(kick.depth)} deep leaves nothing behind it", "toe_kick", "depth")
    if kick.style == "plinth":
        _plinth(draft, box, kick, stand)
        return front, front
    box.take_from_sides((front, kick.depth), (0.0, kick.height))
    box.upright("toe board", (kick.depth, kick.depth + t), (stand.lift, floor - t), "toe board")
    return front, kick.depth + t


def _skirt(
    draft: Draft, box: Carcass, kick: ToeKick, site: Site, stand: Stand, floor: float, front: float, framed: bool
) -> None:
    face = front if framed else 0.0
    behind = box.upright("kick board", (face, face + box.sheet.thickness), (stand.lift, floor), "kick board")
    board = site.board_for_width(site.board("frame"), kick.height - stand.lift) if framed else None
    sheet = site.sheet("front")
    thickness = board.thickness if board else sheet.thickness
    span = Box((0, face - thickness, stand.lift), (box.width, face, kick.height))
    if board:
        skirt = draft.board("skirt", span, board, "x", "-y", "skirt")
    else:
        skirt = draft.sheet("skirt", span, sheet, "x", "-y", "skirt")
    draft.join("screwed", skirt, behind)


def _plinth(draft: Draft, box: Carcass, kick: ToeKick, stand: Stand) -> None:
    """Front and rear boards and cross pieces between them, the outer ones under the sides."""
    t, z = box.sheet.thickness, (stand.lift, kick.height)
    y = (kick.depth, box.left.box.hi[1])
    long = {}
    for name, ys in (("front", (y[0], y[0] + t)), ("rear", (y[1] - t, y[1]))):
        span = Box((0.0, ys[0], z[0]), (box.width, ys[1], z[1]))
        long[name] = draft.sheet(f"plinth {name}", span, box.sheet, "x", "-y", "plinth")
        for side in box.both:
            draft.join("screwed", side, long[name])
    count = max(1, math.ceil((box.width - t) / CROSS_EVERY - 1e-9))
    for i in range(count + 1):
        x = rounded((box.width - t) * i / count)
        span = Box((x, y[0] + t, z[0]), (x + t, y[1] - t, z[1]))
        piece = draft.sheet(f"plinth cross piece {i + 1}", span, box.sheet, "y", "+x", "plinth")
        for board in long.values():
            draft.join("screwed", piece, board)
        if i in (0, count):
            draft.join("screwed", box.left if i == 0 else box.right, piece)


def make_feet(draft: Draft, box: Carcass, kick: ToeKick | None, site: Site, stand: Stand) -> None:
    """Feet from the floor to where wood begins: under sides or plinth, and along a wide toe board."""
    foot = site.foot()
    part, r = foot_part(foot, stand.lift), foot.diameter / 2
    pieces = [p for p in draft.panels.values() if p.path.startswith("plinth cross piece")]
    carried = pieces or list(box.both)
    start = kick.depth if kick and kick.style == "notch" else carried[0].box.lo[1]
    places: list[tuple[Panel, float, float]] = []
    for panel in carried:
        x = min(max(panel.box.center[0], r), box.width - r)
        ys = (start + FOOT_IN + r, panel.box.hi[1] - FOOT_IN - r)
        if ys[1] - ys[0] < foot.diameter:
            raise Unbuildable(f"a carcass this shallow has no room for two {foot.name} a side", "feet")
        places.extend((panel, x, y) for y in ys)
    board = draft.panels.get("toe board") or draft.panels.get("kick board")
    if board is not None and not pieces:
        count = math.ceil(box.width / CROSS_EVERY - 1e-9) - 1
        y = max(board.box.center[1], r)
        places.extend((board, box.width * i / (count + 1), y) for i in range(1, count + 1))
    for i, (panel, x, y) in enumerate(places, 1):
        path = draft.place(f"foot {i}", part, Placement((x - r, y - r, 0.0)), "foot")
        draft.join("screwed", path, panel)
