"""The parts of a fold-down bed on the bench: front panel, frame, bearers, deck, mattress, legs, pulls."""

import itertools
import math
from dataclasses import dataclass

from model.beds.geometry import BedPlan, SpringPlace, strips, widest_piece
from model.cabinet.carcass import Span
from model.cabinet.drawers import place_pull
from model.draft import Draft, Panel
from model.messages import mm
from model.part import Part, lying
from model.placement import Placement
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock.beds import MATTRESS, BedLeg, BedPivot, GasSpring, leg_parts, pivot_plate, spring_part
from model.tolerances import rounded

SPAN = 700.0
"""mm. A deck is carried at least this often (common practice for slats and 18 mm plywood)."""
LEG_IN = 60.0
"""mm. A leg from the edge of the front panel."""


@dataclass(frozen=True)
class Deck:
    """What carries the mattress: slats of a board at most `gap` apart, or panels where `gap` is None."""

    gap: float | None


def make_frame(draft: Draft, site: Site, plan: BedPlan) -> tuple[list[Panel], list[Panel]]:
    """The front panel in as many pieces as sheets ask for, and the rails screwed to it."""
    sheet, front = site.sheet("carcass"), site.sheet("front")
    trim, t = site.stock.sheet_trim, plan.sheet
    y = (plan.face, rounded(plan.face + plan.rail))
    widest_piece(sheet, max(plan.z[1] - plan.z[0], plan.rails[1] - plan.rails[0]), trim)
    pieces = strips(plan.panel, widest_piece(front, plan.z[1] - plan.z[0], trim))
    panels = [
        draft.sheet(
            "bed/front panel" if len(pieces) == 1 else f"bed/front panel {i}",
            Box((x[0], 0, plan.z[0]), (x[1], plan.face, plan.z[1])),
            front,
            "z",
            "-y",
            "front panel",
        )
        for i, x in enumerate(pieces, 1)
    ]
    for a, b in itertools.pairwise(panels):
        draft.join("seam", a, b)
    rails: list[Panel] = []
    for name, x, face in (
        ("left", (plan.rails[0], plan.rails[0] + t), "-x"),
        ("right", (plan.rails[1] - t, plan.rails[1]), "+x"),
    ):
        box = Box((x[0], y[0], plan.z[0]), (x[1], y[1], plan.z[1]))
        rails.append(draft.sheet(f"bed/{name} rail", box, sheet, "z", face, "bed rail"))
    for name, z, face in (
        ("low", (plan.z[0], plan.z[0] + t), "-z"),
        ("high", (plan.z[1] - t, plan.z[1]), "+z"),
    ):
        box = Box((plan.clear[0][0], y[0], z[0]), (plan.clear[0][1], y[1], z[1]))
        rail = draft.sheet(f"bed/{name} rail", box, sheet, "x", face, "bed rail")
        for side in rails[:2]:
            draft.join("screwed", rail, side)
        rails.append(rail)
    for rail in rails:
        _fix(draft, rail, panels)
    return panels, rails


def _meet(a: Panel, b: Panel, axis: str) -> bool:
    (a0, a1), (b0, b1) = a.box.span(axis), b.box.span(axis)
    return min(a1, b1) - max(a0, b0) > 1.0


def _fix(draft: Draft, panel: Panel, on: list[Panel]) -> None:
    """Screw a panel to each of those it lies over."""
    for other in on:
        if _meet(panel, other, "x") and _meet(panel, other, "z"):
            draft.join("screwed", panel, other)


def make_deck(draft: Draft, site: Site, plan: BedPlan, deck: Deck, panels: list[Panel], rails: list[Panel]) -> None:
    """Bearers on edge along the mattress, and on them slats or panels across it; the mattress on those."""
    sheet = site.sheet("carcass")
    along, across = ("x", "z") if plan.sideways else ("z", "x")
    run, width = plan.clear if plan.sideways else plan.clear[::-1]
    seams = [] if plan.sideways else [p.box.hi[0] for p in panels[:-1]]
    y = (plan.face, plan.deck_y[0])
    bearers: list[Panel] = []
    for i, span in enumerate(bearer_places(width, plan.sheet, seams), 1):
        box = Box((0, y[0], 0), (1, y[1], 1)).replace(**{along: run, across: span})
        bearer = draft.sheet(f"bed/bearer {i}", box, sheet, along, f"+{across}", "bearer")
        _fix(draft, bearer, panels)
        for rail in rails:
            if _touching(bearer, rail):
                draft.join("screwed", bearer, rail)
        bearers.append(bearer)
    pieces = _make_slats(draft, site, plan, deck, (run, width), (along, across))
    for piece in pieces:
        _fix(draft, piece, bearers)
    _place_mattress(draft, plan, pieces)


