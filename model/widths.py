"""Widths of units along a wall: fixed ones as they are, the rest shared out."""

from collections.abc import Sequence
from dataclasses import dataclass

from model.messages import mm, shown
from model.tolerances import rounded


@dataclass(frozen=True, slots=True)
class WidthWish:
    """What a unit says of its width (mm): fixed where `share` is None, else a share of the rest within limits."""

    name: str
    fixed: float = 0.0
    share: float | None = None
    least: float = 0.0
    most: float = float("inf")


class DoesNotFit(ValueError):
    """The widths cannot come to what there is. `by` is how many mm are too many (negative: too few)."""

    def __init__(self, message: str, by: float) -> None:
        super().__init__(shown(message, "mm"))
        self.message = message
        self.by = by


def solve_widths(wishes: Sequence[WidthWish], room: float) -> list[float]:
    """A width for each wish, in order, mm.

    What the fixed widths leave of `room` is shared in proportion, each share held within its limits; what a limit
    takes or leaves is shared among the others. Raises DoesNotFit when that cannot be done.
    """
    for wish in wishes:
        if wish.share is not None and wish.least > wish.most:
            raise DoesNotFit(
                f"{wish.name} is to be at least {mm(wish.least)} and at most {mm(wish.most)} wide",
                wish.least - wish.most,
            )
    fixed = sum(w.fixed for w in wishes if w.share is None)
    open_ones = [i for i, w in enumerate(wishes) if w.share is not None]
    least = fixed + sum(wishes[i].least for i in open_ones)
    most = fixed + sum(wishes[i].most for i in open_ones)
    if rounded(least - room) > 0:
        which = "fixed widths and least widths" if any(wishes[i].least for i in open_ones) else "fixed widths"
        raise DoesNotFit(
            f"the {which} come to {mm(least)}, {mm(rounded(least - room))} more than the {mm(room)} there is",
            rounded(least - room),
        )
    if open_ones and rounded(room - most) > 0:
        raise DoesNotFit(
            f"with every width at its most {mm(rounded(room - most))} of {mm(room)} stay empty", rounded(most - room)
        )
    widths = [w.fixed for w in wishes]
    left = room - fixed
    while open_ones:
        total = sum(wishes[i].share or 0.0 for i in open_ones)
        wanted = {i: left * (wishes[i].share or 0.0) / total for i in open_ones}
        over = sum(max(wanted[i] - wishes[i].most, 0.0) for i in open_ones)
        under = sum(max(wishes[i].least - wanted[i], 0.0) for i in open_ones)
        # hold first the side that is off by more: the rest then moves toward the other
        held = [
            i
            for i in open_ones
            if (under >= over and wanted[i] < wishes[i].least) or (over > under and wanted[i] > wishes[i].most)
        ] or open_ones
        for i in held:
            widths[i] = min(max(wanted[i], wishes[i].least), wishes[i].most)
            left -= widths[i]
        open_ones = [i for i in open_ones if i not in held]
    # to 0.1 mm, what rounding leaves going to the last shared width so that the wall still adds up
    shared = [i for i, w in enumerate(wishes) if w.share is not None]
    for i in shared:
        widths[i] = round(widths[i], 1)
    if shared:
        widths[shared[-1]] = rounded(widths[shared[-1]] + room - sum(widths))
    return [rounded(w) for w in widths]
