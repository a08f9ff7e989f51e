"""A sheet as DXF R2010.

Everything lies in model space in true size, 1:1, in the project's unit ($INSUNITS 4 or 1), the frame and the letters
round it enlarged by the sheet's scale: so lengths can be measured in any reader, and nothing depends on a reader's
viewports. A paper-space layout of the true paper shows the same at its scale, ready to print.

Dimensions are DIMENSION entities of a style of their own, each with its own block: what is seen is drawn here, the same
in every reader; what they measure is read from their points. Their text is written out where it is a fraction of an
inch, or where rounding makes a chain add up.
"""

import math
from typing import TYPE_CHECKING, cast

from exporters.cnc.drawing import dxf_bytes, fixed_dates
from exporters.drawings.display import Dimension, Hatch, Item, Path, Round, Sheet, Solid, Text
from exporters.drawings.entities import Written, arc, circle, line, polyline, text
from exporters.drawings.standards import DASHES, GAP, LETTERS, PAST, PENS, TICK
from model.lengths import MM_PER_INCH, show_number
from model.shapes import Point2

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfgfx import DXFGraphic
    from ezdxf.layouts.base import BaseLayout
    from ezdxf.layouts.layout import Paperspace

STYLE = "LETTERS"
FONT = "isocp.shx"
"""Lettering of ISO 3098 that CAD programs bring along."""
DIMENSIONS = "SHEET"
LINE_TYPES = {"dashed": "HIDDEN2", "chain": "CENTER2"}
"""Names that readers know which take a line type by its name and not by its pattern."""


def dxf(sheet: Sheet) -> bytes:
    """The file of a sheet."""
    return dxf_bytes(document(sheet))


def document(sheet: Sheet) -> "Drawing":
    """The sheet as a DXF document, to be written and not to be worked on."""
    import ezdxf

    metric = sheet.lengths == "mm"
    factor = sheet.scale / (1.0 if metric else MM_PER_INCH)
    with fixed_dates():
        doc = ezdxf.new("R2010", units=4 if metric else 1)  # pyright: ignore[reportPrivateImportUsage]
    doc.header["$MEASUREMENT"] = 1 if metric else 0
    doc.header["$LUNITS"] = 2 if metric else 5
    doc.header["$LTSCALE"] = factor
    _tables(doc, factor, metric)
    space = doc.modelspace()
    writer = _Writer(doc, space, factor, sheet)
    for item in sheet.items:
        writer.add(item)
    _lay_out(doc, sheet, factor)
    return doc


def _tables(doc: "Drawing", factor: float, metric: bool) -> None:
    for name, lengths in DASHES.items():
        signed = [v if i % 2 == 0 else -v for i, v in enumerate(lengths)]
        doc.linetypes.add(LINE_TYPES[name], pattern=[sum(lengths), *signed], description=f"{name} (ISO 128-2)")
    for name, pen in PENS.items():
        line = LINE_TYPES.get(pen.line, "CONTINUOUS")
        layer = doc.layers.add(name, color=pen.colour, linetype=line, lineweight=round(pen.width * 100))
        layer.description = pen.holds
    doc.styles.add(STYLE, font=FONT)
    said: dict[str, float] = {
        "dimscale": factor,
        "dimtxt": LETTERS,
        "dimtsz": TICK,
        "dimasz": 2 * TICK,
        "dimexo": GAP,
        "dimexe": PAST,
        "dimgap": 0.9,
        "dimtad": 1,
        "dimtih": 0,
        "dimtoh": 0,
        "dimlfac": 1.0,
        "dimlunit": 2 if metric else 5,
        "dimdec": 1 if metric else 5,
        "dimrnd": 0.0,
        "dimzin": 8 if metric else 0,
        "dimfrac": 2,
        "dimdsep": ord("."),
    }
    style = doc.dimstyles.add(DIMENSIONS)
    style.dxf.dimtxsty = STYLE
    for name, value in said.items():
        style.dxf.set(name, value)
        doc.header[f"${name.upper()}"] = value  # what new dimensions take, and some readers all of them
    doc.header["$DIMTXSTY"], doc.header["$DIMSTYLE"] = STYLE, DIMENSIONS


