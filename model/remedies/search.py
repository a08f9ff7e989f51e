"""The search for the smallest change of one value that clears some findings: by growing steps, then by halves."""

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace

from model.build import Build
from model.findings import Finding
from model.inputs import Inputs
from model.placement import Placement
from model.plan import BuiltUnit
from model.remedies.bench import Bench, freedom, only, seen, shortfall, trimmed, units_of
from model.remedies.settings import Setting, Value, local, settings_of
from model.remedies.unsaid import with_what_is_left_out
from model.siting.layout import STEP_INCH, STEP_MM
from model.tolerances import rounded

PER_DEGREE = 3.0
"""mm. What a degree counts against lengths: a quarter turn as much as 270 mm, which is a step to the side."""
PER_COUNT = 100.0
"""mm. What one more or one less counts."""
PER_NUMBER = 400.0
"""mm. What a plain number counts for each 1: a twentieth, the step of those, is 20 mm."""
FIRST = 12.0
"""mm. The first change tried where a finding does not say how far off it is."""
FAR = 256.0
"""mm. A change beyond this is tried only when all else has failed."""
FARTHEST = 1024.0
"""mm."""
MOST = 160
"""Checks of the project for one search."""
IN_FRONT = ("front", "door", "pull")
"""Roles of what first meets something on the way of a drawer or a door."""
MOST_IDLE = 20
"""So often a change is made larger where nothing tells whether it leads anywhere."""
BUILT = 0.25
"""What a build counts as against a check."""
VERIFIED = 6
"""Changes that clear a finding which are put to all checks, the smallest first, before larger ones are looked for."""
SHOWN = 3
"""How many ways out one finding is told."""


