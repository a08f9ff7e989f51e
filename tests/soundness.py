"""What every unit must be, whatever its options: built and sound, or refused with a reason."""

from collections.abc import Callable

from conftest import plan_of

from model.checks.interference import interference
from model.plan import BuiltUnit
from model.site import Unbuildable

OFF = 0.01
"""mm. Further than this a part stands out of its unit's space."""


def built_or_refused(make: Callable[[], BuiltUnit]) -> BuiltUnit | None:
    """The unit; None where it is refused with a message and the key path to mend."""
    try:
        return make()
    except Unbuildable as problem:
        if not problem.message or not problem.loc:
            raise
        return None


def assert_sound(unit: BuiltUnit, width: float, height: float | None = None, depth: float | None = None) -> None:
    """No two parts share a volume at rest or in motion, every joint meets, nothing hangs loose or leaves its space."""
    assert [f.message for f in interference(plan_of(unit))] == []
    for placed in unit.parts:
        box = placed.bounds()
        assert box.lo[0] >= -OFF
        assert box.hi[0] <= width + OFF
        assert box.lo[2] >= -OFF
        assert height is None or box.hi[2] <= height + OFF
        assert depth is None or box.hi[1] <= depth + OFF