def _touching(a: Panel, b: Panel) -> bool:
    shared = a.box.grown(0.01).common(b.box.grown(0.01))
    return shared is not None and sum(size > 1.0 for size in shared.size) >= 2


def bearer_places(width: Span, thickness: float, seams: list[float]) -> list[Span]:
    """Where bearers stand across a bed: along both rails, a pair at each seam, more where SPAN asks for them."""
    fixed = [(width[0], width[0] + thickness), (width[1] - thickness, width[1])]
    for seam in seams:
        fixed += [(seam - thickness, seam), (seam, seam + thickness)]
    fixed.sort()
    found = list(fixed)
    for (_, a), (b, _) in itertools.pairwise(fixed):
        count = math.ceil((b - a) / SPAN - 1e-9) - 1
        for i in range(count):
            middle = a + (b - a) * (i + 1) / (count + 1)
            found.append((middle - thickness / 2, middle + thickness / 2))
    return [(rounded(a), rounded(b)) for a, b in sorted(found)]


def _make_slats(
    draft: Draft, site: Site, plan: BedPlan, deck: Deck, spans: tuple[Span, Span], axes: tuple[str, str]
) -> list[Panel]:
    (run, width), (along, across) = spans, axes
    y = plan.deck_y
    base = Box((0, y[0], 0), (1, y[1], 1)).replace(**{across: width})
    if deck.gap is None:
        sheet = site.sheet("carcass")
        most = widest_piece(sheet, width[1] - width[0], site.stock.sheet_trim)
        found = [
            draft.sheet(f"bed/deck {i}", base.replace(**{along: span}), sheet, across, "+y", "deck")
            for i, span in enumerate(strips(run, most), 1)
        ]
        for a, b in itertools.pairwise(found):
            draft.join("seam", a, b)
        return found
    board = site.board("frame")
    if width[1] - width[0] > max(board.lengths):
        raise Unbuildable(
            f"slats {mm(rounded(width[1] - width[0]))} long are longer than any {board.name} in stock", "deck"
        )
    return [
        draft.board(f"bed/slat {i}", base.replace(**{along: span}), board, across, "+y", "slat")
        for i, span in enumerate(slat_places(run, board.width, deck.gap), 1)
    ]


def slat_places(run: Span, width: float, gap: float) -> list[Span]:
    """Slats `width` mm wide over a run, as few as leave at most `gap` between them, the outer two at its ends."""
    length = run[1] - run[0]
    count = max(2, math.ceil((length + gap) / (width + gap) - 1e-9))
    pitch = (length - width) / (count - 1)
    starts = [rounded(run[0] + i * pitch) for i in range(count)]
    return [(start, rounded(start + width)) for start in starts]


