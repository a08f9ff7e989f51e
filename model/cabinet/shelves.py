"""Shelves: fixed ones joined as the carcass is, adjustable ones on pins in rows of bores between them."""

import itertools
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from model.cabinet.carcass import Carcass, Joints, Shell, Span
from model.cabinet.fittings import shelf_pin
from model.config.types import NonNegativeLength, PositiveLength, Strict
from model.draft import Draft
from model.messages import mm
from model.part import Part
from model.placement import Placement
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock.tables import ShelfPin
from model.tolerances import rounded

LOWEST = 50.0
"""mm. A lower compartment takes no hand and no book (common practice)."""

Fixed = Annotated[int, Field(ge=0, le=20)] | Annotated[tuple[PositiveLength, ...], Field(max_length=20)]


class ShelfOptions(Strict):
    """Adjustable and fixed shelves."""

    count: int = Field(default=1, ge=0, le=40)
    """How many shelves on pins; shared out where fixed shelves divide the height."""
    fixed: Fixed = 0
    """How many fixed shelves, evenly spaced, or their heights: upper face of the bottom to upper face of the shelf."""
    pitch: PositiveLength = Field(default=32.0, ge=5)
    """Distance of the pin bores in a row (32 mm system: common practice)."""
    inset: PositiveLength = 37.0
    """Front row from the front edge of the side, rear row from its rear edge (32 mm system: common practice)."""
    margin: PositiveLength = 96.0
    """First and last bore at least this far from what closes the carcass."""
    play: PositiveLength = 1.0
    """Air at each end of a shelf."""
    set_back: NonNegativeLength = 2.0
    """Front edge of a shelf on pins behind the plane it lies behind."""


@dataclass(frozen=True)
class Bay:
    """A clear height between two things that do not move, and the bores in it (z in the unit, mm)."""

    floor: float
    ceiling: float
    bores: tuple[float, ...]

    @property
    def clear(self) -> float:
        return self.ceiling - self.floor


def fixed_heights(shell: Shell, options: ShelfOptions, thickness: float, strip: float) -> list[float]:
    """The z of the upper faces of the fixed shelves, rising. `strip` is the height of the cleats under each.

    Raises Unbuildable where a compartment would be lower than LOWEST.
    """
    under = thickness + strip
    if isinstance(options.fixed, tuple):
        found = [rounded(shell.floor + height) for height in options.fixed]
        key: tuple[str | int, ...] = ("shelves", "fixed")
    else:
        n = options.fixed
        clear = (shell.ceiling - shell.floor - n * under) / (n + 1)
        found = [rounded(shell.floor + i * (clear + under)) for i in range(1, n + 1)]
        key = ("shelves", "fixed")
    floors = [shell.floor, *found]
    ceilings = [*(z - under for z in found), shell.ceiling]
    for low, high in zip(floors, ceilings, strict=True):
        if found and high - low < LOWEST:
            raise Unbuildable(
                f"fixed shelves leave a compartment {mm(rounded(max(high - low, 0.0)))} high between {mm(low)} and "
                f"{mm(max(high, low))}; each needs {mm(LOWEST)}, and heights rise from the bottom",
                *key,
            )
    return found


def bore_heights(floor: float, ceiling: float, options: ShelfOptions) -> tuple[float, ...]:
    """Heights of the pin bores in a clear height, none where the margins leave no room."""
    low, high = floor + options.margin, ceiling - options.margin
    if high < low:
        return ()
    return tuple(low + i * options.pitch for i in range(int((high - low) / options.pitch + 1e-9) + 1))


def bore_depths(shell: Shell, options: ShelfOptions) -> tuple[float, float]:
    """Depths (y in the unit) of the front and the rear row, a whole number of pitches apart: both on one grid."""
    front = shell.front + options.inset
    pitches = int((shell.rear - options.inset - front) / options.pitch + 1e-9)
    if pitches < 2:
        raise Unbuildable(f"a carcass {mm(shell.rear - shell.front)} deep has no room for two rows of pins", "shelves")
    return front, front + pitches * options.pitch


def shares(bays: list[Bay], count: int) -> list[int]:
    """How many shelves each bay takes: one after another into the bay whose compartments are then the highest."""
    found = [0] * len(bays)
    for _ in range(count):
        i = max((i for i, bay in enumerate(bays) if bay.bores), key=lambda i: (bays[i].clear / (found[i] + 1), -i))
        found[i] += 1
    return found


def shelf_spans(bay: Bay, count: int, options: ShelfOptions, thickness: float, pin: float) -> list[Span]:
    """Where shelves lie in a bay (z of underside and upper face), spread evenly and set on the nearest bores."""
    spans: list[Span] = []
    for i in range(count):
        want = bay.floor + bay.clear * (i + 1) / (count + 1) - thickness / 2
        at = min(bay.bores, key=lambda z: abs(z + pin / 2 - want)) + pin / 2
        spans.append((at, at + thickness))
    for (_, below), (above, _) in itertools.pairwise(spans):
        if above - below < options.pitch:
            raise Unbuildable(f"{count} shelves are too many for {mm(bay.clear)} of height", "shelves", "count")
    if spans and (spans[-1][1] > bay.ceiling or spans[0][0] - pin < bay.floor):
        raise Unbuildable(
            f"a margin of {mm(options.margin)} puts a shelf into what closes the carcass", "shelves", "margin"
        )
    return spans


