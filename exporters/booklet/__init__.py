"""`booklet.pdf`: everything a builder takes to the shop, in one document with bookmarks and links.

Each module here gathers the data of some chapters; `booklet.typ` sets them. Everything shown goes to the pages as data,
so that no name is ever taken for markup. The same plan gives the same bytes on one machine.
"""

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from exporters.booklet.words import Paper
    from model.build import Build


def write(build: "Build", out: Path) -> list[Path]:
    """Write `booklet.pdf` below `out`."""
    path = out / "booklet.pdf"
    path.write_bytes(booklet(build))
    return [path]


def booklet(build: "Build", paper: "Paper | None" = None) -> bytes:
    """The whole booklet as PDF; on A4, or Letter for a project in inches, where no paper is named."""
    from exporters.booklet.document import gathered
    from exporters.booklet.typesetting import pdf

    return pdf(gathered(build, paper))
