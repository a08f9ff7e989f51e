"""Moves into steps: what is new in each, the joints and fasteners it makes, jigs, checks, hands and cautions."""

import itertools
import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from model.assembly.insertion import Space
from model.assembly.order import Placing
from model.assembly.sequence import Batch, UnitWork
from model.assembly.steps import Check, CheckKind, Fastening, HoldsParts, Jig, JointCount, Move, Step, Where
from model.assembly.words import CAUTIONS, LIFT, sentence, title
from model.bill import weight
from model.handling.niosh import LOAD
from model.part import Joint
from model.stock.tables import Stock

ONE_HOLDS = 1800.0
"""mm. Longer things want a second pair of hands (common practice)."""

AWAY = 0.6
"""Share of its size along its way that a thing is drawn away in an exploded picture, and at least AT_LEAST mm."""

AT_LEAST = 80.0

CHECKED: dict[str, CheckKind] = {
    "place": "level",
    "wall": "level",
    "fronts": "gap",
    "doors": "gap",
    "drawers": "moves",
    "tray": "moves",
    "slides": "square",
    "banded": "flush",
    "edge": "flush",
    "bed": "moves",
    "springs": "moves",
}
"""What is looked at after a stage; elsewhere that everything holds fast."""


@dataclass(frozen=True)
class Shop:
    """What turning moves into steps needs to know."""

    space: Space
    stock: Stock

    def mass(self, paths: Iterable[str]) -> float:
        return sum(weight(self.space.bodies.placed[self.space.rows[p]].part, self.stock) for p in paths)

    def role(self, path: str) -> str:
        return self.space.bodies.placed[self.space.rows[path]].role

    def size(self, paths: Sequence[str]) -> tuple[float, float, float]:
        """The bounds of some parts in the room, mm."""
        low, high = self.space.bodies.bounds(0.0)
        rows = self.space.at(paths)
        x, y, z = (float(c) for c in high[rows].max(axis=0) - low[rows].min(axis=0))
        return (x, y, z)


def bench_steps(shop: Shop, work: UnitWork) -> list[Step]:
    """What is done at the bench: equal things made together, then the unit stage by stage."""
    kinds: dict[str, list[Batch]] = {}
    for batch in work.first:
        kinds.setdefault(batch.stage, []).append(batch)
    order = ("banded", "drawer", "tray", "front", "frame", "plinth", "side", "door", "lamp", "bed")
    steps = []
    for kind in sorted(kinds, key=lambda k: (order.index(k) if k in order else len(order), k)):
        same = kinds[kind]
        steps.append(step(shop, work.unit.name, "bench", kind, [p for b in same for p in b.moves], len(same)))
    boxless = "" if any(p.role == "side" for p in work.unit.parts) else work.unit.kind
    return steps + [step(shop, work.unit.name, "bench", b.stage, b.moves, kind=boxless) for b in work.body]


def step(
    shop: Shop,
    unit: str,
    where: Where,
    stage: str,
    placings: Sequence[Placing],
    times: int = 1,
    said: str = "",
    kind: str = "",
) -> Step:
    """One step from its moves; numbers, new parts and joints are filled in when all steps are known.

    `kind` is that of a unit without sides.
    """
    moves = tuple(_move(shop, p) for p in placings)
    in_place = all(m.past for m in moves)
    touched = tuple(dict.fromkeys(p for m in moves for p in m.parts))
    heaviest = max((shop.mass(parts) for parts in (*(m.parts for m in moves), *_wholes(moves))), default=0.0)
    longest = max((max(shop.size(m.parts)) for m in moves), default=0.0)
    two = heaviest > LOAD or longest > ONE_HOLDS or stage in ("bed", "springs", "mattress")
    cautions = [CAUTIONS[stage]] if stage in CAUTIONS else []
    if heaviest > LOAD:
        cautions.append(LIFT.format(mass=heaviest))
    return Step(
        number=0,
        title=title(stage, unit, in_place, kind),
        text=said or sentence(stage, tuple(m.needs for m in moves if m.needs), times, in_place, kind),
        unit=unit,
        where=where,
        stage=stage,
        new=touched,
        there=(),
        moves=moves,
        shown=touched,
        times=times,
        jigs=_jigs(shop, stage, touched),
        checks=_checks(shop, stage, moves),
        people=2 if two else 1,
        mass=round(heaviest, 2),
        cautions=tuple(cautions),
    )


def _move(shop: Shop, placing: Placing) -> Move:
    parts = placing.item.parts
    x, y, z = shop.size(parts)
    dx, dy, dz = placing.direction
    along = abs(dx) * x + abs(dy) * y + abs(dz) * z
    away = 0.0 if not placing.past else round(max(AT_LEAST, min(AWAY * along, 4 * AT_LEAST)), 1)
    return Move(parts, placing.direction, placing.past, round(placing.travel, 3), away, placing.before, placing.needs)


