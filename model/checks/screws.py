"""Whether screws hold and stay inside, whether bores meet, and whether a cleat hangs at more than one stud.

`screw-through`, a fault: a tip comes out of the last thing it is driven into. `screw-short`, a warning: it bites less
than holds. `bores-meet`, a warning: two bores of one part run into each other. `one-stud`, a warning: what carries on
a wall is screwed to it at one place only, about which it can turn. `no-screws`, a note: the stock lists none for
joints.
"""

import itertools
from collections.abc import Iterator

from model.build import Build
from model.checks import check
from model.cuts import Bore
from model.fastening.bench import Extent, extents
from model.fastening.choice import lists_screws
from model.fastening.fixing import Fixing
from model.findings import Code, Finding
from model.messages import mm, shown
from model.part import Part, PlacedPart
from model.plan import Plan
from model.tolerances import CONTACT, rounded

BITE_LEAST = 5.0
"""mm. A screw that bites less than this holds nothing (common practice)."""
ONE_STUD_FROM = 300.0
"""mm. A cleat longer than this wants two studs (common practice)."""
NO_BITE = frozenset({"bolt", "wall screw"})
"""Kinds that end in a pull or in a wall."""


CODES = (
    Code(
        "screw-through",
        "The tip of a screw comes out of the last part it is driven into.",
        causes=(
            "a screw too long for what it goes through and into",
            "a thin part at the end of the joint",
        ),
        moved_by=(
            "unit: materials.rail_screw",
            "project: materials",
        ),
    ),
    Code(
        "screw-short",
        "A screw bites less wood than holds.",
        causes=(
            "no longer screw in stock",
            "a thick part under its head",
        ),
        moved_by=("project: materials",),
    ),
    Code(
        "bores-meet",
        "Two bores of one part run into each other.",
        causes=(
            "joints close to each other at a corner",
            "a shelf, a slide or a hinge beside a joint",
        ),
        moved_by=(
            "unit: shelves",
            "unit: joints",
            "unit: drawers.heights",
        ),
    ),
    Code(
        "one-stud",
        "What carries on a wall is screwed to it at one place only, about which it can turn.",
        causes=(
            "a narrow upper between studs",
            "studs left out of the room file",
        ),
        moved_by=(
            "project: uppers.x",
            "project: uppers.width",
            "room: walls.studs",
        ),
    ),
    Code(
        "no-screws",
        "The stock lists no wood screws for joints: they are neither bored nor counted.",
        causes=("a stock file without the table of screws",),
        moved_by=(),
    ),
)


@check
def screws(build: Build) -> Iterator[Finding]:
    """Findings `screw-through`, `screw-short`, `one-stud`, `bores-meet` and `no-screws`."""
    plan = build.plan
    if not lists_screws(build.stock, build.inputs.materials):
        yield Finding(
            code="no-screws",
            severity="note",
            message="the stock lists no wood screws for joints: they are neither bored nor counted",
            source="the stock file",
        )
    for fixing in plan.fixings:
        if fixing.kind not in NO_BITE:
            yield from _tips(fixing, plan)
        elif fixing.kind == "wall screw":
            yield from _studs(fixing, plan)
    yield from _meetings(plan)


def reach(fixing: Fixing, index: int, into: PlacedPart) -> tuple[float, float]:
    """How far the piece at `index` bites in the last part it is driven into, and how far its tip is past that; mm.

    The second is negative where wood is left before the tip.
    """
    spot = fixing.spots[index]
    back = into.placement.inverse()
    head, d = back.apply(spot.at), back.turn(spot.direction)
    enter, leave = -float("inf"), float("inf")
    for h, step, size in zip(head, d, into.part.size, strict=True):
        if abs(step) > 1e-9:
            a, b = sorted((-h / step, (size - h) / step))
            enter, leave = max(enter, a), min(leave, b)
    return rounded(fixing.length - max(enter, 0.0)), rounded(fixing.length - leave)


