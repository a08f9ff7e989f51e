"""What stands on the pages of a cutting plan: pictures of sheets, the order of cuts, lengths; set by typst."""

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from exporters.filenames import file_stems
from model.cutting.laid import CutBoard, CutSheet, CuttingPlan, Laid, SawCut
from model.cutting.sawing import SETTING
from model.lengths import LengthUnit, show_length, show_number

if TYPE_CHECKING:
    from model.build import Build

TEMPLATE = Path(__file__).with_name("cutting_page.typ")
PAPER = {"mm": "a4", "in": "us-letter"}
HABIT = "cut one part, measure it, then cut the rest"
UNITS = {"mm": "mm", "in": "inches"}
TITLES = {
    "rip": "rip, {edge} edge against the fence",
    "cross": "crosscut, {edge} end against the stop",
}
WORDS = {
    "lengths": "Boards and other lengths",
    "how": "Longest pieces first; each is measured from the last cut. The saw cut lies between the pieces.",
    "left": "Longer or wider than anything sold, not cut here:",
}


def compiled(data: dict[str, Any], form: Literal["pdf", "svg", "png"]) -> list[bytes]:
    """The pages set by typst with its own fonts: one file for a PDF, one for each page otherwise."""
    import typst

    made: Any = typst.compile(
        TEMPLATE.read_bytes(),
        format=form,
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=True)},
        timestamp=0,
    )
    return [made] if isinstance(made, bytes) else list(made)


def sheet_stems(sheets: Sequence[CutSheet]) -> list[str]:
    """A file name for each sheet: its material and number."""
    stems = file_stems(s.material for s in sheets)
    return [f"{stems[s.material]}-{s.number:02d}" for s in sheets]


def page_data(build: "Build", plan: CuttingPlan) -> dict[str, Any]:
    """Everything the template is given."""
    pages = _Pages(build)
    counts = Counter(s.material for s in plan.sheets)
    boards = {m: list(them) for m, them in groupby(plan.boards, key=lambda b: b.material)}
    return {
        "title": build.plan.title,
        "paper": PAPER[build.plan.lengths],
        "footer": f"{build.plan.title} · lengths in {UNITS[build.plan.lengths]} · {HABIT}",
        "words": WORDS,
        "sheets": [pages.sheet(s, counts[s.material]) for s in plan.sheets],
        "lengths": [pages.lengths(m, them) for m, them in boards.items()],
        "left": list(plan.left_over),
    }


