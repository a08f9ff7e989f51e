"""Findings, the buying list and the parts of each unit, as rows that are ready to be shown."""

from collections import Counter
from collections.abc import Iterable
from itertools import groupby
from typing import TYPE_CHECKING, Any

from exporters.booklet.show import Shown, clean, few
from exporters.lists.bought import counted, size_in_words, told
from exporters.lists.parts import bands_in_words
from model.bill import cut_list
from model.costs import bill_of
from model.findings import Finding
from model.machining import banded_by_part
from model.measures import show_angle, show_small

if TYPE_CHECKING:
    from model.build import Build

SEVERITIES = ("fault", "warning", "note")
KINDS = ("sheet", "board", "band", "hardware")


def findings(build: "Build", found: Iterable[Finding]) -> list[dict[str, Any]]:
    """A row for each finding: how grave, what, against which limit, and where the limit comes from."""
    return [
        {
            "severity": f.severity,
            "code": f.code,
            "message": clean(f.message),
            "measured": _amount(f.value, f.unit, build),
            "limit": _amount(f.limit, f.unit, build),
            "source": clean(f.source),
            "marks": list(dict.fromkeys(_marks(build, f.parts))),
        }
        for f in found
    ]


def by_severity(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Findings with their number in words: what is grave one by one, notes by what they are about.

    A source that all notes of one kind share is told once.
    """
    counts = Counter(row["severity"] for row in rows)
    said = ", ".join(f"{counts[s]} {s}{'' if counts[s] == 1 else 's'}" for s in SEVERITIES)
    kinds: dict[str, list[dict[str, Any]]] = {}
    for row in rows:
        if row["severity"] == "note":
            kinds.setdefault(row["code"], []).append(row)
    grave = [{**row, "code": _plain(row["code"])} for row in rows if row["severity"] != "note"]
    return {
        "said": said,
        "faults": counts["fault"],
        "grave": grave,
        "notes": [_kind(code, some) for code, some in kinds.items()],
    }


def _kind(code: str, rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Notes about one thing."""
    sources = {row["source"] for row in rows}
    same = sources.pop() if len(sources) == 1 else ""
    return {
        "code": _plain(code),
        "source": same,
        "rows": [{**row, "source": "" if same else row["source"]} for row in rows],
    }


def _plain(code: str) -> str:
    """A code in words."""
    return code.replace("-", " ")


def _marks(build: "Build", paths: Iterable[str]) -> Iterable[str]:
    known = build.plan.by_path
    for path in paths:
        mark = build.plan.marks.get(known[path].part) if path in known else None
        if mark is not None:
            yield mark


def _amount(value: float | None, unit: str, build: "Build") -> str:
    if value is None:
        return ""
    if unit == "mm":
        lengths = build.plan.lengths
        return show_small(value, lengths) if abs(value) < 10 else Shown(lengths).length(value)
    return show_angle(value) if unit == "deg" else f"{value:g} {unit}".strip()


def buying(build: "Build", shown: Shown) -> dict[str, Any]:
    """The buying list group by group, the sum, the tax and the total."""
    bill = bill_of(build)
    lines = [
        {
            "group": line.group,
            "item": clean(line.item),
            "size": size_in_words(line.size, shown.unit),
            "needed": counted(line.needed, line, shown.unit),
            "packs": f"{line.packs}" + (f" of {counted(line.holds, line, shown.unit)}" if line.holds != 1 else ""),
            "price": "" if line.price is None else f"{line.price:.2f}",
            "cost": "" if line.cost is None else f"{line.cost:.2f}",
        }
        for line in bill.lines
    ]
    groups = [{"name": name, "rows": list(rows)} for name, rows in groupby(lines, key=lambda row: row["group"])]
    rate = f"{bill.tax * 100:f}".rstrip("0").rstrip(".") if bill.tax else "0"
    sums = [("Sum", bill.net), (f"Tax, {rate} %", bill.tax_due), ("Total", bill.total)]
    return {
        "groups": groups,
        "sums": [(label, f"{value:.2f}") for label, value in sums],
        "currency": clean(bill.currency),
        "told": clean(told(bill)),
    }


def parts(build: "Build", shown: Shown) -> list[dict[str, Any]]:
    """What each unit is made of: a row for each kind of part, and where it is told in full."""
    plan = build.plan
    rows = {row.part: row for row in cut_list(plan, build.stock)}
    bands = banded_by_part(plan)
    seen: set[str] = set()
    found: list[dict[str, Any]] = []
    for unit in plan.units:
        counts = Counter(placed.part for placed in unit.parts)
        mine: list[dict[str, Any]] = []
        for part, count in sorted(counts.items(), key=lambda each: KINDS.index(each[0].kind)):
            row = rows[part]
            names = list(dict.fromkeys(p.name for p in unit.parts if p.part == part))
            mine.append(
                {
                    "mark": row.mark,
                    "first": row.mark not in seen,
                    "count": str(count),
                    "name": clean(few(names)),
                    "material": clean(row.material),
                    "size": shown.size(*part.size),
                    "grain": row.grain == "length",
                    "bands": clean(bands_in_words(bands.get(part, ()))),
                }
            )
            seen.add(row.mark)
        found.append({"unit": clean(unit.name), "code": unit.code, "count": str(len(unit.parts)), "rows": mine})
    return found
