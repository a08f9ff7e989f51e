"""The words on a close-up: what each part is, what was measured, and where in the room it is."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from exporters.pictures import lettering
from exporters.pictures.closeup_view import Shown, on_picture
from exporters.pictures.lettering import INK, LEADING, PAPER, Place, wrapped
from exporters.pictures.offscreen import Floats
from exporters.pictures.scene import Camera
from exporters.spots import FIRST, SECOND, SHARED, Colour, Spot
from model.findings import Finding
from model.lengths import LengthUnit, show_length
from model.measures import show_angle, show_small, show_volume
from model.part import PlacedPart
from model.plan import Plan

if TYPE_CHECKING:
    from model.build import Build

SIZE, HEADING = 19, 26
"""Pixels of letters."""
MARGIN, PAD, SWATCH = 16, 10, 18
WIDEST = 430
"""Pixels of a line in a label."""
CAPTION = 140
MOST_LINES = 2
"""Of the message in the caption."""
WHAT = {
    "overlap": "two parts fill one place",
    "blocked": "meets another part on its way",
    "loose": "joined, yet apart",
    "adrift": "touches nothing",
}
SPOT = 40.0
"""Pixels from the middle to the ring about a spot."""
INSIDE = 7
"""Pixels. A leader ends this far inside of what it points at, where there is so much of it."""
Mask = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Sight:
    """A scene as a camera sees it: `depths` are how far ahead each of its groups is, height x width, mm."""

    scene: Shown
    camera: Camera
    depths: dict[str, Floats]

    @property
    def size(self) -> tuple[int, int]:
        height, width = self.depths["first"].shape
        return width, height

    def open_to_view(self, name: str) -> Mask:
        """Where a group is seen, or where it is when the other part hides it."""
        mine = self.depths[name]
        there = np.isfinite(mine)
        other = self.depths["others" if name == "first" else "first"]
        plain = there & (mine <= other) & ~np.isfinite(self.depths["shared"])
        return plain if plain.any() else there

    def at(self, *points: tuple[float, float, float]) -> list[Place]:
        """Where places in the room are on the picture."""
        return [(x, y) for x, y in on_picture(self.camera, np.array(points), self.size).tolist()]


@dataclass(frozen=True)
class _Label:
    """Lines of text, the first few bold, with the colour they speak of."""

    lines: list[str]
    colour: Colour
    bold: int = 1

    @property
    def size(self) -> tuple[int, int]:
        wide = max(lettering.width_of(text, SIZE, i < self.bold) for i, text in enumerate(self.lines))
        return wide + SWATCH + 3 * PAD, round(len(self.lines) * SIZE * LEADING) + 2 * PAD

    def draw(self, picture: Floats, x: int, y: int) -> None:
        wide, high = self.size
        lettering.box(picture, (x, y), (x + wide, y + high), share=0.94)
        lettering.box(picture, (x + PAD, y + PAD + 2), (x + PAD + SWATCH, y + PAD + 2 + SWATCH), fill=self.colour)
        for i, text in enumerate(self.lines):
            at = (x + SWATCH + 2 * PAD, y + PAD + i * SIZE * LEADING)
            lettering.write_line(picture, at, text, SIZE, bold=i < self.bold)


def labelled(picture: Floats, plan: Plan, finding: Finding, spot: Spot, sight: Sight) -> None:
    """Set the labels into a picture, each with a line to what it speaks of."""
    if sight.scene.gap is None and not sight.scene.shared and finding.at is not None:
        _ringed(picture, finding, sight)
    width, height = sight.size
    masks = [sight.open_to_view(name) for name in ("first", "others")]
    labels = [_of_part(plan, spot.parts[:1], FIRST), _of_part(plan, spot.parts[1:], SECOND)]
    named = [(label, mask) for label, mask in zip(labels, masks, strict=True) if label]
    # the one farther left has the left corner, so that the lines do not cross
    named.sort(key=lambda pair: float(np.nonzero(pair[1])[1].mean()) if pair[1].any() else 0.0)
    for i, (label, mask) in enumerate(named):
        x = MARGIN if i == 0 else width - MARGIN - label.size[0]
        _set(picture, label, x, MARGIN, _end(mask, (x + label.size[0] / 2, MARGIN + label.size[1])), below=True)
    lines = measures(finding, plan.lengths)
    if lines:
        label = _Label(lines, SHARED)
        end = None if finding.code == "adrift" else _spot_end(finding, sight)
        _set(picture, label, MARGIN, height - MARGIN - label.size[1], end, below=False)
    if sight.scene.gap is not None:
        _spanned(picture, *sight.at(*(tuple(p) for p in sight.scene.gap.tolist())))


def _set(picture: Floats, label: _Label, x: int, y: int, end: Place | None, below: bool) -> None:
    """A label, and its line from the side that faces its end."""
    wide, high = label.size
    if end is not None:
        start = (min(max(end[0], x + PAD), x + wide - PAD), y + high if below else y)
        lettering.line(picture, start, end, PAPER, 6)
        lettering.dot(picture, end, 7, PAPER)
        lettering.line(picture, start, end)
        lettering.dot(picture, end, 4.5, INK)
    label.draw(picture, x, y)


def _of_part(plan: Plan, parts: tuple[PlacedPart, ...], colour: Colour) -> _Label | None:
    """What a part is: its path and its mark; of several the first, and how many more there are."""
    if not parts:
        return None
    first = parts[0]
    lines = wrapped(first.path, SIZE, WIDEST, bold=True)
    below = [plan.marks.get(first.part, "kept in there"), first.part.material]
    more = [f"and {len(parts) - 1} more"] if len(parts) > 1 else []
    return _Label([*lines, ", ".join(t for t in below if t), *more], colour, len(lines))


def _end(mask: Mask, label: Place | None = None) -> Place | None:
    """A place well inside of what a mask shows: near its middle, or half way from there to a label."""
    if not mask.any():
        return None
    inner = mask
    for axis in (0, 1):
        for by in (INSIDE, -INSIDE):
            inner = inner & np.roll(mask, by, axis)
    y, x = np.nonzero(inner if inner.any() else mask)
    middle = (float(np.median(x)), float(np.median(y)))
    if label is not None:
        middle = ((middle[0] + label[0]) / 2, (middle[1] + label[1]) / 2)
    i = int(np.argmin((x - middle[0]) ** 2 + (y - middle[1]) ** 2))
    return float(x[i]) + 0.5, float(y[i]) + 0.5


def _spot_end(finding: Finding, sight: Sight) -> Place | None:
    if sight.scene.gap is not None:
        (end,) = sight.at(tuple(sight.scene.gap.mean(axis=0).tolist()))
        return end
    if (end := _end(np.isfinite(sight.depths["shared"]))) is not None:
        return end
    return sight.at(finding.at)[0] if finding.at else None


def _spanned(picture: Floats, a: Place, b: Place) -> None:
    """The gap between two parts as a line from one to the other."""
    for colour, more in ((PAPER, 2.5), (SHARED, 0.0)):
        lettering.line(picture, a, b, colour, 5 + 2 * more)
        for end in (a, b):
            lettering.dot(picture, end, 5.5 + more, colour)


def _ringed(picture: Floats, finding: Finding, sight: Sight) -> None:
    """A ring about the whole of what hangs loose, or about the spot."""
    y, x = np.nonzero(np.isfinite(sight.depths["first"]))
    (middle,) = sight.at(finding.at if finding.at and finding.code != "adrift" else sight.scene.target)
    radius = SPOT
    if finding.code == "adrift" and len(x):
        radius = 1.08 * float(np.hypot(x - middle[0], y - middle[1]).max())
    radius = min(radius, 0.46 * min(sight.size))
    lettering.ring(picture, middle, radius, PAPER, 8)
    lettering.ring(picture, middle, radius, SHARED, 4)


def measures(finding: Finding, lengths: LengthUnit) -> list[str]:
    """What was measured, in the project's unit, a line each."""
    details = dict(finding.details)
    lines: list[str] = []
    for name, show in (("free_travel_mm", lambda v: show_length(v, lengths)), ("free_travel_deg", show_angle)):
        if name in details:
            lines.append(f"free {show(details[name])} of {show(finding.limit or 0.0)}")
    if "volume_mm3" in details:
        lines.append(f"{'then shares' if lines else 'shares'} {show_volume(details['volume_mm3'], lengths)}")
        lines.append(f"{show_small(details.get('depth_mm', 0.0), lengths)} deep")
    if finding.code == "loose" and finding.value is not None:
        lines.append(f"{show_small(finding.value, lengths)} apart")
    elif finding.code == "adrift":
        lines.append(WHAT["adrift"])
    elif finding.code == "not-both-open":
        lines.append("meet here")
    elif not lines and finding.value is not None:
        lines.append(_shown(finding.value, finding.unit, lengths))
        if finding.limit is not None:
            lines.append(f"limit {_shown(finding.limit, finding.unit, lengths)}")
    return lines


