"""Building what is laid out: each unit in its own frame, fitted to the wall behind it and set in its place."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from model.inputs import Inputs, UnitInput
from model.materials import Materials
from model.messages import mm
from model.placement import Placement
from model.plan import BuiltUnit
from model.project import Connecting, Upper
from model.room.ceiling import Ceiling
from model.room.openings import FAR, Obstructed, fitted, without
from model.shapes import Box
from model.site import Site, Unbuildable
from model.siting.layout import (
    CornerSpot,
    Layout,
    RoomWall,
    Span,
    TopPlan,
    at_baseboard,
    found_wall,
    site_of,
    unbuildable,
)
from model.tolerances import CONTACT, rounded
from model.tops.below import below
from model.tops.slab import build_top
from model.units.corner import build_corner


@dataclass
class Bench:
    """What is being built: the layout it follows, shop codes given so far, and the units in the order they are made."""

    inputs: Inputs
    layout: Layout
    ceiling: Ceiling
    counts: dict[str, int] = field(default_factory=dict)
    made: dict[str, BuiltUnit] = field(default_factory=dict)
    places: dict[str, "Standing"] = field(default_factory=dict)

    def code(self, letter: str) -> str:
        """The next shop code: a letter for the kind and a number in reading order."""
        self.counts[letter] = self.counts.get(letter, 0) + 1
        return f"{letter}{self.counts[letter]}"


@dataclass(frozen=True)
class Standing:
    """A built upper as connecting shelves see it: its wall, the top under it, x and depth and upper end (mm)."""

    wall: RoomWall
    top: TopPlan | None
    x: Span
    depth: float
    upper_end: float


def build_units(inputs: Inputs, layout: Layout, ceiling: Ceiling) -> tuple[BuiltUnit, ...]:
    """Every unit, built and placed: along the walls, corners, tops, uppers, connecting shelves. Raises ConfigError."""
    bench = Bench(inputs, layout, ceiling)
    _floor_units(bench)
    for i, corner in enumerate(layout.corners):
        _corner(bench, i, corner)
    for i, plan in enumerate(layout.tops):
        _top(bench, i, plan)
    for i, said in enumerate(inputs.project.value.uppers):
        _upper(bench, i, said)
    for i, said in enumerate(inputs.project.value.connecting):
        _connecting(bench, i, said)
    return tuple(bench.made.values())


def _floor_units(bench: Bench) -> None:
    for spot in bench.layout.spots.values():
        over = next((t for t in bench.layout.tops if spot.unit.name in t.top.over and t.wall is spot.wall), None)
        lands = over is not None and (
            any(spot.x[0] < s < spot.x[1] for s in over.seams) or any(u == spot.x for u in over.run.uppers)
        )
        width = rounded(spot.x[1] - spot.x[0])
        height = over.underside if over else None
        site = _site(bench, spot.unit, spot.wall, spot.at, width, height, -spot.front)
        _make(bench, spot.unit, replace(site, lands=lands), spot.wall, spot.at)


def _site(
    bench: Bench,
    unit: UnitInput,
    wall: RoomWall,
    at: Placement,
    width: float,
    height: float | None,
    reach: float,
    limit: float | None = None,
) -> Site:
    """A site on a wall: what is behind and above the unit seen from the unit's own frame. `reach` is how far the unit
    stands out from the wall, mm."""
    site = site_of(bench.inputs, unit.name, bench.code(unit.kind.letter), width, unit.options.materials, height)
    x, _, z = at.origin
    studs = wall.wall.studs.centres(wall.wall.width) if wall.wall.studs else ()
    overhead = bench.ceiling.lowest([wall.frame.apply((u, v, 0.0)) for u in (x, x + width) for v in (-reach, 0.0)])
    return replace(
        site,
        bottom=z,
        depth_limit=limit,
        stud_x=tuple(rounded(s - x) for s in studs),  # all of them: a cleat that meets none must be refused
        ceiling=rounded(overhead - z),
    )


def _make(bench: Bench, unit: UnitInput, site: Site, wall: RoomWall, at: Placement) -> BuiltUnit:
    """Build a unit, open and notch it for what is on the wall behind it, and set it in its place."""
    notch = at_baseboard(bench.inputs, wall.name) == "notch"
    try:
        built = fitted(unit.kind.build(unit.options, site), at, wall.wall, notch)
    except Obstructed as problem:
        raise bench.inputs.error(problem.message, "baseboard") from None
    except (Unbuildable, ValueError) as problem:
        unbuildable(bench.inputs, unit, problem)
    bench.made[unit.name] = placed = built.placed(wall.frame.compose(at))
    return placed


def _corner(bench: Bench, index: int, spot: CornerSpot) -> None:
    inputs = bench.inputs
    tops = [
        next((t for t in bench.layout.tops if t.wall is w and spot.corner.name in t.top.over), None)
        for w in (spot.first, spot.second)
    ]
    undersides = {t.underside for t in tops if t}
    if len(undersides) > 1:
        low, high = sorted(undersides)
        raise inputs.error(
            f"the tops that meet here lie at {mm(low)} and {mm(high)}: make them level", "corners", index
        )
    height = undersides.pop() if undersides else spot.corner.height
    if height is None:
        raise inputs.error("no height: name the corner in a top's over, or give it its own", "corners", index)
    seam = rounded(spot.depths[0] + tops[0].top.overhang.front) if tops[0] and tops[1] else None
    site = site_of(inputs, spot.corner.name, bench.code("CR"), 1.0, spot.corner.materials, height)
    try:
        notch = at_baseboard(inputs, spot.first.name) == "notch"
        built = fitted(build_corner(site, spot, seam, any(tops)), Placement(), spot.first.wall, notch)
    except Obstructed as problem:
        raise inputs.error(problem.message, "baseboard") from None
    except Unbuildable as problem:
        raise inputs.error(f"{spot.corner.name}: {problem.message}", "corners", index, *problem.loc) from None
    except ValueError as problem:
        raise inputs.error(f"{spot.corner.name}: these sizes leave no room ({problem})", "corners", index) from None
    bench.made[spot.corner.name] = built.placed(spot.first.frame)


def _top(bench: Bench, index: int, plan: TopPlan) -> None:
    inputs = bench.inputs
    site = site_of(inputs, plan.top.name, bench.code("T"), 1.0, Materials(top=plan.top.sheet))
    under = below((bench.made[name] for name in plan.top.over), plan.wall.frame, plan.underside)
    try:
        built = build_top(site, plan.run, plan.slab, plan.top.make, under)
    except Unbuildable as problem:
        raise inputs.error(f"{plan.top.name}: {problem.message}", "tops", index, *problem.loc) from None
    except ValueError as problem:
        raise inputs.error(f"{plan.top.name}: {problem}", "tops", index) from None
    built = _edge_ends_at_corner(bench, index, plan, built)
    bench.made[plan.top.name] = built.placed(plan.wall.frame.compose(Placement((0.0, 0.0, plan.underside))))


def _edge_ends_at_corner(bench: Bench, index: int, plan: TopPlan, built: BuiltUnit) -> BuiltUnit:
    """A corner's first top, its edge no thicker than its slab where the second top comes before it."""
    for spot in bench.layout.corners:
        if spot.first is not plan.wall or spot.corner.name not in plan.top.over:
            continue
        meets = next(
            (t for t in bench.layout.tops if t.wall is spot.second and spot.corner.name in t.top.over),
            None,
        )
        start = spot.first.wall.width - spot.depths[1] - (meets.top.overhang.front if meets else 0.0)
        hidden = Box((start, plan.y[0] - FAR, -FAR), (spot.first.wall.width + FAR, 0.0, 0.0))
        try:
            return without(built, hidden)
        except Obstructed as problem:
            raise bench.inputs.error(problem.message, "tops", index) from None
    return built


