"""A label for every panel and board, `labels.pdf`: mark, name, unit, size, material, grain, edge bands, QR of the mark.

The part is drawn from above, face A up, its length level: an arrow along the grain, banded edges thick. Labels stand in
the order of the plan on a sheet of labels as the project names it. The same plan gives the same bytes.
"""

import io
import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from exporters.lists.parts import bands_in_words
from exporters.lists.table import clean
from model.labels import PAPERS, LabelOptions
from model.lengths import show_number
from model.machining import banded_edges
from model.plan import Plan

if TYPE_CHECKING:
    from model.build import Build

TEMPLATE = Path(__file__).with_name("labels.typ")
LABELLED = ("sheet", "board")
"""Kinds of part that get a label: a band is told on that of its panel, hardware comes in its own box."""


def write(build: "Build", out: Path) -> list[Path]:
    """Write `labels.pdf` below `out`; nothing where there is no panel or board."""
    options: LabelOptions = build.inputs.project.value.labels
    data = label_data(build.plan, options)
    if not data["parts"]:
        return []
    path = out / "labels.pdf"
    path.write_bytes(pdf(data))
    return [path]


def pdf(data: dict[str, Any]) -> bytes:
    """The sheets of labels set by typst with its own fonts."""
    import typst

    made: Any = typst.compile(
        TEMPLATE.read_bytes(),
        format="pdf",
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=True)},
        timestamp=0,
    )
    return bytes(made)


def label_data(plan: Plan, options: LabelOptions) -> dict[str, Any]:
    """Everything the template is given; sizes in mm, places from the upper left corner of the sheet."""
    grid = options.sheet(plan.lengths)
    parts = list(_labels(plan))
    return {
        "title": clean(plan.title),
        "page": PAPERS[grid.paper],
        "label": (grid.width, grid.height),
        "gap": (grid.gap, grid.gap_down),
        "start": grid.start,
        "across": grid.across,
        "down": grid.down,
        "skip": options.skip % (grid.across * grid.down),
        "codes": {mark: qr_svg(mark) for mark in dict.fromkeys(p["mark"] for p in parts)},
        "parts": parts,
    }


def _labels(plan: Plan) -> Iterator[dict[str, Any]]:
    """What stands on each label, one for each physical part."""
    total = Counter(p.part for p in plan.walk())
    banded = banded_edges(plan)
    seen: Counter[str] = Counter()
    for unit in plan.units:
        for placed in unit.parts:
            part = placed.part
            if part.kind not in LABELLED:
                continue
            mark, bands = plan.marks[part], banded.get(placed.path, ())
            seen[mark] += 1
            sizes = " x ".join(show_number(value, plan.lengths) for value in part.size)
            yield {
                "mark": mark,
                "count": f"{seen[mark]} of {total[part]}" if total[part] > 1 else "",
                "name": clean(placed.path.removeprefix(f"{unit.name}/")),
                "unit": clean(unit.name),
                "size": f"{sizes} {plan.lengths}",
                "material": clean(part.material),
                "length": part.length,
                "width": part.width,
                "grain": part.grain == "length",
                "bands": [face for face, _, _ in bands],
                "banded": clean(bands_in_words(bands)),
            }


def qr_svg(text: str) -> str:
    """A QR code (ISO/IEC 18004) as SVG, its quiet zone of four modules around it."""
    import segno

    out = io.BytesIO()
    segno.make_qr(text, error="m").save(out, kind="svg", border=4, xmldecl=False, svgns=True, nl=False)
    return out.getvalue().decode("utf-8")
