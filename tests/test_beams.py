"""Beams, sections and plates against closed forms and a finite-element library, and what always holds of them."""

import itertools
import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from Pynite import FEModel3D

from model.strength.beam import Beam, Bent, Push, Spread, Stretch, Support, bend
from model.strength.plate import Plate, dish
from model.strength.sections import Strip, section

EI = 9000.0 * 145_800.0
"""Of a shelf of 300 x 18 mm, E 9000 MPa."""


def simple(length: float, w: float = 0.0, *pushes: Push, supports: tuple[float, ...] = ()) -> Beam:
    places = supports or (0.0, length)
    spreads = (Spread(0.0, length, w),) if w else ()
    return Beam((Stretch(0.0, length, EI),), tuple(Support(x) for x in places), spreads, pushes)


def number(found: object) -> float:
    assert isinstance(found, float | int)
    return float(found)


def by_elements(beam: Beam, subdivide: int = 8) -> tuple[float, list[float], float]:
    """The same beam by Pynite: the largest downward deflection, the reactions, the largest moment.

    Every stretch between two places where something happens is cut up, so that its own search along each member is
    between nodes that lie near each other.
    """
    model = FEModel3D()
    model.add_material("wood", 1.0, 1.0, 0.3, 0.0)
    marks = beam.nodes()
    nodes = [x for a, b in itertools.pairwise(marks) for x in np.linspace(a, b, subdivide, endpoint=False)] + [
        marks[-1]
    ]
    for i, x in enumerate(nodes):
        model.add_node(f"N{i}", float(x), 0.0, 0.0)
    held = {round(s.at, 6): s.clamped for s in beam.supports}
    places: list[str] = []
    for i, x in enumerate(nodes):
        if (at := round(float(x), 6)) in held:
            first = not places
            places.append(f"N{i}")
            model.def_support(f"N{i}", first, True, True, first, False, held[at])
    for i, (a, b) in enumerate(itertools.pairwise(nodes)):
        middle = (a + b) / 2
        ei = next(s.ei for s in beam.stretches if s.lo <= middle <= s.hi)
        model.add_section(f"S{i}", 1e3, ei, ei, ei)
        model.add_member(f"M{i}", f"N{i}", f"N{i + 1}", "wood", f"S{i}")
        w = sum(s.force for s in beam.spreads if s.lo < middle < s.hi)
        if w:
            model.add_member_dist_load(f"M{i}", "Fy", -w, -w)
    for push in beam.pushes:
        near = min(range(len(nodes)), key=lambda i: abs(nodes[i] - push.at))
        model.add_node_load(f"N{near}", "FY", -push.force)
    model.analyze(check_statics=False)
    sag = max(-number(m.min_deflection("dy", "Combo 1")) for m in model.members.values())
    moment = max(
        max(abs(number(found("Mz", "Combo 1"))) for found in (m.max_moment, m.min_moment))
        for m in model.members.values()
    )
    return sag, [model.nodes[name].RxnFY["Combo 1"] for name in places], moment


def stiffened(*parts: tuple[float, float, float]) -> tuple[Stretch, ...]:
    return tuple(Stretch(*p) for p in parts)


EDGED = section((Strip(10_048, 280, 0, 17.8), Strip(8900, 20, -22.2, 40)))
BEAMS = {
    "simple": simple(800, 0.2154),
    "point off the middle": simple(900, 0.1, Push(300, 120)),
    "two spans": simple(1600, 0.2154, supports=(0, 800, 1600)),
    "two spans, one loaded": Beam(
        (Stretch(0, 1600, EI),), (Support(0), Support(700), Support(1600)), (Spread(700, 1600, 0.4),)
    ),
    "three spans and both ends out": simple(2400, 0.3, Push(0, 40), supports=(150, 800, 1500, 2250)),
    "cantilever": Beam((Stretch(0, 300, EI),), (Support(0, True),), (Spread(0, 300, 0.5),), (Push(300, 60),)),
    "clamped": Beam((Stretch(0, 800, EI),), (Support(0, True), Support(800, True)), (Spread(0, 800, 0.2154),)),
    "one end clamped": Beam((Stretch(0, 800, EI),), (Support(0, True), Support(800)), (Spread(0, 800, 0.2154),)),
    "overhang": simple(1100, 0.2, Push(1100, 90), supports=(0, 800)),
    "edged shelf": Beam(
        (Stretch(0, 1421.2, EDGED.ei),), (Support(0), Support(1421.2)), (Spread(0, 1421.2, 0.237),), (Push(500, 50),)
    ),
    "stiffer in the middle": Beam(
        stiffened((0, 200, EI), (200, 900, 3 * EI), (900, 1200, EI)), (Support(0), Support(1200)),
        (Spread(0, 1200, 0.3), Spread(250, 450, 0.6)), (Push(650, 80),),
    ),
    "edged over one of two spans": Beam(
        stiffened((0, 700, EI), (700, 1500, EDGED.ei)), (Support(0), Support(700), Support(1500)),
        (Spread(0, 1500, 0.3),), (Push(1100, 200),),
    ),
}  # fmt: skip


