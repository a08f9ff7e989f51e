"""Light and low-voltage wire against published values; each names its document, edition and table or clause."""

import math

import pytest

from model.comfort import LightNeeds
from model.lighting import wires
from model.lighting.light_map import Strip, cell, illuminance
from model.lighting.lights import LOAD_SHARE
from model.lighting.tasks import TASKS, TaskName, shielding

FOOT_CANDLE = 10.7639


def lamp(lumens: float, high: float) -> Strip:
    """A strip so short that it is a point, straight over the origin, mm."""
    return Strip((-0.5, 0, high), (0.5, 0, high), lumens * 1000)


@pytest.mark.parametrize(
    ("task", "lux"),
    [
        ("fine", 500),
        ("very fine", 750),
        ("precision", 1000),
        ("inspect", 1500),
        ("write", 500),
        ("draw", 750),
        ("colour", 1000),
        ("general", 300),
        ("store", 100),
    ],
)
def test_light_for_tasks(task: TaskName, lux: float) -> None:
    """EN 12464-1:2011, Table 5.

    Fine and very fine assembly, precision and gem work as lists of that standard have them; writing, drawing, general,
    colour and store from memory.
    """
    assert TASKS[task].lux == lux
    assert "EN 12464-1" in TASKS[task].source


def test_evenness_for_tasks() -> None:
    """EN 12464-1:2011: Uo 0.6 for writing, 0.7 for technical drawing (from memory)."""
    assert (TASKS["write"].uniformity, TASKS["draw"].uniformity) == (0.6, 0.7)


def test_light_for_precise_work_in_another_country() -> None:
    """JIS Z 9110-1979: extremely precise visual work 1500 to 3000 lx, precise 750 to 1500, ordinary 300 to 750."""
    assert 1500 <= TASKS["inspect"].lux <= 3000
    assert 750 <= TASKS["precision"].lux <= 1500
    assert 300 <= TASKS["write"].lux <= 750


@pytest.mark.parametrize(
    ("luminance", "degrees"), [(19_000, 0), (20_000, 15), (50_000, 20), (499_000, 20), (500_000, 30)]
)
def test_lamps_are_hidden(luminance: float, degrees: float) -> None:
    """EN 12464-1:2011, 4.5.2, Table 1 (from memory)."""
    assert shielding(luminance) == degrees


@pytest.mark.parametrize(("length", "expected"), [(1.0, 0.2), (2.0, 0.32), (5.0, 0.62), (10.0, 1.0)])
def test_cells_of_a_map(length: float, expected: float) -> None:
    """EN 12464-1:2011, 4.4: p = 0.2 x 5^(log10 d), and its Table A.1 (1 m 0.2, 5 m 0.6, 10 m 1; from memory)."""
    assert cell(length * 1000) / 1000 == pytest.approx(expected, abs=0.01)


def test_a_lambertian_lamp_half_a_metre_up() -> None:
    """IES Lighting Handbook: I0 = F / pi; 800 lm 0.5 m up give 1018.6 lx."""
    assert illuminance(lamp(800, 500), (0, 0, 0)) == pytest.approx(1018.6, abs=0.1)


def test_the_cosine_law_to_the_side() -> None:
    """IES Lighting Handbook, E = I cos / d^2: 1000 cd straight down give 250 lx 2 m below.

    2 m to the side as well, an even lamp gives 88.39 lx; a Lambertian one 1/sqrt 2 of that, 62.5.
    """
    thousand = lamp(1000 * math.pi, 2000)
    assert illuminance(thousand, (0, 0, 0)) == pytest.approx(250, rel=1e-6)
    assert illuminance(thousand, (0, 2000, 0)) == pytest.approx(88.39 / math.sqrt(2), abs=0.01)


def test_under_a_long_strip() -> None:
    """Line source (IES Lighting Handbook, line of light): F' / (2 h): 1500 lm/m 0.5 m up give 1500 lx."""
    assert illuminance(Strip((-5e5, 0, 500), (5e5, 0, 500), 1500), (0, 0, 0)) == pytest.approx(1500, rel=1e-5)


