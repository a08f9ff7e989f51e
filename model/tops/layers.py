"""What thickens a top from below: a whole second layer, or strips of the same sheet where it shows or is carried."""

import itertools
from collections.abc import Sequence

from model.draft import Draft, Panel
from model.messages import mm
from model.shapes import Box
from model.site import Unbuildable
from model.stock.tables import Sheet
from model.tolerances import rounded
from model.tops.edges import lies_against

Span = tuple[float, float]


def second_layer(
    draft: Draft, sheet: Sheet, span: Span, y: Span, seams: Sequence[float], upper: Sequence[Panel]
) -> list[Panel]:
    """The lower of two layers, z from 0, glued and screwed to the upper."""
    names = ["second layer"] if not seams else [f"second layer piece {i + 1}" for i in range(len(seams) + 1)]
    ends = [span[0], *seams, span[1]]
    made = [
        draft.sheet(name, Box((a, y[0], 0.0), (b, y[1], sheet.thickness)), sheet, "x", "+z", "second layer")
        for name, a, b in zip(names, ends, ends[1:], strict=False)
    ]
    _glue(draft, made, upper)
    return made


def build_up_strips(
    draft: Draft,
    sheet: Sheet,
    width: float,
    span: Span,
    y: Span,
    joints: Sequence[float],
    units: Sequence[Span],
    upper: Sequence[Panel],
) -> list[Panel]:
    """Strips along the front and the rear, and across at both ends, over the sides of units and under the seams."""
    if y[1] - y[0] < 3 * width or span[1] - span[0] < 3 * width:
        raise Unbuildable(
            f"strips {mm(width)} wide leave nothing between them under a top {mm(y[1] - y[0])} deep",
            "make",
            "build_up",
        )
    t = sheet.thickness
    made: list[Panel] = []
    ends = [span[0], *joints, span[1]]
    for label, ys in (("front", (y[0], y[0] + width)), ("rear", (y[1] - width, y[1]))):
        for i, (a, b) in enumerate(itertools.pairwise(ends)):
            name = f"{label} strip" if len(ends) == 2 else f"{label} strip {i + 1}"
            box = Box((a, ys[0], 0.0), (b, ys[1], t))
            made.append(draft.sheet(name, box, sheet, "x", "+z", "build-up strip"))
    seams = [p.box.hi[0] for p in upper[:-1]]
    inner = (y[0] + width, y[1] - width)
    for i, (a, b) in enumerate(_across(span, width, units, seams), 1):
        box = Box((a, inner[0], 0.0), (b, inner[1], t))
        made.append(draft.sheet(f"cross strip {i}", box, sheet, "y", "+z", "build-up strip"))
    _glue(draft, made, upper)
    return made


def _across(span: Span, width: float, units: Sequence[Span], seams: Sequence[float]) -> list[Span]:
    """Where strips lie across: at the ends, centred on the ends of units and on seams; what overlaps is one strip."""
    middles = sorted({*seams, *(x for unit in units for x in unit)})
    wanted = [(span[0], span[0] + width), *((m - width / 2, m + width / 2) for m in middles)]
    wanted = sorted([*wanted, (span[1] - width, span[1])])
    merged: list[Span] = []
    for a, b in wanted:
        a, b = max(a, span[0]), min(b, span[1])
        if b - a <= 0:
            continue
        if merged and a <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], b))
        else:
            merged.append((a, b))
    return [(rounded(a), rounded(b)) for a, b in merged]


def _glue(draft: Draft, lower: Sequence[Panel], upper: Sequence[Panel]) -> None:
    for panel in lower:
        for over in upper:
            if lies_against(panel.box, over.box):
                draft.join("glued", panel, over)
