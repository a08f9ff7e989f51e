"""Face frames: stiles, rails and the members between drawers, from dressed boards."""

from dataclasses import dataclass

from model.cabinet.carcass import Shell, Span
from model.config.types import PositiveLength, Strict
from model.draft import Draft, Panel
from model.shapes import Box
from model.stock.tables import Board
from model.tolerances import rounded


class FrameOptions(Strict):
    """A face frame, flush with the outside of the carcass and standing in over its inside."""

    stile: PositiveLength | None = None
    """Width of the uprights; the width of the board unless given."""
    rail: PositiveLength | None = None
    """Width of the level members; the width of the board unless given."""
    mullion: PositiveLength | None = None
    """Width of the uprights between columns; the width of the board unless given."""


@dataclass(frozen=True)
class Opening:
    """A clear opening in the front of a carcass, in its front plane (mm in the unit).

    `left` and `right` are the parts beside it that a hinge or a front lies against. `laps` is how far overlay fronts
    lap those, where that is less than at the unit's own edges: on a bare partition, which two columns share.
    """

    x: Span
    z: Span
    left: Panel
    right: Panel
    laps: Span | None = None

    def front_x(self, lap: float) -> Span:
        """The x of a front that laps the opening by `lap` (mm; negative for an inset front)."""
        left, right = (lap, lap) if self.laps is None or lap < 0 else self.laps
        return (rounded(self.x[0] - left), rounded(self.x[1] + right))

    @property
    def width(self) -> float:
        return self.x[1] - self.x[0]

    @property
    def height(self) -> float:
        return self.z[1] - self.z[0]

    def within(self, z: Span) -> "Opening":
        return Opening(self.x, z, self.left, self.right, self.laps)


@dataclass(frozen=True)
class Frame:
    """A face frame before its members between openings: the opening it leaves and how wide its members are."""

    draft: Draft
    board: Board
    opening: Opening
    rail: float
    stiles: tuple[Panel, Panel]

    @property
    def thickness(self) -> float:
        return self.board.thickness

    def mullion(self, path: str, x: Span, behind: Panel) -> Panel:
        """An upright between the outer rails, in front of a partition."""
        box = Box((x[0], 0, self.opening.z[0]), (x[1], self.board.thickness, self.opening.z[1]))
        panel = self.draft.board(path, box, self.board, "z", "-y", "mullion")
        for other in ("bottom rail", "top rail", behind):
            self.draft.join("frame", panel, other)
        return panel

    def between(self, opening: Opening) -> "Frame":
        """The frame of one column: its members lie between what is left and right of its opening."""
        return Frame(self.draft, self.board, opening, self.rail, (opening.left, opening.right))

    def member(self, path: str, low: float) -> Panel:
        """A level member between the stiles, its lower edge at `low`."""
        return _rail(self.draft, self.board, path, self.stiles, (low, low + self.rail))


def _rail(draft: Draft, board: Board, path: str, stiles: tuple[Panel, Panel], z: Span) -> Panel:
    x = (stiles[0].box.hi[0], stiles[1].box.lo[0])
    rail = draft.board(path, Box((x[0], 0, z[0]), (x[1], board.thickness, z[1])), board, "x", "-y", "rail")
    for stile in stiles:
        draft.join("frame", rail, stile)
    return rail


def stile_width(options: FrameOptions, board: Board) -> float:
    return options.stile or board.width


def rail_width(options: FrameOptions, board: Board) -> float:
    return options.rail or board.width


def face_frame(draft: Draft, options: FrameOptions, board: Board, shell: Shell, z: Span) -> Frame:
    """Stiles and outer rails over the front of a carcass from z[0] to z[1], flush outside."""
    stile, rail = stile_width(options, board), rail_width(options, board)
    stiles: list[Panel] = []
    for path, x, side in (
        ("left stile", (0.0, stile), shell.left),
        ("right stile", (shell.width - stile, shell.width), shell.right),
    ):
        box = Box((x[0], 0, z[0]), (x[1], board.thickness, z[1]))
        panel = draft.board(path, box, board, "z", "-y", "stile")
        draft.join("frame", panel, side)
        stiles.append(panel)
    pair = (stiles[0], stiles[1])
    _rail(draft, board, "bottom rail", pair, (z[0], z[0] + rail))
    _rail(draft, board, "top rail", pair, (z[1] - rail, z[1]))
    opening = Opening((stile, shell.width - stile), (z[0] + rail, z[1] - rail), *pair)
    return Frame(draft, board, opening, rail, pair)
