"""The low-voltage side of lights: sizes and losses by formula, against sums done another way."""

import math
from pathlib import Path

import pytest
from conftest import CONFIGS
from hypothesis import given
from hypothesis import strategies as st
from test_light_map import herbarium_with, lamp

from model.build import Build
from model.checks.wiring import feed, lead_of, wiring
from model.lighting import wires


@given(st.integers(-3, 36))
def test_six_gauges_halve_the_wire(number: int) -> None:
    """Six numbers are a ratio of 92^(6/39) = 2.0050: half the diameter, a quarter of the section (ASTM B258)."""
    assert wires.awg_diameter(number - 6) / wires.awg_diameter(number) == pytest.approx(92 ** (6 / 39))
    assert wires.awg_area(number) == pytest.approx(math.pi * (wires.awg_diameter(number) / 2) ** 2)


@given(st.floats(0.1, 10), st.floats(0.1, 3), st.integers(1, 400))
def test_a_load_along_the_run_loses_half(amperes: float, ohm: float, n: int) -> None:
    """Against n equal pieces, each carrying what is still drawn beyond its middle."""
    lost = sum(amperes * (1 - (i + 0.5) / n) * ohm / n for i in range(n))
    assert wires.drop(amperes, ohm, along=True) == pytest.approx(lost)
    assert wires.drop(amperes, ohm) == pytest.approx(2 * lost)


@given(st.floats(0.1, 15), st.floats(0.1, 20), st.floats(0.01, 3))
def test_the_smallest_wire_does_and_the_next_does_not(amperes: float, length: float, volts: float) -> None:
    areas = wires.METRIC_SIZES

    def does(area: float) -> bool:
        return amperes <= wires.DENSITY * area and 2 * 1.7241e-8 * length / (area * 1e-6) * amperes <= volts

    found = wires.smallest(areas, amperes, length, volts)
    if found is None:
        assert not any(does(a) for a in areas)
    else:
        assert does(areas[found])
        assert not any(does(a) for a in areas[:found])


def test_the_demo_s_light_is_fed(herbarium: Build) -> None:
    """18.9 W at 24 V; 30 W of driver at 80 % are 24 W."""
    _, light = lamp(herbarium)
    fed = feed(herbarium, light)
    watts = 14.4 * light.length / 1000
    assert fed.amperes == pytest.approx(watts / 24)
    assert fed.in_lead == pytest.approx(2 * lead_of(herbarium, light) / 1000 * 0.017241 / fed.area * fed.amperes)
    (said,) = wiring(herbarium)
    at = light.driver.bounds().center if light.driver else (0, 0, 0)
    ways = [sum(abs(a - b) for a, b in zip(at, end, strict=True)) for end in light.ends]
    assert lead_of(herbarium, light) == pytest.approx(min(ways) + 300, abs=0.01)
    assert max(ways) > min(ways) + 500
    assert said.severity == "note"
    assert said.value == pytest.approx(100 * (fed.in_lead + fed.along) / 24, abs=0.01)
    assert "licensed electrician" in said.message
    assert f"{watts / 0.8:.1f} W are needed" in said.message


def test_a_long_lead_takes_a_thicker_wire_or_none_does(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    far = herbarium_with(tmp_path / "a", "\ncomfort: {light: {lead: 15 m}}\n")
    (said,) = wiring(far)
    assert dict(said.details)["lead_mm"] == 15_000
    assert dict(said.details)["wire_mm2"] > 0.5
    assert said.value is not None
    assert said.value <= 3
    (tmp_path / "b").mkdir()
    (said,) = wiring(herbarium_with(tmp_path / "b", "\ncomfort: {light: {lead: 90 m, drop: 1}}\n"))
    assert said.severity == "warning"
    assert "no wire up to" in said.message


def test_a_strong_strip_without_a_profile_is_too_hot(tmp_path: Path) -> None:
    (said,) = wiring(herbarium_with(tmp_path, shelf=("  profile: channel 17x8\n", "")))
    assert said.severity == "warning"
    assert "aluminium profile" in said.message


def test_inch_projects_name_gauges(tmp_path: Path) -> None:
    text = (CONFIGS / "herbarium" / "project.yaml").read_text(encoding="utf-8")
    assert "lengths: mm" in text
    built = herbarium_with(tmp_path)
    path = tmp_path / "configs" / "herbarium" / "project.yaml"
    from model.build import build

    path.write_text(
        text.replace("lengths: mm\n", "lengths: in\n")
        .replace("width: 620", "width: 620 mm")
        .replace("min: 900", "min: 900 mm")
        .replace("min: 500, max: 760", "min: 500 mm, max: 760 mm")
        .replace("width: 820", "width: 820 mm")
        .replace("{left: 10, right: 10}", "{left: 10 mm, right: 10 mm}")
        .replace("height: 900\n", "height: 900 mm\n")
        .replace("{front: 30, left: 10 mm, right: 10 mm}", "{front: 30 mm, left: 10 mm, right: 10 mm}")
        .replace("height: 35}", "height: 35 mm}")
        .replace("height: 80}", "height: 80 mm}")
        .replace("x: 1900", "x: 1900 mm")
        .replace("height: 1180", "height: 1180 mm")
        .replace("at: 480", "at: 480 mm"),
        encoding="utf-8",
    )
    (said,) = wiring(build(path))
    assert "AWG" in said.message
    assert dict(said.details)["amperes"] == dict(next(iter(wiring(built))).details)["amperes"]
