"""Tipping, screws, moving wood and gas springs against published values; each names its document, edition and table."""

import math

import pytest

from model.beds.geometry import force_at
from model.checks.ratings import DRAWER
from model.config.types import KG_PER_POUND
from model.safety import Moisture, Safety
from model.statics import fasteners
from model.statics.fasteners import Shear, withdrawal, withdrawal_average
from model.statics.masses import GRAVITY, Lump
from model.statics.openings import FROM_EDGE
from model.statics.shrinkage import SPECIES, SpeciesName, movement, species_of
from model.statics.springs import Spring, Turning, best_force
from model.statics.tipping import NM, Edge, Opening, anchor_force, worst_case

INCH = 25.4
LB = fasteners.N_PER_LB
FRONT = Edge((0.0, 0.0), (0.0, 1.0))


def test_a_child_is_60_lb() -> None:
    """ASTM F2057-23 (children to 72 months; 50 lb before 2023), taken into law by 16 CFR 1261 (4 May 2023)."""
    assert Safety().child == pytest.approx(60 * KG_PER_POUND, abs=0.05)


def test_a_child_hangs_100_mm_from_the_edge_of_a_door() -> None:
    """EN 16122, vertical load on pivoted doors: 100 mm from the edge opposite the hinges (from memory)."""
    assert FROM_EDGE == 100.0


def test_drawers_are_tried_with_15_lb_per_square_foot() -> None:
    """ANSI/KCMA A161.1, 7.1 (text on a page that reproduces it): 18 x 20 in hold 37.5 lb."""
    assert pytest.approx(37.5, rel=5e-3) == DRAWER * 18 * 20 * INCH**2 / 1e6 / KG_PER_POUND


def test_60_lb_unit_with_60_lb_on_a_drawer() -> None:
    """Statics: 60 lb at 9 in behind the feet, 60 lb at 16 in before them: 540 / 960 = 0.5625, it tips."""
    sixty = 60 * KG_PER_POUND
    drawer = Opening("d", "slide", (0, -1, 0), 16 * INCH, (0, 0, 0), Lump(1e-9, (0, 0, 0)), None, (0, 0, 0))
    case = worst_case([Lump(sixty, (0, 9 * INCH, 0))], [drawer], [FRONT], sixty)
    assert case.factor == pytest.approx(0.5625, rel=1e-6)
    assert case.net < 0


def test_three_loaded_drawers_and_a_child() -> None:
    """Clothing at 8.5 lb/ft3 (ASTM F2057-23, 9; from memory) in 0.70 x 0.40 x 0.15 m: 5.719 kg each. 32 kg at 0.24 m
    against three drawers at 0.15 m and 27.216 kg at 0.38 m: 7.680 / 12.915 = 0.5946; 64.2 N at 0.80 m hold it."""
    fill = 8.5 * KG_PER_POUND / 0.3048**3 * 0.70 * 0.40 * 0.15
    assert fill == pytest.approx(5.719, abs=5e-4)
    child = 27.216
    still, out = (0.0, 100.0, 0.0), 250.0
    drawers = [
        Opening(f"d{i}", "slide", (0, -1, 0), out, (0, 0, 0), Lump(0.0, still), Lump(fill, still), (0.0, -130.0, 0.0))
        for i in range(3)
    ]
    case = worst_case([Lump(32.0, (0, 240.0, 900.0))], drawers, [FRONT], child)
    assert case.factor == pytest.approx(0.5946, abs=5e-4)
    assert anchor_force(case.net, 800.0) == pytest.approx(64.2, abs=0.1)


def test_gravity_is_standard() -> None:
    """9.80665 m/s2: 3rd CGPM (1901)."""
    assert pytest.approx(9.80665, abs=0) == GRAVITY
    assert pytest.approx(0.00980665) == NM


def test_screw_withdrawal_as_a_reference_page_prints_it() -> None:
    """NDS 12.2.2, W = 2850 G^2 D: a number 10 (0.190 in) in wood of 0.45: 109 lb per inch (engineering tool page)."""
    assert withdrawal(0.45, 0.190 * INCH, INCH) / LB == pytest.approx(109.7, abs=0.05)


def test_screw_withdrawal_of_number_8_in_douglas_fir() -> None:
    """The same formula (Civil Engineering Formulas, eq. 6.37): 2850 x 0.50^2 x 0.164 = 116.85 lb per inch."""
    assert withdrawal(0.50, 0.164 * INCH, INCH) / LB == pytest.approx(116.85, abs=0.01)


