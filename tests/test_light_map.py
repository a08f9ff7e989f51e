"""The map of light under a strip, against numerical integration, the inverse square far away, and itself mirrored."""

import math
from pathlib import Path
from typing import Any

import pytest
from conftest import CONFIGS
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad

from model.build import Build, build
from model.checks.illumination import illumination, lit, luminance, shielded
from model.lighting.found import FoundLight, lights_of
from model.lighting.light_map import Strip, cell, illuminance, light_map
from model.plan import BuiltUnit

MM = st.floats(-2000, 2000)
STRIPS = st.builds(
    lambda x, y, a, length, lm: Strip((x, y, 900.0), (x + length * math.cos(a), y + length * math.sin(a), 900.0), lm),
    MM,
    MM,
    st.floats(0, 6.3),
    st.floats(50, 3000),
    st.floats(100, 3000),
)


def summed(strip: Strip, point: tuple[float, float, float]) -> float:
    """The same by quadrature of inverse squares: I = F'/pi cos a, E = I cos a / d^2, both angles from straight down."""
    (ax, ay, az), (bx, by, _) = strip.start, strip.end
    h = (az - point[2]) / 1000

    def each(s: float) -> float:
        dx, dy = (ax + s * (bx - ax) - point[0]) / 1000, (ay + s * (by - ay) - point[1]) / 1000
        d2 = dx * dx + dy * dy + h * h
        cosine = h / math.sqrt(d2)
        return strip.lumens_per_metre / math.pi * cosine * cosine / d2 * strip.length / 1000

    t = ((point[0] - ax) * (bx - ax) + (point[1] - ay) * (by - ay)) / strip.length**2
    return quad(each, 0, 1, points=[min(max(t, 0.0), 1.0)], epsabs=1e-10, epsrel=1e-10, limit=400)[0]


@given(STRIPS, MM, MM, st.floats(0, 800))
def test_the_closed_form_is_the_integral(strip: Strip, x: float, y: float, z: float) -> None:
    assert illuminance(strip, (x, y, z)) == pytest.approx(summed(strip, (x, y, z)), rel=1e-6, abs=1e-7)


@given(STRIPS, st.floats(0, 1))
def test_far_away_it_is_a_small_lamp(strip: Strip, turn: float) -> None:
    """50 lengths away: the inverse square law, I0 = F/pi straight down, E = I0 cos^2 / d^2."""
    a = turn * 2 * math.pi
    far, middle = 50 * strip.length, [(p + q) / 2 for p, q in zip(strip.start, strip.end, strict=True)]
    point = (middle[0] + far * math.cos(a), middle[1] + far * math.sin(a), 900 - far)
    d = far * math.sqrt(2) / 1000
    assert illuminance(strip, point) == pytest.approx(strip.lumens / math.pi / 2 / d**2, rel=1e-3)


def test_under_an_endless_strip() -> None:
    """F'/(2h): 1000 lm a metre, 1 m up, 500 lx."""
    assert illuminance(Strip((-1e6, 0, 1000), (1e6, 0, 1000), 1000), (0, 0, 0)) == pytest.approx(500, rel=1e-6)


@given(STRIPS, MM, MM, st.floats(1, 3))
def test_more_lumens_are_never_darker(strip: Strip, x: float, y: float, times: float) -> None:
    more = Strip(strip.start, strip.end, strip.lumens_per_metre * times)
    assert illuminance(more, (x, y, 0)) >= illuminance(strip, (x, y, 0)) * (1 - 1e-12)


@given(STRIPS, st.floats(0, 1), st.floats(0, 2000), st.floats(0.1, 500))
def test_farther_beside_is_never_brighter(strip: Strip, along: float, beside: float, more: float) -> None:
    """Straight away from any point of the strip, at a right angle to it."""
    (ax, ay, _), (bx, by, _) = strip.start, strip.end
    x, y = ax + along * (bx - ax), ay + along * (by - ay)
    nx, ny = (by - ay) / strip.length, (ax - bx) / strip.length
    near, far = ((x + nx * d, y + ny * d, 0.0) for d in (beside, beside + more))
    assert illuminance(strip, far) <= illuminance(strip, near) * (1 + 1e-12)


@given(STRIPS, MM, MM)
def test_a_longer_strip_never_takes_light_away(strip: Strip, x: float, y: float) -> None:
    longer = Strip(
        strip.start,
        tuple(a + 1.5 * (b - a) for a, b in zip(strip.start, strip.end, strict=True)),  # type: ignore[arg-type]
        strip.lumens_per_metre,
    )
    assert illuminance(longer, (x, y, 0)) >= illuminance(strip, (x, y, 0)) * (1 - 1e-9)


@given(st.floats(100, 1400), st.floats(50, 500), st.floats(100, 1500))
def test_a_strip_in_the_middle_gives_a_map_that_mirrors(length: float, y: float, high: float) -> None:
    strip = Strip((750 - length / 2, -y, high), (750 + length / 2, -y, high), 1000)
    seen = light_map([strip], (0, -600, 0), (1, 0), (0, 1), (1500, 600))
    for row in seen.lux:
        assert row == pytest.approx(row[::-1], rel=1e-9)
    assert seen.least <= seen.mean <= seen.most
    assert 0 < seen.uniformity <= 1


