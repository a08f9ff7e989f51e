"""How fast interference is found, against its budgets; exits with 1 where one is missed.

Run as a program: python tests/benchmarks/interference.py. Rooms of about 1,000 and 10,000 parts are the units of the
herbarium over and over, row by row. Seconds are those the processor works for us, all threads together, so that what
else a machine does is left out; the least of three, meshes made before. A demo room is timed in two fresh processes,
after start-up and with no mesh made yet. With --all, every check of the large rooms is timed too.
"""

import json
import platform
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
sys.path.insert(0, str(ROOT))

from model.build import Build, build  # noqa: E402
from model.checks import run  # noqa: E402
from model.checks.interference import _near, interference  # noqa: E402
from model.collision.bodies import Bodies  # noqa: E402
from model.collision.pairs import Pairs, Pose, overlap  # noqa: E402
from model.part import Joint, PlacedPart  # noqa: E402
from model.placement import Placement  # noqa: E402
from model.plan import Plan  # noqa: E402
from model.tolerances import CONTACT  # noqa: E402

RATIO, FACTOR, ROOM = 12.0, 100.0, 0.5
"""The budgets: time for ten times the parts, times faster than booleans of the kernel, seconds for a demo room."""

SAMPLE = 100
"""How many of the surviving pairs the kernel is timed on; its time for all of them is scaled from these."""

FRESH = """
import json, sys, time
sys.path.insert(0, {root!r})
from pathlib import Path
from model.build import build
from model.checks import checks, run
from model.checks.interference import interference
checks()
built = build(Path({project!r}))
import manifold3d
start = time.process_time()
found = list(interference(built.plan))
middle = time.process_time()
run(built)
end = time.process_time()
kernel = sorted(m for m in sys.modules if m.split(".")[0] in ("OCP", "cadquery"))
print(json.dumps([len(list(built.plan.walk())), middle - start, end - middle, kernel]))
"""


def many(one: Build, parts: int) -> Build:
    """The units of a build over and over, 20 m apart, until there are about so many parts."""
    rows = max(1, round(parts / len(list(one.plan.walk()))))
    units = tuple(
        replace(u, name=f"row {n}").placed(Placement((20_000.0 * n, 0.0, 0.0)))
        for n in range(rows)
        for u in one.plan.units
    )
    between = tuple(
        Joint(j.kind, f"row {n}/{j.a}", f"row {n}/{j.b}") for n in range(rows) for j in one.plan.joints_between
    )
    return replace(one, plan=replace(one.plan, units=units, joints_between=between))


def least(work: Callable[[], object], times: int = 3) -> float:
    """The least of some runs, s."""
    found = []
    for _ in range(times):
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return min(found)


def survivors(plan: Plan) -> tuple[Bodies, list[tuple[int, int, Pose]]]:
    """The pairs that boxes cannot tell apart, each with its pose: what exact tests at rest are needed for."""
    bodies = Bodies.of(plan.walk())
    i, j = _near(bodies, -CONTACT / 2)
    poses = Pairs(bodies).poses(i, j)
    return bodies, [(a, b, pose) for a, b, (_, pose) in zip(i.tolist(), j.tolist(), poses, strict=True)]


def at_rest(plan: Plan) -> None:
    """The overlaps of a plan at rest from the start: boxes, then meshes, equal pairs once."""
    pairs = Pairs(Bodies.of(plan.walk()))
    for key, pose in pairs.poses(*_near(pairs.bodies, -CONTACT / 2)):
        pairs.overlap(key, pose)


def kernel_seconds(placed: tuple[PlacedPart, ...], sample: list[tuple[int, int, Pose]]) -> float:
    """Booleans of the kernel on the same pairs, solids made before, s."""
    from model.solids import located

    shapes = [(located(placed[a]), located(placed[b])) for a, b, _ in sample]
    start = time.process_time()
    for first, second in shapes:
        first.intersect(second).Volume()
    return time.process_time() - start


def fresh(code: str) -> tuple[int, float, float, list[str]]:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    count, seconds, whole, modules = json.loads(done.stdout.splitlines()[-1])
    return count, seconds, whole, modules


def machine() -> str:
    names = [line.split(":")[1].strip() for line in _lines(Path("/proc/cpuinfo")) if line.startswith("model name")]
    cpu = names[0] if names else platform.processor() or platform.machine()
    return f"{cpu}, {len(names) or '?'} cores, {platform.system()}, Python {platform.python_version()}"


def _lines(path: Path) -> Iterator[str]:
    if path.exists():
        yield from path.read_text(encoding="utf-8").splitlines()


def main() -> int:
    missed: list[str] = []
    rows: list[tuple[str, str, str]] = []

    def row(what: str, value: str, budget: str = "", met: bool = True) -> None:
        rows.append((what, value, budget + ("" if met else " (not met)")))
        if not met:
            missed.append(what)

    herbarium = build(ROOT / "configs" / "herbarium" / "project.yaml")
    list(interference(herbarium.plan))
    took: list[tuple[int, float]] = []
    large = herbarium
    for parts in (1_000, 10_000):
        large = many(herbarium, parts)
        count = len(list(large.plan.walk()))
        seconds = least(lambda plan=large.plan: list(interference(plan)))
        took.append((count, seconds))
        row(f"interference, {count:,} parts, s", f"{seconds:.3f}")
        if "--all" in sys.argv:
            whole = least(lambda b=large: run(b), 1)
            row(f"every check, {count:,} parts, s", f"{whole:.2f}")
    (few, short), (lots, long) = took
    row(f"ratio for {lots / few:.1f} times the parts", f"{long / short:.1f}", f"{RATIO:g}", long / short <= RATIO)

    bodies, left = survivors(large.plan)
    sample = left[:: max(1, len(left) // SAMPLE)][:SAMPLE]
    assert "OCP" not in sys.modules
    exact = least(lambda: [overlap(pose) for _, _, pose in sample]) / len(sample)
    rest = least(lambda: at_rest(large.plan))
    kernel = kernel_seconds(bodies.placed, sample) / len(sample)
    row("pairs that boxes cannot tell apart", f"{len(left):,}")
    row(f"booleans of the kernel on them, s (scaled from {len(sample)})", f"{kernel * len(left):.1f}")
    row("meshes on them, each by itself, s (scaled from the same)", f"{exact * len(left):.3f}")
    row("boxes and meshes, equal pairs once, s", f"{rest:.3f}")
    factor = kernel * len(left) / rest
    row("times faster than the kernel", f"{factor:,.0f}", f"{FACTOR:g}", factor >= FACTOR)
    row("times faster, each pair by itself", f"{kernel / exact:,.0f}")

    for name in ("herbarium", "trains", "guest-study"):
        code = FRESH.format(root=str(ROOT), project=str(ROOT / "configs" / name / "project.yaml"))
        count, seconds, whole, modules = min((fresh(code) for _ in range(2)), key=lambda found: found[1])
        row(f"{name}, {count} parts, interference, s", f"{seconds:.3f}", f"{ROOM:g}", seconds < ROOM)
        row(f"{name}, every other check after it, s", f"{whole:.3f}")
        row(f"{name}, modules of the CAD kernel loaded", f"{len(modules)}", "0", not modules)

    print(machine())
    print("\n| | | budget |\n|---|---|---|")
    for what, value, budget in rows:
        print(f"| {what} | {value} | {budget} |")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
