"""The whole content of a booklet, gathered chapter by chapter."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from exporters.booklet import aside, checking, front, others, site, steps, tables
from exporters.booklet.show import Shown, clean
from exporters.booklet.typesetting import Gathered
from exporters.booklet.words import NO_FINDINGS, PAPERS, Paper
from exporters.cutting_pages import UNITS, page_data
from model.checks import run

if TYPE_CHECKING:
    from exporters.booklet.others import Page
    from model.assembly.steps import Step
    from model.build import Build

COVER = "cover.png"


def gathered(build: "Build", paper: Paper | None = None) -> Gathered:
    """Everything the templates are given."""
    shown = Shown(build.plan.lengths)
    chosen = PAPERS[paper or ("a4" if shown.unit == "mm" else "letter")]
    every = others.steps_of(build)
    with aside.begun(build, every) as made:
        files: dict[str, bytes] = {}
        data: dict[str, Any] = {
            "paper": chosen,
            "title": clean(build.plan.title),
            "unit": shown.unit,
            "inwords": UNITS[shown.unit],
            "cover": front.cover(build, shown),
            "reading": front.reading(build),
            "safety": front.safety(build, shown),
            "cautions": front.cautions(build),
            "findings": tables.by_severity(tables.findings(build, run(build))),
            "nothing": NO_FINDINGS,
            "buying": tables.buying(build, shown),
            "parts": tables.parts(build, shown),
            "installation": site.installation(build, shown),
            "wiring": site.wiring(build, shown),
            "finishing": site.finishing(build, shown),
            "sheet": checking.check_sheet(build, shown),
            "units": _drawn(others.unit_pages(build), files),
            "drawings": _drawn(others.part_pages(build), files),
        }
        saw = page_data(build, build.cutting) | {"paper": chosen}
        drawn = made()
    data["room"] = _drawn(drawn.room, files)
    if drawn.cover:
        files[COVER] = drawn.cover
    data |= {"picture": COVER if drawn.cover else "", **_steps(build, every, shown, drawn.steps, files)}
    return Gathered(data, saw, files)


def _drawn(pages: "Iterable[Page]", pictures: dict[str, bytes]) -> list[dict[str, Any]]:
    """Drawings by the name of their file; the pictures are put with the others."""
    found: list[dict[str, Any]] = []
    for page in pages:
        name = f"drawing-{len(pictures):03d}.svg"
        pictures[name] = page.svg
        found.append(
            {
                "title": clean(page.title),
                "mark": page.name.removeprefix("part-"),
                "file": name,
                "paper": page.paper,
                "scale": page.scale,
                "notes": [clean(note) for note in page.notes],
                "tables": [
                    {"heading": clean(t.heading), "rows": [[clean(cell) for cell in row] for row in t.rows]}
                    for t in page.tables
                ],
            }
        )
    return found


def _steps(
    build: "Build", every: "Sequence[Step]", shown: Shown, drawn: dict[int, bytes], pictures: dict[str, bytes]
) -> dict[str, Any]:
    """The chapters at the bench and in the room, with a picture for each step."""
    found = {where: steps.chapters(build, (s for s in every if s.where == where), shown) for where in ("bench", "site")}
    for chapter in (c for chapters in found.values() for c in chapters):
        for step in chapter["steps"]:
            if step["number"] in drawn:
                step["picture"] = steps.picture_name(step["number"])
                pictures[step["picture"]] = drawn[step["number"]]
    return found
