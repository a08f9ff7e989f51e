"""What a project asks of the widths along a wall, as the solver of widths takes it."""

import math
from dataclasses import dataclass

from model.inputs import Inputs
from model.project import Align, Fill, Placed, SameAs
from model.room.room import Wall
from model.siting.widths import InLine, Mirror, WidthWish, solve_widths
from model.tolerances import rounded

STUD = "stud"
MIDDLE = "middle"


@dataclass(frozen=True)
class WallRules:
    """All that is asked of the widths along one wall, and the length (mm) they come to."""

    wishes: tuple[WidthWish, ...]
    room: float
    in_line: tuple[InLine, ...] = ()
    mirror: Mirror | None = None

    def widths(self) -> list[float]:
        """The width of each unit, in order, mm. Raises DoesNotFit."""
        return solve_widths(self.wishes, self.room, self.in_line, self.mirror)


def wall_rules(inputs: Inputs, wall: str, left: float, right: float) -> WallRules:
    """What is asked of a wall whose ends keep `left` and `right` mm free. Raises ConfigError for names it has not."""
    said = inputs.project.value
    placed = said.walls.get(wall, ())
    strange = next((name for name in said.mirror if name not in said.walls), None)
    if strange is not None:
        raise inputs.error(f"no units stand along a wall {strange!r}", "mirror", strange)
    there = inputs.room.value.walls[wall]
    in_line = [
        _in_line(inputs, i, p.align, there, ("walls", wall, i, "align"), left)
        for i, p in enumerate(placed)
        if p.align is not None
    ]
    wishes = tuple(_wish(inputs, placed, i, ("walls", wall, i, "width")) for i in range(len(placed)))
    # windows first: they name one place each, studs take the nearest of what is left
    in_line.sort(key=lambda line: len(line.places) > 1)
    room = rounded(there.width - left - right)
    return WallRules(wishes, room, tuple(in_line), _mirror(inputs, wall, [p.name for p in placed]))


def _wish(inputs: Inputs, placed: tuple[Placed, ...], index: int, loc: tuple[str | int, ...]) -> WidthWish:
    name, width = placed[index].name, placed[index].width
    if isinstance(width, Fill):
        return WidthWish(name, share=width.fill, least=width.min or 0.0, most=width.max or math.inf)
    if not isinstance(width, SameAs):
        return WidthWish(name, fixed=width)
    others = [p.name for p in placed if p.name != name]
    if width.same_as not in others:
        there = ", ".join(others) or "none"
        raise inputs.error(f"no other unit {width.same_as!r} along this wall: there is {there}", *loc, "same_as")
    return WidthWish(name, same_as=width.same_as)


def _in_line(inputs: Inputs, index: int, align: Align, wall: Wall, loc: tuple[str | int, ...], left: float) -> InLine:
    if align.to == STUD:
        centres = wall.studs.centres(wall.width) if wall.studs else ()
        if not centres:
            raise inputs.error("the room file does not say where the studs of this wall are", *loc, "to")
        return InLine(index, align.edge, tuple(rounded(x - left) for x in centres), "a stud")
    window = next((w for w in wall.windows if w.name == align.to), None)
    if window is None:
        there = ", ".join(w.name for w in wall.windows) or "none"
        raise inputs.error(f"no window {align.to!r} in this wall: there is {there}", *loc, "to")
    at = align.at or align.edge
    x = window.x + {"left": 0.0, "middle": window.width / 2, "right": window.width}[at]
    what = "the middle" if at == MIDDLE else f"the {at} edge"
    return InLine(index, align.edge, (rounded(x - left),), f"{what} of {window.name}")


def _mirror(inputs: Inputs, wall: str, names: list[str]) -> Mirror | None:
    about = inputs.project.value.mirror.get(wall)
    if about is None:
        return None
    if about == MIDDLE:
        return Mirror()
    if about not in names:
        there = ", ".join(names)
        raise inputs.error(f"no unit {about!r} along the wall {wall}: say middle, or one of {there}", "mirror", wall)
    return Mirror(names.index(about))
