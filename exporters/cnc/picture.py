"""A sheet as a picture (SVG, A4 across) for the person at the machine: what lies where, and the order of work."""

import html
import math
from collections import Counter
from collections.abc import Iterator, Mapping
from itertools import pairwise

from exporters.cnc import layers
from exporters.cnc.figures import Figure, Vertex, plain_text
from exporters.cnc.layers import Step
from exporters.cnc.sheet import Named, SheetWork
from model.cnc import Cnc
from model.cutting.laid import CutSheet, Laid, Spare
from model.lengths import LengthUnit, show_length, show_number

PAGE = (297.0, 210.0)
"""mm. A4 across (ISO 216)."""
FIELD = (10.0, 24.0, 200.0, 140.0)
"""mm on the page: left, top, width and height of where the sheet is drawn."""
LIST_X, LIST_WIDTH, EDGE = 216.0, 71.0, 10.0
FONT = "DejaVu Sans, Verdana, Arial, sans-serif"
WIDE = 0.62
"""Width of a letter over its height, on the generous side."""
LINES = {
    Step.BORE: ("#0a6e8a", "#d5eef5"),
    Step.COUNTERSINK: ("#8a2be2", "none"),
    Step.CHANNEL: ("#2c7a2c", "#cfe8cf"),
    Step.OPENING: ("#b02020", "#ffffff"),
    Step.OUTLINE: ("#b02020", "#f3e6cf"),
}
"""Line and filling of what is cut, by step."""
TAB = "#e08000"


def picture(
    sheet: CutSheet, work: SheetWork, parts: Mapping[str, Named], cnc: Cnc, of: int, lengths: LengthUnit
) -> str:
    """The SVG of a sheet, one of `of` sheets of its material; lengths in the unit of the project."""
    scale = min(FIELD[2] / sheet.sheet.length, FIELD[3] / sheet.sheet.width)
    body = [*_head(sheet, of, lengths), *_drawn(sheet, work, scale)]
    for piece in sheet.pieces:
        body += _label(piece, parts[piece.mark], sheet, scale, lengths)
    for spare in sheet.offcuts:
        body.append(_keep(spare, sheet, scale, lengths))
    body += _list(sheet, parts, work, lengths)
    body += _order(work, cnc, FIELD[1] + sheet.sheet.width * scale + 9)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(PAGE[0])}mm" height="{_n(PAGE[1])}mm" '
        f'viewBox="0 0 {_n(PAGE[0])} {_n(PAGE[1])}" font-family="{FONT}">\n'
        f'<rect width="{_n(PAGE[0])}" height="{_n(PAGE[1])}" fill="#ffffff"/>\n' + "\n".join(body) + "\n</svg>\n"
    )


def _n(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")


def _text(x: float, y: float, size: float, words: str, more: str = "") -> str:
    safe = html.escape(plain_text(words), quote=False)
    return f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(size)}" {more}>{safe}</text>'


def _fitted(words: str, size: float, width: float) -> str:
    """The words cut off where they would leave the width."""
    most = max(4, int(width / (size * WIDE)))
    return words if len(words) <= most else f"{words[: most - 3]}..."


def _head(sheet: CutSheet, of: int, lengths: LengthUnit) -> Iterator[str]:
    size = f"{show_length(sheet.sheet.length, lengths)} x {show_length(sheet.sheet.width, lengths)}"
    source = f"offcut {sheet.sheet.offcut}" if sheet.sheet.offcut else "new sheet"
    yield _text(EDGE, 14, 6, _fitted(f"{sheet.material}, sheet {sheet.number} of {of}", 6, 200), 'font-weight="bold"')
    words = f"{size}, {source}; {len(sheet.pieces)} parts, all face A up; {sheet.used:.0%} of the sheet used"
    yield _text(EDGE, 20, 3.4, _fitted(words, 3.4, 200))


def _page(sheet: CutSheet, x: float, y: float, scale: float) -> tuple[float, float]:
    """A point of the sheet on the page."""
    return FIELD[0] + x * scale, FIELD[1] + (sheet.sheet.width - y) * scale


