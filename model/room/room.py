"""What a room may say: its walls in order, what is on them, its floor, its ceiling and the way into it."""

from typing import Literal

from pydantic import Field, model_validator

from model.config.types import (
    Angle,
    FieldError,
    Length,
    Lengths,
    Name,
    NonNegativeLength,
    Note,
    PositiveLength,
    Strict,
)
from model.messages import mm, shown


class Baseboard(Strict):
    """A board along the foot of a wall."""

    height: PositiveLength
    """Above the floor."""
    thickness: PositiveLength = 15.0
    """Off the wall."""


class Outlet(Strict):
    """A power outlet or switch on a wall."""

    name: Name = "outlet"
    """What it is."""
    x: NonNegativeLength
    """Its middle, from the left end of the wall."""
    z: NonNegativeLength
    """Its middle, above the floor."""
    width: PositiveLength = 80.0
    """Of its plate."""
    height: PositiveLength = 80.0
    """Of its plate."""
    kind: Literal["outlet", "switch"] = "outlet"
    """An outlet behind a back gets an opening there; a switch must stay within reach."""


class Window(Strict):
    """A window in a wall."""

    name: Name = "window"
    """What it is called."""
    x: NonNegativeLength
    """Its left edge, from the left end of the wall; the casing counts as part of it."""
    z: NonNegativeLength
    """Its sill, above the floor."""
    width: PositiveLength
    """Across."""
    height: PositiveLength
    """Sill to head."""
    reveal: NonNegativeLength = 0.0
    """How deep it lies in the wall."""
    hinged: Literal["left", "right", "top", "bottom"] | None = None
    """The side its sash is hinged on, seen from inside; leave it out where it does not open into the room."""
    opens: Angle = Field(default=90.0, gt=0, le=90)
    """How far its sash turns into the room."""


class Door(Strict):
    """A door in a wall."""

    name: Name = "door"
    """What it is called."""
    x: NonNegativeLength
    """Its left edge, from the left end of the wall."""
    width: PositiveLength
    """Of its leaf."""
    height: PositiveLength = 2000.0
    """Of its leaf."""
    hinged: Literal["left", "right"] = "left"
    """The side its hinges are on, seen from inside the room."""
    swings: Literal["in", "out"] = "in"
    """Into the room or out of it."""
    opens: Angle = Field(default=90.0, gt=0, le=180)
    """How far its leaf swings."""


class Obstacle(Strict):
    """A box that stands out from a wall: a radiator, a run of pipe, a beam."""

    name: Name = "obstacle"
    """What it is called."""
    x: NonNegativeLength
    """Its left edge, from the left end of the wall."""
    z: NonNegativeLength = 0.0
    """Its lower edge, above the floor."""
    width: PositiveLength
    """Along the wall."""
    height: PositiveLength
    """Upward."""
    projection: PositiveLength
    """Out from the wall."""
    clear: NonNegativeLength = 0.0
    """Air it needs all round (a radiator gives off less heat behind a closed back)."""


class Studs(Strict):
    """The studs in a wall: by spacing from the first, or each by its place."""

    spacing: PositiveLength | None = Field(default=None, ge=50)
    """Centre to centre."""
    first: NonNegativeLength = 0.0
    """Centre of the first, from the left end of the wall."""
    positions: tuple[NonNegativeLength, ...] = Field(default=(), max_length=500)
    """The centres, from the left end of the wall, in place of a spacing."""

    @model_validator(mode="after")
    def _one_way(self) -> "Studs":
        if (self.spacing is None) == (not self.positions):
            raise FieldError("say the spacing of the studs, or their positions, and not both", "positions")
        if tuple(sorted(self.positions)) != self.positions:
            raise FieldError("the studs do not go from left to right, write the leftmost first", "positions")
        return self

    def centres(self, width: float) -> tuple[float, ...]:
        """The centres on a wall of that width, mm from its left end."""
        if self.spacing is None:
            return tuple(x for x in self.positions if x <= width)
        count = int((width - self.first) / self.spacing + 1e-9) + 1 if width >= self.first else 0
        return tuple(self.first + i * self.spacing for i in range(count))


class FloorPoint(Strict):
    """The height of the floor at one place along a wall."""

    x: NonNegativeLength
    """From the left end of the wall."""
    z: Length
    """Against any one level line, such as a laser's; only differences count."""


