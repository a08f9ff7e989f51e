"""The moves of one unit: what is put together first, then the unit at the bench, then what waits for its place."""

from collections.abc import Iterator
from dataclasses import dataclass

from model.assembly.insertion import Space
from model.assembly.items import LATE, Item, items_of
from model.assembly.order import Near, Placing, put_together
from model.part import Joint
from model.placement import Placement
from model.plan import BuiltUnit


@dataclass(frozen=True)
class Batch:
    """Moves that belong together: one thing that is made (`name`, its `kind`), or one stage of the unit."""

    stage: str
    name: str
    moves: tuple[Placing, ...]


@dataclass(frozen=True)
class UnitWork:
    """A unit's batches: made first, at the bench, and late, when it stands. `bench` are the parts carried in."""

    unit: BuiltUnit
    first: tuple[Batch, ...]
    body: tuple[Batch, ...]
    late: tuple[Batch, ...]
    bench: tuple[str, ...]


def neighbours(joints: tuple[Joint, ...]) -> dict[str, frozenset[str]]:
    """The parts each part is joined to."""
    found: dict[str, set[str]] = {}
    for joint in joints:
        found.setdefault(joint.a, set()).add(joint.b)
        found.setdefault(joint.b, set()).add(joint.a)
    return {path: frozenset(mates) for path, mates in found.items()}


def resting(joints: tuple[Joint, ...]) -> dict[str, frozenset[str]]:
    """What rests on each part, and must be taken off before it."""
    found: dict[str, set[str]] = {}
    for joint in joints:
        if joint.kind == "rests":
            found.setdefault(joint.b, set()).add(joint.a)
    return {path: frozenset(loads) for path, loads in found.items()}


def unit_work(space: Space, unit: BuiltUnit, frame: Placement) -> UnitWork:
    """All moves of a unit, in order."""
    near = neighbours(unit.joints)
    items = items_of(unit)
    ways = {m.name: m.direction for m in unit.motions if m.kind == "slide"}
    first = tuple(_made_first(space, items, near, frame))
    if not items:
        return UnitWork(unit, first, (), (), ())
    order = put_together(space, items, near, frame, ways, resting(unit.joints))
    # Something that could wait goes in at the bench where it must be in before the unit is closed.
    last = max((k for k, p in enumerate(order) if p.item.stage not in LATE), default=len(order) - 1)
    early, late = order[: last + 1], order[last + 1 :]
    bench = tuple(path for p in early for path in p.item.parts)
    return UnitWork(unit, first, tuple(_stages(early)), tuple(_stages(late)), bench)


def _made_first(space: Space, items: tuple[Item, ...], near: Near, frame: Placement) -> Iterator[Batch]:
    """Every assembly inside the items, the innermost first."""
    for item in items:
        if item.inner:
            yield from _made_first(space, item.inner, near, frame)
            yield Batch(item.kind, item.name, put_together(space, item.inner, near, frame))


def _stages(order: tuple[Placing, ...]) -> Iterator[Batch]:
    """Runs of moves of one stage."""
    run: list[Placing] = []
    for placing in order:
        if run and placing.item.stage != run[0].item.stage:
            yield Batch(run[0].item.stage, run[0].item.name, tuple(run))
            run = []
        run.append(placing)
    if run:
        yield Batch(run[0].item.stage, run[0].item.name, tuple(run))
