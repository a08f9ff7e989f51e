"""Whether what hangs on the wall stays there: the screws of its cleat, pulled out and sheared by the load's lever.

The unit and all it holds hang out from the wall. They push its foot against the wall and pull at the screws of the
cleat: T x height = W x distance of the centre of gravity from the wall. All of W is carried by the screws across. The
code: `wall-fixing`.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from model.build import Build, RoomWall
from model.checks import check
from model.cuts import Bore
from model.findings import Code, Finding, Severity
from model.lengths import show_length
from model.part import PlacedPart
from model.plan import BuiltUnit
from model.statics.fasteners import THREAD, Shear, bearing_strength, used, withdrawal, yield_strength
from model.statics.laden import heavy_things, on_boards
from model.statics.masses import Lump, lump_of, newtons, together
from model.stock.tables import Screw
from model.strength.woods import gravity
from model.tolerances import rounded

ON_STUD = 12.0
"""mm. A screw so near to the middle of a stud (38 mm, 1 1/2 in wide) bites in it."""
YIELDS = 2.0
"""Times what a screw may carry: soon after a thin one yields (reduction 2.2, NDS Table 12.3.1B)."""
SOURCE = (
    "withdrawal W = 2850 G^2 D (NDS 12.2.2), yield limits (NDS 12.3; AWC TR12, the wall board a gap), both at once "
    "(V^2/Z + T^2/W) / R (NDS 12.4.1); about a fifth of what pulls a screw out on average"
)

CODES = (
    Code(
        "wall-fixing",
        "What the screws of a hung unit carry, pulled and sheared, against what they may in its studs.",
        causes=(
            "a deep unit full of books on a short screw",
            "a cleat that meets one stud alone: it can turn about it, and nothing is left if it splits",
            "screws that do not lie on studs, or a wall whose studs nobody has found",
        ),
        moved_by=(
            "unit: hang.cleat.screws",
            "project: materials.wall_screw",
            "project: loads.shelf",
            "project: loads.points",
            "project: safety.stud_gravity",
            "project: safety.wallboard",
            "room: walls.studs",
            "unit: depth",
        ),
    ),
)


@dataclass(frozen=True, slots=True)
class Hung:
    """What hangs: its whole load, how far out its middle is, the screws (x along the wall) and their height over its
    foot, in mm."""

    load: Lump
    out: float
    screws: tuple[float, ...]
    height: float
    cleat: PlacedPart


@check
def wall_fixing(build: Build) -> Iterator[Finding]:
    """Finding `wall-fixing`, once for each unit that hangs on the wall."""
    walls = {wall.name: wall for wall in build.walls}
    for unit in build.plan.units:
        wall = walls[build.stands_at[unit.name]]
        hung = hung_of(build, unit, wall)
        if hung is not None:
            yield _finding(build, unit, wall, hung)


def hung_of(build: Build, unit: BuiltUnit, wall: RoomWall) -> Hung | None:
    """How a unit hangs; None for one that does not hang by a cleat."""
    cleat = next((p for p in unit.parts if p.role == "wall cleat" and _bores(p)), None)
    if cleat is None:
        return None
    back = wall.frame.inverse()
    load = together(
        [
            *(lump_of(p, build.stock) for p in unit.parts),
            *(lump for _, lump in on_boards(build, unit, heavy_things(build))),
        ]
    )
    points = [back.apply(cleat.placement.apply((b.u, b.v, 0.0))) for b in _bores(cleat)]
    foot = min(p.moved(back).bounds().lo[2] for p in unit.parts if p.role in ("spacer", "wall cleat"))
    middle = sum(z for _, _, z in points) / len(points)
    out = rounded(-back.apply(load.centre)[1])
    return Hung(load, out, tuple(sorted(rounded(x) for x, _, _ in points)), rounded(middle - foot), cleat)


def _bores(placed: PlacedPart) -> list[Bore]:
    return [c for c in placed.part.cuts if isinstance(c, Bore) and c.purpose == "wall screw"]


def pulls(hung: Hung) -> tuple[float, float]:
    """What each screw carries across and along it, N."""
    weight, count = newtons(hung.load.mass), len(hung.screws)
    return weight / count, weight * hung.out / hung.height / count


def bears(build: Build, hung: Hung, screw: Screw) -> tuple[float, float, float]:
    """What one screw may carry across and along it (N), and its thread in the stud (mm)."""
    safety = build.inputs.project.value.safety
    side = hung.cleat.part.thickness
    into = max(screw.length - side - safety.wallboard, 1e-3)
    thread = min(into, screw.length * THREAD)
    sheet = build.stock.sheets.get(hung.cleat.part.material)
    d, g = screw.diameter, safety.stud_gravity
    shear = Shear(
        d,
        screw.pilot_diameter,
        side,
        into,
        safety.wallboard,
        bearing_strength(gravity(sheet.density) if sheet else g, d),
        bearing_strength(g, d),
        yield_strength(d),
    )
    return shear.allowable(), withdrawal(g, d, thread), thread


def _finding(build: Build, unit: BuiltUnit, wall: RoomWall, hung: Hung) -> Finding:
    lengths = build.plan.lengths
    shear, pull = pulls(hung)
    own = sum(lump_of(p, build.stock).mass for p in unit.parts)
    who = f"each of {len(hung.screws)} screws" if len(hung.screws) > 1 else "its one screw"
    load = (
        f"{unit.name} hangs {hung.load.mass:.1f} kg ({own:.1f} kg its own) {show_length(hung.out, lengths)} out from "
        f"{wall.name}: its screws bite {show_length(hung.height, lengths)} over its foot; {who} "
        f"carries {shear:.0f} N across and is pulled with {pull:.0f} N"
    )
    details = [
        ("load_kg", round(hung.load.mass, 2)),
        ("out_mm", hung.out),
        ("height_mm", hung.height),
        ("screws", float(len(hung.screws))),
        ("shear_N", round(shear, 1)),
        ("pull_N", round(pull, 1)),
    ]
    screw = _screw(build, unit)
    if screw is None or _into_masonry(build, unit):
        return _told(unit, hung, "note", f"{load}: fixings for masonry go by their maker's values", None, details)
    z, w, thread = bears(build, hung, screw)
    share = used(shear, pull, z, w)
    details += [
        ("may_shear_N", round(z, 1)),
        ("may_pull_N", round(w, 1)),
        ("thread_mm", round(thread, 1)),
        ("pulls_at_once_N", round(pull * len(hung.screws), 1)),
    ]
    said = f"{load}; {screw.name}, {show_length(rounded(thread), lengths)} of thread in the stud, may carry "
    said += f"{z:.0f} N and {w:.0f} N: {100 * share:.0f} % of it is used"
    if share > 1:
        said += f", {math.ceil(share * len(hung.screws) - 1e-9)} of them would do, or thicker ones"
    at, words = _at_studs(wall, hung)
    loose = at == 1 or (at == 0 and wall.wall.studs is not None)
    severity: Severity = "fault" if share > YIELDS else "warning" if share > 1 or loose else "note"
    return _told(unit, hung, severity, f"{said}{words}; local code goes first", share, details)


def _told(
    unit: BuiltUnit,
    hung: Hung,
    severity: Severity,
    message: str,
    share: float | None,
    details: list[tuple[str, float]],
) -> Finding:
    return Finding(
        code="wall-fixing",
        severity=severity,
        message=message,
        parts=(hung.cleat.path,),
        value=None if share is None else round(share, 3),
        limit=None if share is None else 1.0,
        unit="share",
        source=SOURCE,
        details=tuple(details),
    )


def _at_studs(wall: RoomWall, hung: Hung) -> tuple[int, str]:
    """How many studs the screws meet, and what is to be said about that."""
    if wall.wall.studs is None:
        return 0, f"; it holds if each screw lies on a stud: find those of {wall.name} first"
    studs = wall.wall.studs.centres(wall.wall.width)
    met = {s for s in studs for x in hung.screws if abs(s - x) <= ON_STUD}
    if not met:
        return 0, "; none of its screws lies on a stud"
    if len(met) == 1:
        return 1, "; it meets one stud alone: move it to a second, or screw a board over more studs behind it"
    return len(met), ""


def _screw(build: Build, unit: BuiltUnit) -> Screw | None:
    said = build.inputs.units.get(unit.name)
    own = said.options.materials.wall_screw if said else None
    name = own or build.inputs.materials.wall_screw
    return build.stock.screws.get(name) if name else None


def _into_masonry(build: Build, unit: BuiltUnit) -> bool:
    said = build.inputs.units.get(unit.name)
    hang = getattr(said.options, "hang", None) if said else None
    return hang is not None and hang.cleat.into == "masonry"
