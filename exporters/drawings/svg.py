"""A sheet as SVG, and as PDF made of it by typst: one drawing, one set of lines and letters."""

import math
from typing import Any, cast
from xml.sax.saxutils import escape

from exporters.drawings.display import Hatch, Path, Round, Sheet, Solid, Text, simple
from exporters.drawings.hatching import strokes
from exporters.drawings.standards import DASHES, PENS
from model.shapes import Point2

FONT = "DejaVu Sans Mono"
"""It comes with typst, so that a PDF has it inside."""
EM = 1 / 0.729
"""Size of the font for capitals 1 mm high."""


def svg(sheet: Sheet) -> bytes:
    """The sheet in true size, layers as groups."""
    width, height = sheet.paper
    layers: dict[str, list[str]] = {name: [] for name in PENS}
    for item in simple(sheet.items):
        layers[item.layer].append(_drawn(item, height))
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}mm" height="{_n(height)}mm" '
        f'viewBox="0 0 {_n(width)} {_n(height)}">\n<title>{escape(sheet.title)}</title>\n'
        f'<rect width="{_n(width)}" height="{_n(height)}" fill="#fff"/>\n'
    ]
    for name, drawn in layers.items():
        pen = PENS[name]  # pyright: ignore[reportArgumentType]
        dash = f' stroke-dasharray="{" ".join(_n(d) for d in DASHES[pen.line])}"' if pen.line in DASHES else ""
        if drawn:
            out.append(
                f'<g id="{name}" fill="none" stroke="#000" stroke-width="{pen.width}" stroke-linecap="round" '
                f'stroke-linejoin="round"{dash}>\n{"".join(drawn)}</g>\n'
            )
    out.append("</svg>\n")
    return "".join(out).encode()


def _n(value: float) -> str:
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".")


def _drawn(item: Path | Round | Solid | Text | Hatch, height: float) -> str:
    def at(p: Point2) -> str:
        return f"{_n(p[0])} {_n(height - p[1])}"

    match item:
        case Path(_, points, closed):
            return f'<path d="M{"L".join(at(p) for p in points)}{"Z" if closed else ""}"/>\n'
        case Solid(_, points):
            return f'<path d="M{"L".join(at(p) for p in points)}Z" fill="#000" stroke="none"/>\n'
        case Hatch():
            lines = "".join(f"M{at(a)}L{at(b)}" for a, b in strokes(item))
            return f'<path d="{lines}"/>\n' if lines else ""
        case Round(_, (x, y), r) if item.whole:
            return f'<circle cx="{_n(x)}" cy="{_n(height - y)}" r="{_n(r)}"/>\n'
        case Round(_, (x, y), r, a, b):
            ends = [(x + r * math.cos(math.radians(t)), y + r * math.sin(math.radians(t))) for t in (a, b)]
            return f'<path d="M{at(ends[0])}A{_n(r)} {_n(r)} 0 {int(b - a > 180)} 0 {at(ends[1])}"/>\n'
        case Text():
            return _text(item, height)


def _text(item: Text, height: float) -> str:
    x, y = item.at[0], height - item.at[1]
    anchor = {"left": "start", "centre": "middle", "right": "end"}[item.anchor]
    turn = f' transform="rotate(-90 {_n(x)} {_n(y)})"' if item.upright else ""
    return (
        f'<text x="{_n(x)}" y="{_n(y + item.height / 2)}" font-family="{FONT}, monospace" '
        f'font-size="{_n(item.height * EM)}" text-anchor="{anchor}" fill="#000" stroke="none" '
        f'xml:space="preserve"{turn}>{escape(item.text)}</text>\n'
    )


def pdf(pages: list[tuple[Sheet, bytes]], title: str) -> bytes:
    """Sheets as one PDF, letters embedded, no date in it; a bookmark for each."""
    import typst

    files: dict[str, Any] = {}
    source = [f"#set document(title: {_quoted(title)}, date: none)\n#set text(size: 1pt, fill: white)\n"]
    source.append("#set heading(outlined: true, bookmarked: true)\n#show heading: it => none\n")
    for i, (sheet, drawn) in enumerate(pages):
        files[f"{i}.svg"] = drawn
        width, height = (_n(v) for v in sheet.paper)
        source.append(f"#set page(width: {width}mm, height: {height}mm, margin: 0mm)\n")
        source.append(f"#place[#heading(level: 1)[#{_quoted(sheet.title)}]]\n")
        source.append(f'#image("{i}.svg", width: {width}mm, height: {height}mm)\n')
    files["main.typ"] = "".join(source).encode()
    made = typst.compile(cast(Any, files), format="pdf", ignore_system_fonts=True)
    assert isinstance(made, bytes)  # one format, one file
    return made


def _quoted(text: str) -> str:
    """A typst string."""
    inner = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{inner}"'