def _shown(value: float, unit: str, lengths: LengthUnit) -> str:
    if unit == "mm":
        return show_length(value, lengths)
    return show_angle(value) if unit == "deg" else f"{value:g} {unit}".rstrip()


def set_in(picture: Floats, small: Floats) -> None:
    """A small picture in the lower right corner."""
    high, wide = small.shape[:2]
    y, x = picture.shape[0] - MARGIN - high, picture.shape[1] - MARGIN - wide
    picture[y : y + high, x : x + wide] = small
    lettering.box(picture, (x - 1, y - 1), (x + wide + 1, y + high + 1), share=0.0)


def caption(build: "Build", finding: Finding, at: tuple[float, float, float], number: str, width: int) -> Floats:
    """The strip below a picture: the finding by number and code, its message, and where in the room it is."""
    strip = np.ones((CAPTION, width, 3), np.float32)
    strip[:2] = 0.2
    what = WHAT.get(finding.code, "")
    head = " ".join(t for t in (number, finding.code) if t) + (f": {what}" if what else "")
    lettering.write_line(strip, (MARGIN, 12), head, HEADING, bold=True)
    room = width - 2 * MARGIN
    lines = wrapped(finding.message, SIZE, room)
    if len(lines) > MOST_LINES:
        lines = [*lines[: MOST_LINES - 1], f"{lines[MOST_LINES - 1]} ..."]
    for i, text in enumerate([*lines, where(build, finding, at)]):
        lettering.write_line(strip, (MARGIN, 50 + i * SIZE * LEADING), text, SIZE)
    return strip


def where(build: "Build", finding: Finding, at: tuple[float, float, float]) -> str:
    """Where in the room a place is: along the wall of the unit it is in, and above the floor."""
    lengths = build.plan.lengths
    above = f"{show_length(at[2], lengths)} above the floor"
    unit = finding.parts[0].split("/")[0] if finding.parts else ""
    wall = next((w for w in build.walls if w.name == build.stands_at.get(unit)), None)
    if wall is None:
        return above
    x, y, _ = wall.frame.inverse().apply(at)
    along, off = show_length(x, lengths), show_length(-y, lengths)
    return f"At {wall.name}, {along} from its left end, {off} off it, {above}"
