"""`findings.json`: everything the checks found, for programs.

The file, version 1: an object with `version`, `title`, `counts` (findings by severity) and `findings`, faults first.
Each finding has `code`, `severity`, `message`, `parts` (paths) and `marks`, `value` against `limit` in `unit`, `source`
(where the limit comes from), `at_mm` (x, y, z in the room) and `details`, further measures by name with their unit.
`remedy` is the smallest change of one value that clears it, where one was looked for and found: `owner`, `key`, `old`,
`new` (as in the file that has it, lengths and angles in mm and degrees), the `file`, and the `line` and `column` of the
value or of what it is added to. What does not apply is null. Lengths are mm, angles degrees, volumes mm^3.
"""

import json
from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from model.findings import Finding
from model.plan import Plan

if TYPE_CHECKING:
    from model.build import Build
    from model.remedies import Advice, Remedy

VERSION = 1


def write(build: "Build", out: Path) -> list[Path]:
    """Write `findings.json` below `out`."""
    from model.checks import run

    path = out / "findings.json"
    text = json.dumps(report(build.plan, run(build)), ensure_ascii=False, indent=2, allow_nan=False)
    path.write_text(text + "\n", encoding="utf-8", newline="\n")
    return [path]


def report(plan: Plan, findings: Iterable[Finding], advice: "Mapping[Finding, Advice] | None" = None) -> dict[str, Any]:
    """The content of the file."""
    found = list(findings)
    return {
        "version": VERSION,
        "title": plan.title,
        "counts": dict(sorted(Counter(f.severity for f in found).items())),
        "findings": [row(plan, f, (advice or {}).get(f)) for f in found],
    }


def row(plan: Plan, finding: Finding, advice: "Advice | None" = None) -> dict[str, Any]:
    """One finding. A part that is not of the plan, such as a leaf of the room's door, has no mark."""
    return {
        "code": finding.code,
        "severity": finding.severity,
        "message": finding.message,
        "parts": list(finding.parts),
        "marks": [_mark(plan, path) for path in finding.parts],
        "value": finding.value,
        "limit": finding.limit,
        "unit": finding.unit,
        "source": finding.source,
        "at_mm": None if finding.at is None else list(finding.at),
        "details": dict(finding.details),
        "remedy": None if advice is None or advice.best is None else _remedy(advice.best),
    }


def _remedy(remedy: "Remedy") -> dict[str, Any]:
    mark = remedy.mark
    said = {name: getattr(remedy, name) for name in ("owner", "key", "old", "new", "file")}
    return {**said, "line": mark.line, "column": mark.column}


def _mark(plan: Plan, path: str) -> str | None:
    placed = plan.by_path.get(path)
    return None if placed is None else plan.marks.get(placed.part)