def _upper(bench: Bench, index: int, said: Upper) -> None:
    unit = bench.inputs.units[said.name]
    depth = unit.options.depth
    if said.hung:
        wall = found_wall(bench.inputs, bench.layout.walls, said.wall or "", "uppers", index, "wall")
        left = said.x or 0.0
        plan, x, z, limit = None, (left, rounded(left + (said.width or 0.0))), said.bottom or 0.0, None
    else:
        plan = _top_under(bench, index, said)
        wall = plan.wall
        x = next(s.x for s in bench.layout.spots.values() if s.unit.name == said.above)
        z, limit = plan.top.height, -plan.y[0]
        if depth > limit:
            unbuildable(bench.inputs, unit, Unbuildable(f"deeper than the top it stands on ({mm(limit)})", "depth"))
    at = Placement((x[0], rounded(-depth), z))
    site = _site(bench, unit, wall, at, rounded(x[1] - x[0]), said.height, depth, limit)
    seams = tuple(rounded(s - x[0]) for s in plan.seams if x[0] < s < x[1]) if plan else ()
    built = _make(bench, unit, replace(site, hung=said.hung, seams=seams), wall, at)
    upper_end = max(p.bounds().hi[2] for p in built.parts)
    bench.places[said.name] = Standing(wall, plan, x, depth, rounded(upper_end))


