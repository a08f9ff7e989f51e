"""Where a unit is built: its size there and the stock it draws on."""

from dataclasses import dataclass
from typing import Any

from model.materials import TABLES, Materials, Role
from model.messages import shown
from model.stock.beds import BedLeg, BedPivot, GasSpring
from model.stock.cabinet import Dowel, Foot
from model.stock.tables import Board, Hinge, Pull, Screw, Sheet, ShelfPin, Slide, Stock


class Unbuildable(Exception):
    """Options that cannot become a unit: `loc` is the key path to mend, in the unit's options."""

    def __init__(self, message: str, *loc: str | int) -> None:
        super().__init__(shown(message, "mm"))
        self.message = message
        self.loc = loc


@dataclass(frozen=True)
class Site:
    """Where a unit is built for: its size as the wall and the top leave it, and the stock it draws on.

    `height` is from the floor (or the top it stands on) to the underside of whatever lies over it, None where nothing
    does. `lands` says that a seam or an upper comes down on it. `step` is the finest size marked out, mm.
    `bottom` is the height of the unit's z = 0 above the floor, `depth_limit` the room there is for its depth (None: as
    deep as it likes), `stud_x` the centres of the wall's studs along its own x, `ceiling` the lowest ceiling over it
    above its z = 0 (None: not known). `hung` says that it hangs on the wall rather than stands on a top or the floor,
    `seams` are the places along its x where the top under it is seamed.
    """

    name: str
    code: str
    width: float
    height: float | None
    stock: Stock
    materials: Materials
    step: float = 0.5
    lands: bool = False
    bottom: float = 0.0
    depth_limit: float | None = None
    stud_x: tuple[float, ...] = ()
    ceiling: float | None = None
    hung: bool = False
    seams: tuple[float, ...] = ()

    def _found(self, role: Role) -> Any:
        name = getattr(self.materials, role)
        if name is None:
            raise Unbuildable(
                f"no stock is named for {role}: name one under materials, in the project or the unit", "materials"
            )
        return getattr(self.stock, TABLES[role])[name]

    def sheet(self, role: Role) -> Sheet:
        return self._found(role)

    def board(self, role: Role) -> Board:
        return self._found(role)

    def board_for_width(self, like: Board, width: float) -> Board | None:
        """The narrowest board in stock as thick as `like` and at least `width` mm wide; None where there is none."""
        fitting = [b for b in self.stock.boards.values() if b.thickness == like.thickness and b.width >= width]
        return min(fitting, key=lambda b: (b.width, b.name != like.name, b.name), default=None)

    def slide(self) -> Slide:
        return self._found("slide")

    def hinge(self) -> Hinge:
        return self._found("hinge")

    def pin(self) -> ShelfPin:
        return self._found("pin")

    def pull(self) -> Pull:
        return self._found("pull")

    def dowel(self) -> Dowel:
        return self._found("dowel")

    def foot(self) -> Foot:
        return self._found("foot")

    def gas_spring(self) -> GasSpring:
        return self._found("gas_spring")

    def bed_pivot(self) -> BedPivot:
        return self._found("bed_pivot")

    def bed_leg(self) -> BedLeg:
        return self._found("bed_leg")

    def screw(self, role: Role) -> Screw:
        return self._found(role)
