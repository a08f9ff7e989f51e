"""Where a long top is seamed: over carcasses, under an upper where one stands, in as few pieces as sheets allow."""

import math
from collections.abc import Sequence

from model.cabinet.carcass import Span
from model.messages import mm, shown
from model.tolerances import rounded


class NoSeam(ValueError):
    """No set of seams makes a top of pieces that sheets give; `message` holds its lengths in mm still to be shown."""

    def __init__(self, message: str) -> None:
        super().__init__(shown(message, "mm"))
        self.message = message


def seam_places(
    span: Span,
    longest: float,
    over: Sequence[Span],
    hidden: Sequence[Span],
    bearing: float,
    avoid: Sequence[Span] = (),
) -> list[float]:
    """Places (x) of the seams of a top over `span`, none where one piece does.

    `longest` is the longest piece a sheet gives, `over` the carcasses (a seam lies at least `bearing` inside one, so
    that both pieces lie on it), `hidden` the uppers standing on the top, `avoid` stretches where none may lie (seams of
    another layer). Of all ways with the fewest pieces the one
    with most seams under uppers is taken, then the one nearest the middles of carcasses. Raises NoSeam where no
    set of seams works, saying which stretch is too long.
    """
    if span[1] - span[0] <= longest:
        return []
    allowed = without([(a + bearing, b - bearing) for a, b in over if b - a >= 2 * bearing], avoid)
    candidates = _candidates(span, longest, allowed, hidden)
    best: dict[float, tuple[tuple[int, int, float], tuple[float, ...]]] = {span[0]: ((0, 0, 0.0), ())}
    for x in [*candidates, span[1]]:
        reachable = [
            (_added(cost, x, span[1], allowed, hidden), (*seams, x))
            for start, (cost, seams) in best.items()
            if 0 < x - start <= longest + 1e-6
        ]
        if reachable:
            best[x] = min(reachable)
    if span[1] not in best:
        reached = max(best)
        nearest = min((a for a, _ in allowed if a > reached), default=span[1])
        raise NoSeam(
            f"from {mm(reached)} to {mm(rounded(nearest))} there is no carcass for a seam, "
            f"and the longest piece is {mm(rounded(longest))}"
        )
    return list(best[span[1]][1][:-1])


def without(spans: Sequence[Span], gone: Sequence[Span]) -> list[Span]:
    """The spans less those that are gone, in order; what is left may be as short as a point at an end of one gone."""
    left = sorted(spans)
    for c, d in gone:
        pieces: list[Span] = []
        for a, b in left:
            if d <= a or b <= c:
                pieces.append((a, b))
                continue
            pieces += [(x, y) for x, y in ((a, c), (d, b)) if x <= y]
        left = pieces
    return left


def even_pieces(span: Span, longest: float, avoid: Sequence[float] = (), clear: float = 0.0) -> list[float]:
    """Where strips of at most `longest` meet along a span: equal pieces, and more of them where a joint would come
    within `clear` of a place to avoid. Where no count of pieces keeps clear the fewest are taken."""
    fewest = max(1, math.ceil((span[1] - span[0]) / longest - 1e-9))
    for n in range(fewest, fewest + 4):
        places = [rounded(span[0] + (span[1] - span[0]) * i / n) for i in range(1, n)]
        if all(abs(p - a) >= clear for p in places for a in avoid):
            return places
    return [rounded(span[0] + (span[1] - span[0]) * i / fewest) for i in range(1, fewest)]


def _candidates(span: Span, longest: float, allowed: Sequence[Span], hidden: Sequence[Span]) -> list[float]:
    """Middles and ends of every stretch where a seam may lie, and the furthest reach of whole pieces from both ends."""
    places: set[float] = set()
    for a, b in allowed:
        shades = [(max(a, c), min(b, d)) for c, d in hidden if min(b, d) > max(a, c)]
        for c, d in [(a, b), *shades]:
            places.update((c, d, (c + d) / 2))
    for start, sign in ((span[0], 1.0), (span[1], -1.0)):
        at = start
        for _ in range(math.ceil((span[1] - span[0]) / longest) + len(allowed)):
            reach = at + sign * longest
            ends = [min(max(reach, a), b) for a, b in allowed if (reach - a if sign > 0 else b - reach) >= 0]
            ahead = [e for e in ends if (e - at) * sign > 0]
            if not ahead:
                break
            at = max(ahead) if sign > 0 else min(ahead)
            places.add(at)
    return sorted(rounded(p) for p in places if span[0] < p < span[1])


def _added(
    cost: tuple[int, int, float], x: float, end: float, allowed: Sequence[Span], hidden: Sequence[Span]
) -> tuple[int, int, float]:
    """The cost with one more piece ending at x: pieces, seams in the open, distance from middles."""
    if x == end:
        return (cost[0] + 1, cost[1], cost[2])
    seen = 0 if any(a < x < b for a, b in hidden) else 1
    off = min(abs(x - (a + b) / 2) for a, b in allowed)
    return (cost[0] + 1, cost[1] + seen, round(cost[2] + off, 3))