class _Pages:
    """The names of parts and how lengths are shown in one build."""

    def __init__(self, build: "Build") -> None:
        self._stock = build.stock
        self._unit: LengthUnit = build.plan.lengths
        self._names: dict[str, str] = {}
        for placed in build.plan.walk():
            self._names.setdefault(build.plan.marks[placed.part], placed.name)
        codes = dict.fromkeys(_code(mark) for mark in build.plan.marks.values())
        self._shades = {code: i for i, code in enumerate(codes)}

    def show(self, mm: float) -> str:
        return show_number(mm, self._unit)

    def size(self, a: float, b: float) -> str:
        return f"{self.show(a)} × {self.show(b)}"  # noqa: RUF001

    def price(self, price: float | None) -> list[tuple[str, str]]:
        return [] if price is None else [("price", f"{price:.2f} {self._stock.currency or ''}".strip())]

    def sheet(self, sheet: CutSheet, of: int) -> dict[str, Any]:
        said = self._stock.sheets[sheet.material]
        size = self.size(sheet.sheet.length, sheet.sheet.width)
        facts = [("sheet", f"{size} {self._unit}")]
        facts += [("thickness", show_length(said.thickness, self._unit))]
        facts += [("saw cut", self.show(sheet.gap)), ("trim", self.show(sheet.trim))]
        facts += [("parts", str(len(sheet.pieces))), ("used", f"{sheet.used:.0%}"), *self.price(sheet.sheet.price)]
        if sheet.sheet.offcut:
            facts.insert(0, ("from the rack", sheet.sheet.offcut))
        return {
            "material": sheet.material,
            "which": f"sheet {sheet.number} of {of}",
            "length": sheet.sheet.length,
            "width": sheet.sheet.width,
            "grain": said.grain,
            "facts": facts,
            "upright": not any(c.stage == 1 and c.orientation == "cross" for c in sheet.cuts),
            "legend": "Length along the picture, width up. Hatched: worth keeping. Numbers: the order of the cuts.",
            "pieces": [self._piece(p) for p in sheet.pieces],
            "offcuts": [
                {"x": o.x, "y": o.y, "along": o.along, "across": o.across,
                 "says": ("offcut", self.size(o.along, o.across))}
                for o in sheet.offcuts
            ],
            "cuts": [
                {"number": c.number, "stage": c.stage, "rip": c.orientation == "rip", "at": c.at, "from": c.from_,
                 "to": c.to}
                for c in sheet.cuts
            ],
            "strips": [
                {"rip": c.orientation == "rip", "from": c.at - c.fence, "to": c.at, "says": self.show(c.fence),
                 "name": c.gives if not c.marks else ""}
                for c in sheet.cuts
                if c.stage == 1
            ],
            "rows": list(self._rows(sheet.cuts)),
        }  # fmt: skip

    def _piece(self, p: Laid) -> dict[str, Any]:
        name, size = self._names.get(p.mark, ""), self.size(p.along, p.across)
        ways = ([p.mark, name, size], [p.mark, size], [f"{p.mark} {size}"], [p.mark])
        return {
            "x": p.x, "y": p.y, "along": p.along, "across": p.across, "says": ways,
            "shade": self._shades.get(_code(p.mark), 0),
        }  # fmt: skip

    def _rows(self, cuts: Sequence[SawCut]) -> Iterator[dict[str, Any]]:
        """The cuts stage by stage, those of one setting on one line."""
        for (stage, way, against), some in groupby(cuts, key=lambda c: (c.stage, c.orientation, c.against)):
            title = TITLES[way].format(edge=against)
            rows = [self._row(list(them)) for _, them in groupby(some, key=lambda c: (c.piece != c.gives, _setting(c)))]
            yield {"title": f"Trim: {title}" if stage == 0 else f"Stage {stage}: {title}", "rows": rows}

    def _row(self, cuts: Sequence[SawCut]) -> dict[str, str]:
        first, last = cuts[0].number, cuts[-1].number
        what = "; ".join(_said(list(them)) for _, them in groupby(cuts, key=lambda c: c.piece))
        return {
            "nos": f"{first}" if first == last else f"{first}\u2013{last}",
            "fence": self.show(cuts[0].fence),
            "what": what,
        }

    def lengths(self, material: str, boards: Sequence[CutBoard]) -> dict[str, Any]:
        item = self._stock.item(material)
        metre = not getattr(item, "lengths", ())
        prices = [b.price for b in boards if not b.rack]
        total = None if any(p is None for p in prices) else sum(p or 0.0 for p in prices)
        more = "saw cut" if material not in self._stock.bands else "more for each piece, trimmed flush"
        facts = [*self.price(total), (more, self.show(boards[0].gap))]
        if metre:
            facts.insert(0, ("by the metre", f"{boards[0].length / 1000:.2f} m"))
        longest = max(b.length for b in boards)
        return {
            "material": material,
            "facts": facts,
            "boards": [] if metre else [self._board(b, longest) for b in boards],
            "lines": [self._pieces(b) for b in boards] if metre else [],
        }

    def _board(self, board: CutBoard, longest: float) -> dict[str, Any]:
        length = self.show(board.length)
        return {
            "no": str(board.number),
            "length": board.length,
            "scale": longest,
            "says": f"{board.rack}: {length}" if board.rack else length,
            "offcut": board.offcut,
            "keep": board.offcut >= self._stock.offcut_length,
            "rest": self.show(board.offcut),
            "pieces": [
                {"x": x, "length": size, "shade": self._shades.get(_code(mark), 0),
                 "says": ([mark, self.show(size)], [f"{mark} {self.show(size)}"], [self.show(size)])}
                for mark, x, size in board.pieces
            ],
        }  # fmt: skip

    def _pieces(self, board: CutBoard) -> str:
        counts = Counter((mark, size) for mark, _, size in board.pieces)
        return ", ".join(f"{n} × {mark} {self.show(size)}" for (mark, size), n in counts.items())  # noqa: RUF001


def _code(mark: str) -> str:
    return mark.rsplit("-", 1)[0]


def _setting(cut: SawCut) -> float:
    return round(cut.fence, SETTING)


def _said(cuts: Sequence[SawCut]) -> str:
    """What comes off one piece at one setting."""
    piece = cuts[0].piece
    if cuts[0].gives == piece:
        return f"{piece} trimmed"
    given = Counter(c.gives for c in cuts)
    off = ", ".join(name if n == 1 else f"{n} × {name}" for name, n in given.items())  # noqa: RUF001
    rest = [mark for c in cuts for mark in c.marks if len(c.marks) > 1 or mark != c.gives]
    over = [mark for mark in rest if mark != cuts[-1].gives or len(cuts[-1].marks) > 1][-1:]
    return f"{piece} → {off}" + (f", the rest is {over[0]}" if over else "")
