"""Whether a plan made for one room fits another: its walls solved again, and all that had to change to hold."""

import functools
import itertools
import os
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from model.build import Build, assemble
from model.checks import run
from model.config.nodes import Loc
from model.config.rewrite import found_scalars, rewritten, scalar
from model.config.source import shown_path
from model.config.tree import read
from model.errors import ConfigError
from model.findings import Finding
from model.inputs import Inputs, read_inputs
from model.lengths import LengthUnit, show_length
from model.messages import mm, shown
from model.project import Project
from model.room.ceiling import ceiling_of
from model.room.room import Room
from model.site import Unbuildable
from model.siting.give import GIVE, Given, Refusal, concede
from model.siting.layout import STEP_INCH, STEP_MM, Layout, ends, lay_out, site_of, wall_widths
from model.siting.wall_rules import STUD, wall_rules
from model.tolerances import rounded

NARROWEST = 60.0
"""mm. No unit is tried narrower."""
LIFT = 10.0
"""mm. Air over an upper that is lifted into place under a ceiling (common practice)."""


@dataclass(frozen=True)
class Changed:
    """A size of a unit before and after (mm); `what` is `width` or `height`."""

    unit: str
    what: str
    old: float
    new: float


@dataclass(frozen=True)
class Fit:
    """What became of a plan in another room.

    `walls` are its walls and the room's they were matched with. `given` says what could not hold as it was written,
    in the order in which it gave; `notes` what else changed. `refused` says why nothing makes it fit, and is empty
    where something does: then `new` is the plan built in the room and `text` its project file.
    """

    old: Build
    walls: tuple[tuple[str, str], ...]
    given: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()
    text: str = ""
    new: Build | None = None
    found: tuple[Finding, ...] = ()
    newly: tuple[Finding, ...] = ()
    sizes: tuple[Changed, ...] = ()

    @property
    def holds(self) -> bool:
        """Whether the plan fits as it is written, and no check finds a fault in it."""
        return not (self.given or self.refused or any(f.severity == "fault" for f in self.found))

    @property
    def parts(self) -> dict[str, int]:
        """How many parts stay as they are, change, are new and are gone, by their paths."""
        old = {p.path: p.part for p in self.old.plan.walk()}
        new = {p.path: p.part for p in self.new.plan.walk()} if self.new else {}
        both = old.keys() & new.keys()
        same = sum(old[path] == new[path] for path in both)
        return {"same": same, "changed": len(both) - same, "new": len(new) - len(both), "gone": len(old) - len(both)}


def sheet_area(build: Build) -> dict[str, float]:
    """Finished sheet parts in m2, by material."""
    areas: dict[str, float] = {}
    for placed in build.plan.walk():
        if placed.part.kind == "sheet":
            area = placed.part.length * placed.part.width / 1e6
            areas[placed.part.material] = areas.get(placed.part.material, 0.0) + area
    return dict(sorted(areas.items()))


@dataclass
class _Work:
    """A plan on its way into a room: what its text changes, and what that is told as."""

    plan: Path
    text: str
    lengths: LengthUnit
    values: dict[Loc, str] = field(default_factory=dict)
    keys: dict[Loc, str] = field(default_factory=dict)
    given: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)

    def now(self) -> str:
        return rewritten(self.text, self.values, self.keys)

    def inputs(self) -> Inputs:
        return read_inputs(self.plan, self.now())

    def tell(self, told: list[str], text: str) -> None:
        told.append(shown(text, self.lengths))

    def number(self, value: float) -> str:
        """A length as the project writes it."""
        return show_length(value, self.lengths).removesuffix(" mm")


def fit(plan: Path, room: Path) -> Fit:
    """The plan in a project file, fitted to the room in a room file. Raises ConfigError for files that are wrong."""
    there = read(room, Room).value
    before = read_inputs(plan)
    old = assemble(before)
    said = before.project.value
    work = _Work(plan, plan.read_text(encoding="utf-8-sig"), said.lengths)
    walls, left_over = match_walls(before.room.value, said, there)
    matched = tuple(walls.items())
    if left_over:
        names = ", ".join(left_over)
        work.refused.append(f"the room has no wall for {names}: its walls are {', '.join(there.walls)}")
        return Fit(old, matched, refused=tuple(work.refused))
    work.values["room",] = scalar(_relative(room, plan.parent))
    _rename(work, walls)
    _lose_alignments(work, said, walls, there)
    try:
        moved = work.inputs()
        floor = functools.partial(_floor, before, lay_out(before))
        for wall, name in walls.items():
            if wall in said.walls:
                _solve(work, moved, wall, name, functools.partial(floor, wall))
        if work.refused:
            return Fit(old, matched, tuple(work.given), tuple(work.notes), tuple(work.refused))
        _move_openings(work, lay_out(before), work.inputs())
        _lower(work, work.inputs())
        new = assemble(work.inputs())
    except ConfigError as error:
        return Fit(old, matched, tuple(work.given), tuple(work.notes), error.lines)
    known = {(f.code, f.parts) for f in run(old)}
    found = run(new)
    return Fit(
        old, matched, tuple(work.given), tuple(work.notes), (), work.now(), new, found,
        tuple(f for f in found if (f.code, f.parts) not in known), tuple(_sizes(old, new)),
    )  # fmt: skip