@dataclass(frozen=True, slots=True)
class Way:
    """A change that clears what was asked for: `size` in mm or what counts for it, `parts` how many come out other."""

    setting: Setting
    value: Value
    size: float
    parts: int

    @property
    def order(self) -> tuple[float, int, int, tuple[str, str, bool], str]:
        return (round(self.size, 6), not self.setting.written, self.parts, self.setting.order, str(self.value))


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of the findings: which are left, how far off they are together, and the units looked at."""

    left: int
    off: float
    about: tuple[BuiltUnit, ...]


@dataclass(slots=True)
class Line:
    """The values of one setting to one side of what it is, `n` steps on from it."""

    setting: Setting
    sign: int
    step: float
    weight: float
    reached: int = 0
    leads: bool = False
    off: float = math.inf
    idle: int = 0

    def value(self, n: int) -> Value:
        old = self.setting.old
        assert isinstance(old, int | float)
        if self.setting.kind == "count":
            return int(old) + self.sign * n
        marks = old / self.step
        start = math.floor(marks + 1e-6) if self.sign > 0 else math.ceil(marks - 1e-6)
        return rounded((start + self.sign * n) * self.step)

    def size(self, n: int) -> float:
        old, new = self.setting.old, self.value(n)
        assert isinstance(old, int | float)
        assert isinstance(new, int | float)
        return abs(new - old) * self.weight

    def goes_on(self, outcome: Outcome | None, base: Outcome | None, n: int, first: bool, measured: bool) -> bool:
        """Whether more or less of the change is worth trying after `n` steps came to this, which is not enough.

        What cannot be built may be built with less. What alters nothing or makes it worse leads nowhere; nor does what
        brings it no nearer twice, if the finding is `measured` at all.
        """
        if outcome is None:
            return first or (self.leads and self.reached < n)
        if base is None or (outcome.left, outcome.off) > (base.left, base.off + 1e-6):
            return False
        nearer = outcome.off < min(self.off, base.off) - 1e-6 or outcome.left < base.left
        self.idle += not nearer
        self.leads, self.reached, self.off = True, max(self.reached, n), outcome.off
        return self.idle < (2 if measured else MOST_IDLE)

    def within(self, size: float) -> int:
        """How many steps make a change of about that size, at least one."""
        return max(1, math.ceil(size / (self.step * self.weight) - 1e-6))


@dataclass
class Search:
    """A search for what clears some findings that have one cause."""

    bench: Bench
    targets: tuple[Finding, ...]
    tried: int = 0
    _spent: float = 0.0
    _base: Outcome | None = None
    _check: str = ""
    _part: Callable[[Build], Build] = field(default=lambda build: build)
    _alone: bool = False

    def __post_init__(self) -> None:
        self.owners = units_of(p for f in self.targets for p in f.parts) or self._told()
        self.keys = {seen(f) for f in self.targets}
        self.codes = {f.code for f in self.targets}
        self.rest = {seen(f) for f in self.bench.found} - self.keys
        self.paths = self._paths()
        self.inch = self.bench.inputs.project.value.lengths == "in"
        said = [f for f in self.targets if f.value is not None and f.limit is not None]
        self.measured = len(said) == len(self.targets) and all(f.unit in ("mm", "mm^3", "deg") for f in said)
        self._base = self._found_again()

    def _paths(self) -> set[str]:
        """The parts the findings name; where those are not pairs that meet, what rides in front of them too."""
        named = {p for f in self.targets for p in f.parts}
        single = {p for f in self.targets if "depth_mm" not in dict(f.details) for p in f.parts}
        plan = self.bench.base.plan
        riding = {p for m in plan.motions if single & set(m.parts) for p in m.parts}
        return named | {p for p in riding if plan.by_path[p].role in IN_FRONT}

    def _alike(self, finding: Finding) -> bool:
        """Whether it is one of what is to be cleared, or what became of it: its code, about units that have to do with
        it, and not found before."""
        near = not finding.parts or bool(set(units_of(finding.parts)) & set(self.owners))
        return finding.code in self.codes and near and seen(finding) not in self.rest

    def _told(self) -> tuple[str, ...]:
        """The units that findings without parts name in words."""
        return tuple(u.name for u in self.bench.base.plan.units if any(u.name in f.message for f in self.targets))

    def _found_again(self) -> Outcome | None:
        """The least of the project in which its check still finds all that was found: the parts it names (of one unit
        in its own frame, where it can be), or their units."""
        base = self.bench.built(self.bench.inputs, self.owners)
        pairs = len(self.owners) == 1 and self.owners[0] in self.bench.inputs.units
        self._alone = pairs and all(len(f.parts) > 1 for f in self.targets)
        for part in (lambda b: trimmed(b, self.paths), lambda b: only(b, self.owners)):
            for name in self.bench.checks:
                self._part, self._check = part, name
                build = self._of_one(self.bench.inputs) if self._alone else base
                outcome = None if build is None else self._outcome(build)
                if outcome is not None and outcome.left >= len(self.targets):
                    return outcome
            self._alone = False
        return None

    def _of_one(self, inputs: Inputs) -> Build | None:
        """The one unit it is all about, standing where rooms begin: pairs of its own parts are the same everywhere."""
        name = self.owners[0]
        unit = self.bench.alone(name, inputs.units[name].options)
        if unit is None:
            return None
        base = self.bench.base
        placed = unit.placed(Placement())
        return replace(base, plan=replace(base.plan, units=(placed,), joints_between=()), inputs=inputs)

    def _outcome(self, build: Build) -> Outcome | None:
        """What the check says of the part that is looked at; where that is as it was, what it said before. None where
        it cannot tell from that part."""
        part = self._part(build)
        if self._base is not None and part.plan.units == self._base.about:
            return self._base
        self._spent += 1
        try:
            found = [f for f in self.bench.checks[self._check](part) if self._alike(f)]
        except (LookupError, ValueError):
            return None  # a check may count on parts that were left out here
        off = sum(shortfall(f) - freedom(f) * 1e-3 for f in found)
        return Outcome(len(found), off, part.plan.units)

    def ways(self) -> list[Way]:
        """What clears them, the smallest change first; nothing where no single value does."""
        if self._base is None:
            return []
        walls = {self.bench.base.stands_at[n] for n in self.owners if n in self.bench.base.stands_at}
        walls = walls or {w.name for w in self.bench.base.walls}
        found = [
            s
            for s in with_what_is_left_out(self.bench, settings_of(self.bench.inputs, self.owners, sorted(walls)))
            if s.old is not None and self._matters(s)
        ]
        self.tried = len(found)
        lines = [line for s in found if s.kind in ("length", "angle", "number") for line in self._lines(s)]
        first = self._first()
        near = [first, first / 4, first / 2, *_doubled(first, FAR)] if self.measured else [first, first * 4, first * 16]
        for some, sizes in (
            (lines, near),
            ([line for s in found if s.kind == "count" for line in self._lines(s)], [PER_COUNT, 2 * PER_COUNT]),
        ):
            ways = self._climbed(some, sizes)
            if ways:
                return ways
        ways = self._chosen(s for s in found if s.kind == "choice")
        return ways or self._climbed(lines, list(_doubled(max(first, FAR / 2), FARTHEST)))

    def _first(self) -> float:
        """The change to begin with: as much as the findings are off."""
        worst = max(map(shortfall, self.targets))
        if not self.measured:
            return FIRST
        if self.targets[0].unit == "deg":
            return min(max(worst * PER_DEGREE, FIRST), FAR)
        return max(worst, 0.5) if 0 < worst <= FAR else FIRST

    def _lines(self, setting: Setting) -> Iterator[Line]:
        step, weight = {
            "length": (STEP_INCH if self.inch else STEP_MM, 1.0),
            "angle": (1.0, PER_DEGREE),
            "number": (0.05, PER_NUMBER),
            "count": (1.0, PER_COUNT),
        }[setting.kind]
        yield from (Line(setting, sign, step, weight) for sign in (1, -1))

    def _matters(self, setting: Setting) -> bool:
        """Whether a change could reach the findings: of a unit's own values, those that alter what they are about."""
        if not setting.of_unit or setting.kind == "choice" or setting.words:
            return True
        name = setting.owner
        before = self.bench.alone(name, self.bench.inputs.units[name].options)
        for line in self._lines(setting):
            inputs = self.bench.changed(setting, line.value(line.within(self._first())))
            now = None if inputs is None else self.bench.alone(name, inputs.units[name].options)
            if now is not None and before is not None:
                return _about(before, name, self.paths) != _about(now, name, self.paths)
        return True

    def _try(self, setting: Setting, value: Value) -> Outcome | None:
        """What a change comes to in the part of the project that is looked at; None where it cannot be built."""
        inputs = self.bench.changed(setting, value)
        if inputs is None or self._spent >= MOST:
            return None
        self._spent += BUILT
        alone = self._alone and setting.of_unit
        build = self._of_one(inputs) if alone else self.bench.built(inputs, self.owners)
        return None if build is None else self._outcome(build)

    def _climbed(self, lines: list[Line], sizes: Iterable[float]) -> list[Way]:
        """The ways found at the first size of change that clears the findings, each as small as it can be.

        The first size tells which lines lead anywhere; after it come the smaller ones, then the larger.
        """
        going, first = list(lines), 0.0
        for size in sizes:
            first = first or size
            met: list[tuple[Line, int]] = []
            still: list[Line] = []
            idle: set[Setting] = set()
            for line in going:
                if line.setting in idle:
                    continue  # neither more nor less of it makes a difference
                n = line.within(size)
                if line.leads and n <= line.reached:
                    still.append(line)  # so little was not enough
                    continue
                outcome = self._try(line.setting, line.value(n))
                if outcome is not None and outcome.left == 0:
                    met.append((line, n))
                elif outcome == self._base:
                    idle.add(line.setting)
                elif line.goes_on(outcome, self._base, n, size == first, self.measured):
                    still.append(line)
            ways = self._least(met)
            if ways:
                return ways
            going = still + [line for line, _ in met]
        return []

    def _least(self, met: list[tuple[Line, int]]) -> list[Way]:
        """The lines that clear the findings, each cut back by halves to the fewest steps, and whole again checked."""
        cut: list[tuple[float, int, Line, int]] = []
        for k, (line, n) in enumerate(met):
            low, high = 0, n
            while high - low > 1:
                middle = (low + high) // 2
                outcome = self._try(line.setting, line.value(middle))
                low, high = (low, middle) if outcome is not None and outcome.left == 0 else (middle, high)
            cut.append((line.size(high), k, line, high))
        ways: list[Way] = []
        for _, _, line, n in sorted(cut, key=lambda c: c[:2])[:VERIFIED]:
            twin = local(self.bench.inputs, line.setting)
            for setting in (line.setting, twin):
                way = None if setting is None else self._sound(setting, line.value(n), line.size(n))
                if way is not None:
                    ways.append(way)
                    break
            if len(ways) == SHOWN:
                break
        return sorted(ways, key=lambda w: w.order)

    def _sound(self, setting: Setting, value: Value, size: float) -> Way | None:
        """The change as a way out, if the findings are gone and nothing else newly fails."""
        inputs = self.bench.changed(setting, value)
        build = None if inputs is None else self.bench.built(inputs)
        if build is None or not self.bench.verified(build, self.targets):
            return None
        before = {p.path: p for p in self.bench.base.plan.walk()}
        now = {p.path: p for p in build.plan.walk()}
        parts = sum(before.get(path) != now.get(path) for path in before.keys() | now.keys())
        return Way(setting, value, size, parts)

    def _chosen(self, settings: Iterable[Setting]) -> list[Way]:
        """Other words for what is chosen among some."""
        ways: list[Way] = []
        for setting in settings:
            for word in setting.words:
                if word == setting.old or len(ways) == SHOWN:
                    continue
                outcome = self._try(setting, word)
                if outcome is not None and outcome.left == 0:
                    way = self._sound(setting, word, FARTHEST)
                    if way is not None:
                        ways.append(way)
        return sorted(ways, key=lambda w: w.order)


def _doubled(first: float, last: float) -> Iterator[float]:
    size = 2 * first
    while size <= last:
        yield size
        size *= 2


def _about(unit: BuiltUnit, name: str, paths: set[str]) -> object:
    """The parts and motions of a unit, in its own frame, that some paths in the room are about."""
    mine = {p.removeprefix(f"{name}/") for p in paths}
    return (
        tuple(p for p in unit.parts if p.path in mine),
        tuple(m for m in unit.motions if mine & set(m.parts)),
    )
