"""A project tried with other values: built again with all that stays the same kept, checked no further than need be."""

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, fields, replace
from typing import Any

from model.build import Build, assemble
from model.checks import Check, checks
from model.config.nodes import Loc
from model.errors import ConfigError, ProjectError
from model.findings import Finding
from model.inputs import Inputs
from model.plan import BuiltUnit
from model.remedies.change import changed
from model.remedies.settings import Setting, Value
from model.site import Site, Unbuildable
from model.units import UnitKind

Seen = tuple[str, tuple[str, ...]]
"""What a finding is known by: its code and its parts."""


def seen(finding: Finding) -> Seen:
    return finding.code, finding.parts


def units_of(paths: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(path.split("/", 1)[0] for path in paths))


def ill(findings: Iterable[Finding]) -> Counter[tuple[str, tuple[str, ...]]]:
    """How many faults and warnings there are of each code about the same units: parts come and go with the options."""
    return Counter((f.code, units_of(f.parts)) for f in findings if f.severity != "note")


def shortfall(finding: Finding) -> float:
    """How far a finding is from being none: how deep or how far short, or 1 where it does not say."""
    depth = dict(finding.details).get("depth_mm")
    if depth is not None:
        return depth
    if finding.value is not None and finding.limit is not None:
        return abs(finding.value - finding.limit)
    return 1.0


def freedom(finding: Finding) -> float:
    """How far what moves comes before it stops, all it measures added up: more is better."""
    return sum(n for name, n in finding.details if "free" in name)


@dataclass
class Bench:
    """Builds of one project with this or that value changed.

    `base` is the project as it is, `found` all that is found in it. Units are built once for each way they are made.
    """

    base: Build
    found: tuple[Finding, ...]
    checks: dict[str, Check] = field(default_factory=checks)
    _kinds: dict[str, tuple[UnitKind, UnitKind]] = field(default_factory=dict)
    _made: dict[tuple[Any, ...], BuiltUnit] = field(default_factory=dict)
    _kept: list[Any] = field(default_factory=list)
    _sites: dict[str, Site] = field(default_factory=dict)
    _worked_out: dict[Loc, float | None] = field(default_factory=dict)
    _changed: dict[tuple[Setting, Value], Inputs | None] = field(default_factory=dict)

    @classmethod
    def of(cls, build: Build, findings: Iterable[Finding]) -> "Bench":
        bench = cls(build, tuple(findings))
        for unit in build.inputs.units.values():
            kind = unit.kind
            bench._kinds.setdefault(kind.name, (_made_by(kind, bench._make), _made_by(kind, bench._carcass)))
        units = {n: replace(u, kind=bench._kinds[u.kind.name][0]) for n, u in build.inputs.units.items()}
        bench.base = assemble(replace(build.inputs, units=units))
        return bench

    @property
    def inputs(self) -> Inputs:
        return self.base.inputs

    def _make(self, kind: UnitKind, options: Any, site: Site) -> BuiltUnit:
        said = tuple(getattr(site, f.name) for f in fields(site) if f.name != "stock")
        key = (kind.name, id(options), id(site.stock), *said)
        if key not in self._made:
            self._kept.append((options, site))  # what an id stands for must last as long as the id is used
            self._sites.setdefault(site.name, site)
            self._made[key] = kind.build(options, site)
        return self._made[key]

    def _carcass(self, kind: UnitKind, options: Any, site: Site) -> BuiltUnit:
        """A unit of which only what bears and what neighbours are screwed to is of interest."""
        whole = self._make(kind, options, site)
        kept = {*whole.ends, *whole.bears}
        parts = tuple(p for p in whole.parts if p.path in kept) or whole.parts
        return replace(whole, parts=parts, joints=(), motions=())

    def alone(self, name: str, options: Any) -> BuiltUnit | None:
        """A unit of the project as it would be with other options in the same place, in its own frame."""
        try:
            return self.inputs.units[name].kind.build(options, self._sites[name])
        except (Unbuildable, ValueError, ProjectError):
            return None

    def changed(self, setting: Setting, value: Value) -> Inputs | None:
        """The project with one value changed; None where its files could not say so."""
        key = setting, value
        if key not in self._changed:
            try:
                self._changed[key] = changed(self.inputs, setting, value)
            except ConfigError:
                self._changed[key] = None
        return self._changed[key]

    def once(self, key: Loc, work_out: Callable[[], float | None]) -> float | None:
        """What `work_out` gives, worked out once for each key."""
        if key not in self._worked_out:
            self._worked_out[key] = work_out()
        return self._worked_out[key]

    def built(self, inputs: Inputs, whole: Iterable[str] | None = None) -> Build | None:
        """The project of these inputs, or None where it cannot be built. Of units that are not `whole` (all are, unless
        given) there are only the outlines: it is quicker."""
        units = inputs.units
        if whole is not None:
            named = set(whole)
            units = {n: u if n in named else replace(u, kind=self._kinds[u.kind.name][1]) for n, u in units.items()}
        try:
            return assemble(replace(inputs, units=units))
        except ProjectError:
            return None

    def verified(self, build: Build, targets: Iterable[Finding]) -> bool:
        """Whether all checks of the whole build find none of the targets, and no fault or warning that is new."""
        gone = {seen(f) for f in targets}
        known = ill(f for f in self.found if seen(f) not in gone)
        for function in self.checks.values():
            now = tuple(function(build))
            if any(seen(f) in gone for f in now) or not ill(now) <= known:
                return False
        return True


def _made_by(kind: UnitKind, make: Callable[[UnitKind, Any, Site], BuiltUnit]) -> UnitKind:
    return replace(kind, build=lambda options, site: make(kind, options, site))


def only(build: Build, names: Iterable[str]) -> Build:
    """The build with these units alone."""
    kept = set(names)
    return _with(build, tuple(u for u in build.plan.units if u.name in kept))


def trimmed(build: Build, paths: Iterable[str]) -> Build:
    """The build with these parts alone, and what of their motions and joints is left."""
    kept = set(paths)
    units = []
    for unit in build.plan.units:
        parts = tuple(p for p in unit.parts if p.path in kept)
        if parts:
            motions = [replace(m, parts=tuple(p for p in m.parts if p in kept)) for m in unit.motions]
            joints = tuple(j for j in unit.joints if j.a in kept and j.b in kept)
            units.append(replace(unit, parts=parts, joints=joints, motions=tuple(m for m in motions if m.parts)))
    return _with(build, tuple(units))


def _with(build: Build, units: tuple[BuiltUnit, ...]) -> Build:
    there = {p.path for u in units for p in u.parts}
    between = tuple(j for j in build.plan.joints_between if j.a in there and j.b in there)
    return replace(build, plan=replace(build.plan, units=units, joints_between=between))
