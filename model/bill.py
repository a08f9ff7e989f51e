"""The cut list: every distinct part once, with how often, where and how it is cut, and what it weighs."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from model.cuts import FLAT, Bevel, Bore, Cut, Cutout, Groove, Notch, PocketBore, Rabbet, Scribe
from model.part import Part, PlacedPart
from model.plan import Plan
from model.tolerances import DIGITS

if TYPE_CHECKING:
    from model.stock.tables import Stock

_RANK = {Groove: 0, Rabbet: 1, Notch: 2, Cutout: 3, Bore: 4, Bevel: 5, PocketBore: 6, Scribe: 7}
"""In which order cuts are told: saw and router first, drill last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One distinct part. `weight_kg` is the weight of one piece; names, units and roles are in order of appearance."""

    mark: str
    quantity: int
    names: tuple[str, ...]
    units: tuple[str, ...]
    roles: tuple[str, ...]
    part: Part
    cuts: str
    weight_kg: float

    @property
    def material(self) -> str:
        return self.part.material

    @property
    def kind(self) -> str:
        return self.part.kind

    @property
    def length(self) -> float:
        """mm, along the grain."""
        return self.part.length

    @property
    def width(self) -> float:
        """mm."""
        return self.part.width

    @property
    def thickness(self) -> float:
        """mm."""
        return self.part.thickness

    @property
    def grain(self) -> str:
        """`length` where the grain must follow the length, `none` where the part may be turned."""
        return "length" if self.part.grain == "length" and self.part.kind != "hardware" else "none"


def plain_mm(value: float) -> str:
    """A length in mm with no more digits than it has: `600`, `12.7`."""
    return f"{value:.{DIGITS}f}".rstrip("0").rstrip(".")


def describe_cuts(part: Part, show: Callable[[float], str] = plain_mm) -> str:
    """What is cut into one part, like cuts counted together.

    Such as `2 grooves 6 wide 6 deep on A; 14 pin bores 5 x 10 deep on A`. `show` prints a length given in mm.
    Empty for a part that is only cut to size.
    """
    told = sorted(part.cuts, key=lambda c: _RANK[type(c)])  # stable: a part keeps its cuts in a fixed order
    counts = Counter(_phrase(cut, part, show) for cut in told)
    return "; ".join(_counted(n, *phrase) for phrase, n in counts.items())


def _counted(n: int, noun: str, rest: str) -> str:
    return f"{n} {noun}{'s' if n > 1 else ''} {rest}"


def _phrase(cut: Cut, part: Part, show: Callable[[float], str]) -> tuple[str, str]:
    """The noun that is counted, and what follows it."""
    if isinstance(cut, Bore):
        end = "through" if cut.depth_in(part.size) >= _behind(cut, part) else f"x {show(cut.depth_in(part.size))} deep"
        side = "" if end == "through" and cut.face in FLAT else f" {_side(cut.face)}"
        if cut.countersink is not None:
            side = f", countersunk {show(cut.countersink)} {_side(cut.face)}"
        return f"{cut.purpose} bore", f"{show(cut.diameter)} {end}{side}"
    if isinstance(cut, PocketBore):
        sizes = f"{show(cut.diameter)} and {show(cut.pilot_diameter)} at {cut.degrees:.3g} deg"
        return "pocket bore", f"{sizes} on {cut.face} toward {cut.toward}, {show(cut.shoulder)} before it"
    if isinstance(cut, Scribe):
        return "scribe", f"of {show(cut.extra)} left {_side(cut.edge)}, to trim to the wall"
    if isinstance(cut, Bevel):
        angle = f"{cut.degrees(part.size):.3g} deg"
        return "bevel", f"{angle} on edge {cut.edge}, face {cut.face} narrower by {show(cut.run)}"
    u0, u1 = max(cut.u0, 0.0), min(cut.u1, part.length)
    v0, v1 = max(cut.v0, 0.0), min(cut.v1, part.width)
    if isinstance(cut, Groove | Rabbet):
        noun = type(cut).__name__.lower()
        return noun, f"{show(min(u1 - u0, v1 - v0))} wide {show(cut.depth)} deep on {cut.face}"
    size = f"{show(u1 - u0)} x {show(v1 - v0)}"
    if isinstance(cut, Cutout):
        return "cutout", f"{size} radius {show(cut.radius)}" if cut.radius else size
    in_corner = (u0 == 0 or u1 == part.length) and (v0 == 0 or v1 == part.width)
    return "corner notch" if in_corner else "edge notch", size


def _behind(cut: Bore, part: Part) -> float:
    """How much material lies behind the face a bore starts on, mm."""
    return part.size["xyz".index(cut.face[0])] if cut.face not in FLAT else part.thickness


def _side(face: str) -> str:
    return f"on {face}" if face in FLAT else f"in end {face}" if face[0] == "x" else f"in edge {face}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Driven:
    """How many of one screw, nail or bolt a plan takes. `uses` counts them by kind, in alphabetical order."""

    item: str
    count: int
    uses: tuple[tuple[str, int], ...]


def fasteners(plan: Plan) -> tuple[Driven, ...]:
    """Every screw, nail and bolt of a plan, exactly; by name."""
    counts: dict[str, Counter[str]] = {}
    for fixing in plan.fixings:
        counts.setdefault(fixing.item, Counter())[fixing.kind] += fixing.count
    return tuple(
        Driven(item=item, count=uses.total(), uses=tuple(sorted(uses.items()))) for item, uses in sorted(counts.items())
    )


def weight(part: Part, stock: "Stock") -> float:
    """The weight of one part, kg: its true volume times the density of its material, or the mass of a bought item."""
    from model.meshes import volume  # here, so that the mesh kernel is loaded only when something is weighed

    if part.mass is not None:
        return part.mass
    return stock.material(part.material).mass_of(part.length, volume(part))


def cut_list(plan: Plan, stock: "Stock") -> tuple[Row, ...]:
    """One row for each distinct part of a plan, in order of first appearance.

    Equal parts share a row; its quantity counts every place they take.
    """
    places: dict[Part, list[tuple[str, PlacedPart]]] = {}
    for unit in plan.units:
        for placed in unit.parts:
            places.setdefault(placed.part, []).append((unit.name, placed))
    return tuple(
        Row(
            mark=plan.marks[part],
            quantity=len(found),
            names=tuple(dict.fromkeys(placed.name for _, placed in found)),
            units=tuple(dict.fromkeys(unit for unit, _ in found)),
            roles=tuple(dict.fromkeys(placed.role for _, placed in found)),
            part=part,
            cuts=describe_cuts(part),
            weight_kg=weight(part, stock),
        )
        for part, found in places.items()
    )