@given(STRIPS, st.floats(300, 3000), st.floats(300, 3000), st.floats(0, 6.3))
def test_the_map_does_not_mind_how_the_room_is_turned(strip: Strip, w: float, d: float, a: float) -> None:
    c, s = math.cos(a), math.sin(a)

    def turned(p: tuple[float, float, float]) -> tuple[float, float, float]:
        return (c * p[0] - s * p[1], s * p[0] + c * p[1], p[2])

    one = light_map([strip], (0, 0, 0), (1, 0), (0, 1), (w, d))
    other = light_map(
        [Strip(turned(strip.start), turned(strip.end), strip.lumens_per_metre)], (0, 0, 0), (c, s), (-s, c), (w, d)
    )
    assume(one.mean > 1e-6)
    assert other.values == pytest.approx(one.values, rel=1e-6, abs=1e-9)


def test_nothing_shines_up() -> None:
    strip = Strip((0, 0, 900), (1000, 0, 900), 1000)
    assert illuminance(strip, (500, 0, 900)) == 0
    assert illuminance(strip, (500, 0, 1000)) == 0


def test_a_mean_over_everything_is_the_flux() -> None:
    """Over a plane wide enough all the lumens arrive: mean times area is what the strip gives."""
    strip = Strip((-100, 0, 200), (100, 0, 200), 1000)
    size = 12_000.0
    step, total = 50.0, 0.0
    n = int(size / step)
    for i in range(n):
        for j in range(n):
            point = (-size / 2 + (i + 0.5) * step, -size / 2 + (j + 0.5) * step, 0.0)
            total += illuminance(strip, point) * (step / 1000) ** 2
    assert total == pytest.approx(strip.lumens, rel=5e-3)
    assert cell(1000) == pytest.approx(200)


def lamp(built: Build) -> tuple[BuiltUnit, FoundLight]:
    return next((u, light) for u in built.plan.units for light in lights_of(u, built.stock))


def test_the_demo_is_lit_as_its_parts_say(herbarium: Build) -> None:
    """21 segments of 62.5 mm, 1500 lm a metre, less what cover and dust take: each point once more by quadrature."""
    unit, light = lamp(herbarium)
    found = lit(herbarium, unit, light)
    assert found
    assert found.strip.lumens == pytest.approx(1500 * light.length / 1000 * 0.8 * 0.8)
    assert light.length % 62.5 == 0
    rows, columns = len(found.seen.lux), len(found.seen.lux[0])
    field = found.field
    wall = herbarium.walls[0]
    for j, i in ((0, 0), (rows - 1, columns // 2), (rows // 2, columns - 1)):
        x = field.lo[0] + (i + 0.5) * field.size[0] / columns
        y = field.lo[1] + (j + 0.5) * field.size[1] / rows
        point = wall.frame.apply((x, y, field.hi[2]))
        assert found.seen.lux[j][i] == pytest.approx(summed(found.strip, point), rel=1e-6)
    assert field.hi[2] == pytest.approx(900)
    (said,) = illumination(herbarium)
    assert said.value == pytest.approx(found.seen.mean, abs=0.05)
    assert f"{found.seen.mean:.0f} lx on average" in said.message


def herbarium_with(tmp_path: Path, text: str = "", **changes: tuple[str, str]) -> Build:
    import shutil

    shutil.copytree(CONFIGS, tmp_path / "configs", ignore=shutil.ignore_patterns("schema", "trains", "guest-study"))
    for name, (old, new) in changes.items():
        path = tmp_path / "configs" / {"stock": "stock/birch-metric.yaml", "shelf": "units/connecting.yaml"}[name]
        body = path.read_text(encoding="utf-8")
        assert old in body
        path.write_text(body.replace(old, new), encoding="utf-8")
    project = tmp_path / "configs" / "herbarium" / "project.yaml"
    project.write_text(project.read_text(encoding="utf-8") + text, encoding="utf-8")
    return build(project)


@pytest.mark.parametrize(
    ("comfort", "severity", "limit"),
    [
        ({"task": "write"}, "note", 500),
        ({"task": "draw"}, "warning", 750),
        ({"lux": 600}, "note", 600),
        ({"lux": 620}, "warning", 620),
    ],
)
def test_the_task_says_how_much_is_enough(tmp_path: Path, comfort: dict[str, Any], severity: str, limit: float) -> None:
    (said,) = illumination(herbarium_with(tmp_path, f"\ncomfort: {{light: {comfort}}}\n".replace("'", "")))
    assert (said.severity, said.limit) == (severity, limit)


def test_a_strip_of_unknown_lumens_is_told(tmp_path: Path) -> None:
    (said,) = illumination(herbarium_with(tmp_path, stock=("lumens_per_metre: 1500, ", "")))
    assert (said.severity, said.value) == ("note", None)
    assert "does not say how many lumens" in said.message


def test_one_looks_into_a_bare_strip_without_a_facing(tmp_path: Path, herbarium: Build) -> None:
    """1500 lm/m from 10 mm: 1500 / 0.010 / pi = 47 746 cd/m2, to be hidden 15 degrees under the level."""
    unit, light = lamp(herbarium)
    assert luminance(light, 0.8, 10) == pytest.approx(1500 * 0.8 / 0.010 / math.pi)
    assert shielded(herbarium, unit, light) > 15
    assert not any("glare" in f.message for f in illumination(herbarium))
    bare = herbarium_with(tmp_path, shelf=("facing: {at: front}", "facing: null"))
    assert shielded(bare, *lamp(bare)) == 0
    (said,) = illumination(bare)
    assert "glare" in said.message
