"""A second reader of DXF drawings: group codes and values, nothing else, and what a person reads off a sheet.

It knows no library of the exporters: pairs of lines after the DXF reference, lengths parsed by the project's own rules
for what people write.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from model.lengths import parse_length

Unit = Literal["mm", "in"]
NEAR = 1e-4
"""In the drawing's own unit."""


@dataclass(frozen=True)
class Entity:
    """One entity: its type, and every group code with its values in order."""

    kind: str
    codes: dict[int, list[str]]

    def text(self, code: int) -> str:
        return self.codes[code][0]

    def number(self, code: int) -> float:
        return float(self.codes[code][0])

    def point(self, code: int) -> tuple[float, float]:
        return self.number(code), self.number(code + 10)

    @property
    def layer(self) -> str:
        return self.text(8)


@dataclass(frozen=True)
class Dimension:
    """A DIMENSION as it is read: from `a` to `b` along x or y, its line at `base` across, what it says."""

    a: float
    b: float
    base: float
    upright: bool
    says: str
    foot: tuple[float, float]
    """Its first point."""

    @property
    def length(self) -> float:
        return abs(self.b - self.a)


class Drawing:
    """A file as it is read."""

    def __init__(self, content: bytes) -> None:
        lines = content.decode("utf-8").splitlines()
        codes, values = lines[::2], lines[1::2]
        self.sections: dict[str, list[tuple[int, str]]] = {}
        start = 0
        for i, value in enumerate(values):
            if value == "SECTION" and int(codes[i]) == 0:
                start = i + 1
            elif value == "ENDSEC" and int(codes[i]) == 0 and values[start] in ("HEADER", "BLOCKS", "ENTITIES"):
                # the first pair names the section
                told = zip(map(int, codes[start:i]), values[start:i], strict=True)
                self.sections[values[start]] = list(told)
        self.entities = [e for e in _entities(self.sections["ENTITIES"]) if e.codes.get(67, ["0"])[0].strip() != "1"]
        self.blocks = _blocks(self.sections["BLOCKS"])

    def header(self, name: str) -> str:
        pairs = self.sections["HEADER"]
        return pairs[pairs.index((9, name)) + 1][1].strip()

    @property
    def unit(self) -> Unit:
        return {"4": "mm", "1": "in"}[self.header("$INSUNITS")]  # type: ignore[return-value]

    def of(self, kind: str) -> list[Entity]:
        return [e for e in self.entities if e.kind == kind]

    def dimensions(self) -> list[Dimension]:
        found = []
        for e in self.of("DIMENSION"):
            upright = abs(float(e.codes.get(50, ["0"])[0]) - 90) < NEAR
            a, b, base = e.point(13), e.point(14), e.point(10)
            said = e.codes.get(1, [""])[0]
            length = abs(b[upright] - a[upright])
            if said in ("", "<>"):
                said = f"{round(length, 1):.1f}".removesuffix(".0")
            found.append(Dimension(a[upright], b[upright], base[1 - upright], upright, said, a))
        return found

    def everything(self) -> Iterator[Entity]:
        """The entities, those of dimensions' own blocks among them."""
        for e in self.entities:
            if e.kind == "DIMENSION":
                yield from self.blocks[e.text(2)]
            else:
                yield e

    def texts(self) -> list[Entity]:
        return [e for e in self.everything() if e.kind == "TEXT"]

    def table(self, heading: str) -> list[dict[str, str]]:
        """The rows of a table, and of its continuation, by the words over its columns."""
        rows: list[dict[str, str]] = []
        texts = self.texts()
        for head in (t for t in texts if t.text(1) in (heading, f"{heading}, continued")):
            x0, y0 = head.point(11)
            rows += _rows(texts, x0, y0, head.number(40))
        return rows


def _rows(texts: list[Entity], x0: float, y0: float, height: float) -> list[dict[str, str]]:
    """The rows under a heading: texts whose left ends stand under the words of the line next under it."""
    under = [t for t in texts if t.layer in ("TABLES", "TEXT") and t.point(11)[1] < y0 - NEAR and t.point(11)[0] >= x0]
    first = [t for t in under if t.point(11)[0] - x0 < height * 0.3]
    if not first:
        return []
    y1 = max(t.point(11)[1] for t in first)
    pitch = y0 - y1
    line = sorted((t.point(11)[0], t.text(1)) for t in under if abs(t.point(11)[1] - y1) < NEAR)
    words = [line[0]]
    for x, word in line[1:]:  # the words over the columns stand no farther apart than a table is wide
        if word == words[0][1]:
            break
        words.append((x, word))
    rows: list[dict[str, str]] = []
    while True:
        y = y1 - pitch * (len(rows) + 1)
        row = {
            word: t.text(1)
            for x, word in words
            for t in under
            if abs(t.point(11)[1] - y) < NEAR * 10 and abs(t.point(11)[0] - x) < NEAR * 10 and t.layer == "TABLES"
        }
        if not row:
            return rows
        rows.append({word: row.get(word, "") for _, word in words})


