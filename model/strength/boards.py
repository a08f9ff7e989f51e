"""A board as a beam: its layers, supports and loads; how far it sags now and after years, and how it is stressed."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

from model.strength.beam import SAME, Beam, Bent, Push, Spread, Stretch, Support, bend
from model.strength.limits import Limit
from model.strength.sections import Section, Strip, section
from model.strength.woods import Wood, creep

GRAVITY = 9.80665
"""m/s2, standard."""
MM2_PER_M2 = 1e6
BRIEF = 1.25
"""Wood bears this much more for some days than for ten years (NDS 2.3.2, seven days, from memory)."""
STUB = 3.0
"""Ends that stand out by less than this many thicknesses are not looked at."""
SHORT, SHORT_SHARE = 20.0, 0.02
"""mm, and a share of the span: what stops shorter than this of the middle of a support still reaches it."""
CANTILEVER = 2.0
"""The span of an end that stands out counts double (IBC Table 1604.3, footnote, from memory)."""


@dataclass(frozen=True, slots=True)
class Layer:
    """A board of the section, over `lo` to `hi` along the beam: a rectangle of one wood (mm).

    Of negative width it is an opening in the first layer, which takes that much away.
    """

    wood: Wood
    along: bool
    lo: float
    hi: float
    width: float
    low: float
    height: float
    bond: int = 0

    @property
    def modulus(self) -> float:
        found = self.wood.modulus(self.along)
        if found is None:
            raise ValueError(f"nobody said how stiff {self.wood.name} is across its grain")
        return found

    @property
    def weight(self) -> float:
        """N for each mm of it."""
        return self.wood.density * self.width * self.height * GRAVITY / 1e9


@dataclass(frozen=True, slots=True)
class Bearing:
    """A support as the beam sees it: where, over what area (mm2, 0: not known), and whether the board only rests."""

    at: float
    area: float = 0.0
    loose: bool = False
    presses: float = 0.0
    """What what bears there may be pressed with, MPa; 0: as the board itself."""


@dataclass(frozen=True, slots=True)
class Weight:
    """A heavy thing: N, its middle and how much of the beam's length it stands on (mm)."""

    at: float
    force: float
    width: float = 0.0


@dataclass(frozen=True, slots=True)
class Case:
    """A board with everything that bears on how far it sags. The first layer is the board itself.

    `live` is the load on each mm (N), of which the share `lasting` lies there for years, as do `weights`. `person` (N)
    may stand in the middle of any span: that counts for strength only.
    """

    length: float
    layers: tuple[Layer, ...]
    bearings: tuple[Bearing, ...]
    live: float
    lasting: float = 1.0
    weights: tuple[Weight, ...] = ()
    person: float = 0.0
    bridged: tuple[bool, bool] = (False, False)
    """Whether an end that stands out meets its neighbour on something that goes on under both: it cannot sag alone."""
    clamped: bool = False


@dataclass(frozen=True, slots=True)
class Sag:
    """How far a board sags where it is nearest to its limit (mm), and what that is worked out from.

    `lo` to `hi` is the span or the end that stands out; `ei` its least stiffness (N mm2), `w` its whole uniform load
    (N/mm), `moment` the largest anywhere (N mm). `stress` and `allowed` (MPa) are of the wood nearest to its limit,
    `pressed` and `presses` of the support nearest to it.
    """

    lo: float
    hi: float
    out: bool
    at: float
    live: float
    instant: float
    final: float
    value: float
    limit: float
    w: float
    ei: float
    creep: float
    moment: float = 0.0
    stress: float = 0.0
    allowed: float = 0.0
    strained: str = ""
    pressed: float = 0.0
    presses: float = 0.0
    reaction: float = 0.0

    @property
    def share(self) -> float:
        """The sag over its limit."""
        return self.value / self.limit

    @property
    def passes(self) -> bool:
        return self.share <= 1.0 and self.stress <= self.allowed


