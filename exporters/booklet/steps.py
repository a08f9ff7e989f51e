"""The steps of the assembly as they stand in the booklet: parts, fasteners, jigs, checks, people, cautions."""

from collections import Counter
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from exporters.booklet.show import TIMES, WITHIN, Shown, clean, few
from model.stock.screws import Fastener

if TYPE_CHECKING:
    from model.assembly.steps import Check, Step
    from model.build import Build

CHECKS = {
    "diagonals": "both diagonals{of}:{values}, alike within {within}",
    "square": "square{of}{values}",
    "flush": "flush{of}",
    "level": "level both ways{of}{values}",
    "gap": "the gap{of}{values}, alike all along",
    "moves": "{what} moves freely all the way",
    "fast": "{what} holds fast",
}


def chapters(build: "Build", steps: "Iterable[Step]", shown: Shown) -> list[dict[str, Any]]:
    """The steps in order, under the unit each belongs to."""
    found: list[dict[str, Any]] = []
    codes = {u.name: u.code for u in build.plan.units}
    for step in steps:
        if not found or found[-1]["name"] != step.unit:
            found.append(
                {
                    "name": step.unit,
                    "unit": clean(step.unit) or "The room",
                    "code": codes.get(step.unit, ""),
                    "steps": [],
                }
            )
        found[-1]["steps"].append(_row(build, step, shown))
    return found  # fmt: skip


def picture_name(number: int) -> str:
    return f"step-{number:03d}.png"


def _row(build: "Build", step: "Step", shown: Shown) -> dict[str, Any]:
    return {
        "number": step.number,
        "title": _alone(clean(step.title).removeprefix(f"{clean(step.unit)}: ")),
        "text": clean(step.text),
        "times": step.times,
        "paths": list(step.new),
        "parts": _parts(build, step.new),
        "fasteners": [_fastener(build, f.item, f.count, shown) for f in step.fasteners],
        "joints": [f"{j.count}{TIMES}{clean(j.kind)}" for j in step.joints],
        "jigs": [f"{clean(j.name)} {shown.size(*j.sizes)} {shown.unit}".strip() for j in step.jigs],
        "checks": [_check(c, shown) for c in step.checks],
        "people": step.people,
        "mass": shown.mass(step.mass) if step.mass >= 1 else "",
        "byhand": sorted({clean(m.needs) for m in step.moves if m.needs}),
        "cautions": [clean(c.replace(f"{step.mass:.0f} kg", shown.mass(step.mass))) for c in step.cautions],
        "picture": "",
    }


def _alone(title: str) -> str:
    """A title without its unit, with a capital."""
    return title[:1].upper() + title[1:]


def _parts(build: "Build", paths: Iterable[str]) -> list[dict[str, str]]:
    """The new parts by mark, each kind once: how many, which, what they are called."""
    plan = build.plan
    counts: Counter[str] = Counter()
    names: dict[str, dict[str, None]] = {}
    for path in paths:
        placed = plan.by_path[path]
        mark = plan.marks[placed.part]
        counts[mark] += 1
        name = placed.part.material if placed.part.kind == "hardware" else placed.name
        names.setdefault(mark, {})[clean(name)] = None
    return [{"mark": mark, "count": str(n), "name": few(list(names[mark]))} for mark, n in counts.items()]


def _fastener(build: "Build", item: str, count: int, shown: Shown) -> str:
    found = build.stock.item(item)
    size = f" ({shown.size(found.diameter, found.length)})" if isinstance(found, Fastener) else ""
    return f"{count}{TIMES}{clean(item)}{size}"


def _check(check: "Check", shown: Shown) -> str:
    """What is measured, in words."""
    values = f" {' and '.join(shown.length(v) for v in check.values)}" if check.values else ""
    what = clean(check.of)
    of = f" of {what}" if what else ""
    said = CHECKS[check.kind].format(of=of, what=what or "it", values=values, within=WITHIN[shown.unit])
    return said[0].upper() + said[1:]
