"""Assembly steps as frozen values: what a page of instructions shows, and what a test can replay."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, Protocol

from model.shapes import Vec

Where = Literal["bench", "site"]
CheckKind = Literal["diagonals", "square", "flush", "level", "gap", "moves", "fast"]


class HoldsParts(Protocol):
    """What the steps need to know of the screws, nails and bolts of a plan."""

    @property
    def item(self) -> str: ...

    @property
    def count(self) -> int: ...

    @property
    def parts(self) -> Sequence[str]: ...


@dataclass(frozen=True, slots=True)
class Move:
    """Parts that go to their place together, as one rigid body.

    They move along the unit vector `direction` (in the room) and pass all of `past`: everything they are then one
    with. `travel` is how far they come from, as far as that straight line was tested (mm); `away` is how far off they
    are drawn in an exploded picture (mm). Small things come through an opening first: `before` is the direction they
    come in along, before the last `travel` mm. `needs` says what has to be done where no straight line leads there
    (`tilt in`, `work in by hand`); empty where one does.
    """

    parts: tuple[str, ...]
    direction: Vec
    past: tuple[str, ...]
    travel: float = 0.0
    away: float = 0.0
    before: Vec | None = None
    needs: str = ""


@dataclass(frozen=True, slots=True)
class Fastening:
    """Equal fasteners of one step: the item in stock and how many."""

    item: str
    count: int


@dataclass(frozen=True, slots=True)
class JointCount:
    """Joints of one kind made in one step."""

    kind: str
    count: int


@dataclass(frozen=True, slots=True)
class Jig:
    """A setting block or spacer. `sizes` are its sizes in mm, largest first where there are several."""

    name: str
    sizes: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Check:
    """What is measured before going on. `values` in mm: what the tape must show; none for a matter of yes or no."""

    kind: CheckKind
    values: tuple[float, ...] = ()
    of: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One thing that one or two people do at once.

    `new` are the paths of parts that take part for the first time; `there` those already in place around them. Where
    equal things are made, `times` says how many and `shown` are the paths of the first, enough for a picture. `mass`
    is the most that is lifted at once, kg.
    """

    number: int
    title: str
    text: str
    unit: str
    where: Where
    stage: str
    new: tuple[str, ...]
    there: tuple[str, ...]
    moves: tuple[Move, ...]
    shown: tuple[str, ...]
    times: int = 1
    joints: tuple[JointCount, ...] = ()
    fasteners: tuple[Fastening, ...] = ()
    jigs: tuple[Jig, ...] = ()
    checks: tuple[Check, ...] = ()
    people: int = 1
    mass: float = 0.0
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Assembly:
    """The whole work: at the bench unit by unit, then in the room."""

    steps: tuple[Step, ...]

    def of_unit(self, name: str) -> tuple[Step, ...]:
        """The steps of one unit, at the bench and in the room."""
        return tuple(s for s in self.steps if s.unit == name)

    def by_hand(self) -> tuple[tuple[Step, Move], ...]:
        """Every move for which no straight line was found."""
        return tuple((s, m) for s in self.steps for m in s.moves if m.needs)