def test_average_withdrawal_in_metric_and_in_inches() -> None:
    """Wood Handbook, FPL-GTR-190, eq. 8-10 (from memory): 15,700 G^2 D L lb is 108.25 G^2 D L N; 643.7 lb an inch."""
    assert withdrawal_average(0.50, 0.164 * INCH, INCH) / LB == pytest.approx(643.7, abs=0.6)


def test_the_safety_in_the_allowable_withdrawal() -> None:
    """15,700 / 2850 = 5.51: the safety the messages speak of."""
    ratio = withdrawal_average(0.42, 5.0, 30.0) / withdrawal(0.42, 5.0, 30.0)
    assert ratio == pytest.approx(15_700 / 2850, rel=1e-3)


@pytest.mark.parametrize(("gauge", "inches"), [(6, 0.138), (8, 0.164), (10, 0.190), (12, 0.216)])
def test_yield_strengths_by_gauge(gauge: int, inches: float) -> None:
    """ASME B18.6.1: D = 0.060 + 0.013 n in; NDS 2018 Table 12L: 100, 90, 80, 80 ksi (both from memory)."""
    assert inches == pytest.approx(0.060 + 0.013 * gauge)
    ksi = fasteners.yield_strength(inches * INCH) / fasteners.MPA_PER_PSI / 1000
    assert ksi == pytest.approx({6: 100, 8: 90, 10: 80, 12: 80}[gauge])


@pytest.mark.parametrize(
    ("gravity", "psi"),
    [(0.50, 4650), (0.42, 3350), (0.55, 5550), (0.36, 2550), (0.67, 7950)],
)
def test_dowel_bearing_strengths(gravity: float, psi: float) -> None:
    """NDS 2018 Table 12.3.3, dowels under 1/4 in, 16,600 G^1.84 to the nearest 50 psi (from memory)."""
    assert fasteners.bearing_strength(gravity, 4.0) / fasteners.MPA_PER_PSI == pytest.approx(psi, abs=26)


def test_yield_modes_without_a_gap_are_those_of_the_nds() -> None:
    """AWC Technical Report 12's general equations, gap 0, give the six modes of NDS Table 12.3.1A (from memory)."""
    d, root, ls, lm, fs, fm, fyb = 4.8, 3.4, 18.0, 45.0, 28.0, 23.0, 552.0
    modes = Shear(d, root, ls, lm, 0.0, fs, fm, fyb).modes()
    re, rt = fm / fs, lm / ls
    k1 = (math.sqrt(re + 2 * re**2 * (1 + rt + rt**2) + rt**2 * re**3) - re * (1 + rt)) / (1 + re)
    m = fyb * root**3 / d**3  # the NDS writes one diameter; the moment is that of the root
    k2 = -1 + math.sqrt(2 * (1 + re) + 2 * m * (1 + 2 * re) * d**2 / (3 * fm * lm**2))
    k3 = -1 + math.sqrt(2 * (1 + re) / re + 2 * m * (2 + re) * d**2 / (3 * fm * ls**2))
    assert modes["Im"] == pytest.approx(d * lm * fm)
    assert modes["Is"] == pytest.approx(d * ls * fs)
    assert modes["II"] == pytest.approx(k1 * d * ls * fs)
    assert modes["IIIm"] == pytest.approx(k2 * d * lm * fm / (1 + 2 * re))
    assert modes["IIIs"] == pytest.approx(k3 * d * ls * fm / (2 + re))
    assert modes["IV"] == pytest.approx(d**2 * math.sqrt(2 * fm * m / (3 * (1 + re))))


def test_reduction_terms_of_thin_dowels() -> None:
    """NDS Table 12.3.1B (from memory): K_D is 2.2 to 0.17 in, 10 D + 0.5 to 0.25 in."""
    for inches, reduce in ((0.164, 2.2), (0.190, 2.4), (0.216, 2.66)):
        screw = Shear(inches * INCH, 3.0, 18.0, 40.0, 0.0, 28.0, 23.0, 552.0)
        assert min(screw.modes().values()) / screw.allowable() == pytest.approx(reduce)


