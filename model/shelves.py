"""Adjustable shelves on pins: rows of bores in the sides, pins where a shelf lies, the shelf itself."""

import itertools

from pydantic import Field

from model.carcass import Shell, Span
from model.config.types import NonNegativeLength, PositiveLength, Strict
from model.draft import Draft
from model.fittings import shelf_pin
from model.messages import mm
from model.placement import Placement
from model.shapes import Box
from model.site import Site, Unbuildable


class ShelfOptions(Strict):
    """Adjustable shelves."""

    count: int = Field(default=1, ge=0, le=40)
    """How many shelves."""
    pitch: PositiveLength = 32.0
    """Distance of the pin bores in a row (32 mm system: common practice)."""
    inset: PositiveLength = 37.0
    """Front row from the front edge of the side, rear row from its rear edge (32 mm system: common practice)."""
    margin: PositiveLength = 96.0
    """First and last bore at least this far from what closes the carcass."""
    play: PositiveLength = 1.0
    """Air at each end of a shelf."""
    set_back: NonNegativeLength = 2.0
    """Front edge of a shelf behind the plane it lies behind."""


def bore_rows(shell: Shell, options: ShelfOptions) -> tuple[list[float], list[float]]:
    """Heights and depths (z, y in the unit) of the pin bores in each side.

    The rear row is a whole number of pitches behind the front row, so that both stand on one grid.
    """
    low, high = shell.floor + options.margin, shell.ceiling - options.margin
    if high < low:
        raise Unbuildable(
            f"no pin bore fits in {mm(shell.ceiling - shell.floor)} of height with a margin of {mm(options.margin)}",
            "shelves",
            "margin",
        )
    heights = [low + i * options.pitch for i in range(int((high - low) / options.pitch + 1e-9) + 1)]
    front = shell.front + options.inset
    pitches = int((shell.rear - options.inset - front) / options.pitch + 1e-9)
    if pitches < 2:
        raise Unbuildable(f"a carcass {mm(shell.rear - shell.front)} deep has no room for two rows of pins", "shelves")
    return heights, [front, front + pitches * options.pitch]


def shelf_spans(shell: Shell, options: ShelfOptions, thickness: float, pin: float) -> list[Span]:
    """Where the shelves lie (z of underside and upper face), spread evenly and set on the nearest bores."""
    heights, _ = bore_rows(shell, options)
    clear = shell.ceiling - shell.floor
    spans: list[Span] = []
    for i in range(options.count):
        want = shell.floor + clear * (i + 1) / (options.count + 1) - thickness / 2
        at = min(heights, key=lambda z: abs(z + pin / 2 - want)) + pin / 2
        spans.append((at, at + thickness))
    for (_, below), (above, _) in itertools.pairwise(spans):
        if above - below < options.pitch:
            raise Unbuildable(f"{options.count} shelves are too many for {mm(clear)} of height", "shelves", "count")
    return spans


def make_shelves(draft: Draft, site: Site, shell: Shell, options: ShelfOptions, set_back: float = 0.0) -> list[Span]:
    """Bore the sides, lay the shelves on their pins; gives the z each shelf takes. `set_back` is more room in front."""
    pin, sheet = site.pin(), site.sheet("carcass")
    heights, depths = bore_rows(shell, options)
    x = shell.inside
    for z in heights:
        for y in depths:
            shell.left.bore((x[0], y, z), "-x", pin.bore_diameter, pin.bore_depth, "pin")
            shell.right.bore((x[1], y, z), "+x", pin.bore_diameter, pin.bore_depth, "pin")
    part = shelf_pin(pin)
    r = pin.diameter / 2
    spans = shelf_spans(shell, options, sheet.thickness, pin.diameter)
    front = shell.front + max(options.set_back, set_back)
    for i, (low, high) in enumerate(spans, 1):
        name = f"shelf {i}"
        box = Box((x[0] + options.play, front, low), (x[1] - options.play, shell.rear - 1.0, high))
        shelf = draft.sheet(name, box, sheet, "x", "+z", "shelf")
        for label, y in zip(("front", "rear"), depths, strict=True):
            for side, panel, start in (
                ("left", shell.left, x[0] - pin.bore_depth),
                ("right", shell.right, x[1] + pin.bore_depth - pin.length),
            ):
                path = f"{name} pin, {side} {label}"
                draft.place(path, part, Placement((start, y - r, low - 2 * r)), "shelf pin")
                draft.join("rests", shelf, path)
                draft.join("plugged", path, panel)
    return spans
