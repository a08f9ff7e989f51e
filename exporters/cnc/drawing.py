"""Figures as a DXF file: R2010 or R12, model space 1:1 in millimetres, closed polylines, circles and text alone.

Dates and identifiers in the file are fixed ones (2000-01-01), so that the same figures always give the same bytes.
"""

import io
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from exporters.cnc.figures import Figure
from exporters.cnc.layers import COLOURS
from model.cnc import Version

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

MILLIMETRES = 4
"""$INSUNITS (DXF reference; R12 knows no units)."""


def drawing(figures: Iterable[Figure], size: tuple[float, float], version: Version = "R2010") -> "Drawing":
    """The document of some figures that lie in a rectangle of that size at the origin, drawn in their order."""
    from ezdxf.document import Drawing

    drawn = tuple(figures)
    with fixed_dates():
        doc = Drawing.new(version)
    if version != "R12":
        doc.units = MILLIMETRES
        doc.header["$MEASUREMENT"] = 1
    extents = (0.0, 0.0, 0.0), (*size, 0.0)
    doc.header["$EXTMIN"], doc.header["$EXTMAX"] = extents
    for layer in sorted({f.layer for f in drawn}):
        entry = doc.layers.add(layer.name(version), color=COLOURS[layer.step])
        if version != "R12":
            entry.description = layer.told
            entry.dxf.plot = int(layer.cut)
    space = doc.modelspace()
    for figure in drawn:
        _draw(space, figure, version)
    space.reset_extents(*extents)
    doc.set_modelspace_vport(height=size[1] * 1.1, center=(size[0] / 2, size[1] / 2))
    return doc


def _draw(space: "Modelspace", figure: Figure, version: Version) -> None:
    from ezdxf.enums import TextEntityAlignment

    on = {"layer": figure.layer.name(version)}
    x, y, _ = figure.vertices[0]
    if figure.kind == "circle":
        space.add_circle((x, y), figure.size, dxfattribs=on)
    elif figure.kind == "loop":
        if version == "R12":
            space.add_polyline2d(figure.vertices, format="xyb", close=True, dxfattribs=on)
        else:
            space.add_lwpolyline(figure.vertices, format="xyb", close=True, dxfattribs=on)
    else:
        align = TextEntityAlignment.MIDDLE_CENTER if figure.kind == "text" else TextEntityAlignment.LEFT
        text = space.add_text(figure.text, height=figure.size, rotation=figure.turn, dxfattribs=on)
        text.set_placement((x, y), align=align)


@contextmanager
def fixed_dates() -> Iterator[None]:
    """Dates and identifiers of ezdxf held fixed meanwhile."""
    import ezdxf

    options = ezdxf.options  # pyright: ignore[reportPrivateImportUsage]
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def dxf_bytes(doc: "Drawing") -> bytes:
    """The file of a drawing: the same bytes on every day and every system."""
    text = io.StringIO()
    classes = doc.classes
    classes.add_required_classes(doc.dxfversion)  # ezdxf adds them in the order of a set: sort them first
    classes.classes = dict(sorted(classes.classes.items()))
    with fixed_dates():
        doc.write(text)
    return text.getvalue().encode(doc.output_encoding, errors="dxfreplace")
