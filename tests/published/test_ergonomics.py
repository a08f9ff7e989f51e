"""Lifting, tackle, knee space, reach against published values; each names its document, edition, table or clause."""

import math

import pytest

from model.checks import knee_space, open_floor, reach
from model.checks.lifting import CARRIED, HIGH_RISK
from model.checks.standing_up import FREE
from model.comfort import Comfort
from model.handling.niosh import LOAD, Hours, Lift, limit, multipliers, team
from model.handling.tackle import advantage, pull

INCH = 25.4
LB = 0.45359237
POUNDS = 51 / 23
"""The manual's load constant in pounds and in kilograms."""


def inches(out: float, height: float, travel: float, **more: object) -> Lift:
    """A lift as the manual has it in inches: its inch and metric equations are one where 10 in are 25 cm."""
    return Lift(out * 25, height * 25, travel * 25, **more)  # type: ignore[arg-type]


def test_the_load_constant() -> None:
    """NIOSH 94-110 (rev. 9/2021), 1.3: 23 kg or 51 lb, with hands 25 cm out, 75 cm up, moved 25 cm."""
    assert LOAD == 23
    assert limit(Lift(250, 750, 250, coupling="good")) == pytest.approx(23)
    assert pytest.approx(51 * LB, rel=0.01) == LOAD


@pytest.mark.parametrize(
    ("out", "expected"), [(250, 1.0), (300, 0.83), (400, 0.63), (500, 0.5), (600, 0.42), (630, 0.4), (640, 0.0)]
)
def test_horizontal_multiplier(out: float, expected: float) -> None:
    """NIOSH 94-110, Table 1 (from memory): 30 cm 0.83, 40 cm 0.63, 50 cm 0.50, 60 cm 0.42, 63 cm 0.40, more 0."""
    assert multipliers(Lift(out, 750, 250)).horizontal == pytest.approx(expected, abs=0.006)


@pytest.mark.parametrize(
    ("height", "expected"), [(0, 0.78), (300, 0.87), (750, 1.0), (1000, 0.93), (1750, 0.7), (1760, 0)]
)
def test_vertical_multiplier(height: float, expected: float) -> None:
    """NIOSH 94-110, Table 2 (from memory): 0 cm 0.78, 30 cm 0.87, 100 cm 0.93, 175 cm 0.70, more 0."""
    assert multipliers(Lift(250, height, 250)).vertical == pytest.approx(expected, abs=0.006)


@pytest.mark.parametrize(
    ("travel", "expected"), [(250, 1.0), (400, 0.93), (700, 0.88), (1000, 0.87), (1750, 0.85), (1760, 0)]
)
def test_distance_multiplier(travel: float, expected: float) -> None:
    """NIOSH 94-110, Table 3 (from memory): 40 cm 0.93, 70 cm 0.88, 100 cm 0.87, 175 cm 0.85, more 0."""
    assert multipliers(Lift(250, 750, travel)).distance == pytest.approx(expected, abs=0.006)


@pytest.mark.parametrize(
    ("twist", "expected"),
    [
        (0, 1),
        (15, 0.95),
        (30, 0.9),
        (45, 0.86),
        (60, 0.81),
        (75, 0.76),
        (90, 0.71),
        (105, 0.66),
        (120, 0.62),
        (135, 0.57),
        (140, 0),
    ],
)
def test_asymmetry_multiplier(twist: float, expected: float) -> None:
    """NIOSH 94-110 (rev. 9/2021), Table 4."""
    assert multipliers(Lift(250, 750, 250, twist)).asymmetry == pytest.approx(expected, abs=0.005)


@pytest.mark.parametrize(
    ("rate", "hours", "expected"),
    [
        (0.2, 1, 1.0),
        (0.2, 2, 0.95),
        (0.2, 8, 0.85),
        (1, 1, 0.94),
        (5, 2, 0.6),
        (5, 8, 0.35),
        (10, 8, 0.13),
        (15, 1, 0.28),
        (15, 8, 0),
    ],
)
def test_frequency_multiplier(rate: float, hours: Hours, expected: float) -> None:
    """NIOSH 94-110, Table 5, hands at 75 cm or more (from memory; 0.13 seen in a worked example)."""
    assert multipliers(Lift(250, 750, 250, rate=rate, hours=hours)).frequency == expected


def test_coupling_multiplier() -> None:
    """NIOSH 94-110, Table 7: fair 0.95 below 75 cm and 1.00 from there on, poor 0.90, good 1.00."""
    low, high = Lift(250, 700, 250), Lift(250, 750, 250)
    assert (multipliers(low).coupling, multipliers(high).coupling) == (0.95, 1.0)
    assert multipliers(Lift(250, 700, 250, coupling="poor")).coupling == 0.9


def test_a_solved_lift_from_the_floor() -> None:
    """A worked solution of H 20, V 6, D 16 in, fair, frequency left out, prints 18.4 lb from rounded multipliers."""
    assert limit(inches(20, 6, 16)) * POUNDS == pytest.approx(18.4, rel=0.01)


def test_a_solved_lift_of_compact_loads() -> None:
    """A worked solution: H 25, V 55, D 95 cm, 3 lifts a minute for 45 minutes, fair: 15.7 kg; 12 kg give 0.76."""
    allowed = limit(Lift(250, 550, 950, rate=3, hours=1))
    assert allowed == pytest.approx(15.7, abs=0.1)
    assert 12 / allowed == pytest.approx(0.76, abs=0.01)


