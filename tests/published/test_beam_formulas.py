"""Deflections, moments, stiffness and limits as handbooks give them.

WH190 is the Wood Handbook, FPL-GTR-190 (2010); CEF: T. Hicks, Civil Engineering Formulas; AWC 6: American Wood Council,
Design Aid 6 (its figures as reproduced in handbooks of steel beams); TPS: Timoshenko and Woinowsky-Krieger, Theory of
Plates and Shells, 2nd ed. Values marked so are from memory; those without a mark were read in the text named.
"""

import math

import pytest
from conftest import CONFIGS

from model.config.tree import read
from model.stock.tables import Board, Sheet, SheetSize, Stiffness, Stock
from model.strength.beam import Beam, Bent, Push, Spread, Stretch, Support, bend
from model.strength.limits import LIMITS, LimitName
from model.strength.plate import Plate, dish
from model.strength.sections import Strip, section
from model.strength.woods import creep, crushing_of, kind_of, modulus_of, strength_of, wood_of

L, E, W, P = 36.0, 1.5e6, 20.0 / 12, 50.0
"""in, psi, lb/in, lb: a shelf 11-1/4 x 23/32 in under 20 lb/ft. Units cancel: lb and in do as well as N and mm."""
INERTIA = 11.25 * 0.71875**3 / 12
MM_PER_INCH = 25.4
MPA_PER_PSI = 0.006894757


def shelf(length: float, supports: list[Support], w: float = 0.0, *pushes: Push) -> Bent:
    spreads = (Spread(0, length, w),) if w else ()
    return bend(Beam((Stretch(0, length, E * INERTIA),), tuple(supports), spreads, pushes))


ENDS = [Support(0), Support(L)]
CLAMPS = [Support(0, True), Support(L, True)]


def test_inertia_of_the_shelf() -> None:
    """b t3 / 12, and through the transformed section of one strip (any mechanics text)."""
    assert pytest.approx(0.348101, abs=1e-6) == INERTIA
    assert section((Strip(E, 11.25, 0, 0.71875),)).ei == pytest.approx(E * INERTIA)


@pytest.mark.parametrize(
    ("bent", "sag", "moment"),
    [
        # WH190 Table 9-1: kb 5/384, 1/384, 1/48, 1/192, 1/8, 1/3; moments of CEF Table 2.1
        (shelf(L, ENDS, W), 0.06981, 270.0),
        (shelf(L, CLAMPS, W), 0.013961, 180.0),
        (shelf(L, ENDS, 0, Push(L / 2, P)), 0.09308, 450.0),
        (shelf(L, CLAMPS, 0, Push(L / 2, P)), 0.02327, 225.0),
        (shelf(12, [Support(0, True)], W), 0.008273, 120.0),
        (shelf(12, [Support(0, True)], 0, Push(12, P)), 0.05516, 600.0),
    ],
    ids=["uniform", "clamped", "point", "clamped, point", "cantilever", "cantilever, point at the end"],
)
def test_one_span(bent: Bent, sag: float, moment: float) -> None:
    assert bent.sag()[0] == pytest.approx(sag, rel=2e-4)
    assert abs(bent.moment) == pytest.approx(moment, rel=1e-6)


def test_stress_of_the_shelf() -> None:
    """M c / I of the uniform load: 278.7 psi."""
    made = section((Strip(E, 11.25, 0, 0.71875),))
    assert made.stress(0, shelf(L, ENDS, W).moment) == pytest.approx(278.7, abs=0.05)


def test_two_loads_at_the_quarter_points() -> None:
    """WH190 Table 9-1: 11/768 of P L3 / EI in the middle, 1/96 under a load, P the sum of both."""
    bent = shelf(L, ENDS, 0, Push(L / 4, P / 2), Push(3 * L / 4, P / 2))
    assert bent.sag()[0] == pytest.approx(11 / 768 * P * L**3 / (E * INERTIA))
    assert bent.deflection(L / 4) == pytest.approx(P * L**3 / (96 * E * INERTIA))


