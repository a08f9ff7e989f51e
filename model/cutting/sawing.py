"""From parts side by side on a sheet to the cuts that free them, in an order a person can follow.

The sheet is trimmed first: its lower edge, then its left one. Then stage by stage: all rips of the strips, all
crosscuts of the strips, all rips of those pieces, and a last cut to size. The piece in hand lies with its lower or left
edge against the fence; wide settings come before narrow ones in every piece and, over all pieces, in every stage, so
that each setting is made once in a stage. What is left of a piece lies at its upper or right end.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from model.cutting.laid import CutSheet, Edge, Laid, SawCut, Spare, StockSheet, Way
from model.tolerances import rounded

FIT = 0.05
"""mm. A piece that is nearer to its size than this is finished: no saw takes off less."""
SETTING = 1
"""Decimals (mm) to which settings count as the same."""
ACROSS: dict[Way, Way] = {"rip": "cross", "cross": "rip"}


@dataclass(frozen=True, slots=True)
class Item:
    """A part as it lies: sizes along and across the sheet."""

    mark: str
    along: float
    across: float
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """Pieces side by side, parted by cuts of one way."""

    way: Way
    members: tuple["Node", ...]


Node = Item | Group


def extent(node: Node, kerf: float) -> tuple[float, float]:
    """The least piece that holds a node, along and across (mm)."""
    if isinstance(node, Item):
        return node.along, node.across
    sizes = [extent(m, kerf) for m in node.members]
    i = 0 if node.way == "cross" else 1
    stacked, widest = sum(s[i] for s in sizes) + kerf * (len(sizes) - 1), max(s[1 - i] for s in sizes)
    return (stacked, widest) if i == 0 else (widest, stacked)


@dataclass(frozen=True, slots=True)
class _Hand:
    """A piece on the saw: what it holds and its corners on the sheet."""

    name: str
    node: Node
    lo: tuple[float, float]
    hi: tuple[float, float]

    def size(self, i: int) -> float:
        return rounded(self.hi[i] - self.lo[i])

    @property
    def finished(self) -> bool:
        if not isinstance(self.node, Item):
            return False
        return _near(self.size(0), self.node.along) and _near(self.size(1), self.node.across)

    def part(self, i: int, a: float, b: float) -> "_Hand":
        """What of it lies between two places of axis i."""
        lo, hi = list(self.lo), list(self.hi)
        lo[i], hi[i] = rounded(a), rounded(b)
        return replace(self, lo=(lo[0], lo[1]), hi=(hi[0], hi[1]))


@dataclass(slots=True)
class _Stage:
    """What a stage gives: cuts in the order of the pieces, what goes on to the next, what is done and what is left."""

    cuts: list[SawCut] = field(default_factory=list)
    on: list[_Hand] = field(default_factory=list)
    done: list[_Hand] = field(default_factory=list)
    rest: list[_Hand] = field(default_factory=list)

    def put(self, hand: _Hand) -> None:
        (self.done if hand.finished else self.on).append(hand)


def saw(sheet: StockSheet, number: int, node: Node, *, trim: float, kerf: float, keep: tuple[float, float]) -> CutSheet:
    """The sheet cut into its parts. `keep` is the least size of an offcut worth keeping, longer way first (mm).

    Raises ValueError where the parts do not fit on the trimmed sheet.
    """
    need = extent(node, kerf)
    if need[0] > sheet.length - 2 * trim + FIT or need[1] > sheet.width - 2 * trim + FIT:
        raise ValueError(f"{need[0]:g} x {need[1]:g} mm of parts on a sheet of {sheet.length:g} x {sheet.width:g}")
    cuts = _trims(sheet, trim)
    hands = [_Hand("sheet", node, (trim, trim), (sheet.length, sheet.width))]
    done: list[_Hand] = [h for h in hands if h.finished]
    rest: list[_Hand] = []
    hands = [h for h in hands if not h.finished]
    way: Way = node.way if isinstance(node, Group) else "rip"
    level = 1
    while hands:
        stage = _Stage()
        for hand in hands:
            _part(hand, way, level, kerf, stage)
        order = sorted(range(len(stage.cuts)), key=lambda i: (-round(stage.cuts[i].fence, SETTING), i))
        cuts.extend(stage.cuts[i] for i in order)
        done.extend(stage.done)
        rest.extend(stage.rest)
        hands, way, level = stage.on, ACROSS[way], level + 1
    return CutSheet(
        material=sheet.material,
        number=number,
        sheet=sheet,
        trim=trim,
        gap=kerf,
        pieces=tuple(sorted(map(_laid, done), key=lambda p: (p.y, p.x, p.mark))),
        cuts=tuple(replace(cut, number=i) for i, cut in enumerate(cuts, 1)),
        offcuts=tuple(spares([(r.lo, r.hi) for r in rest], sheet, trim, keep)),
    )


def spares(
    corners: Iterable[tuple[tuple[float, float], tuple[float, float]]],
    sheet: StockSheet,
    trim: float,
    keep: tuple[float, float],
) -> list[Spare]:
    """The rectangles large enough to keep, less the untrimmed edges of the sheet; the largest first."""
    found: list[Spare] = []
    for lo, hi in corners:
        along = rounded(min(hi[0], sheet.length - trim) - lo[0])
        across = rounded(min(hi[1], sheet.width - trim) - lo[1])
        if max(along, across) >= keep[0] and min(along, across) >= keep[1]:
            found.append(Spare(rounded(lo[0]), rounded(lo[1]), along, across))
    return sorted(found, key=lambda s: (-s.along * s.across, s.y, s.x))


def _trims(sheet: StockSheet, trim: float) -> list[SawCut]:
    """The two edges everything else is measured from; the other two fall off with what is left of the pieces."""
    if trim <= 0:
        return []
    ripped = SawCut(
        1, 0, "rip", rounded(sheet.width - trim), trim, 0.0, sheet.length, piece="sheet", against="upper", gives="sheet"
    )
    crossed = SawCut(
        2, 0, "cross", rounded(sheet.length - trim), trim, trim, sheet.width,
        piece="sheet", against="right", gives="sheet",
    )  # fmt: skip
    return [ripped, crossed]


def _part(hand: _Hand, way: Way, level: int, kerf: float, stage: _Stage) -> None:
    """Cut one piece: members apart, the widest first, the rest off."""
    i = 1 if way == "rip" else 0
    together = isinstance(hand.node, Group) and hand.node.way == way
    members = hand.node.members if isinstance(hand.node, Group) and together else (hand.node,)
    sizes = {id(m): extent(m, kerf) for m in members}
    ordered = sorted(members, key=lambda m: (-round(sizes[id(m)][i], SETTING), -sizes[id(m)][1 - i], _first(m)))
    against: Edge = "lower" if way == "rip" else "left"
    at, named, own = hand.lo[i], 0, len(stage.cuts)
    for member in ordered:
        size = sizes[id(member)][i]
        end = rounded(at + size)
        if end > hand.hi[i] + FIT:
            raise ValueError(f"{_first(member)} ends at {end:g} mm of a piece that ends at {hand.hi[i]:g}")
        if _near(hand.hi[i] - at, size):
            last = replace(hand.part(i, at, hand.hi[i]), node=member)
            if last.finished and len(stage.cuts) > own:
                cut = stage.cuts[-1]
                stage.cuts[-1] = replace(cut, marks=(*cut.marks, _first(member)))
            stage.put(last)
            return
        off = replace(hand.part(i, at, end), node=member)
        if off.finished:
            off = replace(off, name=_first(member))
        elif len(members) > 1 or level == 1:
            off = replace(off, name=_name(hand.name, level, named))
            named += 1
        marks = (off.name,) if off.finished else ()
        stage.cuts.append(
            SawCut(
                0, level, way, rounded(size), end, hand.lo[1 - i], hand.hi[1 - i], hand.name, against, off.name, marks
            )
        )
        stage.put(off)
        at = rounded(end + kerf)
    if hand.hi[i] - at > FIT:
        stage.rest.append(hand.part(i, at, hand.hi[i]))


def _near(size: float, wanted: float) -> bool:
    return abs(rounded(size - wanted)) <= FIT


def _name(parent: str, level: int, count: int) -> str:
    """Strips are S1, S2, their pieces S1a, S1b, those of these S1a1, S1a2: none looks like the mark of a part."""
    if level == 1:
        return f"S{count + 1}"
    return f"{parent}{_letters(count)}" if level % 2 == 0 else f"{parent}{count + 1}"


def _letters(count: int) -> str:
    found = ""
    count += 1
    while count:
        count, digit = divmod(count - 1, 26)
        found = chr(ord("a") + digit) + found
    return found


def _first(node: Node) -> str:
    return node.mark if isinstance(node, Item) else _first(node.members[0])


def _laid(hand: _Hand) -> Laid:
    item = hand.node
    assert isinstance(item, Item)
    return Laid(item.mark, hand.lo[0], hand.lo[1], item.along, item.across, item.turned)
