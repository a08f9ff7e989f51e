"""The box of a unit: sides, what lies between them, toe kick, back, and the joinery that holds it together."""

from dataclasses import dataclass, replace
from typing import Literal

from model.cabinet.joinery import NONE, Fasteners, Joinery, Span, fasten
from model.config.types import NonNegativeLength, PositiveLength, Strict
from model.draft import Draft, Panel
from model.messages import mm
from model.shapes import Box
from model.site import Unbuildable
from model.stock.tables import Sheet

CLEAT_LEAST = 15.0
"""mm. A lower strip splits where it is screwed (common practice)."""
BETWEEN_BORES = 2.0
"""mm. At least this much of a partition stays between a bore from one face and a bore from the other."""


class Back(Strict):
    """A thin back that keeps a carcass square."""

    fixing: Literal["applied", "rabbet", "between", "groove"] = "rabbet"
    """`applied` on the rear edges, let into a `rabbet` or a `groove` of the sides, or `between` them against strips."""
    lap: PositiveLength = 8.0
    """How far a back lies in its rabbet or groove."""
    set_in: NonNegativeLength = 10.0
    """From the rear edges of the sides to a back in a groove."""


class Joints(Strict):
    """Sizes of joinery."""

    groove_depth: PositiveLength = 6.0
    """How deep a housed panel sits in its groove (a third of the thickness is usual: common practice)."""
    cleat: PositiveLength = 30.0
    """How high a cleat strip is."""


class WallRail(Strict):
    """A board on edge at the rear of a carcass, through which it is screwed to the wall."""

    height: PositiveLength = 80.0
    """How high it is."""


