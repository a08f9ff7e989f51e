"""From the data of a booklet to its pages: set by typst with its own fonts."""

import json
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from exporters.cutting_pages import TEMPLATE as SAW_PAGES

HERE = Path(__file__).parent
MAIN, DATA, SAW = "booklet.typ", "booklet.json", "saw_pages.typ"


@dataclass(frozen=True)
class Gathered:
    """All that stands in a booklet: plain values, those of the saw's pages, and pictures by the name they go by."""

    data: dict[str, Any]
    saw: dict[str, Any]
    pictures: dict[str, bytes]


def pdf(what: Gathered) -> bytes:
    """The pages, fonts inside, no date."""
    import typst

    files = {path.name: path.read_bytes() for path in sorted(HERE.glob("*.typ"))}
    files[SAW] = SAW_PAGES.read_bytes()
    files[DATA] = _json(what.data).encode()
    with TemporaryDirectory() as folder:  # typst takes pictures from files alone
        root = Path(folder)
        for name, content in (files | what.pictures).items():
            (root / name).write_bytes(content)
        made: Any = typst.compile(
            root / MAIN,
            root=root,
            format="pdf",
            ignore_system_fonts=True,
            sys_inputs={"data": _json(what.saw)},
            timestamp=0,
        )
    return bytes(made)


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=True)
