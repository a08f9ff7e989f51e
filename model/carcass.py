"""The box of a unit: sides, what lies between them, toe kick, back, and the joinery that holds it together."""

from dataclasses import dataclass
from typing import Literal

from model.config.types import NonNegativeLength, PositiveLength, Strict
from model.draft import Draft, Panel
from model.shapes import Box
from model.stock import Sheet

Joinery = Literal["butt", "housed", "cleated"]
Span = tuple[float, float]

CLEAT_LEAST = 15.0
"""mm. A lower strip splits where it is screwed (common practice)."""


class Back(Strict):
    """A thin back that keeps a carcass square."""

    fixing: Literal["applied", "rabbet", "between"] = "rabbet"
    """`applied` on the rear edges, let into a `rabbet`, or `between` the sides against strips."""
    lap: PositiveLength = 8.0
    """How far a back lies in its rabbet."""


class Joints(Strict):
    """Sizes of joinery."""

    groove_depth: PositiveLength = 6.0
    """How deep a housed panel sits in its groove (a third of the thickness is usual: common practice)."""
    cleat: PositiveLength = 30.0
    """How high a cleat strip is."""


@dataclass(frozen=True)
class Shell:
    """The carcass as a builder of contents sees it, mm in the unit: the clear space and who bounds it.

    `front` is the plane behind the face frame, `rear` the first thing behind the clear space, `floor` the upper face of
    the bottom, `ceiling` the underside of what closes the box above.
    """

    width: float
    height: float
    thickness: float
    front: float
    rear: float
    floor: float
    ceiling: float
    left: Panel
    right: Panel

    @property
    def inside(self) -> Span:
        return (self.thickness, self.width - self.thickness)


@dataclass
class Carcass:
    """A carcass in the making: two sides and the rules for what is fixed between them."""

    draft: Draft
    sheet: Sheet
    joinery: Joinery
    joints: Joints
    width: float
    left: Panel
    right: Panel

    @classmethod
    def sides(
        cls, draft: Draft, sheet: Sheet, joinery: Joinery, joints: Joints, width: float, y: Span, height: float
    ) -> "Carcass":
        """Two sides from z = 0 to `height`, `y` deep, the inner faces being face A."""
        t = sheet.thickness
        left = draft.sheet("left side", Box((0, y[0], 0), (t, y[1], height)), sheet, "z", "+x", "side")
        right = draft.sheet("right side", Box((width - t, y[0], 0), (width, y[1], height)), sheet, "z", "-x", "side")
        return cls(draft, sheet, joinery, joints, width, left, right)

    @property
    def both(self) -> tuple[Panel, Panel]:
        return (self.left, self.right)

    def take_from_sides(self, y: Span, z: Span) -> None:
        """Saw the same opening through both sides."""
        for side in self.both:
            side.take(side.box.replace(y=y, z=z))

    def upright(self, path: str, y: Span, z: Span, role: str, sheet: Sheet | None = None) -> Panel:
        """A board on edge between the sides, butted and screwed whatever the joinery."""
        t = self.sheet.thickness
        box = Box((t, y[0], z[0]), (self.width - t, y[1], z[1]))
        panel = self.draft.sheet(path, box, sheet or self.sheet, "x", "-y", role)
        self._fasten("screwed", panel)
        return panel

    def level(self, path: str, y: Span, top: float, role: str, cleat: Span | None = None) -> Panel:
        """A panel lying between the sides, its upper face at `top`, joined by the unit's joinery.

        Housed: a groove in each side and a panel longer by both depths. Cleated: a strip under each end, along
        `cleat` (its own depth unless given), on which the panel lies locked against what is above it.
        """
        t = self.sheet.thickness
        reach = self.joints.groove_depth if self.joinery == "housed" else 0.0
        box = Box((t - reach, y[0], top - t), (self.width - t + reach, y[1], top))
        panel = self.draft.sheet(path, box, self.sheet, "x", "+z", role)
        if self.joinery == "housed":
            for side in self.both:
                side.take(panel.box)
        self._fasten("housed" if reach else "screwed", panel)
        if self.joinery == "cleated":
            self.cleats(path, cleat or y, top - t, (panel,))
        return panel

    def cleats(self, name: str, y: Span, top: float, carries: tuple[Panel, ...]) -> None:
        """A strip on each side, its upper edge at `top`, and what lies on it.

        Near the floor the strip is as high as there is room; with none worth a screw there is no strip.
        """
        height = min(self.joints.cleat, top)
        if height < CLEAT_LEAST:
            return
        for label, side in zip(("left", "right"), self.both, strict=True):
            strip = self._strip(f"{name} cleat, {label}", side, y, (top - height, top), "y")
            for panel in carries:
                self.draft.join("screwed", strip, panel)

    def _strip(self, path: str, side: Panel, y: Span, z: Span, along: str) -> Panel:
        t = self.sheet.thickness
        x = (t, 2 * t) if side is self.left else (self.width - 2 * t, self.width - t)
        strip = self.draft.sheet(
            path, Box((x[0], y[0], z[0]), (x[1], y[1], z[1])), self.sheet, along, side.face, "cleat"
        )
        self.draft.join("screwed", strip, side)
        return strip

    def back(self, back: Back, sheet: Sheet, depth: float, z: Span, against: tuple[Panel, ...], strips: Span) -> None:
        """A back over `z` whose rear face is at `depth`, fastened to the sides and to what it lies against.

        `strips` is the height over which strips are set when the back lies between the sides.
        """
        tb, t = sheet.thickness, self.sheet.thickness
        lap = {"applied": t, "rabbet": min(back.lap, t / 2), "between": 0.0}[back.fixing]
        x = (t - lap, self.width - t + lap)
        box = Box((x[0], depth - tb, z[0]), (x[1], depth, z[1]))
        along = "x" if x[1] - x[0] > z[1] - z[0] else "z"
        panel = self.draft.sheet("back", box, sheet, along, "-y", "back")
        for other in against:
            self.draft.join("screwed", panel, other)
        if back.fixing == "between":
            for label, side in zip(("left", "right"), self.both, strict=True):
                strip = self._strip(f"back cleat, {label}", side, (depth - tb - t, depth - tb), strips, "z")
                self.draft.join("screwed", panel, strip)
            return
        for side in self.both:
            if back.fixing == "rabbet":
                side.take(box)
            self.draft.join("screwed", panel, side)

    def _fasten(self, kind: str, panel: Panel) -> None:
        for side in self.both:
            self.draft.join(kind, panel, side)


def side_depth(back: Back | None, sheet: Sheet | None, depth: float) -> float:
    """Where the sides end: short of an applied back, else at the full depth."""
    return depth - sheet.thickness if back and sheet and back.fixing == "applied" else depth


__all__ = ["Back", "Carcass", "Joinery", "Joints", "NonNegativeLength", "Shell", "Span", "side_depth"]