def match_walls(old: Room, said: Project, new: Room) -> tuple[dict[str, str], list[str]]:
    """The new room's wall for each wall the plan uses, and the walls for which there is none.

    By name; the rest in order where there are as many of them on both sides, else the longest on the longest.
    """
    used = {*said.walls, *(t.wall for t in said.tops), *(u.wall for u in said.uppers if u.wall)}
    used |= {w for c in said.corners for w in c.walls}
    plan = [w for w in old.walls if w in used]
    found = {w: w for w in plan if w in new.walls}
    rest, free = [w for w in plan if w not in found], [w for w in new.walls if w not in found]
    if len(rest) != len(free):
        rest = sorted(rest, key=lambda w: -old.walls[w].width)
        free = sorted(free, key=lambda w: -new.walls[w].width)
    found |= dict(zip(rest, free, strict=False))
    return {w: found[w] for w in plan if w in found}, rest[len(free) :]


def _rename(work: _Work, walls: Mapping[str, str]) -> None:
    """Call the walls what the room calls them, wherever the project names them."""
    for loc, value in found_scalars(work.text):
        names_wall = loc[-1] == "wall" or (len(loc) > 1 and loc[-2] == "walls" and isinstance(loc[-1], int))
        if names_wall and "change" not in loc and walls.get(value, value) != value:
            work.values[loc] = scalar(walls[value])
    named = {loc[:2] for loc, _ in found_scalars(work.text) if len(loc) > 1}
    for key, wall in itertools.product(("walls", "margins", "mirror", "baseboards"), walls):
        if (key, wall) in named and walls[wall] != wall:
            work.keys[key, wall] = scalar(walls[wall])


def _lose_alignments(work: _Work, said: Project, walls: Mapping[str, str], room: Room) -> None:
    """Give up alignments with what the room has not."""
    for wall, row in said.walls.items():
        there = room.walls[walls[wall]]
        for i, placed in enumerate(row):
            if placed.align is None:
                continue
            has = there.studs is not None if placed.align.to == STUD else any(
                w.name == placed.align.to for w in there.windows
            )  # fmt: skip
            if not has:
                work.values["walls", wall, i, "align"] = "null"
                what = "known studs" if placed.align.to == STUD else f"window {placed.align.to!r}"
                work.given.append(f"{placed.name} no longer stands in line: the wall {walls[wall]} has no {what}")


def _solve(work: _Work, moved: Inputs, wall: str, name: str, floor: Callable[[int], float]) -> None:
    """Find what gives along one wall (`name` in the room), and write it into the text."""
    left, right = ends(moved, name)
    rules = wall_rules(moved, name, left, right)
    step = STEP_INCH if work.lengths == "in" else STEP_MM
    answer = concede(rules, floor, step)
    if isinstance(answer, Refusal):
        work.tell(work.refused, f"the wall {name}: {answer.text}")
        work.refused.extend(_ways_out(answer))
        return
    for given in answer:
        _write(work, wall, right, given)
    used = sum(w.fixed for w in rules.wishes)
    if all(w.share is None for w in rules.wishes) and rules.room - used > 0.05:
        work.tell(work.notes, f"{mm(rounded(rules.room - used))} stay empty at the right end of {name}")


def _ways_out(refusal: Refusal) -> Iterator[str]:
    if not refusal.droppable:
        yield "no one or two units can be left out to make it fit"
        return
    ways = " or ".join(" and ".join(names) for names in refusal.droppable)
    yield f"it would fit without {ways}"


def _write(work: _Work, wall: str, right: float, given: Given) -> None:
    if given.kind == "empty":
        assert given.new is not None
        work.values["margins", wall, "right"] = f"{rounded(right + given.new):.10g} mm"
        work.tell(work.notes, given.text)
        return
    new = "null" if given.new is None else work.number(given.new)
    work.values["walls", wall, given.index, *given.key] = new
    work.tell(work.notes if given.kind == "floor" else work.given, given.text)


def _floor(before: Inputs, layout: Layout, wall: str, index: int) -> float:
    """The least width (mm, whole) at which a unit can be built, not above the one it has in its own room."""
    name = before.project.value.walls[wall][index].name
    spot = layout.spots[name]
    top = next((t for t in layout.tops if name in t.top.over), None)
    height = top.underside if top else None
    low, high = NARROWEST, spot.x[1] - spot.x[0]

    def builds(width: float) -> bool:
        site = site_of(before, name, "X1", width, spot.unit.options.materials, height)
        try:
            spot.unit.kind.build(spot.unit.options, site)
        except (Unbuildable, ValueError):
            return False
        return True

    while high - low > 1:
        middle = float(int((low + high) / 2))
        low, high = (low, middle) if builds(middle) else (middle, high)
    return rounded(high)


