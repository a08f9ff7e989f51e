"""What a project says of its clearances: how much air is right between parts that must pass, close or fit."""

from pydantic import model_validator

from model.config.types import FieldError, Length, Strict


class Range(Strict):
    """The least and the most that a gap may measure."""

    min: Length
    """Tighter than this is a finding."""
    max: Length | None
    """Looser than this is a finding; null where no gap is too wide."""

    @model_validator(mode="after")
    def _in_order(self) -> "Range":
        if self.max is not None and self.max < self.min:
            raise FieldError("the max of a clearance is less than its min: give the smaller one first", "max")
        return self


def _range(least: float, most: float | None) -> Range:
    return Range(min=least, max=most)


class Clearances(Strict):
    """Gaps that are measured on the finished plan, each with the range it must lie in.

    The ranges are common practice of cabinet shops unless said otherwise: they are wide enough for what units are made
    with when their files leave gaps at the defaults, in millimetres and in inches.
    """

    drawer_to_frame: Range = _range(3.0, 20.0)
    """A drawer box to the stile or mullion it passes, at each side (12.7 mm, 1/2 in, with common slides). 3 to 20 mm
    unless given."""
    drawer_to_rail: Range = _range(3.0, None)
    """A drawer box to the rail it passes over or under. 3 mm and up unless given."""
    slide_to_carcass: Range = _range(0.0, 0.1)
    """The cabinet member of a slide to what it is screwed to: flush. 0 to 0.1 mm unless given."""
    slide_to_drawer: Range = _range(0.0, 0.1)
    """The drawer member of a slide to the side it is screwed to: flush. 0 to 0.1 mm unless given."""
    slide_play: Range = _range(0.0, 0.8)
    """What is left between a drawer or a tray and its wall over the side space of the slide (12.7 mm, and up to 0.8 mm
    more but no less, is what makers of ball-bearing slides ask for: from memory). 0 to 0.8 mm unless given."""
    front_to_front: Range = _range(1.5, 5.0)
    """A front or door to the next one beside or above it; over a frame member only its min counts. 1.5 to 5 mm unless
    given."""
    front_to_top: Range = _range(1.0, 75.0)
    """The upper edge of a front to the underside of the top over it. 1 to 75 mm unless given."""
    front_to_frame: Range = _range(1.5, 5.0)
    """An inset front to the frame or carcass, all round. 1.5 to 5 mm unless given."""
    door_to_wall: Range = _range(5.0, None)
    """A door fully open, its pull included, to a wall of the room or to what stands out beside it. 5 mm and up unless
    given."""
    tray_to_side: Range = _range(0.5, 4.0)
    """A tray on strips to the side, stile or partition at each end. 0.5 to 4 mm unless given."""
    tray_to_runner: Range = _range(0.5, 3.0)
    """A tray's play up and down between its strips. 0.5 to 3 mm unless given."""
    drawer_to_back: Range = _range(3.0, 120.0)
    """A drawer, shut, to the back of its carcass. 3 to 120 mm unless given."""
    shelf_to_side: Range = _range(0.4, 3.0)
    """A shelf on pins to the side or partition at each end. 0.4 to 3 mm unless given."""
