"""How far boards sag under what lies on them, and whether they hold it.

Shelves, tops, bottoms that carry, trays and the deck of a bed are beams on the supports that the plan gives them; a
drawer bottom is a plate in its grooves. Spans run from middle to middle of what bears. Ends count as free to turn: a
housed or screwed end turns less, and what it would do if it did not turn at all is among the details. The codes: `sag`,
`bearing`, `sag-unknown`.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from model.build import Build
from model.checks import check
from model.config.types import KG_PER_POUND
from model.findings import Code, Finding
from model.lengths import MM_PER_INCH, LengthUnit, show_length
from model.measures import show_small
from model.strength.boards import GRAVITY, Case, Sag, assess
from model.strength.cases import Board, all_boards
from model.strength.limits import Limit
from model.strength.plate import Dished, Plate, dish
from model.strength.remedies import Remedy, plate_remedy, remedies
from model.strength.woods import MPA_PER_PSI, creep, wood

NEWTON_PER_POUND = KG_PER_POUND * GRAVITY
"""The pound-force (exact)."""
STEPS: dict[LengthUnit, float] = {"mm": 5.0, "in": MM_PER_INCH / 4}
"""mm. Spans that would do are told in steps a person measures in."""
CAUTION = "where people could be hurt, the local code and a licensed practitioner decide"
BEAMS = "beam theory (Wood Handbook, FPL-GTR-190, ch. 9)"
PLATES = "Navier's series (Timoshenko and Woinowsky-Krieger, art. 85)"
MOVES = (
    "project: loads.shelf",
    "project: loads.shelf_run",
    "project: loads.top",
    "project: loads.points",
    "project: loads.limit",
    "project: loads.top_limit",
    "project: loads.years",
    "project: materials.carcass",
    "project: materials.top",
    "project: materials.bottom",
    "project: tops.make.edge",
    "project: tops.make.layers",
    "project: walls",
    "unit: facing",
)

CODES = (
    Code(
        "sag",
        "A board sags further than the chosen limit under what lies on it; a fault where the wood is strained "
        "beyond its working stress.",
        causes=(
            "a long shelf or top of thin sheet without an edge on its front",
            "heavy things between supports: a vice, a sewing machine, an aquarium",
            "a sheet whose grain runs across the span",
        ),
        moved_by=MOVES,
    ),
    Code(
        "bearing",
        "What a board lies on presses harder into the wood than the wood bears across its grain.",
        causes=("much weight on thin pins or narrow ledges",),
        moved_by=(
            "project: loads.shelf",
            "project: loads.shelf_run",
            "project: loads.points",
            "project: materials.pin",
        ),
    ),
    Code(
        "sag-unknown",
        "How far a board sags was not worked out, because something is not known.",
        causes=("a stock file without the stiffness of a sheet across its grain",),
        moved_by=("project: stock",),
    ),
)


@check
def sag(build: Build) -> Iterator[Finding]:
    """Findings `sag`, `bearing` and `sag-unknown`."""
    alike: dict[object, list[Board]] = {}
    for board in all_boards(build):
        subject = board.unknown or board.case or (board.plate, board.pressure)
        unit = "" if board.unknown else board.unit.name
        alike.setdefault((unit, board.sort, board.limit, subject), []).append(board)
    known: dict[tuple[Case, Limit], Sag] = {}
    for group in alike.values():
        first = group[0]
        if first.unknown:
            yield _unknown(group)
        elif first.case:
            key = (first.case, first.limit)
            if key not in known:
                known[key] = assess(*key, build.inputs.project.value.loads.years)
            yield from _beam(build, group, first.case, known[key])
        elif first.plate:
            yield from _plate(build, group, first.plate)


def _named(group: list[Board]) -> str:
    more = len(group) - 1
    return group[0].part.path + (f" and {more} more" if more else "")


def _sags(group: list[Board]) -> str:
    return f"{_named(group)} {'sag' if len(group) > 1 else 'sags'}"


def _unknown(group: list[Board]) -> Finding:
    return Finding(
        code="sag-unknown",
        severity="note",
        message=f"{_named(group)}: sag not checked, {group[0].unknown}",
        parts=tuple(b.part.path for b in group),
        source=BEAMS,
    )


def _beam(build: Build, group: list[Board], case: Case, found: Sag) -> Iterator[Finding]:
    first, lengths = group[0], build.plan.lengths
    years = build.inputs.project.value.loads.years
    if not found.passes:
        where = "the end that stands out" if found.out else "its span"
        breaks, sags = found.stress > found.allowed, found.share > 1.0
        crept = " after creep" if first.limit.measured == "final" else ""
        span = show_length(found.hi - found.lo, lengths)
        strained = f"{_strained(found, lengths)}; " if breaks else ""
        ways = _ways(remedies(case, first.limit, years, build.stock, STEPS[lengths]), lengths)
        yield Finding(
            code="sag",
            severity="fault" if breaks else "warning",
            message=f"{_sags(group)} {show_small(found.value, lengths)}{crept} over {where} of {span}, "
            f"{show_small(found.limit, lengths)} is the limit: {_by_hand(case, found, lengths)}; {strained}{ways}",
            parts=tuple(b.part.path for b in group),
            value=round(found.value if sags else found.stress, 3),
            limit=round(found.limit if sags else found.allowed, 3),
            unit="mm" if sags else "MPa",
            source=f"{first.limit.source}; {BEAMS}; {case.layers[0].wood.source}" + (f"; {CAUTION}" if breaks else ""),
            details=_details(case, found, first.limit, years),
        )
    if found.pressed > found.presses:
        yield Finding(
            code="bearing",
            severity="warning",
            message=f"{_named(group)}: the wood is pressed with {_stress(found.pressed, lengths)} where it bears, "
            f"{_stress(found.presses, lengths)} is what it takes: wider supports, or more of them",
            parts=tuple(b.part.path for b in group),
            value=round(found.pressed, 3),
            limit=round(found.presses, 3),
            unit="MPa",
            source="4,630 G^2.25 psi (TM 5-852-4, Table 2-2), over 1.67 (ASTM D245, from memory)",
            details=_details(case, found, first.limit, years),
        )


def _by_hand(case: Case, found: Sag, lengths: LengthUnit) -> str:
    """Load, span and stiffness, so that the sag can be worked out again."""
    heavy = f" and {len(case.weights)} heavy things" if len(case.weights) > 1 else " and one heavy thing"
    weights = heavy if case.weights else ""
    bears = f" on {len(case.bearings)} supports" if len(case.bearings) > 2 else ""
    first = case.layers[0]
    inertia = found.ei / first.modulus
    if lengths == "in":
        w, ei = found.w * MM_PER_INCH / NEWTON_PER_POUND, found.ei / NEWTON_PER_POUND / MM_PER_INCH**2
        load, second = f"w {w:.3f} lb/in", f"I {inertia / MM_PER_INCH**4:.4f} in⁴ (EI {ei:.4g} lb in²)"
    else:
        load, second = f"w {found.w:.3f} N/mm", f"I {inertia:.0f} mm⁴ (EI {found.ei:.4g} N mm²)"
    return f"{load}{weights}{bears}, E {_modulus(first.modulus, lengths)}, {second}"


def _modulus(mpa: float, lengths: LengthUnit) -> str:
    return f"{mpa / MPA_PER_PSI:.3g} psi" if lengths == "in" else f"{mpa:.0f} MPa"


def _mass(kilograms: float, lengths: LengthUnit) -> str:
    return f"{kilograms / KG_PER_POUND:.1f} lb" if lengths == "in" else f"{kilograms:.1f} kg"


def _stress(mpa: float, lengths: LengthUnit) -> str:
    return f"{mpa / MPA_PER_PSI:.0f} psi" if lengths == "in" else f"{mpa:.1f} MPa"


def _strained(found: Sag, lengths: LengthUnit) -> str:
    return (
        f"{found.strained} is strained to {_stress(found.stress, lengths)}, "
        f"{_stress(found.allowed, lengths)} is its working stress"
    )


def _ways(found: Iterable[Remedy], lengths: LengthUnit) -> str:
    """What would do, each tried."""
    said = []
    for r in found:
        sags = f"({show_small(r.sag, lengths)})"
        if r.kind == "thickness":
            said.append(f"{r.material}, {show_length(r.size, lengths)} thick {sags}")
        elif r.kind == "doubled":
            said.append(f"two layers of {r.material} glued {sags}")
        elif r.kind == "edging":
            said.append(f"a front edge of {r.material} on edge {sags}")
        else:
            said.append(f"a span of {show_length(r.size, lengths)} {sags}")
    return f"what would do: {', or '.join(said)}" if said else "nothing in stock and no shorter span would do"


def _details(case: Case, found: Sag, limit: Limit, years: float) -> tuple[tuple[str, float], ...]:
    clamped = assess(replace(case, clamped=True), limit, years)
    first = case.layers[0]
    return (
        ("live_mm", round(found.live, 3)),
        ("instant_mm", round(found.instant, 3)),
        ("final_mm", round(found.final, 3)),
        ("if_ends_held_mm", round(clamped.instant, 3)),
        ("creep_factor", round(found.creep, 3)),
        ("span_mm", round(found.hi - found.lo, 1)),
        ("w_n_per_mm", round(found.w, 5)),
        ("live_kg_per_m", round(case.live * 1000 / GRAVITY, 2)),
        ("e_mpa", round(first.modulus, 1)),
        ("i_mm4", round(found.ei / first.modulus, 1)),
        ("moment_nmm", round(found.moment, 1)),
        ("stress_mpa", round(found.stress, 3)),
        ("working_stress_mpa", round(found.allowed, 3)),
        ("reaction_n", round(found.reaction, 1)),
        ("bearing_mpa", round(found.pressed, 3)),
        *((f"support_{i}_mm", round(b.at, 1)) for i, b in enumerate(case.bearings, 1)),
    )


def _plate(build: Build, group: list[Board], plate: Plate) -> Iterator[Finding]:
    """A drawer bottom, held in grooves all round."""
    first, lengths = group[0], build.plan.lengths
    material = wood(build.stock, first.part.part.material)
    assert material is not None
    years = build.inputs.project.value.loads.years
    found, factor = dish(plate, first.pressure), creep(material.kind, years)
    short = min(plate.length, plate.width)
    limit = first.limit.of(short)
    value = found.sag * (factor if first.limit.measured == "final" else 1.0)
    breaks = found.along > material.working or found.across > material.allowed(False)
    if value <= limit and not breaks:
        return
    remedy = plate_remedy(plate, first.pressure, limit * found.sag / value, material, build.stock)
    sizes = f"{show_length(plate.length, lengths)} x {show_length(plate.width, lengths)}"
    kilograms = first.pressure * first.part.part.length * first.part.part.width / GRAVITY
    yield Finding(
        code="sag",
        severity="fault" if breaks else "warning",
        message=f"{_sags(group)} {show_small(value, lengths)} in its grooves under {_mass(kilograms, lengths)}, "
        f"{show_small(limit, lengths)} is the limit: {sizes} x "
        f"{show_small(plate.thickness, lengths)}, E {_modulus(plate.along, lengths)} along and "
        f"{_modulus(plate.across, lengths)} across the grain; {_ways([remedy] if remedy else [], lengths)}",
        parts=tuple(b.part.path for b in group),
        value=round(value, 3),
        limit=round(limit, 3),
        source=f"{first.limit.source}; {PLATES}; {material.source}",
        details=_plate_details(plate, found, factor, first.pressure, material.working),
    )


def _plate_details(
    plate: Plate, found: Dished, factor: float, pressure: float, working: float
) -> tuple[tuple[str, float], ...]:
    return (
        ("instant_mm", round(found.sag, 3)),
        ("final_mm", round(found.sag * factor, 3)),
        ("creep_factor", round(factor, 3)),
        ("length_mm", round(plate.length, 1)),
        ("width_mm", round(plate.width, 1)),
        ("pressure_kpa", round(pressure * 1000, 4)),
        ("stress_mpa", round(max(found.along, found.across), 3)),
        ("working_stress_mpa", round(working, 3)),
    )