def _place_mattress(draft: Draft, plan: BedPlan, pieces: list[Panel]) -> None:
    """The mattress on its deck: midway between the rails, standing on the low rail while the bed is up."""
    clear, (wide, high) = plan.clear, plan.lying
    x = rounded((clear[0][0] + clear[0][1] - wide) / 2)
    y = plan.deck_y[1]
    box = Box((x, y, clear[1][0]), (x + wide, y + plan.mattress.thickness, clear[1][0] + high))
    size, at = lying(box, "x" if plan.sideways else "z", "+y")
    part = Part(
        kind="hardware",
        material=MATTRESS.name,
        length=size[0],
        width=size[1],
        thickness=size[2],
        grain="any",
        mass=plan.mattress.mass,
    )
    draft.place("bed/mattress", part, at, "mattress")
    draft.join("rests", "bed/mattress", "bed/low rail")
    draft.join("rests", "bed/mattress", pieces[len(pieces) // 2])


def make_legs(draft: Draft, site: Site, plan: BedPlan, leg: BedLeg | None, panels: list[Panel]) -> list[str]:
    """A leg board, a shelf while the bed is up, or two folding legs; gives the paths of legs that fold."""
    if leg is None:
        front = site.sheet("front")
        z = plan.z[1] - LEG_IN
        box = Box((plan.panel[0], -plan.standing, z - front.thickness), (plan.panel[1], 0, z))
        widest_piece(front, box.size[0], site.stock.sheet_trim)
        board = draft.sheet("bed/leg board", box, front, "x", "+z", "leg board")
        _fix(draft, board, panels)
        return []
    if not leg.least <= plan.standing <= leg.most:
        raise Unbuildable(
            f"the bed lies {mm(plan.standing)} above the floor, {leg.name} stands {mm(leg.least)} to {mm(leg.most)}: "
            "change lie_height or take another leg",
            "lie_height",
        )
    tube, bracket = leg_parts(leg, plan.standing)
    s, c = leg.section, leg.cheek
    z = plan.z[1] - LEG_IN - s
    found: list[str] = []
    for name, x, panel in (
        ("left", plan.panel[0] + LEG_IN, panels[0]),
        ("right", plan.panel[1] - LEG_IN - s, panels[-1]),
    ):
        # the tube's end is in the middle of its bracket; both lie with their faces on the panel
        path, held = f"bed/{name} leg", f"bed/{name} leg bracket"
        draft.place(path, tube, Placement.axes((x + s, 0, z - tube.length), "+z", "-y"), "leg")
        draft.place(held, bracket, Placement.axes((x + s + c, 0, z - s), "+z", "-y"), "leg")
        draft.join("screwed", held, panel)
        draft.join("hinged", path, held)
        draft.swing(f"{name} leg", [path], (x + s / 2, -s / 2, z), (-1.0, 0.0, 0.0), math.pi / 2)
        found.append(path)
    return found


def make_pulls(draft: Draft, site: Site, plan: BedPlan, panels: list[Panel], height: float) -> None:
    """A level pull on each piece of the front panel, two on one wide piece, `height` above the floor where it can."""
    pull = site.pull()
    z = min(height, plan.z[1] - 2.5 * LEG_IN)
    if z < plan.z[0] + LEG_IN:
        raise Unbuildable(f"a pull {mm(z)} above the floor is not on the front panel", "pull_height")
    for panel in panels:
        x0, x1 = panel.box.span("x")
        places = [0.25, 0.75] if len(panels) == 1 and x1 - x0 > 1000 else [0.5]
        for share in places:
            name = f"bed/pull {1 + sum(p.startswith('bed/pull') for p in draft.order)}"
            place_pull(draft, pull, name, panel, None, (x0 + (x1 - x0) * share, z), False)


def make_pivots(draft: Draft, plan: BedPlan, pivot: BedPivot, sides: tuple[Panel, Panel]) -> None:
    """A pivot on each side: one plate on the cabinet, one on the bed."""
    plate, half, r = pivot_plate(pivot), pivot.thickness / 2, pivot.diameter / 2
    left, right = plan.rails
    for name, side, cabinet, bed in (
        ("left", sides[0], left - pivot.thickness, left - half),
        ("right", sides[1], right + half, right),
    ):
        still, turns = f"{name} pivot plate", f"bed/{name} pivot plate"
        for path, x, host in ((still, cabinet, side.path), (turns, bed, f"bed/{name} rail")):
            at = Placement.axes((x, plan.axis[0] - r, plan.axis[1] - r), "+y", "+x")
            draft.place(path, plate, at, "pivot")
            draft.join("screwed", path, host)
        draft.join("turns on", turns, still)


def make_springs(
    draft: Draft, plan: BedPlan, spring: GasSpring, place: SpringPlace, space: float, sides: tuple[Panel, Panel]
) -> None:
    """A gas spring in the gap on each side, as it is while the bed stands: its own motion is not simulated."""
    part = spring_part(spring, rounded(place.lengths[0]), space)
    r, half = spring.end_diameter / 2, part.thickness / 2
    y, z = place.up
    for name, side, at in (
        ("left", sides[0], Placement.axes((plan.rails[0] - space, y - half, z - r), "+z", "+y")),
        ("right", sides[1], Placement.axes((plan.rails[1] + space, y + half, z - r), "+z", "-y")),
    ):
        path = f"{name} gas spring"
        draft.place(path, part, at, "gas spring")
        draft.join("pinned", path, side)
        draft.join("pinned", path, f"bed/{name} rail")