def test_one_end_clamped() -> None:
    """AWC 6, fixed at one end: w L4 / 185 EI at 0.4215 L from the free end, 3/8 and 5/8 of the load (from memory)."""
    bent = shelf(L, [Support(0), Support(L, True)], W)
    sag, at = bent.sag()
    assert W * L**4 / (E * INERTIA * sag) == pytest.approx(185, abs=0.5)
    assert at / L == pytest.approx(0.4215, abs=1e-4)
    assert [r / (W * L) for r in bent.reactions] == pytest.approx([3 / 8, 5 / 8])


def test_two_equal_spans() -> None:
    """AWC 6 Fig. 29: 1/185 at 0.4215 L; -1/8 over the middle, 9/128 in the span; 3/8, 10/8, 3/8 (as reproduced)."""
    bent = shelf(2 * L, [Support(0), Support(L), Support(2 * L)], W)
    sag, at = bent.sag(0, L)
    assert sag * E * INERTIA / (W * L**4) == pytest.approx(0.0054, abs=0.00005)
    assert at / L == pytest.approx((1 + math.sqrt(33)) / 16, abs=1e-6)
    assert [r / (W * L) for r in bent.reactions] == pytest.approx([3 / 8, 10 / 8, 3 / 8])
    assert bent.moment / (W * L**2) == pytest.approx(-1 / 8)
    assert max(m for _, m, _ in bent.bends) / (W * L**2) == pytest.approx(9 / 128)


def test_two_spans_one_loaded() -> None:
    """Steel handbooks, continuous beams: 0.0092 w L4 / EI, reactions 7/16, 5/8, -1/16 (from memory)."""
    ei = E * INERTIA
    bent = bend(Beam((Stretch(0, 2 * L, ei),), (Support(0), Support(L), Support(2 * L)), (Spread(0, L, W),)))
    assert bent.sag()[0] * ei / (W * L**4) == pytest.approx(0.0092, abs=0.00005)
    assert [r / (W * L) for r in bent.reactions] == pytest.approx([7 / 16, 5 / 8, -1 / 16])


def test_three_equal_spans() -> None:
    """CEF Table 2.1: 0.4, 1.1, 1.1, 0.4 and -0.100, +0.080; steel handbooks: 0.0069 at 0.446 L (from memory)."""
    bent = shelf(3 * L, [Support(i * L) for i in range(4)], W)
    sag, at = bent.sag(0, L)
    assert [r / (W * L) for r in bent.reactions] == pytest.approx([0.4, 1.1, 1.1, 0.4])
    assert bent.moment / (W * L**2) == pytest.approx(-0.1)
    assert max(m for _, m, _ in bent.bends) / (W * L**2) == pytest.approx(0.08)
    assert sag * E * INERTIA / (W * L**4) == pytest.approx(0.0069, abs=0.00005)
    assert at / L == pytest.approx(0.446, abs=0.0005)


def test_supports_set_in_from_the_ends() -> None:
    """CEF Table 2.3: at 0.2071 L from the ends the moments are equal and the safe load is 5.83 times as much."""
    ends, inset = shelf(L, ENDS, W), shelf(L, [Support(0.2071 * L), Support(L - 0.2071 * L)], W)
    assert abs(ends.moment / inset.moment) == pytest.approx(5.83, abs=0.01)
    hogging, sagging = (f(m for _, m, _ in inset.bends) for f in (min, max))
    assert -hogging == pytest.approx(sagging, rel=1e-3)


def test_a_load_at_the_end_of_an_overhang() -> None:
    """AWC 6, beam overhanging one support: P a2 (L + a) / 3EI at the tip (from memory)."""
    a = 10.0
    bent = shelf(L + a, ENDS, 0, Push(L + a, P))
    assert bent.sag()[0] == pytest.approx(P * a**2 * (L + a) / (3 * E * INERTIA))


