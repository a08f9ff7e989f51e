"""The smallest change of one value of a project that clears a finding, verified by building and checking again.

    advice = remedies(build, run(build))
    shown(advice[finding], build.plan.lengths)

Findings of one cause are searched for once: those of one code about the same units, and where no single value clears
them all, those of parts of the same names.
"""

import re
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass

from model.build import Build
from model.config.messages import name_of
from model.config.nodes import Loc
from model.errors import Mark
from model.findings import Finding
from model.lengths import LengthUnit, show_length
from model.remedies.bench import Bench, units_of
from model.remedies.change import yaml_of
from model.remedies.search import Search, Way
from model.remedies.settings import Value

__all__ = ["Advice", "Remedy", "remedies", "shown"]


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change of one value: `yaml` at the key path `loc` of `file` in place of what is there, or added.

    `owner` is the unit, top, corner or wall it belongs to and `key` its path there; `old` and `new` are in mm or
    degrees where `kind` is a length or an angle. `mark` is where the value stands, or, where it is not `written` yet,
    what it is added to. `parts` is how many parts come out other than they were.
    """

    owner: str
    key: str
    kind: str
    old: Value
    new: Value
    file: str
    loc: Loc
    mark: Mark
    written: bool
    yaml: str
    parts: int


@dataclass(frozen=True, slots=True)
class Advice:
    """What clears a finding: the smallest change and some others, or none where no value alone does; `tried` is how
    many values were."""

    remedies: tuple[Remedy, ...]
    tried: int

    @property
    def best(self) -> Remedy | None:
        return self.remedies[0] if self.remedies else None


def remedies(
    build: Build,
    findings: Iterable[Finding],
    progress: Callable[[str], None] | None = None,
    groups: int = 20,
    only: Collection[str] | None = None,
) -> dict[Finding, Advice]:
    """What would clear each finding of a build, faults first. `findings` are all that its checks found.

    Notes are facts and need no remedy. At most so many `groups` of findings are looked into, those of `only` some codes
    where they are given; the rest is left out.
    """
    found = tuple(findings)
    wanted = [f for f in found if f.severity != "note" and (only is None or f.code in only)]
    if not wanted:
        return {}
    bench = Bench.of(build, found)
    advice: dict[Finding, Advice] = {}
    for group in _grouped(wanted, lambda f: (f.code, f.severity, frozenset(units_of(f.parts))))[:groups]:
        if progress:
            progress(f"{group[0].code}: {', '.join(units_of(p for f in group for p in f.parts)) or 'the room'}")
        for some, ways, tried in _searched(bench, group):
            told = Advice(tuple(_remedy(way, build.plan.lengths) for way in ways), tried)
            advice.update(dict.fromkeys(some, told))
    return advice


def _searched(bench: Bench, group: list[Finding]) -> Iterable[tuple[list[Finding], list[Way], int]]:
    search = Search(bench, tuple(group))
    ways = search.ways()
    alike = _grouped(group, lambda f: tuple(sorted(re.sub(r"\d+", "#", p) for p in f.parts)))
    if ways or len(alike) == 1:
        yield group, ways, search.tried
        return
    for some in alike:
        search = Search(bench, tuple(some))
        yield some, search.ways(), search.tried


def _grouped(findings: Iterable[Finding], key: Callable[[Finding], object]) -> list[list[Finding]]:
    groups: dict[object, list[Finding]] = {}
    for finding in findings:
        groups.setdefault(key(finding), []).append(finding)
    return list(groups.values())


def _remedy(way: Way, lengths: LengthUnit) -> Remedy:
    s = way.setting
    assert s.old is not None
    yaml = yaml_of(s, way.value, lengths)
    return Remedy(
        s.owner, name_of(s.key), s.kind, s.old, way.value, s.file, s.loc, s.mark, s.written, yaml, way.parts
    )  # fmt: skip


def shown(advice: Advice | Remedy | None, lengths: LengthUnit) -> str:
    """The remedy on one line, or that there is none."""
    if isinstance(advice, Remedy):
        how = f"({advice.mark})" if advice.written else f"(not said yet: add {name_of(advice.loc)}, {advice.mark})"
        old, new = (_value(advice.kind, v, lengths) for v in (advice.old, advice.new))
        whose = f" of {advice.owner}" if advice.owner else ""
        return f"{advice.key}{whose}: {old} -> {new} {how}"
    if advice is None:
        return "not looked into"
    best = advice.best
    return shown(best, lengths) if best else f"no single value clears this ({advice.tried} tried)"


def _value(kind: str, value: Value, lengths: LengthUnit) -> str:
    if kind == "length":
        return show_length(float(value), lengths)
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:g}\u00b0" if kind == "angle" else value if isinstance(value, str) else f"{value:g}"
