"""The interference report: `interference.json` for programs, a table for the terminal.

The file holds one `Report`: see the fields below, or its JSON Schema (`wallwork schema interference`). Lengths are mm,
volumes mm^3, angles degrees; what does not apply is null. Additions keep the version; anything else raises it.
"""

import json
import math
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from pydantic import BaseModel, ConfigDict
from rich.table import Table
from rich.text import Text

from model.checks.both_open import Pair, pairs_of
from model.checks.fixed_things import fixed_things
from model.checks.interference import interference_of
from model.findings import Finding, Severity
from model.lengths import LengthUnit, show_length, show_number
from model.measures import show_angle, show_small, show_volume
from model.part import Motion
from model.plan import Plan
from model.shapes import Vec

if TYPE_CHECKING:
    from model.build import Build

VERSION = 1
CODES = ("overlap", "blocked", "loose", "adrift")
_WHAT = {
    "overlap": "fill one place",
    "blocked": "meets on its way",
    "loose": "joined, yet apart",
    "adrift": "touches nothing",
}
_STYLE = {"fault": "red", "warning": "yellow", "note": "cyan"}


class _Row(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)


class FoundRow(_Row):
    """Something that collides or hangs loose."""

    code: Literal["overlap", "blocked", "loose", "adrift"]
    """`overlap`: two parts share a volume at rest. `blocked`: a part that slides or turns runs into another. `loose`: a
    joint whose parts do not meet. `adrift`: a part that touches nothing."""
    severity: Severity
    """How bad it is."""
    message: str
    """In words."""
    parts: tuple[str, ...]
    """The path of each part; in `blocked` the first is the one that moves."""
    marks: tuple[str, ...]
    """The shop mark of each; empty for a load."""
    value: float | None
    """What was measured: the shared volume, the free travel, the gap of a joint."""
    limit: float | None
    """What it is held against: rounding, or the whole travel."""
    unit: str
    """Of both."""
    source: str
    """Where the limit comes from."""
    free_travel_mm: float | None = None
    """How far it slides before it meets the other part."""
    free_travel_deg: float | None = None
    """How far it turns before it meets the other part."""
    position_mm: float | None = None
    """The travel at which volume and depth were taken: where they are largest."""
    position_deg: float | None = None
    """The same of a swing."""
    volume_mm3: float | None = None
    """What the two share."""
    depth_mm: float | None = None
    """The smallest extent of that, along the axes of either part."""
    at_mm: Vec | None
    """x, y, z in the room: the middle of what they share, or of the parts."""


class MotionRow(_Row):
    """How far one motion runs while everything else is shut."""

    name: str
    """What slides or turns."""
    kind: Literal["slide", "swing"]
    """Which of the two it does."""
    unit: Literal["mm", "deg"]
    """Of the two measures below."""
    travel: float
    """How far it is to go."""
    free: float
    """How far it goes before it meets a part or the room."""
    meets: str | None
    """What it meets first: the path of a part, or the room."""


class PairRow(_Row):
    """Two motions that are not free of each other. Each measure is in the unit of its motion, null for all the way."""

    first: str
    """One motion."""
    second: str
    """The other; a leaf of the room itself has a name like `the door on west`."""
    verdict: Literal["first then second", "second then first", "never", "blocked"]
    """The order in which both can be opened, or that none is free; `blocked` where one cannot even open alone."""
    first_alone: float | None
    """How far the first opens while the second is shut."""
    second_alone: float | None
    """How far the second opens while the first is shut."""
    first_after: float | None
    """How far the first opens while the second is open."""
    second_after: float | None
    """How far the second opens while the first is open."""


class Report(_Row):
    """Everything about parts that meet: at rest, on their way, and two on their way at once."""

    version: int = VERSION
    """Of this format."""
    title: str
    """Of the project."""
    counts: dict[str, int]
    """Findings by code."""
    findings: tuple[FoundRow, ...]
    """What collides or hangs loose, in a fixed order."""
    motions: tuple[MotionRow, ...]
    """Every motion, in the order of the plan."""
    pairs: tuple[PairRow, ...]
    """Every two motions that are not free of each other."""


def write(build: "Build", out: Path) -> list[Path]:
    """Write `interference.json` below `out`."""
    path = out / "interference.json"
    room = [f for f in fixed_things(build) if f.code == "hits-room"]
    content = report(build.plan, interference_of(build.plan), room, pairs_of(build))
    text = json.dumps(content.model_dump(mode="json"), ensure_ascii=False, indent=2, allow_nan=False)
    path.write_text(text + "\n", encoding="utf-8", newline="\n")
    return [path]


def report(plan: Plan, findings: Iterable[Finding], room: Iterable[Finding] = (), pairs: Iterable[Pair] = ()) -> Report:
    """The content of the file: what interferes, what runs into the room, and the pairs that are not free."""
    found = list(findings)
    counts = Counter(f.code for f in found)
    return Report(
        title=plan.title,
        counts={code: counts[code] for code in CODES if counts[code]},
        findings=tuple(_row(plan, f) for f in found),
        motions=tuple(_motions(plan.motions, [*found, *room])),
        pairs=tuple(_pair(p) for p in pairs),
    )


def _row(plan: Plan, finding: Finding) -> FoundRow:
    shared = ("code", "severity", "message", "parts", "value", "limit", "unit", "source")
    return FoundRow.model_validate(
        {
            **{name: getattr(finding, name) for name in shared},
            **dict(finding.details),
            "marks": tuple(plan.marks.get(plan.by_path[path].part, "") for path in finding.parts),
            "at_mm": finding.at,
        }
    )


def _motions(motions: Iterable[Motion], found: list[Finding]) -> Iterator[MotionRow]:
    met: dict[str, Finding] = {}
    for finding in sorted((f for f in found if f.motion), key=lambda f: f.value or 0.0):
        met.setdefault(finding.motion, finding)
    for motion in motions:
        first = met.get(motion.name)
        travel = _shown(motion, abs(motion.travel)) or 0.0
        yield MotionRow(
            name=motion.name,
            kind=motion.kind,
            unit="deg" if motion.kind == "swing" else "mm",
            travel=travel,
            free=travel if first is None or first.value is None else first.value,
            meets=None if first is None else first.parts[1] if len(first.parts) > 1 else "the room",
        )


def _shown(motion: Motion, run: float | None) -> float | None:
    if run is None:
        return None
    return round(math.degrees(run), 2) if motion.kind == "swing" else round(run, 1)


def _pair(pair: Pair) -> PairRow:
    a, b, found = pair.first, pair.second, pair.result
    assert found.verdict != "free"
    return PairRow(
        first=a.name,
        second=b.name,
        verdict=found.verdict,
        first_alone=_shown(a, found.first_alone),
        second_alone=_shown(b, found.second_alone),
        first_after=_shown(a, found.first_after),
        second_after=_shown(b, found.second_after),
    )


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