def test_a_metric_shelf() -> None:
    """300 x 18 mm, 800 mm, 718 Pa, E 9000 MPa: 0.8755 mm by WH190 Table 9-1."""
    bent = bend(Beam((Stretch(0, 800, 9000 * 145_800),), (Support(0), Support(800)), (Spread(0, 800, 0.2154),)))
    assert bent.sag()[0] == pytest.approx(0.8755, abs=5e-5)


@pytest.mark.parametrize(
    ("ratio", "sag", "moment"),
    [(1.0, 0.00406, 0.0479), (1.5, 0.00772, 0.0812), (2.0, 0.01013, 0.1017)],
)
def test_isotropic_plate(ratio: float, sag: float, moment: float) -> None:
    """TPS Table 8, simply supported under uniform load: w = alpha q a4 / D, My = beta q a2 (from memory).

    The table is for Poisson's ratio 0.3: both rigidities and H are D = E t3 / 12 (1 - 0.09), and each moment has 0.3 of
    the other curvature in it.
    """
    a, t, q, e = 400.0, 6.0, 1e-3, 9000 / 0.91
    d = e * t**3 / 12
    dished = dish(Plate(ratio * a, a, t, e, e, shear=6 * d / t**3), q)
    assert dished.sag * d / (q * a**4) == pytest.approx(sag, abs=1e-5)
    assert (dished.across + 0.3 * dished.along) * t**2 / 6 / (q * a**2) == pytest.approx(moment, abs=2e-4)


def test_a_bottom_of_plywood_sinks_more_than_with_the_torsion_of_steel() -> None:
    """Wood is soft in shear: E / 16 (from memory), not E / 2.6."""
    assert dish(Plate(600, 400, 6, 9000, 9000), 1e-3).sag > dish(Plate(600, 400, 6, 9000, 9000, 9000 / 2.6), 1e-3).sag


SPAN = 36 * MM_PER_INCH


@pytest.mark.parametrize(
    ("name", "span", "limit"),
    [
        ("cabinet", 12 * MM_PER_INCH, MM_PER_INCH / 16),  # ANSI/KCMA A161.1 5.1: 1/16 in a foot, as reproduced
        ("cabinet", SPAN, 3 / 16 * MM_PER_INCH),
        ("cabinet", 2 * SPAN, MM_PER_INCH / 4),  # never more than 1/4 in
        ("library", SPAN, 3 / 16 * MM_PER_INCH),  # ANSI/NISO Z39.73, from memory
        ("fine", 12 * MM_PER_INCH, 0.02 * MM_PER_INCH),  # custom, from memory
        ("floor", SPAN, 0.1 * MM_PER_INCH),  # IBC Table 1604.3, L/360, from memory
        ("total", SPAN, 0.15 * MM_PER_INCH),  # IBC Table 1604.3, L/240, from memory
    ],
)
def test_limits(name: LimitName, span: float, limit: float) -> None:
    assert LIMITS[name].of(span) == pytest.approx(limit)


def sheet(density: float, grain: bool = True, **stiff: float) -> Sheet:
    sizes = (SheetSize(length=2440, width=1220),)
    stiffness = Stiffness(**stiff) if stiff else None
    return Sheet(thickness=18, sizes=sizes, density=density, grain=grain, stiffness=stiffness)


def board(density: float) -> Board:
    return Board(thickness=20, width=90, lengths=(2400,), density=density)


@pytest.mark.parametrize(
    ("item", "total"),
    [
        (board(450), 1.5),  # NDS 3.5.2, seasoned lumber
        (sheet(680), 2.0),  # NDS 3.5.2, structural panels, from memory
        (sheet(740, grain=False), 3.25),  # EN 1995-1-1 Table 3.2, kdef 2.25, from memory
    ],
)
def test_creep(item: Sheet | Board, total: float) -> None:
    assert creep(kind_of(item), 10) == total
    assert creep(kind_of(item), 0) == 1.0