class _Writer:
    """Adds items to model space, from paper to true size."""

    def __init__(self, doc: "Drawing", space: "BaseLayout", factor: float, sheet: Sheet) -> None:
        self.doc, self.space, self.factor, self.sheet = doc, space, factor, sheet

    def at(self, p: Point2) -> tuple[float, float]:
        return (round(p[0] * self.factor, 9) + 0.0, round(p[1] * self.factor, 9) + 0.0)

    def add(self, item: Item, space: "BaseLayout | None" = None) -> None:
        space = self.space if space is None else space  # a block without anything in it counts as nothing
        match item:
            case Solid(layer, points):
                filled = space.add_hatch(dxfattribs={"layer": layer, "color": 256})
                filled.paths.add_polyline_path([self.at(p) for p in points], is_closed=True)
            case Hatch():
                self._hatch(item, space)
            case Dimension():
                self._dimension(item)
            case _:
                written = self._written(item, self.doc.entitydb.next_handle(), space.layout_key)
                space.entity_space.entities.append(cast("DXFGraphic", written))

    def _written(self, item: Path | Round | Text, handle: str, owner: str) -> Written:
        match item:
            case Path(layer, points, closed) if len(points) == 2 and not closed:
                return line(handle, owner, layer, self.at(points[0]), self.at(points[1]))
            case Path(layer, points, closed):
                return polyline(handle, owner, layer, [self.at(p) for p in points], closed)
            case Round(layer, middle, r) if item.whole:
                return circle(handle, owner, layer, self.at(middle), r * self.factor)
            case Round(layer, middle, r, a, b):
                return arc(handle, owner, layer, self.at(middle), r * self.factor, (a, b))
            case Text(layer, at, said, height, anchor, upright):
                size = height * self.factor
                return text(handle, owner, layer, self.at(at), said, size, anchor, upright, STYLE)

    def _hatch(self, item: Hatch, space: "BaseLayout") -> None:
        hatch = space.add_hatch(dxfattribs={"layer": item.layer})
        angle = math.radians(item.angle)
        gap = item.gap * self.factor
        start = (-math.sin(angle) * gap / 2, math.cos(angle) * gap / 2)
        step = (-math.sin(angle) * gap, math.cos(angle) * gap)
        hatch.set_pattern_fill("SECTION", definition=[[item.angle, start, step, []]], style=0)
        for loop in item.loops:
            hatch.paths.add_polyline_path([self.at(p) for p in loop], is_closed=True)

    def _dimension(self, item: Dimension) -> None:
        block = self.doc.blocks.new_anonymous_block(type_char="D")
        for part in item.items:
            self.add(part, block)
        length = abs(item.b[item.upright] - item.a[item.upright]) * self.sheet.scale
        unit = self.sheet.lengths
        plain = unit == "mm" and show_number(length, unit) == item.text
        override = self.space.add_linear_dim(
            base=self.at(item.base), p1=self.at(item.a), p2=self.at(item.b), angle=90 if item.upright else 0,
            text="<>" if plain else item.text, dimstyle=DIMENSIONS, dxfattribs={"layer": "DIMENSIONS"},
        )  # fmt: skip
        dimension = override.dimension
        dimension.dxf.geometry = block.name
        words = item.items[-1]
        if isinstance(words, Text) and words.upright != item.upright:  # square to its line
            dimension.dxf.text_rotation = 90.0 if words.upright else 0.0
        dimension.dxf.text_midpoint = (*self.at(item.middle), 0.0)
        dimension.dxf.dimtype = dimension.dxf.dimtype | 32 | 128  # its own block, its text where we put it
        dimension.dxf.actual_measurement = round(length * self.factor / self.sheet.scale, 9)


def _lay_out(doc: "Drawing", sheet: Sheet, factor: float) -> None:
    """The extents, what a reader first shows, and the sheet in paper space."""
    width, height = sheet.paper
    far = (width * factor, height * factor)
    middle = (far[0] / 2, far[1] / 2)
    doc.header["$EXTMIN"], doc.header["$EXTMAX"] = (0.0, 0.0, 0.0), (*far, 0.0)
    doc.modelspace().reset_extents((0, 0, 0), (*far, 0))
    doc.set_modelspace_vport(height=far[1] * 1.05, center=middle)
    layout = cast("Paperspace", doc.layout("Layout1"))
    layout.page_setup(size=(width, height), margins=(0, 0, 0, 0), units="mm")
    layout.add_viewport(
        center=(width / 2, height / 2), size=(width, height), view_center_point=middle, view_height=far[1],
        status=2, dxfattribs={"layer": "FRAME"},
    )  # fmt: skip
