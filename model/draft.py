"""The bench where a unit is put together, in the unit's own coordinates.

A builder places panels by the box they fill, takes boxes and bores out of them in the same coordinates, and names the
joints and motions. `finish` turns all of it into frozen parts: congruent panels become one part.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from model.cuts import FLAT, Bevel, Bore, Cut, Face, cut_from_box
from model.part import Grain, Joint, Kind, Load, Motion, Part, PlacedPart, canonical, hardware, lying
from model.placement import DIRECTIONS, Placement
from model.plan import BuiltUnit
from model.shapes import Box, Vec
from model.stock.cabinet import EdgeBand
from model.stock.tables import Board, Sheet
from model.tolerances import rounded

_FACE_BY_INWARD: dict[tuple[int, int, int], Face] = {
    (0, 0, -1): "A",
    (0, 0, 1): "B",
    (1, 0, 0): "x0",
    (-1, 0, 0): "x1",
    (0, 1, 0): "y0",
    (0, -1, 0): "y1",
}


@dataclass
class Panel:
    """A blank being worked on, known by the box it fills in the unit."""

    path: str
    box: Box
    kind: Kind
    material: str
    along: str
    face: str
    role: str
    grain: Grain = "length"
    cuts: list[Cut] = field(default_factory=list)

    def take(self, box: Box) -> None:
        """Cut a box away (in unit coordinates). A box that misses the panel changes nothing."""
        size, at = lying(self.box, self.along, self.face)
        shared = box.common(self.box)
        if shared is None:
            return
        cut = cut_from_box(at.inverse().box(shared), size)
        if cut is not None:
            self.cuts.append(cut)

    def bore(
        self,
        at: Vec,
        toward: str,
        diameter: float,
        depth: float | None = None,
        purpose: str = "screw",
        sink: tuple[float, float] | None = None,
    ) -> None:
        """Drill from a point on a face, inward along a direction such as `+x`; `depth` None goes through (mm).

        `sink` are the diameter and the angle (degrees) of a countersink on that face.
        """
        _, placed = lying(self.box, self.along, self.face)
        back = placed.inverse()
        x, y, z = back.apply(at)
        inward = back.turn(DIRECTIONS[toward])
        face = _FACE_BY_INWARD[(round(inward[0]), round(inward[1]), round(inward[2]))]
        u, v = (x, y) if face in ("A", "B") else (y, z) if face in ("x0", "x1") else (x, z)
        wide, angle = sink or (None, 90.0)
        self.cuts.append(
            Bore(
                face=face,
                u=u,
                v=v,
                diameter=diameter,
                depth=depth,
                purpose=purpose,
                countersink=wide,
                countersink_degrees=angle,
            )
        )

    def bevel(self, edge: str, face: str, run: float) -> None:
        """Rip the edge that looks along a direction such as `+z` at an angle: `face` becomes narrower by `run` mm."""
        _, placed = lying(self.box, self.along, self.face)
        found: list[Face] = []
        for direction in (edge, face):
            x, y, z = placed.inverse().turn(DIRECTIONS[direction])
            found.append(_FACE_BY_INWARD[(round(-x), round(-y), round(-z))])
        if found[0] in FLAT or found[1] not in FLAT:
            raise ValueError(f"{self.path}: {edge} is no edge of it, or {face} no face")
        self.cuts.append(Bevel(edge=found[0], face=found[1], run=run))  # pyright: ignore[reportArgumentType]

    def trim(self, toward: str, by: float) -> None:
        """Make the panel smaller by `by` mm on the side that looks `toward`; what is cut into it stays where it is.

        For panels without bores in that side.
        """
        before = lying(self.box, self.along, self.face)[1]
        low, high = self.box.span(toward[1])
        self.box = self.box.replace(**{toward[1]: (low, high - by) if toward[0] == "+" else (low + by, high)})
        after = lying(self.box, self.along, self.face)[1]
        x, y, _ = after.inverse().apply(before.origin)
        if x or y:
            self.cuts = [cut.shifted(x, y) for cut in self.cuts]

    def part(self) -> tuple[Part, Placement]:
        size, placed = lying(self.box, self.along, self.face)
        part = Part(
            kind=self.kind,
            material=self.material,
            length=size[0],
            width=size[1],
            thickness=size[2],
            grain=self.grain,
            cuts=tuple(self.cuts),
        )
        shape, turn = canonical(part)
        return shape, placed.compose(turn)


@dataclass
class Draft:
    """Everything of one unit, in the order it was made."""

    panels: dict[str, Panel] = field(default_factory=dict)
    hardware: dict[str, PlacedPart] = field(default_factory=dict)
    joints: list[Joint] = field(default_factory=list)
    motions: list[Motion] = field(default_factory=list)
    order: list[str] = field(default_factory=list)
    loads: list[Load] = field(default_factory=list)

    def _new(self, path: str) -> str:
        self.order.append(self._free(path))
        return path

    def _free(self, path: str) -> str:
        if path in self.order:
            raise ValueError(f"two parts are called {path}")
        return path

    def sheet(self, path: str, box: Box, sheet: Sheet, along: str, face: str, role: str) -> Panel:
        """A panel of sheet goods: `along` is the axis of the grain, `face` the direction face A looks."""
        grain: Grain = "length" if sheet.grain else "any"
        return self._panel(Panel(path, box, "sheet", sheet.name, along, face, role, grain), sheet.thickness)

    def board(self, path: str, box: Box, board: Board, along: str, face: str, role: str) -> Panel:
        """A piece of dressed board, ripped to width where the box is narrower than the board."""
        return self._panel(Panel(path, box, "board", board.name, along, face, role), board.thickness)

    def _panel(self, panel: Panel, thickness: float) -> Panel:
        lo, hi = panel.box.span(panel.face[1])
        if rounded(hi - lo) != rounded(thickness):
            raise ValueError(f"{panel.path}: {panel.material} is {thickness} mm thick, not {rounded(hi - lo)}")
        self.panels[self._new(panel.path)] = panel
        return panel

    def band(self, path: str, box: Box, band: EdgeBand, along: str, face: str) -> Panel:
        """A strip of edge band, trimmed to the panel it covers."""
        return self._panel(Panel(path, box, "band", band.name, along, face, "edge band"), band.thickness)

    def numbered(self, stem: str) -> str:
        """The stem with the first number that is still free behind it."""
        n = 1
        while f"{stem} {n}" in self.order:
            n += 1
        return f"{stem} {n}"

    def place(self, path: str, part: Part, at: Placement, role: str = "hardware") -> str:
        """Put a finished part (bought hardware) at its place."""
        self.hardware[self._new(path)] = PlacedPart(path, part, at, role)
        return path

    def load(self, path: str, box: Box, on: Panel) -> None:
        """What is kept on a panel, as the box it fills."""
        thing = hardware("load", box.size, 0.0)
        self.loads.append(Load(PlacedPart(self._free(path), thing, Placement(box.lo), "load"), on.path))

    def join(self, kind: str, a: str | Panel, b: str | Panel) -> None:
        """Declare that two parts are fastened to each other."""
        self.joints.append(Joint(kind, a if isinstance(a, str) else a.path, b if isinstance(b, str) else b.path))

    def slide(self, name: str, parts: Iterable[str], direction: Vec, travel: float) -> None:
        """Declare what slides together, and how far (mm)."""
        self.motions.append(Motion(name, "slide", tuple(parts), direction, rounded(travel)))

    def swing(self, name: str, parts: Iterable[str], origin: Vec, direction: Vec, travel: float) -> None:
        """Declare what turns together about an axis, and how far (radians)."""
        self.motions.append(Motion(name, "swing", tuple(parts), direction, travel, origin))

    def under(self, prefix: str) -> list[str]:
        """The paths of everything in a sub-assembly made so far."""
        return [path for path in self.order if path.startswith(f"{prefix}/")]

    def finish(
        self,
        name: str,
        code: str,
        kind: str,
        ends: tuple[str, str] = ("", ""),
        bears: tuple[str, ...] = (),
        levelling: tuple[float, float] | None = None,
    ) -> BuiltUnit:
        """The unit as frozen parts. `ends` are the parts at its left and right, `bears` those a top lies on."""
        parts: list[PlacedPart] = []
        for path in self.order:
            if path in self.hardware:
                parts.append(self.hardware[path])
                continue
            panel = self.panels[path]
            part, at = panel.part()
            parts.append(PlacedPart(path, part, at, panel.role))
        joints, motions = tuple(self.joints), tuple(self.motions)
        return BuiltUnit(
            name, code, kind, tuple(parts), joints, motions, ends, bears, levelling, loads=tuple(self.loads)
        )