def _drawn(sheet: CutSheet, work: SheetWork, scale: float) -> Iterator[str]:
    """The figures in a group of their own, in mm of the sheet, y upward."""
    x, y = _page(sheet, 0, 0, scale)
    yield f'<g transform="translate({_n(x)} {_n(y)}) scale({scale:.6f} {-scale:.6f})" stroke-linejoin="round">'
    pen = 0.18 / scale
    ordered = sorted(work.figures, key=lambda f: (f.layer.step is Step.NOTE, -f.layer.step, f))
    for figure in ordered:  # outlines first: they are filled
        if figure.kind == "loop" and figure.layer.cut:
            line, fill = LINES[figure.layer.step]
            yield f'<path d="{_path(figure.vertices)}" fill="{fill}" stroke="{line}" stroke-width="{_n(pen)}"/>'
        elif figure.kind == "circle":
            line, fill = LINES[figure.layer.step]
            u, v, _ = figure.vertices[0]
            seen = max(figure.size, 0.45 / scale)
            yield (
                f'<circle cx="{_n(u)}" cy="{_n(v)}" r="{_n(seen)}" fill="{fill}" stroke="{line}" '
                f'stroke-width="{_n(pen)}"/>'
            )
        elif figure.kind == "loop" and figure.layer != layers.GRAIN:  # the arrow of a label is drawn with it
            yield from _noted(figure, pen)
    for spare in sheet.offcuts:
        yield (
            f'<rect x="{_n(spare.x)}" y="{_n(spare.y)}" width="{_n(spare.along)}" height="{_n(spare.across)}" '
            f'fill="#eef2f6" stroke="#7a8a99" stroke-width="{_n(pen)}" stroke-dasharray="{_n(8 * pen)}"/>'
        )
    yield "</g>"


def _noted(figure: Figure, pen: float) -> Iterator[str]:
    """What is not cut: the sheet and its margin as lines, tabs filled, edge work thin."""
    if _is_tab(figure):
        yield f'<path d="{_path(figure.vertices)}" fill="{TAB}" stroke="{TAB}" stroke-width="{_n(3 * pen)}"/>'
        return
    whole = figure.layer == layers.SHEET
    dashes = "" if whole else f' stroke-dasharray="{_n(5 * pen)} {_n(4 * pen)}"'
    thick = 2.5 * pen if whole else pen
    yield f'<path d="{_path(figure.vertices)}" fill="none" stroke="#777777" stroke-width="{_n(thick)}"{dashes}/>'


def _is_tab(figure: Figure) -> bool:
    return figure.layer.words.startswith("note tab")


def _path(vertices: tuple[Vertex, ...]) -> str:
    """Lines and arcs: an arc of bulge b over a chord c has the radius c (1 + b^2) / 4 b (DXF reference)."""
    steps = [f"M{_n(vertices[0][0])} {_n(vertices[0][1])}"]
    for (x0, y0, bulge), (x, y, _) in pairwise((*vertices, vertices[0])):
        if bulge:
            radius = math.dist((x0, y0), (x, y)) * (1 + bulge**2) / (4 * abs(bulge))
            steps.append(f"A{_n(radius)} {_n(radius)} 0 {int(abs(bulge) > 1)} {int(bulge > 0)} {_n(x)} {_n(y)}")
        else:
            steps.append(f"L{_n(x)} {_n(y)}")
    return "".join(steps) + "Z"


def _label(piece: Laid, named: Named, sheet: CutSheet, scale: float, lengths: LengthUnit) -> Iterator[str]:
    """Mark, and where there is room name and size, along the longer side of the piece."""
    along, across = piece.along * scale, piece.across * scale
    upright = across > along
    if upright:
        along, across = across, along
    sizes = f"{show_number(named.part.length, lengths)} x {show_number(named.part.width, lengths)}"
    size = min(5.0, across * 0.55, along / (len(piece.mark) * WIDE + 0.4))
    x, y = _page(sheet, piece.x + piece.along / 2, piece.y + piece.across / 2, scale)
    small = min(2.6, size * 0.6)
    lines = [(named.mark, size)]
    for words in (_fitted(named.name, small, along - 1) if along > 14 else "", sizes):
        room = across - sum(s for _, s in lines) * 1.25 > small * 1.3
        if words and room and len(words) * small * WIDE <= along:
            lines.append((words, small))
    down = -sum(s for _, s in lines) * 0.6
    turn = f' transform="rotate(-90 {_n(x)} {_n(y)})"' if upright else ""
    if named.part.grain == "length" and across > 10 and (piece.across if piece.turned else piece.along) * scale > 16:
        upward = f' transform="rotate(-90 {_n(x)} {_n(y)})"' if piece.turned else ""
        yield _grain(x, y, across / 2 - 1.6, upward)
    for words, s in lines:
        down += s
        bold = ' font-weight="bold"' if words == named.mark else ""
        halo = 'text-anchor="middle" stroke="#ffffff" stroke-width="0.6" paint-order="stroke"'
        yield _text(x, y + down, s, words, f"{halo}{bold}{turn}")
        down += 0.2 * s


