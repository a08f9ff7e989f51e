"""How long a whole build takes, against what bare CadQuery needs for one STEP file of the same room.

Run as a program: python tests/benchmarks/whole_room.py [PROJECT]. Each figure is the least of three fresh processes.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
HEAD = "import time; start = time.perf_counter(); import sys; from pathlib import Path"

BARE = """
import cadquery as cq
imported = time.perf_counter() - start
sys.path.insert(0, {root!r})
from model.build import build
from model.solids import solid
from model.solids import transform
plan = build(Path({project!r})).plan
shapes = {{p.part: solid(p.part) for p in plan.walk()}}
start = time.perf_counter()
room = cq.Assembly(name="room")
for i, p in enumerate(plan.walk()):
    room.add(shapes[p.part], name=str(i), loc=cq.Location(transform(p.placement)))
room.export({out!r} + "/bare.step")
print(imported + time.perf_counter() - start)
"""
WHOLE = """
sys.path.insert(0, {root!r})
from model.build import build
from exporters.outputs import write_all
from exporters.registry import EXPORTERS
built = build(Path({project!r}))
write_all(built, Path({out!r}) / "out", list(EXPORTERS), lambda name: None)
print(time.perf_counter() - start)
"""
LISTS = """
sys.path.insert(0, {root!r})
from model.build import build
from model.bill import cut_list
from model.checks import run
built = build(Path({project!r}))
cut_list(built.plan, built.stock)
run(built)
assert "OCP" not in sys.modules
print(time.perf_counter() - start)
"""
IMPORT = """
import cadquery
print(time.perf_counter() - start)
"""


def seconds(code: str, project: str) -> float:
    """The least of three fresh processes, s."""
    found = []
    for _ in range(3):
        with tempfile.TemporaryDirectory() as out:
            text = HEAD + code.format(root=str(ROOT), project=project, out=out)
            run = subprocess.run([sys.executable, "-c", text], capture_output=True, text=True, check=True, cwd=ROOT)
            found.append(float(run.stdout.split()[-1]))
    return min(found)


def main() -> None:
    project = sys.argv[1] if len(sys.argv) > 1 else str(ROOT / "configs" / "herbarium" / "project.yaml")
    bare, whole, lists, kernel = (seconds(code, project) for code in (BARE, WHOLE, LISTS, IMPORT))
    print(f"bare CadQuery, import and one STEP file   {bare:6.2f} s")
    print(f"whole build, every exporter               {whole:6.2f} s   {whole / bare:.2f} x (budget 2 x)")
    print(f"import cadquery alone                     {kernel:6.2f} s")
    print(f"cut list and checks, no kernel            {lists:6.2f} s   {lists / kernel:.2f} x (budget 0.25 x)")


if __name__ == "__main__":
    main()