def _top_under(bench: Bench, index: int, said: Upper) -> TopPlan:
    plan = next((t for t in bench.layout.tops if t.top.name == said.on), None)
    if plan is None:
        names = ", ".join(t.top.name for t in bench.layout.tops) or "none"
        raise bench.inputs.error(f"there is no top {said.on!r}; there is {names}", "uppers", index, "on")
    units = [n for n in plan.top.over if n in bench.layout.spots]
    if said.above not in units:
        raise bench.inputs.error(
            f"{said.above!r} is not under {said.on!r}; there is {', '.join(units)}", "uppers", index, "above"
        )
    return plan


def _connecting(bench: Bench, index: int, said: Connecting) -> None:
    """Shelves that fill the gap between two uppers: as wide as it, no deeper than the shallower, no higher than the
    lower of the two."""
    inputs, loc = bench.inputs, ("connecting", index)
    pair: list[Standing] = []
    for i, name in enumerate(said.between):
        if name not in bench.places:
            there = ", ".join(bench.places) or "none"
            raise inputs.error(f"there is no upper {name!r}; there is {there}", *loc, "between", i)
        pair.append(bench.places[name])
    left, right = pair
    gap = rounded(right.x[0] - left.x[1])
    if left.wall is not right.wall or gap <= 0:
        raise inputs.error(
            f"{said.between[1]!r} does not stand to the right of {said.between[0]!r} with a gap between them",
            *loc,
            "between",
        )
    plan = left.top or right.top or _top_spanning(bench, left, right)
    if plan is None or any(p.top not in (None, plan) for p in pair):
        raise inputs.error("the two uppers do not stand over one top", *loc, "between")
    unit = inputs.units[said.name]
    bottom = rounded(plan.top.height + said.at)
    height, limit = rounded(min(p.upper_end for p in pair) - bottom), min(p.depth for p in pair)
    if height <= 0:
        raise inputs.error(f"the shelves begin {mm(-height)} above the lower of the two uppers", *loc, "at")
    own = getattr(unit.options, "depth", None)
    depth = limit if own is None else own
    if depth > limit + CONTACT:
        unbuildable(inputs, unit, Unbuildable(f"deeper than the uppers they lie between ({mm(limit)})", "depth"))
    at = Placement((left.x[1], rounded(-depth), bottom))
    site = _site(bench, unit, left.wall, at, gap, height, depth, limit)
    built = _make(bench, unit, site, left.wall, at)
    lowest = rounded(min(p.bounds().lo[2] for p in built.parts) - plan.top.height)
    if lowest < 0:
        raise inputs.error(
            f"what hangs under the lowest shelf reaches {mm(-lowest)} into the top: "
            f"say at: {mm(said.at - lowest)} or more",
            *loc,
            "at",
        )


def _top_spanning(bench: Bench, left: Standing, right: Standing) -> TopPlan | None:
    """The top on their wall that reaches under the whole gap, for uppers that hang over it."""
    spanning = (
        t
        for t in bench.layout.tops
        if t.wall is left.wall and t.run.span[0] <= left.x[1] and t.run.span[1] >= right.x[0]
    )
    return next(spanning, None)


def touch(a: Box, b: Box) -> bool:
    """Whether two boxes meet in more than a line."""
    shared = a.grown(CONTACT).common(b.grown(CONTACT))
    return shared is not None and sum(size > 3 * CONTACT for size in shared.size) >= 2


def touching(units: Iterable[BuiltUnit], pieces: Iterable[tuple[str, Box]]) -> Iterator[tuple[str, str]]:
    """Pairs of a piece and a part that bears it, by path, wherever they meet."""
    them = list(pieces)
    for unit in units:
        bounds = {p.path: p.bounds() for p in unit.parts}
        for path in unit.bears:
            for piece, box in them:
                if path in bounds and touch(box, bounds[path]):
                    yield piece, path
