"""What the checks found, as tables for the terminal: what collides with its measures, everything else in its words."""

from collections.abc import Iterable, Iterator

from rich.table import Table
from rich.text import Text

from exporters.interference import CODES
from exporters.interference import table as collisions
from model.findings import Finding
from model.lengths import LengthUnit

STYLE = {"fault": "red", "warning": "yellow", "note": "cyan"}


def tables(findings: Iterable[Finding], lengths: LengthUnit) -> Iterator[Table]:
    """The tables that have anything in them, collisions first."""
    found = list(findings)
    hits = [f for f in found if f.code in CODES]
    rest = [f for f in found if f.code not in CODES]
    if hits:
        yield collisions(hits, lengths)
    if rest:
        yield _words(rest)


def _words(findings: list[Finding]) -> Table:
    shown = Table(title="Room and handling", title_justify="left")
    shown.add_column("")
    shown.add_column("what", no_wrap=True)
    shown.add_column("", ratio=1, overflow="fold")
    for finding in findings:
        shown.add_row(Text(finding.severity, style=STYLE[finding.severity]), finding.code, Text(finding.message))
    return shown
