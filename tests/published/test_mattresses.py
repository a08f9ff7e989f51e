"""Mattress sizes as they are sold, and the statics of a fold-down bed's springs."""

import math

import numpy as np
import pytest

from model.beds.geometry import balancing_force, closing_force, force_at, spring_arm
from model.beds.mattresses import SIZES, mattress_of

INCH_MM = 25.4


@pytest.mark.parametrize(
    ("name", "width", "length"),
    [
        # trade pages that cite the Better Sleep Council; they disagree by 1 in, so the limits are what they span
        ("twin", (38, 39), (75, 75)),
        ("twin xl", (38, 39), (80, 80)),
        ("full", (53, 54), (75, 75)),
        ("queen", (60, 60), (80, 80)),
        ("king", (76, 76), (80, 80)),
        ("california king", (72, 72), (84, 84)),
    ],
)
def test_us_sizes(name: str, width: tuple[float, float], length: tuple[float, float]) -> None:
    """The larger of what is sold under one name, so that either lies in the frame."""
    w, long = (mm / INCH_MM for mm in SIZES[name])
    assert w == pytest.approx(width[1])
    assert long == pytest.approx(length[1])


@pytest.mark.parametrize("name", ["90x200", "120x200", "140x200", "160x200", "180x200", "90x190", "135x190", "150x200"])
def test_eu_and_uk_sizes_are_centimetres_by_name(name: str) -> None:
    """EU 90 to 180 x 200 cm; UK single 90 x 190, double 135 x 190, king 150 x 200 (size charts of the trade)."""
    width, length = (float(n) * 10 for n in name.split("x"))
    assert SIZES[name] == (width, length)


def test_a_queen_does_not_go_into_a_frame_for_140_by_200() -> None:
    """60 x 80 in are 1524 x 2032 mm: longer and wider than 1400 x 2000."""
    queen, european = SIZES["queen"], SIZES["140x200"]
    assert queen == pytest.approx((1524, 2032))
    assert all(q > e for q, e in zip(queen, european, strict=True))


def test_a_queen_of_200_mm_weighs_what_such_mattresses_weigh() -> None:
    """25 to 45 kg: common practice."""
    assert 25 <= mattress_of("queen", 200, None).mass <= 45
    assert mattress_of("queen", 200, 28.0).mass == 28.0


def test_the_worked_example_of_a_gas_spring_guide() -> None:
    """50 kg at 0.8 m, two springs square to an arm of 0.25 m: 784.8 N each (with g = 9.81); at a handle at 1.2 m 327 N.

    Source: a gas spring maker's guide to choosing springs, its own numbers.
    """
    force = balancing_force(50, 0.8, 0.0, 0.25)
    assert force == pytest.approx(784.8, rel=5e-4)
    assert closing_force(784.8, 0.25, 1.2) == pytest.approx(327, abs=0.05)


def test_a_cold_spring_pushes_less() -> None:
    """800 N at 20 C are 745.4 N at 0 C: force as the absolute temperature (ideal gas), about 3.4 % for each 10 K."""
    assert force_at(800, 0) == pytest.approx(745.4, abs=0.05)
    assert 1 - force_at(1, 10) == pytest.approx(0.034, abs=0.001)
    assert force_at(800, 20) == 800


def test_balance_follows_the_cosine() -> None:
    assert balancing_force(50, 0.8, math.radians(60), 0.25) == pytest.approx(balancing_force(50, 0.8, 0, 0.25) / 2)
    assert balancing_force(50, 0.8, math.pi / 2, 0.25) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(("r", "b"), [(300.0, 200.0), (250.0, 400.0)])
def test_the_arm_of_a_spring_square_to_its_legs(r: float, b: float) -> None:
    """Fixed b under the hinge, held r out on the bed: the arm is that right triangle's height, r b / hypot(r, b)."""
    assert spring_arm((0.0, -b), (r, 0.0), 0.0) == pytest.approx(r * b / math.hypot(r, b))


@pytest.mark.parametrize(("fixed", "moving"), [((49.0, 460.0), (49.0, -190.0)), ((60.0, 400.0), (30.0, -250.0))])
def test_the_arm_is_how_much_a_spring_shortens_with_the_angle(
    fixed: tuple[float, float], moving: tuple[float, float]
) -> None:
    """Virtual work: the arm summed over the swing is the stroke used, from the lengths at both ends (mm)."""
    angles = np.linspace(0, math.pi / 2, 2001)
    arms = [spring_arm(fixed, moving, a) for a in angles]
    down = (-moving[1], moving[0])
    used = math.dist(fixed, moving) - math.dist(fixed, down)
    assert np.trapezoid(arms, angles) == pytest.approx(used, rel=1e-5)