def _move_openings(work: _Work, old: Layout, moved: Inputs) -> None:
    """Keep grommets and cutouts of a top over the unit they were over, at the same share of its width."""
    for i, plan in enumerate(old.tops):
        top = moved.project.value.tops[i]
        places = _places(moved, top.wall)
        start = plan.run.span[0]
        over = [(name, old.spots[name].x) for name in top.over if name in old.spots]
        if not over or over[0][0] != top.over[0]:
            continue  # the top begins in a corner, which stays where it is
        begins = places[over[0][0]][0] - top.overhang.left
        for key in ("grommets", "cutouts"):
            for k, opening in enumerate(getattr(top.make, key)):
                under = next(((n, x) for n, x in over if x[0] <= start + opening.x <= x[1]), None)
                if under is None:
                    continue
                name, was = under
                share = (start + opening.x - was[0]) / (was[1] - was[0])
                now = places[name]
                x = rounded(now[0] + share * (now[1] - now[0]) - begins)
                if abs(x - opening.x) > 0.05:
                    loc: Loc = ("tops", i, "make", key, k, "x")
                    work.values[loc] = work.number(x)
                    what = key.removesuffix("s")
                    work.tell(work.notes, f"{what} {k + 1} of {top.name} from {mm(opening.x)} to {mm(x)}, over {name}")


def _places(inputs: Inputs, wall: str) -> dict[str, tuple[float, float]]:
    """From where to where each unit of a wall stands, mm."""
    x = ends(inputs, wall)[0]
    found: dict[str, tuple[float, float]] = {}
    for placed, width in zip(inputs.project.value.walls[wall], wall_widths(inputs, wall), strict=True):
        found[placed.name] = (x, x + width)
        x += width
    return found


def _lower(work: _Work, moved: Inputs) -> None:
    """Lower uppers that do not go under the ceiling."""
    layout = lay_out(moved)
    ceiling = ceiling_of(moved.room.value, {n: w.frame for n, w in layout.walls.items()})
    tops = {t.top.name: t for t in layout.tops}
    for i, upper in enumerate(moved.project.value.uppers):
        options = moved.units[upper.name].options
        height = upper.height or options.height
        if upper.hung:
            wall = layout.walls.get(upper.wall or "")
            span, foot = ((upper.x or 0.0), (upper.x or 0.0) + (upper.width or 0.0)), upper.bottom or 0.0
        else:
            top, spot = tops.get(upper.on or ""), layout.spots.get(upper.above or "")
            wall = spot.wall if spot else None
            span, foot = (spot.x, top.top.height) if spot and top else ((0.0, 0.0), 0.0)
        if wall is None or height is None:
            continue
        corners = [wall.frame.apply((x, y, 0.0)) for x in span for y in (-options.depth, 0.0)]
        room = rounded(ceiling.lowest(corners) - foot)
        lower = rounded(int(room - LIFT))
        if height <= room or lower < height * GIVE:
            continue  # what is lower still is for its maker to plan: the checks report it
        key = ("height",) if options.height is None or upper.height is not None else ("change", "height")
        loc: Loc = ("uppers", i, *key)
        work.values[loc] = work.number(lower)
        work.tell(work.given, f"{upper.name} {mm(height)} high, now {mm(lower)}: the ceiling leaves {mm(room)}")


def _sizes(old: Build, new: Build) -> Iterator[Changed]:
    """The width of each unit along a wall and the height of each upper, before and after."""
    before, after = lay_out(old.inputs).spots, lay_out(new.inputs).spots
    for name, spot in after.items():
        was = before[name].x
        yield Changed(name, "width", rounded(was[1] - was[0]), rounded(spot.x[1] - spot.x[0]))
    for a, b in zip(old.inputs.project.value.uppers, new.inputs.project.value.uppers, strict=True):
        heights = [u.height or build.inputs.units[u.name].options.height for u, build in ((a, old), (b, new))]
        if None not in heights:
            yield Changed(b.name, "height", heights[0], heights[1])


def _relative(path: Path, folder: Path) -> str:
    """The path as a file in the folder names it."""
    try:
        return Path(os.path.relpath(path, folder)).as_posix()
    except ValueError:  # another drive
        return path.resolve().as_posix()


_SCHEMA = re.compile(r"\A(# yaml-language-server: \$schema=)(\S+)")


def moved_to(fitted: Fit, plan: Path, folder: Path) -> str:
    """The fitted project as text for a file in `folder`: every file it names is named from there."""
    values: dict[Loc, str] = {}
    for loc, value in found_scalars(fitted.text):
        if loc in (("room",), ("stock",)) or (loc[-1] == "unit" and "change" not in loc):
            values[loc] = scalar(_relative(plan.parent / value, folder))
    text = rewritten(fitted.text, values)
    schema = _SCHEMA.match(text)
    if schema and (plan.parent / schema[2]).is_file():
        text = f"{schema[1]}{_relative(plan.parent / schema[2], folder)}{text[schema.end() :]}"
    told = [f"# {line}" for line in (f"Fitted to another room from {shown_path(Path(plan.name))}.", *fitted.given)]
    lines = text.split("\n")
    at = 1 if schema else 0
    return "\n".join([*lines[:at], *told, *lines[at:]])