class Wall(Strict):
    """A straight wall, seen from inside the room."""

    width: PositiveLength
    """Left end to right end."""
    turn: Angle = Field(default=90.0, gt=-180, lt=180)
    """From it to the next wall: 90 an inside corner, -90 an outside one, 0 straight on."""
    out_of_plumb: NonNegativeLength = 0.0
    """How far it leans, floor to ceiling."""
    out_of_square: NonNegativeLength = 0.0
    """How far its ends are off square, measured 600 mm (24 in) out from the corner."""
    floor: tuple[FloorPoint, ...] = Field(default=(), max_length=200)
    """The floor along it, from left to right, where it is not level."""
    baseboard: Baseboard | None = None
    """A board along its foot; the project says whether units stand off it, are notched over it, or it is removed."""
    outlets: tuple[Outlet, ...] = ()
    """Outlets and switches."""
    windows: tuple[Window, ...] = ()
    """Windows."""
    doors: tuple[Door, ...] = ()
    """Doors."""
    radiators: tuple[Obstacle, ...] = ()
    """Radiators."""
    pipes: tuple[Obstacle, ...] = ()
    """Pipes on the wall, each the box round it."""
    beams: tuple[Obstacle, ...] = ()
    """Beams, posts and boxings."""
    studs: Studs | None = None
    """What can be screwed into; unknown when left out."""

    @model_validator(mode="after")
    def _on_the_wall(self) -> "Wall":
        for key in ("windows", "doors", "radiators", "pipes", "beams"):
            for i, thing in enumerate(getattr(self, key)):
                if thing.x + thing.width > self.width + 0.05:
                    end = shown(mm(thing.x + thing.width), "mm")
                    raise FieldError(f"the {thing.name} ends at {end}, past the end of the wall", key, i, "x")
        for i, outlet in enumerate(self.outlets):
            if outlet.x > self.width:
                raise FieldError("past the end of the wall", "outlets", i, "x")
        xs = [p.x for p in self.floor]
        if xs != sorted(set(xs)):
            raise FieldError("the places do not go from left to right, write the leftmost first", "floor")
        return self

    @property
    def obstacles(self) -> tuple[Obstacle, ...]:
        return (*self.radiators, *self.pipes, *self.beams)

    def floor_at(self, x: float) -> float:
        """How much the floor at `x` lies below its highest place along the wall, mm (0 where it is level)."""
        if not self.floor:
            return 0.0
        top = max(p.z for p in self.floor)
        before = max((p for p in self.floor if p.x <= x), key=lambda p: p.x, default=self.floor[0])
        after = min((p for p in self.floor if p.x >= x), key=lambda p: p.x, default=self.floor[-1])
        if after.x == before.x:
            return top - before.z
        share = (x - before.x) / (after.x - before.x)
        return top - (before.z + share * (after.z - before.z))


class CeilingSlope(Strict):
    """A ceiling that comes down toward a wall, or toward one of its ends."""

    wall: Name
    """The wall."""
    toward: Literal["wall", "left", "right"] = "wall"
    """It comes down toward the wall itself, or toward the wall's left or right end."""
    falls_to: NonNegativeLength
    """Height of the ceiling there."""
    over: PositiveLength
    """How far from there it is level again, measured along the floor."""


class WayIn(Strict):
    """The narrowest places between the street and the room."""

    door_width: PositiveLength
    """Clear width of the narrowest door."""
    door_height: PositiveLength = 2000.0
    """Clear height of the lowest door."""
    corridor: PositiveLength | None = None
    """Clear width of the corridor before the tightest turn."""
    turns_into: PositiveLength | None = None
    """Clear width after that turn, a right angle; the door's when left out."""
    turn_height: PositiveLength | None = None
    """Clear height at that turn, for what is tilted to get round; the door's when left out."""

    @property
    def headroom(self) -> float:
        """The clear height at the turn, mm."""
        return self.turn_height if self.turn_height is not None else self.door_height


class Room(Strict):
    """A room file."""

    lengths: Lengths = "mm"
    """The unit of this file's bare numbers."""
    note: Note = ""
    """Where the room is; invented or measured."""
    height: PositiveLength
    """Floor to ceiling, where the ceiling is highest."""
    slopes: tuple[CeilingSlope, ...] = Field(default=(), max_length=20)
    """Where the ceiling comes down."""
    walls: dict[Name, Wall] = Field(min_length=1)
    """The walls by name, in order from left to right as one turns in the room: each begins where the last ends."""
    way_in: WayIn | None = None
    """What everything must be carried through."""

    @model_validator(mode="after")
    def _slopes_fall(self) -> "Room":
        for i, slope in enumerate(self.slopes):
            if slope.wall not in self.walls:
                there = ", ".join(self.walls)
                raise FieldError(f"there is no wall {slope.wall!r}, there is {there}", "slopes", i, "wall")
            if slope.falls_to >= self.height:
                raise FieldError("no lower than the room is high, make it less", "slopes", i, "falls_to")
        return self
