"""How drawer fronts and doors lie over or in their openings, and how rows of them share a height."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from model.cabinet.carcass import Span
from model.config.types import NonNegativeLength, PositiveLength, Strict
from model.messages import mm
from model.site import Unbuildable
from model.tolerances import rounded


class FrontOptions(Strict):
    """Where fronts lie."""

    mount: Literal["overlay", "inset"] = "overlay"
    """Over the frame or carcass edges, or inside the opening and flush with them."""
    overlay: PositiveLength | None = None
    """How far an overlay front laps its opening; left out, 12 mm on a frame, and a bare edge less half a gap."""
    gap: NonNegativeLength = 3.0
    """Gap between fronts, and all round an inset front (3 mm, 1/8 in: common practice)."""

    def lap(self, edge: float | None) -> float:
        """How far a front laps its opening, mm; negative for an inset front. `edge` is a bare carcass edge's width."""
        if self.mount == "inset":
            return -self.gap
        if self.overlay is not None:
            return self.overlay
        return 12.0 if edge is None else rounded(edge - self.gap / 2)

    def stands_in(self, front: float, frame: float) -> float:
        """How far an inset front of that thickness reaches behind the plane at the back of the frame, mm."""
        return max(0.0, rounded(front - frame)) if self.mount == "inset" else 0.0


@dataclass(frozen=True)
class Row:
    """One row of fronts: the front's span and the part of the opening behind it, mm in the unit."""

    front: Span
    zone: Span


Heights = Literal["equal", "graduated"] | tuple[PositiveLength, ...]


def front_heights(total: float, count: int, heights: Heights, ratio: float, step: float) -> list[float]:
    """Heights of `count` fronts that fill `total` mm, from the top down.

    Graduated: each front is `ratio` times the one above, to the nearest `step`, the lowest taking the rest.
    Raises Unbuildable when heights that are given do not fill the total.
    """
    if isinstance(heights, tuple):
        short = rounded(total - sum(heights))
        if abs(short) > 0.05:
            way = "short" if short > 0 else "over"
            raise Unbuildable(
                f"the fronts are {mm(abs(short))} {way}: together they must come to {mm(total)}", "drawers", "heights"
            )
        return [*heights[:-1], rounded(heights[-1] + short)]
    if heights == "equal":
        # a tenth of a millimetre can be left over under the lowest: equal drawers are worth more than that
        return [math.floor(total / count * 10 + 1e-6) / 10] * count
    first = total * (ratio - 1) / (ratio**count - 1) if ratio != 1 else total / count
    upper = [round(first * ratio**i / step) * step for i in range(count - 1)]
    return [*upper, total - sum(upper)]


def rows(opening: Span, heights: Sequence[float], lap: float, gap: float, member: float) -> list[Row]:
    """Rows from the top down in an opening from z[0] to z[1].

    `member` is the width of a frame member between rows, 0 where there is only the gap between fronts.
    """
    between = member - 2 * lap if member else gap
    # where fronts are alike, so are the boxes behind them: each keeps to its own front
    alike = bool(member) or len(set(heights)) == 1
    found: list[Row] = []
    top = opening[1] + lap
    for i, height in enumerate(heights):
        low = top - height
        high_zone = top - lap if alike or i == 0 else top + gap / 2
        low_zone = low + lap if alike or i == len(heights) - 1 else low - gap / 2
        found.append(Row((rounded(low), rounded(top)), (rounded(low_zone), rounded(high_zone))))
        top = low - between
    return found


def room_for_fronts(opening: Span, count: int, lap: float, gap: float, member: float) -> float:
    """What `count` fronts share of an opening's height, mm. Raises Unbuildable where they would meet on a member."""
    between = member - 2 * lap if member else gap
    if between < 1:
        raise Unbuildable(
            f"fronts that lap {mm(lap)} leave {mm(between)} between them over a {mm(member)} member: "
            "lap less or take a wider one",
            "fronts",
        )
    return rounded(opening[1] - opening[0] + 2 * lap - (count - 1) * between)
