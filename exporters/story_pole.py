"""A story pole for each unit at 1:1: `story-poles/<unit>.pdf`, in strips to glue end to end, and `<unit>.dxf` whole.

A slip beside it tells the setting blocks for slides and the gaps between fronts.
All heights of the unit are on it, from its lower end: what is level in the case (full lines), the edges of fronts
(dashed), the middles of slides, pins, hinges and pulls (dotted). Print at 100 % and measure the line at the foot of the
page. The DXF file (R2010, mm) has the pole from (0, 0) up, each kind of mark on a layer of its own.
"""

from pathlib import Path
from typing import TYPE_CHECKING

from exporters import strips
from exporters.cnc.figures import plain_text
from exporters.filenames import file_stems
from exporters.lists.table import clean
from exporters.strips import APART, Line, Strip
from model.lengths import LengthUnit, show_length, show_number
from model.story_pole import COLUMNS, Column, Mark, Pole, poles, spread

if TYPE_CHECKING:
    from model.build import Build

LONG: dict[Column, float] = {"case": 18.0, "fronts": 13.0, "fittings": 8.0}
"""mm. How far a mark reaches across the pole."""
POLE = 40.0
"""mm. Width of a pole in its DXF file."""


def write(build: "Build", out: Path) -> list[Path]:
    """Write the poles of all units below `out`."""
    plan = build.plan
    found = poles(plan)
    stems = file_stems(pole.unit for pole in found)
    folder = out / "story-poles"
    paths: list[Path] = []
    for pole in found:
        folder.mkdir(parents=True, exist_ok=True)
        paths += [folder / f"{stems[pole.unit]}.pdf", folder / f"{stems[pole.unit]}.dxf"]
        paths[-2].write_bytes(pdf(pole, plan.lengths))
        paths[-1].write_bytes(dxf(pole, plan.lengths))
    return paths


def pdf(pole: Pole, lengths: LengthUnit) -> bytes:
    """The pages of a pole."""
    made = [strip(pole), *([setting_blocks(pole, lengths)] if pole.blocks else [])]
    return strips.pdf(f"{pole.code} {pole.unit}", told(pole, lengths), made, lengths)


def setting_blocks(pole: Pole, lengths: LengthUnit) -> Strip:
    """The lengths of the setting blocks, on a slip of their own."""
    notes = tuple(f"{show_length(block.length, lengths)}: {block.what}" for block in pole.blocks)
    head = ("Setting blocks", "Cut one for the topmost slide, use it on both sides, cut it down for the next.")
    return Strip(strips.NOTE * (len(notes) + 4), (), head, ("", ""), None, notes)


def strip(pole: Pole) -> Strip:
    """The pole as a strip."""
    return Strip(pole.length, tuple(Line(m.height, LONG[m.column], m.column, m.what) for m in pole.marks))


def told(pole: Pole, lengths: LengthUnit) -> str:
    """What stands under the title."""
    words = f"Story pole, {show_length(pole.length, lengths)} from its lower end"
    if pole.over_floor >= 1:
        words += f", which is {show_length(pole.over_floor, lengths)} above the floor"
    if pole.length > strips.tile_length(lengths, head=False):
        words += "; strips to glue end to end along the thin lines"
    return words + ". Full lines: case. Dashed: fronts. Dotted: middles of fittings."


def dxf(pole: Pole, lengths: LengthUnit) -> bytes:
    """The pole as a drawing in mm: its outline, a line at each height and the words beside it."""
    from ezdxf.document import Drawing

    from exporters.cnc.drawing import MILLIMETRES, dxf_bytes, fixed_dates

    with fixed_dates():
        doc = Drawing.new("R2010")
    doc.units = MILLIMETRES
    for i, name in enumerate(("pole", *COLUMNS, "words"), 1):
        doc.layers.add(name, color=i)
    space = doc.modelspace()
    outline = ((0, 0), (POLE, 0), (POLE, pole.length), (0, pole.length))
    space.add_lwpolyline(outline, close=True, dxfattribs={"layer": "pole"})
    words = spread((m.height for m in pole.marks), 0.0, pole.length, APART)
    for mark, word in zip(pole.marks, words, strict=True):
        space.add_line((0, mark.height), (POLE, mark.height), dxfattribs={"layer": mark.column})
        text = space.add_text(_told(mark, lengths), height=2.0, dxfattribs={"layer": "words"})
        text.set_placement((POLE + 3, word - 1.0))
    return dxf_bytes(doc)


def _told(mark: Mark, lengths: LengthUnit) -> str:
    """The words of a mark as DXF text."""
    return f"{show_number(mark.height, lengths)} {plain_text(clean(mark.what))}"