def test_a_foot_candle() -> None:
    """1 lm/ft2 is 10.7639 lx (NIST SP 811): 50 fc, the usual desk, are 538 lx, above EN 12464-1 for writing."""
    assert pytest.approx(1 / 0.3048**2, rel=1e-5) == FOOT_CANDLE
    assert TASKS["write"].lux < 50 * FOOT_CANDLE < 1.1 * TASKS["write"].lux


def test_light_is_kept_up() -> None:
    """A maintenance factor of 0.8 (common practice)."""
    assert LightNeeds().maintenance == 0.8


@pytest.mark.parametrize(
    ("number", "diameter"),
    [(-3, 0.46), (10, 0.1019), (12, 0.0808), (14, 0.0641), (18, 0.0403), (24, 0.0201), (36, 0.005)],
)
def test_gauges(number: int, diameter: float) -> None:
    """ASTM B258-02, Table 1, in inches: 4/0 is 0.4600, 36 is 0.0050."""
    assert wires.awg_diameter(number) / 25.4 == pytest.approx(diameter, abs=6e-5)


def test_one_gauge_to_the_next() -> None:
    """ASTM B258-02, 4: a ratio of 1.1229322."""
    assert wires.awg_diameter(17) / wires.awg_diameter(18) == pytest.approx(1.1229322, abs=1e-7)


@pytest.mark.parametrize(("number", "ohm"), [(18, 25.5), (16, 16.0), (14, 10.1), (12, 6.34)])
def test_resistance_at_75_c(number: int, ohm: float) -> None:
    """NFPA 70, chapter 9, Table 8, uncoated solid copper, ohm per km."""
    assert wires.resistance(wires.awg_area(number), 1000, 75) == pytest.approx(ohm, rel=5e-3)


@pytest.mark.parametrize(("number", "ohm"), [(24, 84.21), (22, 52.96), (20, 33.31), (18, 20.95), (16, 13.17)])
def test_resistance_at_20_c(number: int, ohm: float) -> None:
    """IEC 60028 (100 % IACS: 1.7241e-8 ohm m) on the gauges of ASTM B258, ohm per km."""
    assert wires.resistance(wires.awg_area(number), 1000) == pytest.approx(ohm, rel=5e-4)


def test_metric_wire() -> None:
    """IEC 60228, Table 1 (from memory): 1.5 mm2 no more than 12.1 ohm/km at 20 C, 0.75 mm2 24.5."""
    assert 0.9 * 12.1 < wires.resistance(1.5, 1000) <= 12.1
    assert 0.9 * 24.5 < wires.resistance(0.75, 1000) <= 24.5


def test_60_w_through_5_m() -> None:
    """V = 2 L R' I: 2.5 A at 24 V through 5 m of 18 AWG lose 0.5237 V, 2.18 %; half of that spread along it."""
    lost = wires.drop(2.5, 2 * wires.resistance(wires.awg_area(18), 5))
    assert lost == pytest.approx(0.5237, abs=1e-4)
    assert lost / 24 == pytest.approx(0.0218, abs=5e-5)
    assert wires.drop(2.5, 2 * wires.resistance(wires.awg_area(18), 5), along=True) == pytest.approx(0.2618, abs=1e-4)


def test_no_more_than_3_per_cent() -> None:
    """NFPA 70, 210.19(A), informational note (from memory)."""
    assert LightNeeds().drop == 3


def test_drivers_run_at_80_per_cent() -> None:
    """NFPA 70, 210.20(A), continuous loads (from memory): 3 m of 14.4 W/m, 43.2 W, take 54 W, so 60 W."""
    assert LOAD_SHARE == 0.8
    assert pytest.approx(54) == 3 * 14.4 / LOAD_SHARE


def test_class_2() -> None:
    """NFPA 70, chapter 9, Table 11(B): 100 VA up to 30 V, 5 A up to 20 V (5 A from memory)."""
    assert wires.class_2(24) / 24 == pytest.approx(4.167, abs=1e-3)
    assert wires.class_2(12) == 60


def test_five_metres_of_strip_from_one_end() -> None:
    """Common practice: a 24 V strip of 14.4 W/m is fed from one end up to 5 m; twice that loses far too much."""

    def lost(metres: float) -> float:
        return wires.drop(14.4 * metres / 24, wires.tracks(10) * metres, along=True) / 24

    assert 0.02 < lost(5) < 0.08
    assert lost(10) == pytest.approx(4 * lost(5))
    assert lost(10) > 0.15