@pytest.mark.parametrize(("height", "printed", "index"), [(15, 16.3, 2.7), (63, 14.5, 3.0)])
def test_loading_a_punch_press(height: float, printed: float, index: float) -> None:
    """NIOSH 94-110, example 1 (from memory): 44 lb of stock, H 23, D 48 in, fair, lifted from 15 to 63 in.

    The manual rounds each multiplier to two figures: 51 x .44 x .89 x .86 x .95 and 51 x .44 x .75 x .86.
    """
    allowed = limit(inches(23, height, 48)) * POUNDS
    assert allowed == pytest.approx(printed, rel=0.025)
    assert 44 / allowed == pytest.approx(index, abs=0.08)


def test_above_an_index_of_three_most_are_at_risk() -> None:
    """NIOSH 94-110, 1.4.2 (from memory)."""
    assert HIGH_RISK == 3
    assert CARRIED == 750  # 1.3.2: 30 in, the height of the knuckles


@pytest.mark.parametrize(("people", "one_by_one"), [(1, 1.0), (2, 2 / 3), (3, 0.5)])
def test_teams_do_less_than_one_by_one(people: int, one_by_one: float) -> None:
    """HSE L23, Manual handling, guidance on team handling: two thirds for two, a half for three (seen quoted)."""
    assert team(people) == pytest.approx(people * one_by_one)


def test_a_team_of_two_with_20_kg_each() -> None:
    """A rail operator's safety page on that guidance: about 26.6 kg for two who may lift 20 kg each."""
    assert 20 * team(2) == pytest.approx(26.6, abs=0.1)


def test_seven_parts_carry_at_15_per_cent() -> None:
    """Common practice: seven supporting parts of rope carry a load at about 15 % of its weight (1/7 = 14.3 %)."""
    assert pull(100, 7) == pytest.approx(15, abs=1)
    assert pull(100, 7, 0.985) == pytest.approx(15, abs=0.3)


@pytest.mark.parametrize(
    ("kept", "lead", "expected"),
    [(0.95, "fixed", 3.5244), (0.9, "fixed", 3.0951), (0.9, "moving", 3.439), (1.0, "fixed", 4)],
)
def test_four_parts_of_tackle(kept: float, lead: str, expected: float) -> None:
    """Statics, e (1 - e^n) / (1 - e): 200 lb on four parts at 0.95 a sheave take 56.75 lb."""
    assert advantage(4, kept, lead) == pytest.approx(expected, abs=5e-5)  # type: ignore[arg-type]
    assert pull(200, 4, 0.95) == pytest.approx(56.75, abs=0.005)


def test_a_rigger_s_rule_is_near() -> None:
    """Riggers add a tenth of the load for each sheave: F = W (1 + 0.1 s) / n (seamanship texts, from memory)."""
    for n in (2, 3, 4, 5):
        assert pull(1.0, n, 0.9) == pytest.approx((1 + 0.1 * n) / n, rel=0.11)


def test_knee_clearance_of_a_wheelchair() -> None:
    """2010 ADA Standards 306.3.3 and 306.3.5: 27 in high, 30 in wide, 11 in deep at 9 in; 306.2.3: toes 17 in."""
    least = knee_space.ACCESSIBLE.least
    assert [round(x / INCH, 2) for x in (least.height, least.width, least.knee_depth, least.foot_depth)] == [
        27,
        30,
        11,
        17,
    ]


def test_knee_space_of_a_desk() -> None:
    """IS 13896: knee height 620, width 600, depth 450 mm; DIN 15996: 600 mm deep at the floor (summaries)."""
    least = knee_space.ORDINARY.least
    assert (least.height, least.width, least.knee_depth, least.foot_depth) == (620, 600, 450, 600)


def test_work_surfaces_of_a_wheelchair() -> None:
    """2010 ADA Standards 902.3: 28 to 34 in."""
    assert [x / INCH for x in reach.ACCESSIBLE_TOP] == pytest.approx([28, 34])


def test_reach_of_a_wheelchair() -> None:
    """2010 ADA Standards 308.2.1 and 308.2.2: 48 in; 48 in over 20 in, 44 in over 25 in."""
    said = (reach.ADA_HIGH, reach.ADA_NEAR, reach.ADA_FAR_HIGH, reach.ADA_FAR)
    assert [x / INCH for x in said] == pytest.approx([48, 20, 44, 25])


def test_floor_of_a_wheelchair() -> None:
    """2010 ADA Standards 305.3: 30 by 48 in."""
    assert pytest.approx(48 * INCH) == open_floor.ADA_DEEP


def test_desks_are_740_high() -> None:
    """EN 527-1: 740 mm for a table that is not adjusted (sources differ on its tolerance); 28 to 30 in in the US."""
    assert reach.SIT[0] <= 740 <= reach.SIT[1]
    assert [x / INCH for x in reach.SIT] == pytest.approx([28, 30])


def test_counters_are_36_in_high() -> None:
    """Common practice; EN 527-1 has 950 to 1250 mm to stand at, which overlaps."""
    assert reach.STAND[0] <= 36 * INCH <= reach.STAND[1]
    assert reach.STAND[1] > 950


def test_a_top_shelf_is_at_72_in() -> None:
    """Common practice: 72 to 76 in for those who stand before it, 68 in over a base 24 in deep."""
    assert Comfort().reach / INCH == pytest.approx(72, abs=0.1)
    assert Comfort().reach_over / INCH == pytest.approx(68, abs=0.2)


def test_a_tall_cupboard_under_8_ft() -> None:
    """Common practice: 84 by 24 in has a diagonal of 87 3/8 in, and stands up under 8 ft; 93 by 24 in does not."""
    assert math.hypot(84, 24) == pytest.approx(87 + 3 / 8, abs=0.02)
    assert math.hypot(84, 24) * INCH + FREE < 96 * INCH < math.hypot(93, 24) * INCH + FREE
