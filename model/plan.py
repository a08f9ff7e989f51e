"""A built plan: every part of every unit at its place in the room."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from model.fastening.fixing import Fixing
from model.lengths import LengthUnit
from model.part import Joint, Load, Motion, Part, PlacedPart
from model.placement import Placement


@dataclass(frozen=True)
class BuiltUnit:
    """A unit made of parts in its own frame: front-left-bottom corner at the origin, depth along +y, up +z.

    `code` is the shop letter and number its marks begin with (`B2`), `kind` what kind of unit it is. `ends` are the
    paths of the parts that close it at the left and the right (a neighbour is screwed to them), `bears` those a top
    lies on. `levelling` is how far its feet can be turned in and out (mm), the floor error they take up; None without
    feet. `fixings` are the screws, nails and bolts that hold it together.
    `loads` are things kept in it, which are no parts of it.
    """

    name: str
    code: str
    kind: str
    parts: tuple[PlacedPart, ...]
    joints: tuple[Joint, ...] = ()
    motions: tuple[Motion, ...] = ()
    ends: tuple[str, str] = ("", "")
    bears: tuple[str, ...] = ()
    levelling: tuple[float, float] | None = None
    fixings: tuple[Fixing, ...] = ()
    loads: tuple[Load, ...] = ()

    def placed(self, at: Placement) -> "BuiltUnit":
        """The unit in the room; every path gets the unit's name in front."""
        return BuiltUnit(
            self.name,
            self.code,
            self.kind,
            tuple(p.moved(at, self.name) for p in self.parts),
            tuple(j.under(self.name) for j in self.joints),
            tuple(m.moved(at, self.name) for m in self.motions),
            (f"{self.name}/{self.ends[0]}", f"{self.name}/{self.ends[1]}"),
            tuple(f"{self.name}/{path}" for path in self.bears),
            self.levelling,
            tuple(f.moved(at, self.name) for f in self.fixings),
            tuple(load.moved(at, self.name) for load in self.loads),
        )


@dataclass(frozen=True)
class Plan:
    """The whole room: units in reading order, joints between units, and how lengths are shown ("mm" or "in")."""

    title: str
    units: tuple[BuiltUnit, ...]
    lengths: LengthUnit = "mm"
    joints_between: tuple[Joint, ...] = ()
    fixings_between: tuple[Fixing, ...] = ()
    """What is driven on site: between units, and into walls."""

    def walk(self) -> Iterator[PlacedPart]:
        """Every placed part, unit by unit, in a fixed order: what every exporter and check consumes."""
        for unit in self.units:
            yield from unit.parts

    @cached_property
    def by_path(self) -> dict[str, PlacedPart]:
        """Every placed part, and every load, by path."""
        found: dict[str, PlacedPart] = {}
        for placed in (*self.walk(), *(load.placed for load in self.loads)):
            if placed.path in found:
                raise ValueError(f"two parts are called {placed.path}")
            found[placed.path] = placed
        return found

    @property
    def joints(self) -> tuple[Joint, ...]:
        return tuple(j for u in self.units for j in u.joints) + self.joints_between

    @property
    def fixings(self) -> tuple[Fixing, ...]:
        """Every screw, nail and bolt of the room."""
        return tuple(f for u in self.units for f in u.fixings) + self.fixings_between

    @property
    def motions(self) -> tuple[Motion, ...]:
        return tuple(m for u in self.units for m in u.motions)

    @property
    def loads(self) -> tuple[Load, ...]:
        return tuple(load for u in self.units for load in u.loads)

    @cached_property
    def laden(self) -> tuple[Motion, ...]:
        """The motions, with the loads that ride along."""
        if not self.loads:
            return self.motions
        return tuple(
            replace(m, parts=(*m.parts, *(load.placed.path for load in self.loads if load.on in m.parts)))
            for m in self.motions
        )

    @cached_property
    def marks(self) -> dict[Part, str]:
        """The shop mark of each distinct part: the code of the first unit that uses it and a number (`B2-05`).

        Bought hardware is numbered through the room: `H-03`.
        """
        marks: dict[Part, str] = {}
        counts: dict[str, int] = {}
        for unit in self.units:
            for placed in unit.parts:
                if placed.part in marks:
                    continue
                code = "H" if placed.part.kind == "hardware" else unit.code
                counts[code] = counts.get(code, 0) + 1
                marks[placed.part] = f"{code}-{counts[code]:02d}"
        return marks
