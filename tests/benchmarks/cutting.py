"""Cutting plans: sheets against the area bound, the largest offcut, seconds and memory.

    python tests/benchmarks/cutting.py [--panels 40,120,400,1500] [--effort quick|default|thorough]
    python tests/benchmarks/cutting.py --folder FOLDER

The panel lists are drawn with a fixed seed: carcass sides, shelves, rails, fronts and drawer parts of furniture walls
on sheets of 2440 x 1220 mm, trim 10, saw cut 3.2. Each list runs in a process of its own; seconds are
of one processor. A folder holds published
instances: `index.csv` (file, sheet_width, sheet_height, area_lower_bound, best_3stage_guillotine_fixed and
best_3stage_guillotine_rotation) and the files it names (width, height, copies); no saw cut, no trim.
"""

import argparse
import csv
import json
import math
import random
import resource
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from cut_plans import Blank, plan, sheets, stock  # noqa: E402

from model.cutting.plans import cutting_plan  # noqa: E402
from model.cutting.sheets import EFFORTS  # noqa: E402

LENGTH, WIDTH, TRIM = 2440.0, 1220.0, 10.0


def panels(count: int) -> list[Blank]:
    """So many panels of furniture walls, always the same ones."""
    rnd = random.Random(count)
    blanks: list[Blank] = []
    while sum(n for _, _, n in blanks) < count:
        wide, deep, high = rnd.randrange(350, 1000, 5), rnd.choice([320, 400, 560, 580]), rnd.choice([720, 880, 1200])
        inside = wide - 36
        rows = rnd.randint(2, 4)
        drawer = (high - 100) // rows
        blanks += [(high, deep, 2), (inside, deep, 1 + rnd.randint(0, 2)), (inside, 100, 2)]
        if rnd.random() < 0.6:
            blanks += [
                (wide - 40, drawer - 4, rows),
                (500, drawer - 60, 2 * rows),
                (inside - 62, drawer - 60, 2 * rows),
            ]
        else:
            blanks += [(high - 110, wide / 2 - 3, 2)]
    while over := sum(n for _, _, n in blanks) - count:
        length, width, n = blanks.pop()
        blanks += [(length, width, n - over)] if n > over else []
    return blanks


def one(count: int, effort: str) -> dict[str, float]:
    """Plan one list and measure it."""
    blanks = panels(count)
    made, said = plan(blanks), stock()
    start = time.process_time()
    found = cutting_plan(made, said, effort=EFFORTS[effort])
    seconds = time.process_time() - start
    area = sum(a * b * n for a, b, n in blanks)
    offcuts = [o.along * o.across for s in found.sheets for o in s.offcuts]
    return {
        "panels": sum(n for _, _, n in blanks),
        "bound": math.ceil(area / (LENGTH - 2 * TRIM) / (WIDTH - 2 * TRIM)),
        "sheets": len(found.sheets),
        "cuts": sum(len(s.cuts) for s in found.sheets),
        "offcut_m2": max(offcuts, default=0.0) / 1e6,
        "seconds": seconds,
        "megabytes": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    }


def lists(counts: list[int], effort: str) -> None:
    print("| panels | area bound | sheets | cuts | largest offcut, m2 | CPU s | MB |")
    print("|---|---|---|---|---|---|---|", flush=True)
    for count in counts:
        command = [sys.executable, __file__, "--one", str(count), "--effort", effort]
        r = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
        cells = f"| {r['panels']} | {r['bound']} | {r['sheets']} | {r['cuts']} | {r['offcut_m2']:.2f}"
        print(f"{cells} | {r['seconds']:.1f} | {r['megabytes']:.0f} |", flush=True)


def folder(path: Path, effort: str) -> None:
    """Every published instance, without and with turning."""
    print("| instance | area bound | best fixed | ours | best turned | ours | CPU s |")
    print("|---|---|---|---|---|---|---|", flush=True)
    equal = total = 0
    for row in csv.DictReader((path / "index.csv").open(encoding="utf-8")):
        items = list(csv.DictReader((path / row["file"]).open(encoding="utf-8")))
        blanks = [(float(i["width"]), float(i["height"]), int(i["copies"])) for i in items]
        start, ours = time.process_time(), dict[bool, int]()
        for grain in (True, False):
            sold = sheets("ply", [(float(row["sheet_width"]), float(row["sheet_height"]), 1)], grain=grain)
            said = stock(sheets=sold, kerf=0, sheet_trim=0)
            ours[grain] = len(cutting_plan(plan(blanks), said, effort=EFFORTS[effort]).sheets)
        best = {True: int(row["best_3stage_guillotine_fixed"]), False: int(row["best_3stage_guillotine_rotation"])}
        equal += sum(ours[g] <= best[g] for g in best)
        total += 2
        cells = f"| {row['file']} | {row['area_lower_bound']} | {best[True]} | {ours[True]} | {best[False]}"
        print(f"{cells} | {ours[False]} | {time.process_time() - start:.1f} |", flush=True)
    print(f"\n{equal} of {total} equal to the best known or better")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--panels", default="40,120,400,1500")
    parser.add_argument("--effort", choices=EFFORTS, default="default")
    parser.add_argument("--folder", type=Path)
    parser.add_argument("--one", type=int)
    said = parser.parse_args()
    if said.one is not None:
        print(json.dumps(one(said.one, said.effort)))
    elif said.folder is not None:
        folder(said.folder, said.effort)
    else:
        lists([int(n) for n in said.panels.split(",")], said.effort)


if __name__ == "__main__":
    main()