def test_creep_after_years_is_about_the_elastic_sag() -> None:
    """WH190 ch. 5: after several years creep about equals the first deflection."""
    assert creep(kind_of(sheet(680)), 10) - 1 == pytest.approx(1, abs=0.5)
    assert creep(kind_of(board(450)), 10) - 1 == pytest.approx(1, abs=0.5)


# Density at 12 % is 1120 G (WH190 ch. 4); modulus and strength of WH190 Tables 5-3a and 5-3b.
SPECIES = {
    "ponderosa pine": (0.40, 1.29e6, 9_400),
    "Douglas-fir": (0.48, 1.95e6, 12_400),
    "western white pine": (0.38, 1.46e6, 9_700),
    "longleaf pine": (0.59, 1.98e6, 14_500),
    "white oak": (0.68, 1.78e6, 15_200),
    "red maple": (0.54, 1.64e6, 13_400),
}


@pytest.mark.parametrize("name", SPECIES)
def test_strength_by_density_is_never_taken_too_high(name: str) -> None:
    """What is taken for a board of which only the density is known lies near its species, or below it."""
    g, modulus, strength = SPECIES[name]
    assert 0.7 * strength < strength_of(1120 * g) / MPA_PER_PSI < 1.05 * strength
    assert 0.65 * modulus < modulus_of(1120 * g) / MPA_PER_PSI < 1.1 * modulus


def test_formulas_by_density() -> None:
    """TM 5-852-4 (1983) Table 2-2, air-dry, at G = 1: 25,700 psi, 2,800,000 psi, 4,630 psi."""
    assert strength_of(1120) == pytest.approx(25_700 * MPA_PER_PSI)
    assert modulus_of(1120) == pytest.approx(2.8e6 * MPA_PER_PSI)
    assert crushing_of(1120) == pytest.approx(4_630 * MPA_PER_PSI)


def test_ponderosa_pine_pressed_across_its_grain() -> None:
    """WH190 Table 5-3b: 580 psi at the proportional limit (from memory)."""
    assert crushing_of(1120 * 0.40) / MPA_PER_PSI == pytest.approx(580, rel=0.03)


@pytest.mark.parametrize(
    ("density", "grain", "modulus", "strength"),
    [
        (600, True, (6960, 8550), (33.7, 42.6)),  # plywood
        (740, False, (2760, 4140), (15.2, 24.1)),  # particleboard, the weaker of what may be meant
        (950, False, (3100, 5520), (31.0, 56.5)),  # hardboard
    ],
)
def test_sheets_of_unknown_stiffness(
    density: float, grain: bool, modulus: tuple[float, float], strength: tuple[float, float]
) -> None:
    """WH190 Table 12-1: the low end of the range is taken."""
    found = wood_of(sheet(density, grain))
    assert found.along == modulus[0]
    assert found.kind.strength == strength[0]


def test_birch_plywood_of_the_demo_stock() -> None:
    """Handbook of Finnish Plywood, Table 3-2 (from memory): 10,048 and 7,452 N/mm2 for 18 mm; together 17,500."""
    stock = read(CONFIGS / "stock" / "birch-metric.yaml", Stock).value
    found = wood_of(stock.sheets["birch 18"])
    assert (found.modulus(True), found.modulus(False)) == (10_048, 7_452)
    for name in ("birch 6", "birch 12", "birch 18"):
        birch = wood_of(stock.sheets[name])
        assert birch.along + (birch.across or 0) == pytest.approx(17_500)


def test_working_stress_leaves_room() -> None:
    """ASTM D245 (from memory): average strength, less 1.645 times 16 %, over 2.1: about a third of it."""
    assert wood_of(sheet(680, along=10_048, strength=60.0)).working == pytest.approx(60 * 0.7368 / 2.1, rel=1e-4)