def make_shelves(
    draft: Draft, site: Site, shell: Shell, options: ShelfOptions, set_back: float = 0.0, band: float = 0.0
) -> list[Span]:
    """Fixed shelves first, then bored sides and shelves on pins; gives the z that each takes, its cleats included.

    `set_back` is room in front of all of them, `band` the thickness of a band that a fixed shelf gets there.
    """
    sheet = site.sheet("carcass")
    box = shell.box or Carcass(draft, sheet, "butt", Joints(), shell.width, shell.left, shell.right)
    strip = box.joints.cleat if box.joinery == "cleated" else 0.0
    tops = fixed_heights(shell, options, sheet.thickness, strip)
    y = (shell.front + set_back + band, shell.rear)
    taken: list[Span] = []
    for i, top in enumerate(tops, 1):
        shelf = box.level(f"{shell.prefix}fixed shelf {i}", y, top, "fixed shelf")
        back = draft.panels.get("back")
        if back is not None and back.box.lo[1] == shelf.box.hi[1]:
            draft.join("screwed", back, shelf)
        taken.append((top - sheet.thickness - strip, top))
    floors, ceilings = [shell.floor, *tops], [*(low for low, _ in taken), shell.ceiling]
    if options.count == 0:
        return taken
    bays = [Bay(a, b, bore_heights(a, b, options)) for a, b in zip(floors, ceilings, strict=True)]
    return sorted(taken + _on_pins(draft, site, shell, options, bays, set_back))


def _on_pins(
    draft: Draft, site: Site, shell: Shell, options: ShelfOptions, bays: list[Bay], set_back: float
) -> list[Span]:
    """Bore the sides in every bay, lay the shelves on their pins; gives the z each takes."""
    pin, sheet, x = site.pin(), site.sheet("carcass"), shell.inside
    depths = bore_depths(shell, options)
    front = shell.front + max(options.set_back, set_back)
    _must_rest(options, pin, front, depths[0], max(bay.clear for bay in bays), any(bay.bores for bay in bays))
    for z in itertools.chain.from_iterable(bay.bores for bay in bays):
        for y in depths:
            shell.left.bore((x[0], y, z), "-x", pin.bore_diameter, shell.blind(pin.bore_depth), "pin")
            shell.right.bore((x[1], y, z), "+x", pin.bore_diameter, shell.blind(pin.bore_depth), "pin")
    part = shelf_pin(pin)
    spans = [
        span
        for bay, count in zip(bays, shares(bays, options.count), strict=True)
        for span in shelf_spans(bay, count, options, sheet.thickness, pin.diameter)
    ]
    for i, (low, high) in enumerate(spans, 1):
        box = Box((x[0] + options.play, front, low), (x[1] - options.play, shell.rear - 1.0, high))
        name = f"{shell.prefix}shelf {i}"
        draft.sheet(name, box, sheet, "x", "+z", "shelf")
        _pins(draft, shell, pin, part, name, depths, low)
    return spans


def _must_rest(options: ShelfOptions, pin: ShelfPin, front: float, row: float, clear: float, bored: bool) -> None:
    """Raise Unbuildable where no bore fits or a shelf would miss its pins."""
    if not bored:
        raise Unbuildable(
            f"no pin bore fits in {mm(rounded(clear))} of height with a margin of {mm(options.margin)}",
            "shelves",
            "margin",
        )
    stands_out = pin.length - pin.bore_depth  # in a partition more
    if options.play >= stands_out:
        raise Unbuildable(
            f"with {mm(options.play)} of play a shelf misses its pins, which stand out {mm(stands_out)}",
            "shelves",
            "play",
        )
    if front > row:
        raise Unbuildable(
            f"a shelf that begins {mm(rounded(front - row))} behind its front pins does not rest on them",
            "shelves",
            "set_back",
        )


def _pins(
    draft: Draft, shell: Shell, pin: ShelfPin, part: Part, name: str, depths: tuple[float, float], low: float
) -> None:
    """The four pins under a shelf whose underside is at `low`."""
    r, x, depth = pin.diameter / 2, shell.inside, shell.blind(pin.bore_depth)
    for label, y in zip(("front", "rear"), depths, strict=True):
        for side, panel, start in (
            ("left", shell.left, x[0] - depth),
            ("right", shell.right, x[1] + depth - pin.length),
        ):
            path = f"{name} pin, {side} {label}"
            draft.place(path, part, Placement((start, y - r, low - 2 * r)), "shelf pin")
            draft.join("rests", name, path)
            draft.join("plugged", path, panel)