def _entities(pairs: list[tuple[int, str]]) -> list[Entity]:
    found: list[Entity] = []
    for code, value in pairs:
        if code == 0:
            found.append(Entity(value.strip(), {}))
        elif found:
            found[-1].codes.setdefault(code, []).append(value if code == 1 else value.strip())
    return [e for e in found if e.kind != "ENDSEC"]


def _blocks(pairs: list[tuple[int, str]]) -> dict[str, list[Entity]]:
    blocks: dict[str, list[Entity]] = {}
    name = ""
    for e in _entities(pairs):
        if e.kind == "BLOCK":
            name = e.text(2)
            blocks[name] = []
        elif e.kind != "ENDBLK":
            blocks[name].append(e)
    return blocks


def chains(dimensions: list[Dimension]) -> list[list[Dimension]]:
    """Dimensions on one line, each beginning where the last ends."""
    found: list[list[Dimension]] = []
    key = lambda d: (d.upright, round(d.base, 3), d.a)  # noqa: E731 - one rule, one place
    for d in sorted(dimensions, key=key):
        last = found[-1][-1] if found else None
        if last and last.upright == d.upright and abs(last.base - d.base) < NEAR and abs(last.b - d.a) < NEAR:
            found[-1].append(d)
        else:
            found.append([d])
    return found


def boxes(drawing: Drawing) -> "list[Box]":
    """Each text with the box its letters fill."""
    back = {"0": 0.0, "4": 0.5, "1": 0.5, "2": 1.0}
    return [
        letters(
            t.text(1), t.point(11), t.number(40), back[t.codes.get(72, ["0"])[0]],
            abs(float(t.codes.get(50, ["0"])[0]) - 90) < NEAR,
        )
        for t in drawing.texts()
    ]  # fmt: skip


def letters(said: str, at: tuple[float, float], height: float, back: float, upright: bool) -> "Box":
    """The box of a line of text whose middle line begins `back` of its width before `at`.

    0.826 heights a letter, as wide as DejaVu Sans Mono (ISO 3098's type B is narrower); 0.3 heights below the line.
    """
    width = 0.826 * height * len(said)
    x, y = at
    if upright:
        return said, (x - height * 0.5, y - back * width, x + height * 0.8, y + (1 - back) * width)
    return said, (x - back * width, y - height * 0.8, x + (1 - back) * width, y + height * 0.5)


Box = tuple[str, tuple[float, float, float, float]]


def overlaps(found: list[Box], slack: float = 0.05) -> list[tuple[str, str]]:
    """Pairs of texts in each other's boxes, by more than `slack` heights of the lower."""
    pairs = []
    rects = sorted(found, key=lambda b: b[1][0])
    for i, (a, ra) in enumerate(rects):
        for b, rb in rects[i + 1 :]:
            if rb[0] > ra[2]:
                break
            least = slack * min(ra[3] - ra[1], rb[3] - rb[1])
            if all(min(ra[k + 2], rb[k + 2]) - max(ra[k], rb[k]) > least for k in (0, 1)):
                pairs.append((a, b))
    return pairs


def length(said: str, unit: Unit) -> float:
    """A length as it is written, mm."""
    return parse_length(said, unit)


def span(said: str, count: int, unit: Unit) -> list[float]:
    """Places as a table tells them: one, or `a .. b` with so many evenly between."""
    ends = [length(s, unit) for s in said.split("..")]
    if len(ends) == 1:
        return ends * count
    return [ends[0] + (ends[1] - ends[0]) * i / (count - 1) for i in range(count)]


def first_number(said: str, unit: Unit) -> float:
    """The length after `dia` or `radius`."""
    found = re.match(r"(?:dia|radius) ([0-9 /.]+)", said)
    assert found, said
    return length(found[1].strip(), unit)


def crossings(drawing: Drawing) -> list[tuple[Dimension, tuple[float, ...]]]:
    """Lines of dimensions that run through a line that is seen: straight across it, not where they only meet."""
    seen = [
        (*e.point(10), *e.point(11)) for e in drawing.entities if e.kind == "LINE" and e.layer in ("VISIBLE", "CUT")
    ]
    found = []
    for d in drawing.dimensions():
        for x0, y0, x1, y1 in seen:
            p, q = ((y0, y1), (x0, x1)) if d.upright else ((x0, x1), (y0, y1))
            # the visible line crosses the level of the dimension line between its ends
            if (q[0] - d.base) * (q[1] - d.base) < -NEAR:
                at = p[0] + (p[1] - p[0]) * (d.base - q[0]) / (q[1] - q[0])
                if min(d.a, d.b) + NEAR < at < max(d.a, d.b) - NEAR:
                    found.append((d, (x0, y0, x1, y1)))
    return found


def evenly(values: list[float]) -> bool:
    """Whether values in order keep one distance."""
    steps = [b - a for a, b in pairwise(values)]
    return not steps or max(steps) - min(steps) < NEAR
