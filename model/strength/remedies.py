"""What would do: the least thickness, the least front edge and the longest span with which a board holds its limit.

Each is worked out anew as the board itself was, so that what is said has been tried.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from model.stock.tables import Stock
from model.strength.boards import Case, Layer, Sag, assess
from model.strength.limits import Limit
from model.strength.plate import Plate, dish
from model.strength.woods import Wood, wood_of

LEAST_SHARE = 0.2
"""A span shorter than this share of what is planned is no answer."""


@dataclass(frozen=True, slots=True)
class Remedy:
    """One thing that would do: a material and how thick it is or how high on edge (mm), or how long a span; and how
    far the board would sag with it."""

    kind: Literal["thickness", "doubled", "edging", "span"]
    material: str
    size: float
    sag: float


def remedies(case: Case, limit: Limit, years: float, stock: Stock, step: float = 5.0) -> tuple[Remedy, ...]:
    """The smallest of each kind that passes, spans in steps of `step` mm; none of a kind where nothing does."""
    found = [next(_thicker(case, limit, years, stock), None), _doubled(case, limit, years, stock)]
    found += [next(_edged(case, limit, years, stock), None), _shorter(case, limit, years, step)]
    if found[0] and found[1] and found[0].size <= found[1].size:
        found[1] = None
    return tuple(r for r in found if r is not None)


def passing(case: Case, limit: Limit, years: float) -> Sag | None:
    """The board worked out; None where it still sags or breaks."""
    sag = assess(case, limit, years)
    return sag if sag.passes else None


def _materials(case: Case, stock: Stock) -> Iterator[Wood]:
    """What the board could be made of, thinner first: sheets, or boards of no less width for a slat."""
    first = case.layers[0]
    if first.wood.name in stock.boards:
        items = [b for b in stock.boards.values() if b.width >= first.width]
    else:
        items = list(stock.sheets.values())
    for material in sorted((wood_of(i) for i in items), key=lambda w: (w.thickness, w.name)):
        if material.thickness > first.height and material.modulus(first.along) is not None:
            yield material


def _with_first(case: Case, first: Layer) -> Case:
    return replace(case, layers=(first, *case.layers[1:]))


def _thicker(case: Case, limit: Limit, years: float, stock: Stock) -> Iterator[Remedy]:
    for material in _materials(case, stock):
        first = replace(case.layers[0], wood=material, height=material.thickness)
        sag = passing(_with_first(case, first), limit, years)
        if sag:
            yield Remedy("thickness", material.name, material.thickness, sag.value)


def _doubled(case: Case, limit: Limit, years: float, stock: Stock) -> Remedy | None:
    """Two layers of the same sheet, glued."""
    first = case.layers[0]
    if first.wood.name not in stock.sheets:
        return None
    sag = passing(_with_first(case, replace(first, height=2 * first.height)), limit, years)
    return Remedy("doubled", first.wood.name, 2 * first.height, sag.value) if sag else None


def _edged(case: Case, limit: Limit, years: float, stock: Stock) -> Iterator[Remedy]:
    """A board on edge glued to the front edge, level with the upper face, in place of one that is there."""
    first = case.layers[0]
    if first.wood.name not in stock.sheets:
        return
    others = [layer for layer in case.layers[1:] if layer.bond or layer.width < 0 or layer.width >= first.width / 2]
    for board in sorted(stock.boards.values(), key=lambda b: (b.width * b.thickness, b.width, b.name)):
        if max(board.lengths) < case.length or board.width < first.height:
            continue
        edge = Layer(wood_of(board), True, 0.0, case.length, board.thickness, first.height - board.width, board.width)
        sag = passing(replace(case, layers=(first, *others, edge)), limit, years)
        if sag:
            yield Remedy("edging", board.name, board.width, sag.value)


def scaled(case: Case, share: float) -> Case:
    """The same board with everything along it that much closer together; loads by the length stay as they are."""
    return replace(
        case,
        length=case.length * share,
        layers=tuple(replace(layer, lo=layer.lo * share, hi=layer.hi * share) for layer in case.layers),
        bearings=tuple(replace(b, at=b.at * share) for b in case.bearings),
        weights=tuple(replace(w, at=w.at * share, width=w.width * share) for w in case.weights),
    )


def _shorter(case: Case, limit: Limit, years: float, step: float) -> Remedy | None:
    """The longest span that passes, in whole steps; all spans of a row shortened alike."""
    now = assess(case, limit, years)
    span = now.hi - now.lo
    low, high = int(span * LEAST_SHARE / step), int(span / step)
    best: Remedy | None = None
    while low <= high:
        steps = (low + high) // 2
        sag = passing(scaled(case, steps * step / span), limit, years)
        if sag:
            best = Remedy("span", "", steps * step, sag.value)
            low = steps + 1
        else:
            high = steps - 1
    return best


def plate_remedy(plate: Plate, pressure: float, most: float, first: Wood, stock: Stock) -> Remedy | None:
    """The thinnest sheet in stock with which a bottom in grooves sags no more than `most` mm."""
    for material in sorted((wood_of(s) for s in stock.sheets.values()), key=lambda w: (w.thickness, w.name)):
        if material.thickness <= plate.thickness or material.across is None or material.kind is not first.kind:
            continue
        made = replace(plate, thickness=material.thickness, along=material.along, across=material.across)
        dished = dish(made, pressure)
        if dished.sag <= most and dished.along <= material.working and dished.across <= material.allowed(False):
            return Remedy("thickness", material.name, material.thickness, dished.sag)
    return None
