"""The interference report: `interference.json` for programs, a table for the terminal.

The file, version 1: an object with `version`, `title`, `counts` (findings by code) and `findings`, in a fixed order.
Each finding has

- `code`: `overlap` (two parts share a volume at rest), `blocked` (a part that slides or turns runs into another),
  `loose` (a joint whose parts do not meet) or `adrift` (a part that touches nothing);
- `severity`, `message`, `source` (where the limit comes from);
- `parts` and `marks`: the path and the shop mark of each part; in `blocked` the first is the one that moves;
- `value`, `limit` and their `unit`: the shared volume, the free travel against the whole, the gap of a joint;
- `free_travel_mm`: how far it slides before it meets the other part, or `free_travel_deg`: how far it turns;
- `position_mm` or `position_deg`: the travel at which `volume_mm3` and `depth_mm` were taken: where they are largest;
- `volume_mm3`: what the two share; `depth_mm`: the smallest extent of that, along the axes of either part;
- `at_mm`: x, y, z in the room: the middle of what they share, or of the parts.

What does not apply is null. Lengths are mm, volumes mm^3, angles degrees.
"""

import json
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rich.table import Table
from rich.text import Text

from model.checks.interference import interference_of
from model.checks.shown import show_angle, show_small, show_volume
from model.findings import Finding
from model.lengths import LengthUnit, show_length, show_number
from model.plan import Plan

if TYPE_CHECKING:
    from model.build import Build

VERSION = 1
CODES = ("overlap", "blocked", "loose", "adrift")
DETAILS = ("free_travel_mm", "free_travel_deg", "position_mm", "position_deg", "volume_mm3", "depth_mm")
_WHAT = {
    "overlap": "fill one place",
    "blocked": "meets on its way",
    "loose": "joined, yet apart",
    "adrift": "touches nothing",
}
_STYLE = {"fault": "red", "warning": "yellow", "note": "cyan"}


def write(build: "Build", out: Path) -> list[Path]:
    """Write `interference.json` below `out`."""
    path = out / "interference.json"
    text = json.dumps(report(build.plan, interference_of(build.plan)), ensure_ascii=False, indent=2, allow_nan=False)
    path.write_text(text + "\n", encoding="utf-8", newline="\n")
    return [path]


def report(plan: Plan, findings: Iterable[Finding]) -> dict[str, Any]:
    """The content of the file."""
    rows = [_row(plan, f) for f in findings]
    counts = Counter(row["code"] for row in rows)
    return {
        "version": VERSION,
        "title": plan.title,
        "counts": {code: counts[code] for code in CODES},
        "findings": rows,
    }


def _row(plan: Plan, finding: Finding) -> dict[str, Any]:
    details = dict(finding.details)
    return {
        "code": finding.code,
        "severity": finding.severity,
        "message": finding.message,
        "source": finding.source,
        "parts": list(finding.parts),
        "marks": [plan.marks.get(plan.by_path[path].part, "") for path in finding.parts],
        "value": finding.value,
        "limit": finding.limit,
        "unit": finding.unit,
        **{name: details.get(name) for name in DETAILS},
        "at_mm": None if finding.at is None else list(finding.at),
    }


def table(findings: Iterable[Finding], lengths: LengthUnit) -> Table:
    """The findings as a table for people, lengths in `mm` or `in`."""
    shown = Table(title="Interference", title_justify="left", show_lines=True)
    shown.add_column("what")
    shown.add_column("parts", ratio=1, overflow="fold")
    shown.add_column("free travel", justify="right")
    shown.add_column("shared", justify="right")
    shown.add_column("depth or gap", justify="right")
    shown.add_column("x, y, z", justify="right")
    for finding in findings:
        shown.add_row(*_cells(finding, lengths))
    return shown


def _cells(finding: Finding, lengths: LengthUnit) -> list[Text]:
    details = dict(finding.details)
    volume, depth = (details.get(k) for k in ("volume_mm3", "depth_mm"))
    if finding.code == "loose":
        depth = finding.value
    return [
        Text(_WHAT.get(finding.code, finding.code), style=_STYLE[finding.severity]),
        Text("\n".join(finding.parts)),
        Text(_travel(finding, lengths)),
        Text("" if volume is None else show_volume(volume, lengths)),
        Text("" if depth is None else show_small(depth, lengths)),
        Text("" if finding.at is None else ", ".join(show_number(c, lengths) for c in finding.at)),
    ]


def _travel(finding: Finding, lengths: LengthUnit) -> str:
    """The free travel against the whole, of a slide or a swing; empty for other findings."""
    details = dict(finding.details)
    if "free_travel_deg" in details:
        return f"{show_angle(details['free_travel_deg'])}\nof {show_angle(finding.limit or 0.0)}"
    if "free_travel_mm" in details:
        return f"{show_length(details['free_travel_mm'], lengths)}\nof {show_length(finding.limit or 0.0, lengths)}"
    return ""
