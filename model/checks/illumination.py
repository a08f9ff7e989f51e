"""How much light falls on the work under lit shelves, how evenly, and whether the light itself dazzles.

Point by point from each strip, direct light alone: walls that throw light back and the room's own light add to it. The
code: `illumination`, once for each light.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from model.build import Build, RoomWall
from model.checks import check
from model.findings import Code, Finding
from model.lengths import show_length
from model.lighting.found import FoundLight, lights_of
from model.lighting.light_map import LightMap, Strip, light_map
from model.lighting.tasks import TASKS, shielding
from model.plan import BuiltUnit
from model.room.alongside import Boxed, around, boxes_along, meet, wall_of
from model.shapes import Box, Vec
from model.stock.lights import LedStrip
from model.tolerances import CONTACT, rounded

WIDE = 0.5
"""Work is done where at least this much of a surface lies under the light, along the wall."""

CODES = (
    Code(
        "illumination",
        "How much light the strips under a shelf give on the surface under them, by themselves, once they are dusty "
        "and no longer new.",
        causes=(
            "a strip that gives few lumens, or hangs high over the work",
            "a strip at the rear: the front of the top stays dark",
            "a bare strip that one looks into",
        ),
        moved_by=(
            "unit: light.strip",
            "unit: light.profile",
            "unit: light.set_back",
            "unit: light.length",
            "project: connecting.at",
            "project: comfort.light.task",
            "project: comfort.light.lux",
            "project: comfort.light.cover",
        ),
    ),
)


@dataclass(frozen=True, slots=True)
class Lit:
    """A surface and the light on it: its place in the frame of the wall (x, y and z of its upper face, mm)."""

    name: str
    field: Box
    seen: LightMap
    strip: Strip


@check
def illumination(build: Build) -> Iterator[Finding]:
    """Finding `illumination`."""
    for unit in build.plan.units:
        for light in lights_of(unit, build.stock):
            found = lit(build, unit, light)
            if light.lumens_per_metre is None:
                yield _unknown(light)
            elif found is not None:
                yield _finding(build, unit, light, found)


def lit(build: Build, unit: BuiltUnit, light: FoundLight) -> Lit | None:
    """The surface under a light, as wide as its shelf, and the light of the unit's strips on it; None where nothing
    lies under it or its lumens are not known."""
    needs = build.inputs.project.value.comfort.light
    strips = [_shines(other, needs.maintenance, needs.cover) for other in lights_of(unit, build.stock)]
    strip = _shines(light, needs.maintenance, needs.cover)
    if strip is None:
        return None
    wall = wall_of(build, unit.name)
    below = _surface(build, wall, unit, light)
    if below is None:
        return None
    name, field = below
    corner = wall.frame.apply((field.lo[0], field.lo[1], field.hi[2]))
    u, v = wall.frame.turn((1.0, 0.0, 0.0)), wall.frame.turn((0.0, 1.0, 0.0))
    same = [s for s in strips if s is not None and abs(s.start[2] - strip.start[2]) <= CONTACT]
    seen = light_map(same, corner, (u[0], u[1]), (v[0], v[1]), (field.size[0], field.size[1]))
    return Lit(name, field, seen, strip)


def _shines(light: FoundLight, maintenance: float, cover: float) -> Strip | None:
    through = cover if isinstance(light.item, LedStrip) and light.profiles else 1.0
    return light.strip(maintenance * through)


def _surface(build: Build, wall: RoomWall, unit: BuiltUnit, light: FoundLight) -> tuple[str, Box] | None:
    """The top under a light: its name, and the part of it between the ends of the shelf, from its front to the wall."""
    own = around(b for p, b in boxes_along(wall, unit.parts) if p.part.kind != "hardware")
    lamp = boxes_along(wall, [light.source])[0][1]
    best: tuple[float, str, Box] | None = None
    for other in build.plan.units:
        if other.kind != "top" or build.stands_at[other.name] != wall.name:
            continue
        pieces = [b for p, b in boxes_along(wall, other.parts) if p.role in ("top", "edge")]
        under = [b for b in pieces if meet(b.span("x"), own.span("x")) and b.hi[2] < lamp.lo[2]]
        if not under:
            continue
        whole = around(under)
        x = (max(own.lo[0], whole.lo[0]), min(own.hi[0], whole.hi[0]))
        if x[1] - x[0] < WIDE * own.size[0]:
            continue
        field = Box((x[0], whole.lo[1], whole.lo[2]), (x[1], min(whole.hi[1], 0.0), whole.hi[2]))
        if best is None or whole.hi[2] > best[0]:
            best = (whole.hi[2], other.name, field)
    return (best[1], best[2]) if best else None


def shielded(build: Build, unit: BuiltUnit, light: FoundLight) -> float:
    """How far under the level (degrees) one must look up from to see a light from before it: hidden by what hangs
    lower than it in front, such as a facing. 0 where nothing does."""
    wall = wall_of(build, unit.name)
    boxes: list[Boxed] = boxes_along(wall, unit.parts)
    back = wall.frame.inverse()
    x, _, z = (sum(c) / 2 for c in zip(*(back.apply(end) for end in light.ends), strict=True))
    lamp = next(b for p, b in boxes if p.path == light.source.path)
    rear = lamp.hi[1]
    mine = {light.source.path, *(p.path for p in light.profiles)}
    screens = [
        b
        for p, b in boxes
        if p.path not in mine and b.lo[0] < x < b.hi[0] and b.hi[1] <= lamp.lo[1] and b.lo[2] < z < b.hi[2]
    ]
    return max((math.degrees(math.atan2(z - b.lo[2], rear - b.hi[1])) for b in screens), default=0.0)


def luminance(light: FoundLight, cover: float, width: float) -> float:
    """How bright its face is, cd/m2: a Lambertian face of M lm/m2 has M/pi. `width` of the face in mm."""
    lumens = light.lumens_per_metre or 0.0
    through = cover if isinstance(light.item, LedStrip) and light.profiles else 1.0
    return lumens * through / (width / 1000.0) / math.pi


def _glare(build: Build, unit: BuiltUnit, light: FoundLight) -> tuple[str, tuple[tuple[str, float], ...]]:
    """Whether one looks into it, in words, and what was measured."""
    cover = build.inputs.project.value.comfort.light.cover
    face = light.profiles[0] if light.profiles else light.source
    bright, hidden = luminance(light, cover, face.part.width), shielded(build, unit, light)
    least = shielding(bright)
    measured = (("luminance_cd_m2", round(bright)), ("shielded_deg", round(hidden, 1)), ("shield_deg", least))
    if hidden >= least:
        return "", measured
    bare = "" if light.profiles else " bare"
    return (
        f"; glare: its{bare} face of {bright:.0f} cd/m2 should be hidden {least:.0f} degrees under the level from one "
        f"who sits before it (EN 12464-1, Table 1), it is {hidden:.0f}: a lower facing, a milky cover or a place "
        "nearer the facing hides it",
        measured,
    )


def _finding(build: Build, unit: BuiltUnit, light: FoundLight, found: Lit) -> Finding:
    needs, lengths = build.inputs.project.value.comfort.light, build.plan.lengths
    task = TASKS[needs.task]
    lux = needs.lux or task.lux
    seen, field = found.seen, found.field
    high = rounded(found.strip.start[2] - field.hi[2])
    glare, measured = _glare(build, unit, light)
    short = seen.mean < lux
    uneven = seen.uniformity < task.uniformity
    said = (
        f"{light.path} gives {seen.mean:.0f} lx on average on {found.name} under it, {seen.least:.0f} where it is "
        f"darkest and {seen.most:.0f} where it is brightest, by itself: {found.strip.lumens:.0f} lm leave it, "
        f"{show_length(high, lengths)} over {' x '.join(show_length(c, lengths) for c in field.size[:2])}"
    )
    if short:
        said += f"; {_task(needs.task, needs.lux)} takes {lux:.0f} lx: {_more(seen, lux)}"
    elif uneven:
        said += (
            f"; least over mean is {seen.uniformity:.2f}, {task.uniformity:g} would be even: the room's own light or a "
            "place nearer the front evens it out"
        )
    return Finding(
        code="illumination",
        severity="warning" if short else "note",
        message=said + glare,
        parts=(light.source.path,),
        value=round(seen.mean, 1),
        limit=lux,
        unit="lx",
        source=f"Lambertian line source, point by point; {task.source if needs.lux is None else 'the project'}",
        at=_middle(wall_of(build, unit.name), field),
        details=(
            ("least_lx", round(seen.least, 1)),
            ("most_lx", round(seen.most, 1)),
            ("uniformity", round(seen.uniformity, 3)),
            ("height_mm", high),
            ("lumens", round(found.strip.lumens, 1)),
            *measured,
        ),
    )


def _unknown(light: FoundLight) -> Finding:
    return Finding(
        code="illumination",
        severity="note",
        message=f"{light.path}: stock does not say how many lumens {light.item.name} gives, so its light is not known",
        parts=(light.source.path,),
        unit="lx",
        source="the stock file",
    )


def _task(name: str, lux: float | None) -> str:
    return "the work" if lux is not None else {"write": "writing", "draw": "drawing"}.get(name, f"{name} work")


def _more(seen: LightMap, lux: float) -> str:
    """How many times the light would do; light is in proportion to lumens."""
    return f"{lux / seen.mean:.1f} times the lumens, or light from the room" if seen.mean > 0 else "light from the room"


def _middle(wall: RoomWall, field: Box) -> Vec:
    x, y, _ = field.center
    return wall.frame.apply((x, y, field.hi[2]))