def test_both_at_once_is_hankinsons_formula() -> None:
    """NDS 12.4.1: Z' = W Z / (W cos^2 + Z sin^2): a pull at that value under any angle uses all of the screw."""
    w, z = 580.0, 240.0
    for degrees in (0, 20, 45, 70, 90):
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        whole = w * z / (w * c**2 + z * s**2)
        assert fasteners.used(whole * c, whole * s, z, w) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("species", "radial", "tangential"),
    [
        ("red oak", 0.00158, 0.00369),
        ("white oak", 0.00180, 0.00365),
        ("sugar maple", 0.00165, 0.00353),
        ("yellow birch", 0.00256, 0.00338),
        ("paper birch", 0.00219, 0.00304),
        ("cherry", 0.00126, 0.00248),
        ("walnut", 0.00190, 0.00274),
        ("white ash", 0.00169, 0.00274),
        ("red alder", 0.00151, 0.00256),
        ("beech", 0.00190, 0.00431),
    ],
)
def test_dimensional_change_coefficients(species: SpeciesName, radial: float, tangential: float) -> None:
    """Wood Handbook, FPL-GTR-190 (2010), Table 13-5."""
    assert SPECIES[species] == (radial, tangential)


@pytest.mark.parametrize(
    ("board", "species"), [("pine 20x90", "ponderosa pine"), ("Red oak 1x6", "red oak"), ("2x4 stud", "beech")]
)
def test_pines_are_told_by_name(board: str, species: str) -> None:
    """Wood Handbook, Table 13-5 (pines from memory: 0.00133/0.00216); what has no name moves as the most lively."""
    assert species_of(board, {}) == species


def test_flat_sawn_red_oak() -> None:
    """Wood Handbook eq. 13-2: 11.25 in from 6 to 10 %: 11.25 x 0.00369 x 4 = 0.166 in."""
    assert movement(11.25, SPECIES["red oak"][1], 6, 10) == pytest.approx(0.166, abs=5e-4)


def test_flat_sawn_sugar_maple() -> None:
    """The same equation: 300 mm from 6 to 11 %: 5.30 mm."""
    assert movement(300, SPECIES["sugar maple"][1], 6, 11) == pytest.approx(5.30, abs=5e-3)


def test_indoor_moisture() -> None:
    """Wood Handbook Table 13-2: interior, most of the United States, pieces 6 to 10 % (from memory)."""
    assert (Moisture().dry, Moisture().damp) == (6.0, 10.0)


def test_a_gas_spring_in_the_cold() -> None:
    """Ideal gas: 800 N at 20 C are 745.4 N at 0 C; 3.4 % for 10 K (makers give 3 to 4 %: common practice)."""
    assert force_at(800, 0) == pytest.approx(745.4, abs=0.05)
    assert force_at(1000, 30) - 1000 == pytest.approx(34, abs=0.2)


def test_the_guides_gas_spring_holds_its_lid_level() -> None:
    """A gas spring guide's example: 50 kg at 0.8 m, two springs square to 0.25 m need 784.8 N each (g = 9.81)."""
    spring = Spring((-1000.0, 250.0), (0.0, 250.0), 500, 600, 784.8, 1.0)  # level, over the pivot by 0.25 m
    bed = Turning(50 * 9.81, (800.0, 0.0), (spring, spring), 1e-9, 1200.0)
    assert bed.at(0.0) - 2 * 784.8 * 2 * 0.25 == pytest.approx(0, abs=0.01)  # this way round both turn it down
    lifts = Spring((1000.0, 250.0), (0.0, 250.0), 500, 600, 784.8, 1.0)
    assert Turning(50 * 9.81, (800.0, 0.0), (lifts, lifts), 1e-9, 1200.0).at(0.0) == pytest.approx(0, abs=0.01)
    assert best_force(Turning(50 * 9.81, (800.0, 0.0), (lifts, lifts), 1e-9, 1200.0)) == pytest.approx(784.8, abs=0.1)


def test_the_guides_closing_force() -> None:
    """The same guide: with no weight, a hand at 1.2 m closes it with 2 x 784.8 x 0.25 / 1.2 = 327 N."""
    spring = Spring((1000.0, 250.0), (0.0, 250.0), 500, 600, 784.8, 1.0)
    empty = Turning(0.0, (800.0, 0.0), (spring, spring), 1e-9, 1200.0)
    assert abs(empty.at(0.0)) * 1000 / 1200 == pytest.approx(327, abs=0.05)
