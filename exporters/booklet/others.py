"""What the booklet takes from other exporters: drawings as pages, steps of the assembly, pictures."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from exporters.booklet.show import clean
from model.shapes import Vec

if TYPE_CHECKING:
    from exporters.booklet.cutouts import Ruled
    from exporters.drawings.display import Sheet
    from model.assembly.steps import Step
    from model.build import Build

COVER = (960, 616)
"""Pixels of the picture on the cover."""
STEP = (672, 448)
"""Pixels of the picture of a step."""

LISTED = "Parts"
"""The heading of the table of parts on the sheet of a unit, and of its continuations."""
TOLD = "Face A up"
"""The note on faces and edges: how drawings are read is told once."""

WITH_ALL = ("wall", "place")
"""Stages whose pictures show all of the room that stands already."""


@dataclass(frozen=True)
class Page:
    """One drawing: its name as a file, its title, its size (mm), the scale as it is written, the drawing as SVG, and
    what is written with it: notes, and tables under their headings."""

    name: str
    title: str
    paper: tuple[float, float]
    scale: str
    svg: bytes
    notes: tuple[str, ...] = ()
    tables: "tuple[Ruled, ...]" = ()


def room_pages(build: "Build") -> Iterator[Page]:
    """The plan of the room and the elevation of each wall."""
    from exporters.drawings.sets import wall_sheets

    yield from map(_page, wall_sheets(build))


def unit_pages(build: "Build") -> Iterator[Page]:
    """The drawings of each unit; its parts are listed elsewhere."""
    from exporters.drawings.sets import unit_sheets

    for page in map(_page, unit_sheets(build)):
        yield replace(page, tables=tuple(t for t in page.tables if not t.heading.startswith(LISTED)))


def part_pages(build: "Build") -> Iterator[Page]:
    """A drawing of each distinct panel and board."""
    from exporters.drawings.sets import part_sheets

    for page in map(_page, part_sheets(build)):
        yield replace(page, notes=tuple(note for note in page.notes if not note.startswith(TOLD)))


def _page(sheet: "Sheet") -> Page:
    from exporters.booklet.cutouts import cutout
    from exporters.drawings.standards import shown_scale
    from exporters.drawings.svg import svg

    cut = cutout(sheet)
    scale = shown_scale(sheet.scale, sheet.lengths)
    return Page(sheet.name, sheet.title, cut.sheet.paper, scale, svg(cut.sheet), cut.notes, cut.tables)


def steps_of(build: "Build") -> "tuple[Step, ...]":
    """The whole work, step by step."""
    from model.assembly.installation import assembly

    return assembly(build).steps


def cover_picture(build: "Build") -> bytes:
    """The whole room's units as PNG, lit coarsely: the booklet is made in seconds."""
    from exporters.pictures.render import Quality, picture, png

    coarse = Quality(layers=3, around=20, key=1, room_map=512, key_map=1024)
    return png(picture(build, "wall", COVER, quality=coarse))


def step_pictures(build: "Build", steps: "tuple[Step, ...]") -> dict[int, bytes]:
    """A PNG for each step, by its number."""
    from exporters.pictures.steps import Studio

    with Studio(build, STEP, trimmed=True) as studio:
        return {s.number: studio.picture(*shown_in(s), names(build, s)) for s in steps if s.shown or s.new}


def shown_in(step: "Step") -> tuple[tuple[str, ...], tuple[str, ...], Mapping[str, Vec], float]:
    """What a picture of a step shows: what is new, what is there, which way each new part goes, from how far off."""
    new = step.shown or step.new
    if step.times == 1:  # what was made before and moves now is as new to the eye
        new = tuple(dict.fromkeys((*new, *(path for move in step.moves for path in move.parts))))
    there = step.there
    if step.where == "site" and step.stage not in WITH_ALL:  # what goes into one unit is seen best in that alone
        there = tuple(path for path in there if path.startswith(f"{step.unit}/"))
    ways = {path: move.direction for move in step.moves for path in move.parts if path in new and move.away > 0}
    away = max((move.away for move in step.moves if ways.keys() & set(move.parts)), default=0.0)
    return new, there, ways, away


def names(build: "Build", step: "Step") -> dict[str, str]:
    """What is built already and goes to its place as one thing is called: a unit by its code, a drawer by its name,
    anything else by the mark of its largest part."""
    found: dict[str, str] = {}
    for move in step.moves:
        if len(move.parts) > 1 and not set(move.parts) & set(step.new):
            found |= dict.fromkeys(move.parts, clean(_called(build, step, move.parts)))
    return found


def _called(build: "Build", step: "Step", parts: tuple[str, ...]) -> str:
    plan = build.plan
    if step.stage == "frame":
        return "face frame"
    if step.stage == "place":
        return next(u.code for u in plan.units if u.name == step.unit)
    moving = sorted((m for m in plan.motions if set(parts) <= set(m.parts)), key=lambda m: (len(m.parts), m.name))
    if moving:
        return moving[0].name.partition("/")[2] or moving[0].name
    placed = [plan.by_path[path] for path in parts]
    return plan.marks[max(placed, key=lambda p: (math.prod(p.part.size), p.path)).part]