def _tips(fixing: Fixing, plan: Plan) -> Iterator[Finding]:
    """The worst piece of a fixing, where it comes out or bites too little."""
    if not fixing.into:
        yield _through(fixing, plan, fixing.length, "nothing lies under it there")
        return
    last = plan.by_path[fixing.into[-1]]
    measured = [reach(fixing, i, last) for i in range(fixing.count)]
    past = max(out for _, out in measured)
    if past > -CONTACT:
        yield _through(fixing, plan, past, f"nothing lies behind {last.path} there")
        return
    if len(fixing.into) > 1:
        return
    bite = min(held for held, _ in measured)
    if bite < BITE_LEAST - CONTACT:
        message = f"{fixing.through}: {fixing.item} bites {mm(bite)} in {last.path}, it needs {mm(BITE_LEAST)}"
        yield Finding(
            code="screw-short",
            severity="warning",
            message=shown(message, plan.lengths),
            parts=fixing.parts,
            value=bite,
            limit=BITE_LEAST,
            source="common practice",
            at=fixing.spots[0].at,
        )


def _through(fixing: Fixing, plan: Plan, past: float, why: str) -> Finding:
    message = (
        f"{fixing.through}: {fixing.item}, {mm(fixing.length)} long, comes out {mm(rounded(past))}: {why}; "
        "take a shorter one"
    )
    return Finding(
        code="screw-through",
        severity="fault",
        message=shown(message, plan.lengths),
        parts=fixing.parts,
        value=rounded(past),
        limit=0.0,
        source="the tip stays inside (common practice)",
        at=fixing.spots[0].at,
    )


def _studs(fixing: Fixing, plan: Plan) -> Iterator[Finding]:
    """A cleat that is screwed to the wall at one place along it. The rail of what stands on the floor cannot turn."""
    placed = plan.by_path[fixing.through]
    if placed.role == "wall rail":
        return
    back = placed.placement.inverse()
    places = {rounded(back.apply(spot.at)[0]) for spot in fixing.spots}
    if len(places) == 1 and placed.part.length > ONE_STUD_FROM:
        message = (
            f"{placed.path}, {mm(placed.part.length)} long, is screwed to the wall at one place only and can turn "
            "about it: move it so that a second stud lies behind it, or add a plug at its other end"
        )
        yield Finding(
            code="one-stud",
            severity="warning",
            message=shown(message, plan.lengths),
            parts=(placed.path,),
            value=1.0,
            limit=2.0,
            unit="",
            source="common practice",
            at=fixing.spots[0].at,
        )


def meeting_bores(part: Part) -> list[tuple[Bore, Bore]]:
    """Pairs of bores of a part that run into each other."""
    bores = [(c, extents(c, part.size)[0]) for c in part.cuts if isinstance(c, Bore)]
    bores.sort(key=lambda b: b[1][0])
    found: list[tuple[Bore, Bore]] = []
    for i, (bore, box) in enumerate(bores):
        for other, theirs in itertools.islice(bores, i + 1, None):
            if theirs[0] >= box[3] - CONTACT:
                break
            if _boxes_meet(box, theirs) and _bores_meet(bore, box, other, theirs):
                found.append((bore, other))
    return found


def _boxes_meet(a: Extent, b: Extent) -> bool:
    return all(a[i] < b[i + 3] - CONTACT and b[i] < a[i + 3] - CONTACT for i in range(3))


def _bores_meet(a: Bore, box: Extent, b: Bore, theirs: Extent) -> bool:
    """For bores whose boxes meet: parallel ones by the distance of their axes, square ones by that of their middles."""
    ways = [next(i for i, name in enumerate(("x", "y", "AB")) if bore.face[0] in name) for bore in (a, b)]
    middles = [[(e[i] + e[i + 3]) / 2 for i in range(3)] for e in (box, theirs)]
    apart = [abs(p - q) for p, q in zip(*middles, strict=True)]
    across = [gap for i, gap in enumerate(apart) if i not in ways]
    return sum(gap**2 for gap in across) ** 0.5 < (a.diameter + b.diameter) / 2 - CONTACT


def _meetings(plan: Plan) -> Iterator[Finding]:
    told: set[Part] = set()
    for placed in plan.walk():
        if placed.part in told or placed.part.kind == "hardware":
            continue
        told.add(placed.part)
        pairs = meeting_bores(placed.part)
        if pairs:
            what = sorted({" and ".join(sorted((a.purpose, b.purpose))) for a, b in pairs})
            yield Finding(
                code="bores-meet",
                severity="warning",
                message=f"{placed.path}: bores run into each other ({', '.join(what)}): move one of the joints",
                parts=(placed.path,),
                value=float(len(pairs)),
                limit=0.0,
                unit="",
                source="the bores of its joints",
            )