@dataclass(frozen=True, slots=True)
class _Range:
    """A span between two supports, or an end that stands out; `counts`: whether it is held to a limit."""

    lo: float
    hi: float
    out: bool
    counts: bool = True

    @property
    def weakest(self) -> float:
        """Where a person does most: mid-span, or at the tip."""
        if not self.out:
            return (self.lo + self.hi) / 2
        return self.hi if self.lo > 0 else self.lo


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stretch of the beam with one section, now and after years of creep."""

    lo: float
    hi: float
    layers: tuple[Layer, ...]
    now: Section
    later: Section


def _ranges(case: Case) -> list[_Range]:
    places = [b.at for b in case.bearings]
    found = [_Range(a, b, False) for a, b in itertools.pairwise(places)]
    stub = STUB * case.layers[0].height
    if places[0] > stub:
        found.insert(0, _Range(0.0, places[0], True, not case.bridged[0]))
    if case.length - places[-1] > stub:
        found.append(_Range(places[-1], case.length, True, not case.bridged[1]))
    return found


def _counted(case: Case) -> tuple[Layer, ...]:
    """The layers where they count: over a span one that does not reach from support to support adds nothing."""
    first, *others = case.layers
    found = [first]
    edges = [0.0, *(b.at for b in case.bearings), case.length]
    for layer in others:
        if layer.width < 0:
            found.append(layer)
            continue
        for a, b in itertools.pairwise(edges):
            short = SHORT + SHORT_SHARE * (b - a)
            if layer.lo - short <= a and b <= layer.hi + short and b - a > SAME:
                found.append(replace(layer, lo=a, hi=b))
    return tuple(found)


def _pieces(layers: Sequence[Layer], length: float, years: float) -> list[_Piece]:
    places = sorted({0.0, length, *(x for layer in layers for x in (layer.lo, layer.hi) if 0 < x < length)})
    found: list[_Piece] = []
    for a, b in itertools.pairwise(places):
        here = tuple(layer for layer in layers if layer.lo <= a + SAME and layer.hi >= b - SAME)
        now = section(_strip(layer, 1.0) for layer in here)
        later = section(_strip(layer, creep(layer.wood.kind, years)) for layer in here)
        found.append(_Piece(a, b, here, now, later))
    return found


def _strip(layer: Layer, softer: float) -> Strip:
    return Strip(layer.modulus / softer, layer.width, layer.low, layer.height, layer.bond)


def _patterns(ranges: Sequence[_Range]) -> list[tuple[bool, ...]]:
    """Which spans are loaded: all, and every second one either way, which bends a row of spans most."""
    every = [tuple(True for _ in ranges)]
    if len(ranges) > 1:
        every += [tuple(i % 2 == k for i in range(len(ranges))) for k in (0, 1)]
    return every


class _Solver:
    """One case, solved for one pattern of loads after another."""

    def __init__(self, case: Case, years: float) -> None:
        self.case, self.ranges = case, _ranges(case)
        self.layers = _counted(case)
        self.pieces = _pieces(self.layers, case.length, years)
        self.stiff = tuple(Stretch(p.lo, p.hi, p.now.ei) for p in self.pieces)
        self.soft = tuple(Stretch(p.lo, p.hi, p.later.ei) for p in self.pieces)
        self.edges = [0.0, *(r.lo for r in self.ranges[1:]), case.length]

    def bent(
        self,
        loaded: Sequence[bool],
        live: float = 1.0,
        own: float = 1.0,
        soft: bool = False,
        person: float | None = None,
    ) -> Bent:
        """The beam under the live load times `live` where it lies, own weight and heavy things times `own`."""
        case = self.case
        spreads = [Spread(layer.lo, layer.hi, own * layer.weight) for layer in self.layers]
        for (a, b), on in zip(itertools.pairwise(self.edges), loaded, strict=True):
            spreads.append(Spread(a, b, live * case.live * on))
        pushes = [Push(b.at, 0.0) for b in case.bearings]
        for weight in case.weights:
            a, b = max(0.0, weight.at - weight.width / 2), min(case.length, weight.at + weight.width / 2)
            if b - a > SAME:
                spreads.append(Spread(a, b, own * weight.force / (b - a)))
            else:
                pushes.append(Push(weight.at, own * weight.force))
        if person is not None:
            pushes.append(Push(person, case.person))
        return self._on_supports(self.soft if soft else self.stiff, tuple(spreads), tuple(pushes))

    def _on_supports(
        self, stretches: tuple[Stretch, ...], spreads: tuple[Spread, ...], pushes: tuple[Push, ...]
    ) -> Bent:
        """Solved; where a board only rests and would lift off a support, without that support."""
        bearings = list(self.case.bearings)
        while True:
            supports = tuple(Support(b.at, self.case.clamped) for b in bearings)
            bent = bend(Beam(stretches, supports, spreads, pushes))
            up = [i for i, (b, r) in enumerate(zip(bearings, bent.reactions, strict=True)) if b.loose and r < -SAME]
            if not up or len(bearings) <= 2:
                by_place = dict(zip((b.at for b in bearings), bent.reactions, strict=True))
                return replace(bent, reactions=tuple(by_place.get(b.at, 0.0) for b in self.case.bearings))
            bearings.pop(min(up, key=lambda i: bent.reactions[i]))


def assess(case: Case, limit: Limit, years: float) -> Sag:
    """How far the board sags at its worst place, over the loaded spans that make it worst. Raises ValueError."""
    solver = _Solver(case, years)
    found: list[Sag] = []
    bents: list[Bent] = []
    for loaded in _patterns(solver.ranges):
        whole, only = solver.bent(loaded), solver.bent(loaded, own=0.0)
        stays = case.lasting
        crept = whole.plus(solver.bent(loaded, stays, soft=True)).plus(solver.bent(loaded, stays), -1.0)
        bents.append(whole)
        found += [_sag(solver, r, limit, only, whole, crept) for r in solver.ranges if r.counts]
    brief: list[Bent] = []
    if case.person:  # in place of the load, not on top of it, as floors are worked out
        everywhere = _patterns(solver.ranges)[0]
        brief = [solver.bent(everywhere, live=0.0, person=r.weakest) for r in solver.ranges if r.counts]
    lasting, short = _stress(bents, solver.pieces, 1.0), _stress(brief, solver.pieces, BRIEF)
    stress, allowed, strained, _ = max(lasting, short, key=lambda s: s[0] / s[1])
    moment = max(lasting[3], short[3])
    pressed, presses, reaction = _pressing(case, [*bents, *brief])
    worst = max(found, key=lambda s: (round(s.share, 9), -s.lo))
    return replace(
        worst, moment=moment, stress=stress, allowed=allowed, strained=strained,
        pressed=pressed, presses=presses, reaction=reaction,
    )  # fmt: skip


def _sag(solver: _Solver, r: _Range, limit: Limit, only: Bent, whole: Bent, crept: Bent) -> Sag:
    """One span under one pattern of loads."""
    live, (instant, at), final = only.sag(r.lo, r.hi)[0], whole.sag(r.lo, r.hi), crept.sag(r.lo, r.hi)[0]
    value = {"live": live, "instant": instant, "final": final}[limit.measured]
    here = [p for p in solver.pieces if p.lo < r.hi - SAME and p.hi > r.lo + SAME]
    least = min(here, key=lambda p: p.now.ei)
    w = solver.case.live + sum(layer.weight for layer in least.layers)
    most = limit.of((r.hi - r.lo) * (CANTILEVER if r.out else 1.0))
    return Sag(r.lo, r.hi, r.out, at, live, instant, final, value, most, w, least.now.ei, least.now.ei / least.later.ei)


def _stress(bents: Sequence[Bent], pieces: Sequence[_Piece], factor: float) -> tuple[float, float, str, float]:
    """The stress nearest to what is allowed (times a factor), that, whose it is, and the largest moment."""
    worst, moment = (-1.0, 0.0, 1.0, ""), 0.0  # without a load nothing is strained
    for bent in bents:
        moment = max(moment, abs(bent.moment))
        for piece in pieces:
            here = max(abs(m) for x, m, _ in bent.bends if piece.lo - SAME <= x <= piece.hi + SAME)
            for i, layer in enumerate(piece.layers):
                stress, allowed = piece.now.stress(i, here), layer.wood.allowed(layer.along) * factor
                worst = max(worst, (stress / allowed, stress, allowed, layer.wood.name))
    return (*worst[1:], moment)


def _pressing(case: Case, bents: Sequence[Bent]) -> tuple[float, float, float]:
    """The pressure on the support nearest to what wood bears, what it bears, and the largest reaction (N)."""
    board = case.layers[0].wood.presses
    worst, reaction = (0.0, 0.0, board), 0.0
    for bent in bents:
        for bearing, r in zip(case.bearings, bent.reactions, strict=True):
            reaction = max(reaction, r)
            if bearing.area > 0:
                most = min(board, bearing.presses or board)
                worst = max(worst, (r / bearing.area / most, r / bearing.area, most))
    return worst[1], worst[2], reaction