@pytest.mark.parametrize("beam", BEAMS.values(), ids=BEAMS.keys())
def test_as_finite_elements_say(beam: Beam) -> None:
    sag, reactions, moment = by_elements(beam)
    bent = bend(beam)
    assert bent.sag()[0] == pytest.approx(sag, rel=2e-4)
    assert bent.reactions == pytest.approx(reactions, rel=1e-6, abs=1e-6)
    assert abs(bent.moment) == pytest.approx(moment, rel=2e-3)


def sampled(bent: Bent) -> float:
    low, high = bent.nodes[0], bent.nodes[-1]
    return max(bent.deflection(float(x)) for x in np.linspace(low, high, 20_001))


@pytest.mark.parametrize("beam", BEAMS.values(), ids=BEAMS.keys())
def test_no_place_sags_further_than_what_is_found(beam: Beam) -> None:
    bent = bend(beam)
    sag, at = bent.sag()
    assert sag == pytest.approx(sampled(bent), rel=1e-6)
    assert sag >= sampled(bent) - 1e-12
    assert bent.deflection(at) == pytest.approx(sag)


places = st.floats(20, 1980)
loads = st.tuples(places, st.floats(1, 500)).map(lambda t: Push(*t))


@st.composite
def beams(draw: st.DrawFn) -> Beam:
    """A beam of 2 m on two to four supports, in up to three stretches, under up to three loads."""
    cuts = sorted(draw(st.lists(st.integers(2, 18), max_size=2, unique=True)))
    edges = [0, *(100 * c for c in cuts), 2000]
    stretches = tuple(Stretch(a, b, EI * draw(st.floats(0.3, 5))) for a, b in itertools.pairwise(edges))
    supports = sorted(draw(st.lists(st.integers(0, 10), min_size=2, max_size=4, unique=True)))
    spreads = (Spread(0, 2000, draw(st.floats(0.01, 1))),)
    pushes = tuple(draw(st.lists(loads, max_size=3)))
    return Beam(stretches, tuple(Support(200.0 * x) for x in supports), spreads, pushes)