@dataclass(frozen=True)
class Shell:
    """The carcass as a builder of contents sees it, mm in the unit: the clear space and who bounds it.

    `front` is the plane behind the face frame, `rear` the first thing behind the clear space, `floor` the upper face of
    the bottom, `ceiling` the underside of what closes the box above. A column of a carcass with partitions is a shell
    too: `between` is its clear width, and bores in its walls must leave room for those of the column behind them.
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
    box: "Carcass | None" = None
    """The carcass itself, for contents that are joined as it is; None where they are to be butted."""
    between: Span | None = None
    prefix: str = ""
    """What names of parts in it begin with."""

    @property
    def inside(self) -> Span:
        if self.between is not None:
            return self.between
        return (self.thickness, self.width - self.thickness)

    def blind(self, depth: float) -> float:
        """How deep a bore meant to be `depth` deep may go into a wall, so that bores from both faces never meet."""
        return depth if self.between is None else min(depth, (self.thickness - BETWEEN_BORES) / 2)

    def column(self, x: Span, left: Panel, right: Panel, prefix: str) -> "Shell":
        """The part of the shell between two walls, its clear space over `x`."""
        box = self.box.column(x, left, right) if self.box else None
        return replace(self, left=left, right=right, between=x, box=box, prefix=prefix)


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
    fasteners: Fasteners = NONE
    between: Span | None = None

    @classmethod
    def sides(
        cls,
        draft: Draft,
        sheet: Sheet,
        joinery: Joinery,
        joints: Joints,
        width: float,
        y: Span,
        height: float,
        low: float = 0.0,
        fasteners: Fasteners = NONE,
    ) -> "Carcass":
        """Two sides from z = `low` to `height`, `y` deep, the inner faces being face A."""
        t = sheet.thickness
        left = draft.sheet("left side", Box((0, y[0], low), (t, y[1], height)), sheet, "z", "+x", "side")
        right = draft.sheet("right side", Box((width - t, y[0], low), (width, y[1], height)), sheet, "z", "-x", "side")
        return cls(draft, sheet, joinery, joints, width, left, right, fasteners)

    def column(self, x: Span, left: Panel, right: Panel) -> "Carcass":
        """The carcass between two walls, for panels between them.

        Whatever is bored into a partition from both faces would meet in it: there panels are let in, laid on strips or
        butted.
        """
        joinery: Joinery = self.joinery if self.joinery in ("housed", "cleated") else "butt"
        joints = self.joints
        if joinery == "housed":
            least = (self.sheet.thickness - BETWEEN_BORES) / 2
            joints = joints.model_copy(update={"groove_depth": min(joints.groove_depth, least)})
        return Carcass(self.draft, self.sheet, joinery, joints, self.width, left, right, NONE, x)

    @property
    def inside(self) -> Span:
        """The clear width, x."""
        return self.between or (self.sheet.thickness, self.width - self.sheet.thickness)

    @property
    def both(self) -> tuple[Panel, Panel]:
        return (self.left, self.right)

    def take_from_sides(self, y: Span, z: Span) -> None:
        """Saw the same opening through both sides."""
        for side in self.both:
            side.take(side.box.replace(y=y, z=z))

    def upright(self, path: str, y: Span, z: Span, role: str, sheet: Sheet | None = None) -> Panel:
        """A board on edge between the sides: dowelled or on pocket screws where the carcass is, else butted."""
        x = self.inside
        box = Box((x[0], y[0], z[0]), (x[1], y[1], z[1]))
        panel = self.draft.sheet(path, box, sheet or self.sheet, "x", "-y", role)
        self._fasten("butt" if self.joinery in ("housed", "cleated") else self.joinery, panel)
        return panel

    def level(self, path: str, y: Span, top: float, role: str, cleat: Span | None = None) -> Panel:
        """A panel lying between the sides, its upper face at `top`, joined by the unit's joinery.

        Housed: a groove in each side and a panel longer by both depths. Cleated: a strip under each end, along
        `cleat` (its own depth unless given), on which the panel lies locked against what is above it. Butt, pocket and
        dowelled: bores, and dowels.
        """
        t = self.sheet.thickness
        reach = self.joints.groove_depth if self.joinery == "housed" else 0.0
        x = self.inside
        box = Box((x[0] - reach, y[0], top - t), (x[1] + reach, y[1], top))
        panel = self.draft.sheet(path, box, self.sheet, "x", "+z", role)
        if self.joinery == "housed":
            for side in self.both:
                side.take(panel.box)
        self._fasten(self.joinery, panel)
        if self.joinery == "cleated":
            self.cleats(path, cleat or y, top - t, (panel,))
        return panel

    def wall_rail(self, options: WallRail, y: Span, under: Panel) -> Panel:
        """A rail over y between the sides, screwed up to what closes the box. Raises Unbuildable where too high."""
        top = under.box.lo[2]
        if top - options.height < self.left.box.lo[2] + self.sheet.thickness:
            raise Unbuildable(
                f"a wall rail of {mm(options.height)} does not fit under what closes the box", "wall_rail"
            )
        rail = self.upright("wall rail", y, (top - options.height, top), "wall rail")
        self.draft.join("screwed", rail, under)
        return rail

    def cleats(self, name: str, y: Span, top: float, carries: tuple[Panel, ...]) -> None:
        """A strip on each side, its upper edge at `top`, and what lies on it.

        Near the floor the strip is as high as there is room; with none worth a screw there is no strip.
        """
        height = min(self.joints.cleat, top - self.left.box.lo[2])
        if height < CLEAT_LEAST:
            return
        for label, side in zip(("left", "right"), self.both, strict=True):
            strip = self._strip(f"{name} cleat, {label}", side, y, (top - height, top), "y")
            for panel in carries:
                self.draft.join("screwed", strip, panel)

    def _strip(self, path: str, side: Panel, y: Span, z: Span, along: str) -> Panel:
        t = self.sheet.thickness
        a, b = self.inside
        x = (a, a + t) if side is self.left else (b - t, b)
        strip = self.draft.sheet(
            path, Box((x[0], y[0], z[0]), (x[1], y[1], z[1])), self.sheet, along, side.face, "cleat"
        )
        self.draft.join("screwed", strip, side)
        return strip

    def back(self, back: Back, sheet: Sheet, depth: float, z: Span, against: tuple[Panel, ...], strips: Span) -> None:
        """A back over `z` whose rear face is at `depth`, fastened to the sides and to what it lies against.

        `strips` is the height over which strips are set when the back lies between the sides. A rabbet runs out over
        the rear edges of the sides, wherever they end.
        """
        tb, t = sheet.thickness, self.sheet.thickness
        let_in = min(back.lap, t / 2)
        lap = {"applied": t, "rabbet": let_in, "between": 0.0, "groove": let_in}[back.fixing]
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
                side.take(box.replace(y=(depth - tb, max(depth, side.box.hi[1]))))
            elif back.fixing == "groove":
                side.take(box)
            self.draft.join("grooved" if back.fixing == "groove" else "screwed", panel, side)

    def _fasten(self, joinery: Joinery, panel: Panel) -> None:
        for toward, side in (("-x", self.left), ("+x", self.right)):
            fasten(self.draft, joinery, self.fasteners, panel, toward, side)

    def partition(
        self, path: str, x: float, y: Span, under: Panel, over: list[Panel], step: Box | None = None
    ) -> Panel:
        """An upright panel from x on, between the bottom and what closes the box, joined as the carcass is.

        `step` is what it is notched over at its foot, where that is in its way. Strips would stand in the columns: in
        a cleated carcass a partition is butted.
        """
        t = self.sheet.thickness
        reach = self.joints.groove_depth if self.joinery == "housed" else 0.0
        z = (under.box.hi[2] - reach, over[0].box.lo[2] + reach)
        box = Box((x, y[0], z[0]), (x + t, y[1], z[1]))
        panel = self.draft.sheet(path, box, self.sheet, "z", "+x", "partition")
        if self.joinery == "housed":
            for other in (under, *over):
                other.take(panel.box)
            if step is not None:
                panel.take(step.replace(x=(x - 1.0, x + t + 1.0)))
        for toward, others in (("-z", [under]), ("+z", over)):
            for other in others:
                fasten(self.draft, self.joinery, self.fasteners, panel, toward, other)
        return panel


def back_depth(back: Back | None, sheet: Sheet | None, depth: float) -> float:
    """Where what lies between the sides ends, at the front face of the back: y in a unit that is `depth` deep."""
    if back is None or sheet is None:
        return depth
    return depth - sheet.thickness - (back.set_in if back.fixing == "groove" else 0.0)


def side_depth(back: Back | None, sheet: Sheet | None, depth: float) -> float:
    """Where the sides end: short of an applied back, else at the full depth."""
    return depth - sheet.thickness if back and sheet and back.fixing == "applied" else depth


__all__ = ["Back", "Carcass", "Joinery", "Joints", "NonNegativeLength", "Shell", "Span", "back_depth", "side_depth"]
