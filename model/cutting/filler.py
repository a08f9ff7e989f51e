"""A plain filler of sheets and lengths, the last resort where the solver gives no answer: always whole, seldom best."""

from collections.abc import Sequence

from model.cutting.packing import Bed, Leaf, Rect, Tree, joined
from model.tolerances import rounded


def shelves(rects: Sequence[Rect], bed: Bed, kerf: float) -> list[Tree] | None:
    """Strips across each sheet, the widest parts first, each part in the first strip that holds it.

    Next-best of its kind: first fit by decreasing width (Coffman, Garey, Johnson and Tarjan, 1980). None where a part
    is larger than the sheet.
    """
    lying = [_lying(rect, bed) for rect in rects]
    if any(way is None for way in lying):
        return None
    pieces = [
        (Leaf(i, way[2]), way[0], way[1])
        for i, way in enumerate(lying)
        if way is not None
        for _ in range(rects[i].copies)
    ]
    pieces.sort(key=lambda p: (-p[2], -p[1], p[0].index))
    sheets: list[tuple[float, list[_Strip]]] = []
    for leaf, along, across in pieces:
        if any(strip.take(leaf, along, across, kerf) for _, strips in sheets for strip in strips):
            continue
        for n, (used, strips) in enumerate(sheets):
            if rounded(used + kerf + across) <= bed.across:
                strips.append(_Strip(bed.along, across, leaf, along))
                sheets[n] = (used + kerf + across, strips)
                break
        else:
            sheets.append((across, [_Strip(bed.along, across, leaf, along)]))
    return [tree for _, strips in sheets if (tree := joined("rip", [s.tree for s in strips])) is not None]


class _Strip:
    """A strip that is being filled."""

    def __init__(self, length: float, across: float, leaf: Leaf, along: float) -> None:
        self._length, self._across, self._used, self._leaves = length, across, along, [leaf]

    def take(self, leaf: Leaf, along: float, across: float, kerf: float) -> bool:
        if across > self._across or rounded(self._used + kerf + along) > self._length:
            return False
        self._used += kerf + along
        self._leaves.append(leaf)
        return True

    @property
    def tree(self) -> Tree:
        tree = joined("cross", self._leaves)
        assert tree is not None
        return tree


def _lying(rect: Rect, bed: Bed) -> tuple[float, float, bool] | None:
    """How a part lies: as it is, else turned where it may be."""
    if rect.along <= bed.along and rect.across <= bed.across:
        return rect.along, rect.across, False
    if rect.turns and rect.across <= bed.along and rect.along <= bed.across:
        return rect.across, rect.along, True
    return None


def bars(pieces: Sequence[tuple[float, int]], length: float, kerf: float) -> list[tuple[int, ...]] | None:
    """Pieces on equal lengths, the longest first, each on the first that holds it; None where one is longer."""
    if any(size > length for size, _ in pieces):
        return None
    filled: list[tuple[float, list[int]]] = []
    for i in sorted((i for i, (_, n) in enumerate(pieces) for _ in range(n)), key=lambda i: (-pieces[i][0], i)):
        size = pieces[i][0]
        for n, (used, places) in enumerate(filled):
            if rounded(used + kerf + size) <= length:
                filled[n] = (used + kerf + size, [*places, i])
                break
        else:
            filled.append((size, [i]))
    return [tuple(places) for _, places in filled]