@settings(max_examples=60, deadline=None)
@given(beams())
def test_every_beam_is_in_balance(beam: Beam) -> None:
    """The supports carry all that lies on it, and turn nothing: statics."""
    bent = bend(beam)
    down = sum(s.force * (s.hi - s.lo) for s in beam.spreads) + sum(p.force for p in beam.pushes)
    turns = sum(s.force * (s.hi**2 - s.lo**2) / 2 for s in beam.spreads) + sum(p.force * p.at for p in beam.pushes)
    assert sum(bent.reactions) == pytest.approx(down)
    assert sum(r * s.at for r, s in zip(bent.reactions, beam.supports, strict=True)) == pytest.approx(turns)
    assert [bent.deflection(s.at) for s in beam.supports] == pytest.approx([0.0] * len(beam.supports), abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(beams())
def test_a_mirrored_beam_sags_alike(beam: Beam) -> None:
    turned = Beam(
        tuple(Stretch(2000 - s.hi, 2000 - s.lo, s.ei) for s in reversed(beam.stretches)),
        tuple(Support(2000 - s.at, s.clamped) for s in reversed(beam.supports)),
        tuple(Spread(2000 - s.hi, 2000 - s.lo, s.force) for s in beam.spreads),
        tuple(Push(2000 - p.at, p.force) for p in beam.pushes),
    )
    there, back = bend(beam), bend(turned)
    assert back.sag()[0] == pytest.approx(there.sag()[0], rel=1e-7, abs=1e-9)
    assert back.reactions == pytest.approx(there.reactions[::-1], rel=1e-7, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(st.floats(200, 2000), st.floats(1, 1.5), st.floats(0.01, 2), st.floats(0, 1), st.floats(0, 300), st.floats(0, 1))
def test_more_load_or_a_wider_span_never_sags_less(
    length: float, wider: float, w: float, more: float, push: float, where: float
) -> None:
    """On two supports."""
    push_at = Push(length * where, push)
    first = bend(simple(length, w, push_at)).sag()[0]
    assert bend(simple(length, w + more, push_at)).sag()[0] >= first - 1e-9
    assert bend(simple(length, w, push_at, Push(length / 3, 50))).sag()[0] >= first - 1e-9
    assert bend(simple(length * wider, w, Push(length * wider * where, push))).sag()[0] >= first - 1e-9


def test_a_beam_that_would_fall_is_refused() -> None:
    with pytest.raises(ValueError, match="two supports"):
        bend(Beam((Stretch(0, 100, EI),), (Support(50),), (Spread(0, 100, 1),)))
    with pytest.raises(ValueError, match="not on a beam"):
        bend(simple(100, 1, Push(120, 1)))


def test_short_and_long_elements_together() -> None:
    """Supports a hair's breadth apart in a long beam: no digits are lost."""
    near = bend(simple(3000, 0.3, supports=(0.0, 1500.0, 1500.5, 3000.0)))
    held = bend(Beam((Stretch(0, 1500, EI),), (Support(0), Support(1500, True)), (Spread(0, 1500, 0.3),)))
    assert near.sag()[0] == pytest.approx(held.sag()[0], rel=1e-3)


def test_glued_strips_bend_as_one_and_screwed_ones_side_by_side() -> None:
    """Two equal strips: glued eight times as stiff as one, screwed twice (b h3 / 12)."""
    one = section((Strip(9000, 300, 0, 18),)).ei
    assert one == pytest.approx(EI)
    assert section((Strip(9000, 300, 0, 18), Strip(9000, 300, -18, 18))).ei == pytest.approx(8 * one)
    assert section((Strip(9000, 300, 0, 18), Strip(9000, 300, -18, 18, bond=1))).ei == pytest.approx(2 * one)


def test_a_strip_cut_out_is_as_if_it_were_narrower() -> None:
    whole, hole = Strip(9000, 300, 0, 18), Strip(9000, -100, 0, 18)
    assert section((whole, hole)).ei == pytest.approx(section((Strip(9000, 200, 0, 18),)).ei)


def test_stresses_hold_the_moment() -> None:
    """The stresses of a section of two woods, added up over it, are its moment (trapezium rule)."""
    made, moment = EDGED, 157_817.0
    middle = sum(s.stretch * s.middle for s in made.strips) / sum(s.stretch for s in made.strips)
    held = 0.0
    for s in made.strips:
        y = np.linspace(s.low, s.low + s.height, 2001)
        stress = moment * s.modulus * (y - middle) / made.ei
        held += float(np.trapezoid(stress * (y - middle) * s.width, y))
    assert held == pytest.approx(moment, rel=1e-5)
    far = max(abs(s.low + s.height * k - middle) for s in made.strips[1:] for k in (0, 1))
    assert made.stress(1, moment) == pytest.approx(moment * 8900 * far / made.ei)


def test_a_long_plate_is_a_strip() -> None:
    """A plate twenty times as long as wide sinks as a beam across it: 5 q b4 / 384 (E t3 / 12)."""
    plate = Plate(8000, 400, 6, 9000, 9000)
    assert dish(plate, 1e-3).sag == pytest.approx(5 * 1e-3 * 400**4 / (384 * 9000 * 18), rel=2e-3)


def test_a_plate_turned_by_a_quarter_sinks_alike() -> None:
    one, other = dish(Plate(579, 514, 6.1, 12_737, 4763), 6e-4), dish(Plate(514, 579, 6.1, 4763, 12_737), 6e-4)
    assert other.sag == pytest.approx(one.sag)
    assert (other.along, other.across) == pytest.approx((one.across, one.along))


def test_a_plate_by_finite_differences() -> None:
    """D1 w_xxxx + 2H w_xxyy + D2 w_yyyy = q on a grid, with w and its second derivative 0 at the edges."""
    plate, q, n = Plate(579, 514, 6.1, 12_737, 4763), 6e-4, 48
    d1, d2, twist = plate.rigidity
    hx, hy = plate.length / n, plate.width / n
    second = -2 * np.eye(n - 1) + np.eye(n - 1, k=1) + np.eye(n - 1, k=-1)
    xx, yy, one = second / hx**2, second / hy**2, np.eye(n - 1)
    total = d1 * np.kron(xx @ xx, one) + twist * np.kron(xx, yy) + d2 * np.kron(one, yy @ yy)
    w = np.linalg.solve(total, np.full((n - 1) ** 2, q))
    assert dish(plate, q).sag == pytest.approx(float(w.max()), rel=2e-3)
