"""Which screw, nail or bolt of the stock: the longest that holds and does not come out on the other side."""

import math
from collections.abc import Iterable

from model.materials import Materials
from model.stock.screws import Bolt, Fastener, Nail, Screw
from model.stock.tables import Stock

TIP = 3.0
"""mm. A tip ends at least this far inside the part it is driven into."""
HOLD_EDGE = 15.0
"""mm. Least bite in an edge or an end (common practice; end grain holds little: Wood Handbook, FPL-GTR-190, ch. 8)."""
HOLD_FACE = 6.0
"""mm. Least bite in a face (common practice)."""
HOLD_PLATE = 5.0
"""mm. Least bite under the plate of a fitting (common practice)."""
TIMES = 2.85
"""A screw is at most so many times as long as what it passes is thick (2 in through 3/4 in: common practice)."""
EDGE_TIMES = 2.5
"""An edge is at least so many times as thick as the screw in it, or it splits (common practice)."""
PLATE = 1.0
"""mm. Steel of a slide, hinge or plate under a screw head."""
BOLT_BITE, BOLT_LEAST, BOLT_MOST = 7.0, 4.0, 12.0
"""mm. What a machine screw reaches into a pull: best, least and most (common practice)."""


def _longest[AnyFastener: Fastener](
    items: Iterable[AnyFastener], passes: float, into: float, least: float, most: float
) -> AnyFastener | None:
    """The longest that bites `least` and leaves TIP under its tip; of two as long the thicker."""
    fitting = [i for i in items if least <= i.length - passes <= into - TIP + 1e-6 and i.length <= most]
    return max(fitting, key=lambda i: (i.length, i.diameter, i.name), default=None)


def wood_screw(
    stock: Stock,
    preferred: str | None,
    passes: float,
    into: float,
    wide: float,
    in_edge: bool,
    longest: float = math.inf,
) -> Screw | None:
    """The flat-headed screw through `passes` mm into `into` mm of an edge or face `wide` mm wide, no longer than
    `longest`; None where none fits."""
    least = HOLD_EDGE if in_edge else HOLD_FACE
    if preferred is not None and preferred in stock.screws:
        named = stock.screws[preferred]
        if _longest([named], passes, into, least, named.length) is not None and named.diameter * EDGE_TIMES <= wide:
            return named
    fitting = [s for s in stock.screws.values() if s.use == "wood" and s.diameter * EDGE_TIMES <= wide]
    most = min(max(TIMES * passes, passes + least + TIP), longest)
    return _longest(fitting, passes, into, least, most) or _longest(
        fitting, passes, into, least, min(passes + into, longest)
    )


def lists_screws(stock: Stock, materials: Materials) -> bool:
    """Whether a stock lists wood screws beside those named for rails, walls and pockets.

    Where it lists none its joints are left to the maker: they are neither bored nor counted.
    """
    named = {materials.rail_screw, materials.wall_screw, materials.pocket_screw}
    return any(s.use == "wood" and name not in named for name, s in stock.screws.items())


def fitting_length(passes: float, into: float, in_edge: bool) -> tuple[float, float]:
    """From what to what length a screw there may have, mm."""
    return passes + (HOLD_EDGE if in_edge else HOLD_FACE), passes + into - TIP


def nail(stock: Stock, passes: float, into: float) -> Nail | None:
    """The nail for a thin panel `passes` mm thick."""
    return _longest(stock.nails.values(), passes, into, HOLD_FACE, passes + into)


def fitting_screw(stock: Stock, into: float) -> Screw | None:
    """The round-headed screw that holds a plate on `into` mm of wood; a wood screw where the stock has no other."""
    kind = [s for s in stock.screws.values() if s.use == "fitting"]
    wood = [s for s in stock.screws.values() if s.use == "wood"]
    return _longest(kind or wood, PLATE, into, HOLD_PLATE, PLATE + into)


def pocket_screw(stock: Stock, materials: Materials) -> Screw | None:
    """The screw named for pockets, else the first of that use in stock."""
    if materials.pocket_screw is not None:
        return stock.screws[materials.pocket_screw]
    return next((s for _, s in sorted(stock.screws.items()) if s.use == "pocket"), None)


def wall_screw(stock: Stock, materials: Materials, passes: float, bite: float) -> Screw | None:
    """The screw named for walls, else the shortest of that use that reaches `bite` mm behind `passes`."""
    if materials.wall_screw is not None:
        return stock.screws[materials.wall_screw]
    enough = [s for s in stock.screws.values() if s.use == "wall" and s.length >= passes + bite]
    return min(enough, key=lambda s: (s.length, s.name), default=None)


def pull_bolt(stock: Stock, passes: float) -> Bolt | None:
    """The machine screw through a front `passes` mm thick, with what is behind it, into a pull."""
    bites = {b: b.length - passes for _, b in sorted(stock.bolts.items())}
    fitting = [b for b, bite in bites.items() if BOLT_LEAST <= bite <= BOLT_MOST]
    return min(fitting, key=lambda b: (abs(bites[b] - BOLT_BITE), b.length, b.name), default=None)
