"""The pictures of all sheets as one PDF, a page each, to print and hang at the machine."""

import json
from collections.abc import Sequence
from typing import Any

from exporters.cnc.picture import FONT
from model.lengths import LengthUnit

PAPER = {"mm": "a4", "in": "us-letter"}
PRINTED = "Libertinus Serif"
"""A font that typst brings along, so that the pages are the same on every system."""
TEMPLATE = b"""
#let d = json(bytes(sys.inputs.data))
#set document(title: d.title, date: none)
#set page(paper: d.paper, flipped: true, margin: 0mm)
#for picture in d.pictures {
  image(bytes(picture), format: "svg", width: 100%, height: 100%, fit: "contain")
}
"""


def pages(pictures: Sequence[str], title: str, lengths: LengthUnit) -> bytes:
    """The PDF of some SVG pictures, on A4 or US letter."""
    import typst

    data = {
        "title": title,
        "paper": PAPER[lengths],
        "pictures": [picture.replace(f'font-family="{FONT}"', f'font-family="{PRINTED}"') for picture in pictures],
    }
    made: Any = typst.compile(
        TEMPLATE,
        format="pdf",
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=True)},
        timestamp=0,
    )
    return made
