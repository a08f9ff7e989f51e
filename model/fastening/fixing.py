"""Fixings as frozen values: what a joint is held by, piece for piece, and how each is driven."""

from dataclasses import dataclass, replace

from model.placement import Placement
from model.shapes import Vec, vec


@dataclass(frozen=True, slots=True)
class Spot:
    """One piece: the middle of its head, and the unit vector it is driven along."""

    at: Vec
    direction: Vec

    def __post_init__(self) -> None:
        object.__setattr__(self, "at", vec(*self.at))
        x, y, z = (round(c, 9) + 0.0 for c in self.direction)
        object.__setattr__(self, "direction", (x, y, z))

    def point(self, depth: float) -> Vec:
        """The point `depth` mm along the piece from its head."""
        x, y, z = (a + d * depth for a, d in zip(self.at, self.direction, strict=True))
        return (x, y, z)

    def moved(self, by: Placement) -> "Spot":
        return Spot(by.apply(self.at), by.turn(self.direction))


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixing:
    """Equal fasteners that hold one part to another.

    `item` is the name of the screw, nail or bolt in stock, `kind` what it is here (`screw`, `pocket screw`, `nail`,
    `fitting screw`, `bolt`, `rail screw`, `wall screw`), `length` its length from the head, mm. It passes `through`
    one part freely and bites in the parts of `into`, in that order; none where it goes into a wall. `sunk` says that
    its heads are countersunk.
    """

    item: str
    kind: str
    length: float
    through: str
    into: tuple[str, ...]
    spots: tuple[Spot, ...]
    sunk: bool = False

    @property
    def count(self) -> int:
        return len(self.spots)

    @property
    def parts(self) -> tuple[str, ...]:
        return (self.through, *self.into)

    def moved(self, by: Placement, prefix: str) -> "Fixing":
        """The same in the frame the unit is placed in, its paths under `prefix`."""
        return replace(
            self,
            through=f"{prefix}/{self.through}",
            into=tuple(f"{prefix}/{path}" for path in self.into),
            spots=tuple(spot.moved(by) for spot in self.spots),
        )