def _keep(spare: Spare, sheet: CutSheet, scale: float, lengths: LengthUnit) -> str:
    """The size of what is left, along its longer side."""
    words = f"offcut {show_number(spare.along, lengths)} x {show_number(spare.across, lengths)}"
    long, short = sorted((spare.along * scale, spare.across * scale), reverse=True)
    size = min(3.4, short * 0.6, long / (len(words) * WIDE))
    x, y = _page(sheet, spare.x + spare.along / 2, spare.y + spare.across / 2, scale)
    upright = f' transform="rotate(-90 {_n(x)} {_n(y)})"' if spare.across > spare.along else ""
    return _text(x, y, size, words, f'text-anchor="middle" fill="#566573"{upright}')


def _grain(x: float, y: float, below: float, turn: str) -> str:
    """A small arrow along the grain, with two heads, some way below a point."""
    y += below
    heads = f"M{_n(x - 5)} {_n(y - 0.8)}L{_n(x - 7)} {_n(y)}L{_n(x - 5)} {_n(y + 0.8)}"
    heads += f"M{_n(x + 5)} {_n(y - 0.8)}L{_n(x + 7)} {_n(y)}L{_n(x + 5)} {_n(y + 0.8)}"
    return f'<path d="{heads}M{_n(x - 7)} {_n(y)}H{_n(x + 7)}" fill="none" stroke="#777777" stroke-width="0.25"{turn}/>'


def _list(sheet: CutSheet, parts: Mapping[str, Named], work: SheetWork, lengths: LengthUnit) -> Iterator[str]:
    """Every mark of the sheet: how many, its name, its size, and a second setup."""
    counts = Counter(piece.mark for piece in sheet.pieces)
    step = min(4.2, (PAGE[1] - 2 * EDGE - 14) / max(len(counts), 1))
    size = step * 0.62
    yield _text(LIST_X, 14, 4, "Parts", 'font-weight="bold"')
    for row, (mark, count) in enumerate(sorted(counts.items())):
        part, y = parts[mark].part, 20 + row * step
        dims = f"{show_number(part.length, lengths)} x {show_number(part.width, lengths)}"
        more = ", then face B" if mark in work.second else ""
        yield _text(LIST_X, y, size, f"{count} x {mark}", 'font-weight="bold"')
        yield _text(LIST_X + 10.5 * size * WIDE, y, size, _fitted(parts[mark].name + more, size, 24 * size * WIDE))
        yield _text(LIST_X + LIST_WIDTH, y, size, dims, 'text-anchor="end"')


def _order(work: SheetWork, cnc: Cnc, top: float) -> Iterator[str]:
    """What is cut, in order, below `top`: each layer with how many figures it has."""
    counts = Counter(f.layer for f in work.figures if f.layer.cut)
    yield _text(EDGE, top, 4, "Order of work", 'font-weight="bold"')
    per = 5
    size = 2.9 if len(counts) <= 3 * per else 2.2
    for k, (layer, count) in enumerate(sorted(counts.items())):
        x, y = EDGE + (k // per) * 68, top + 5.5 + (k % per) * 4.2
        line, fill = LINES[layer.step]
        yield _swatch(x, y, fill, line)
        yield _text(x + 4, y, size, f"{k + 1}. {layer.name(cnc.version)}: {count}")
    bridges = Counter(f.layer.words.removeprefix("note ") for f in work.figures if _is_tab(f))
    y = top + 5.5 + min(per, len(counts)) * 4.2
    for words, count in sorted(bridges.items()):
        told = f"{count} x {words}: the tool rises over each; outlines from the smallest part to the largest"
        yield _swatch(EDGE, y, TAB, TAB)
        yield _text(EDGE + 4, y, 2.9, told)


def _swatch(x: float, y: float, fill: str, line: str) -> str:
    where = f'x="{_n(x)}" y="{_n(y - 2.2)}" width="2.6" height="2.6"'
    return f'<rect {where} fill="{fill}" stroke="{line}" stroke-width="0.3"/>'