def _jigs(shop: Shop, stage: str, paths: tuple[str, ...]) -> tuple[Jig, ...]:
    """Setting blocks: heights of slides above the lowest part of their unit, gaps between fronts."""
    low, _ = shop.space.bodies.bounds(0.0)
    if stage == "slides":
        slides = [p for p in paths if shop.role(p) == "slide"]
        if not slides:
            return ()
        mine = [k for k, p in enumerate(shop.space.bodies.placed) if p.path.split("/")[0] == slides[0].split("/")[0]]
        floor = float(low[mine, 2].min())
        heights = {round(float(low[shop.space.rows[p], 2]) - floor, 1) for p in slides}
        return (Jig("slide setting block", tuple(sorted(heights, reverse=True))),)
    if stage in ("fronts", "doors"):
        gaps = _gaps(shop, [p for p in paths if shop.role(p) in ("front", "door")])
        return (Jig("spacers between fronts", gaps),) if gaps else ()
    return ()


def _gaps(shop: Shop, paths: list[str]) -> tuple[float, ...]:
    """The gaps between neighbouring fronts, mm, up to 10."""
    low, high = shop.space.bodies.bounds(0.0)
    rows = shop.space.at(paths)
    found = set()
    for a, b in itertools.permutations(rows.tolist(), 2):
        apart = low[b] - high[a]
        meets = [k for k in range(3) if apart[k] > 0]
        if len(meets) == 1 and apart[meets[0]] <= 10.0:
            found.add(round(float(apart[meets[0]]), 1))
    return tuple(sorted(found, reverse=True))


def _checks(shop: Shop, stage: str, moves: tuple[Move, ...]) -> tuple[Check, ...]:
    """What is measured: both diagonals of a box or a frame, from what is built."""
    if stage in ("drawer", "frame", "plinth") and not all(m.past for m in moves):
        lines = []
        for parts in _wholes(moves):
            sizes = sorted(shop.size(parts), reverse=True)
            if stage == "drawer":  # side to side and front to back; the depth of a box is never the least of them
                x, y, _ = shop.size([p for p in parts if shop.role(p) != "slide"] or list(parts))
                sizes = [x, y]
            lines.append(round(math.hypot(sizes[0], sizes[1]), 1))
        return (Check("diagonals", tuple(sorted(set(lines), reverse=True)), stage),)
    if stage in ("close", "back"):
        sides = [p for m in moves for p in (*m.parts, *m.past) if shop.role(p) in ("side", "end panel")]
        if len(sides) >= 2:
            x, y, z = shop.size(sides)
            return (Check("diagonals", (round(math.hypot(max(x, y) if x >= y else y, z), 1),), "carcass"),)
        rails = any(shop.role(p) == "rail" for m in moves for p in m.parts)
        return (Check("square", (), "drawer frame") if rails else Check("fast"),)
    return (Check(CHECKED.get(stage, "fast")),)


def _wholes(moves: tuple[Move, ...]) -> list[tuple[str, ...]]:
    """The things made by some moves, each as all its parts: a move past nothing begins another."""
    found: list[list[str]] = []
    for move in moves:
        if not move.past:
            found.append([])
        if found:
            found[-1] += move.parts
    return [tuple(parts) for parts in found]


def told(steps: Sequence[Step], joints: Sequence[Joint], fixings: Sequence[HoldsParts]) -> tuple[Step, ...]:
    """The steps numbered, each with what is new in it, what is there, and the joints and fasteners it makes.

    A joint is made, and a fastener driven, when the last of its parts has come to the others. One that holds a single
    part goes into the wall: it is driven where that part comes to its place in the room.
    """
    seen: set[str] = set()
    open_joints, open_fixings = list(joints), list(fixings)
    found = []
    for number, one in enumerate(steps, 1):
        new = tuple(p for p in dict.fromkeys(p for m in one.moves for p in m.parts) if p not in seen)
        seen.update(new)
        around = dict.fromkeys(p for m in one.moves for p in (*m.past, *m.parts))
        groups = [set(m.parts) | set(m.past) for m in one.moves]
        made, open_joints = _split(open_joints, partial(_made, groups))
        driven, open_fixings = _split(open_fixings, partial(_driven, groups, one.where))
        kinds = Counter(j.kind for j in made)
        items = Counter()
        for fixing in driven:
            items[fixing.item] += fixing.count
        wholes = _wholes(one.moves)
        found.append(
            replace(
                one,
                number=number,
                new=new,
                there=tuple(p for p in around if p not in set(new)),
                shown=wholes[0] if one.times > 1 and wholes else new or one.shown,
                joints=tuple(JointCount(k, kinds[k]) for k in sorted(kinds)),
                fasteners=tuple(Fastening(k, items[k]) for k in sorted(items)),
            )
        )
    return tuple(found)


def _made(groups: list[set[str]], joint: Joint) -> bool:
    return any(joint.a in group and joint.b in group for group in groups)


def _driven(groups: list[set[str]], where: Where, fixing: HoldsParts) -> bool:
    if len(fixing.parts) == 1 and where == "bench":
        return False
    return any(all(p in group for p in fixing.parts) for group in groups)


def _split[T](things: list[T], wanted: Callable[[T], bool]) -> tuple[list[T], list[T]]:
    yes = [t for t in things if wanted(t)]
    return yes, [t for t in things if not wanted(t)]
