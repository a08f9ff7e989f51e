"""What a length is that was left out: found by building the unit with two lengths and seeing what follows them.

A stile that is not given is as wide as its board, a build-out as thick as the frame stands in: each kind of unit has
its own rule. Where some size of a part follows the length along a line, the length that was meant is where that line
meets the size the part has; and it was meant indeed if the unit built with it is the very same.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from model.config.nodes import Loc
from model.plan import BuiltUnit
from model.remedies.bench import Bench
from model.remedies.settings import Setting, Value
from model.tolerances import rounded

PROBES = ((37.25, 41.75), (17.25, 19.75), (11.25, 12.75), (5.25, 6.75), (150.25, 163.75))
"""mm. Pairs of lengths to try: a kind of unit may refuse some as too large or too small."""


def with_what_is_left_out(bench: Bench, settings: Iterable[Setting]) -> Iterator[Setting]:
    """The settings, with the lengths that were meant where none was written; those nothing follows are left out.

    A slide is sold in some lengths only: it is chosen among them.
    """
    for setting in settings:
        if setting.key[-1] == "slide_length":
            yield from _slide(bench, setting)
        elif setting.old is not None:
            yield setting
        elif setting.of_unit:
            old = bench.once((setting.owner, *setting.key), lambda s=setting: _meant(bench, s))
            if old is not None:
                yield replace(setting, old=old)


def _slide(bench: Bench, setting: Setting) -> Iterator[Setting]:
    lengths = sorted({n for s in bench.inputs.stock.slides.values() for n in s.lengths})
    unit = bench.alone(setting.owner, bench.inputs.units[setting.owner].options)
    old = setting.old
    if old is None:
        old = bench.once(
            (setting.owner, *setting.key),
            lambda: next((n for n in lengths if _with(bench, setting, n) == unit), None),
        )
    if old is not None:
        yield replace(setting, old=old, kind="length", words=tuple(lengths))


def _with(bench: Bench, setting: Setting, value: Value) -> BuiltUnit | None:
    inputs = bench.changed(setting, value)
    return None if inputs is None else bench.alone(setting.owner, inputs.units[setting.owner].options)


def _meant(bench: Bench, setting: Setting) -> float | None:
    now = bench.alone(setting.owner, bench.inputs.units[setting.owner].options)
    if now is None:
        return None
    sizes = _sizes(now)
    for low, high in PROBES:
        first, second = _with(bench, setting, low), _with(bench, setting, high)
        if first is None or second is None:
            continue
        if first == now == second:
            return None
        a, b = _sizes(first), _sizes(second)
        lines = {
            rounded(low + (sizes[k] - a[k]) * (high - low) / (b[k] - a[k]))
            for k in sizes.keys() & a.keys() & b.keys()
            if abs(b[k] - a[k]) > 1e-6
        }
        for length in sorted(lines):
            if length >= 0 and _with(bench, setting, length) == now:
                return length
    return None


def _sizes(unit: BuiltUnit) -> dict[Loc, float]:
    """Every size and place of a unit's parts, and how far its motions go."""
    found: dict[Loc, float] = {(m.name,): m.travel for m in unit.motions}
    for part in unit.parts:
        box = part.bounds()
        found |= {(part.path, i): n for i, n in enumerate((*box.size, *box.lo))}
    return found
