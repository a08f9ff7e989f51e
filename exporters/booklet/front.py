"""The first chapters: cover, how to read it, safety."""

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from exporters.booklet import words
from exporters.booklet.show import Shown, clean
from model.bill import weight
from model.handling.niosh import LOAD

if TYPE_CHECKING:
    from model.build import Build

_INVENTED = re.compile(r"\binvented\b", re.IGNORECASE)


def cover(build: "Build", shown: Shown) -> dict[str, Any]:
    """Title, note and facts; whether the project says that it is invented."""
    plan, said = build.plan, build.inputs.project.value
    room = build.inputs.room.value
    pieces = list(plan.walk())
    walls = dict.fromkeys(build.stands_at.values())
    sizes = {w.name: w.wall.width for w in build.walls}
    facts = [
        ("Units", str(len(plan.units))),
        ("Parts", f"{len(pieces)}, of {len(plan.marks)} kinds"),
        ("Weight", shown.mass(sum(weight(p.part, build.stock) for p in pieces))),
        ("Walls", ", ".join(f"{clean(name)} {shown.length(sizes[name])}" for name in walls)),
        ("Room height", shown.length(build.ceiling)),
    ]
    notes = [clean(note) for note in (said.note, room.note) if note]
    invented = any(_INVENTED.search(note) for note in notes) or build.stock.prices.invented
    return {
        "title": clean(plan.title),
        "notes": notes,
        "facts": facts,
        "units": words.UNITS[plan.lengths],
        "invented": "The room, the prices or other figures of this project are invented: an example, not a record."
        if invented
        else "",
    }


def reading(build: "Build") -> dict[str, Any]:
    """How the booklet is read: rules, lines, layers, and the codes of the units."""
    return {
        "rules": [*words.READING[:1], ("Units", words.UNITS[build.plan.lengths]), *words.READING[1:]],
        "lines": words.LINES,
        "layers": words.LAYERS,
        "codes": [(u.code, clean(u.name), u.kind, clean(build.stands_at[u.name])) for u in build.plan.units],
        "example": _example(build),
    }


def _example(build: "Build") -> str:
    """A sheet part with a grain, whose mark stands in the picture that explains marks."""
    for p in build.plan.walk():
        if p.part.kind == "sheet" and p.part.grain == "length":
            return build.plan.marks[p.part]
    return next(iter(build.plan.marks.values()), "B1-01")


def safety(build: "Build", shown: Shown) -> dict[str, Any]:
    """Rules that fit the project, and what each unit weighs."""
    heavy = "23 kg" if shown.unit == "mm" else "51 lb"
    return {
        "rules": [(title, [line.format(heavy=heavy) for line in lines]) for title, lines in _rules(build)],
        "weights": [
            (u.code, clean(u.name), shown.mass(kg), "2 or more" if kg > LOAD else "1")
            for u in build.plan.units
            for kg in [sum(weight(p.part, build.stock) for p in u.parts)]
        ],
    }


def cautions(build: "Build") -> dict[str, list[str]]:
    """What to look out for, by chapter."""
    found = {chapter: list(lines) for chapter, lines in words.CAUTIONS.items()}
    if _has_bed(build):
        found["installation"].append(words.BED_CAUTION)
    return found


def _has_bed(build: "Build") -> bool:
    return any(p.role in ("gas spring", "mattress") for p in build.plan.walk())


def _rules(build: "Build") -> Iterator[tuple[str, tuple[str, ...]]]:
    roles = {p.role for p in build.plan.walk()}
    yield from words.SAFETY
    if roles & {"light", "driver", "grommet"} or any(w.wall.outlets for w in build.walls):
        yield words.WIRING_SAFETY
    if _has_bed(build):
        yield words.BED_SAFETY
    finish = build.inputs.project.value.finish
    if any(finish.of(group) for group in type(finish).model_fields):
        yield words.FINISH_SAFETY
