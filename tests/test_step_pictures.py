"""Pictures of the steps of an assembly, and the marks set round them."""

import itertools
import struct
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from exporters.pictures.callouts import crossing, placed
from exporters.pictures.dims import overlap
from exporters.pictures.offscreen import Floats
from exporters.pictures.steps import ARROW, TRIM, Step, Studio, off_arrows, step_picture
from model.build import Build
from model.build import build as build_project
from model.errors import ProjectError
from model.shapes import Vec

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def herbarium() -> Build:
    return build_project(ROOT / "configs" / "herbarium" / "project.yaml")


def step(build: Build, unit: int, *roles: str) -> list[str]:
    return [p.path for p in build.plan.units[unit].parts if p.role in roles]


def decoded(data: bytes, folder: Path) -> Floats:
    """A PNG as VTK reads it."""
    from vtkmodules.vtkIOImage import vtkPNGReader

    path = folder / "step.png"
    path.write_bytes(data)
    reader = vtkPNGReader()
    reader.SetFileName(str(path))
    reader.Update()
    image = reader.GetOutput()
    width, height, _ = image.GetDimensions()
    scalars: Any = image.GetPointData().GetScalars()
    pixels = np.frombuffer(scalars, np.uint8).reshape(height, width, -1)[::-1]
    return pixels.astype(np.float32) / np.float32(255)


def test_new_parts_are_strong_and_old_ones_pale(herbarium: Build, tmp_path: Path) -> None:
    build = herbarium
    sides, bottom = step(build, 0, "side"), step(build, 0, "bottom")
    ways: dict[str, Vec] = {p: ((1.0, 0.0, 0.0) if "left" in p else (-1.0, 0.0, 0.0)) for p in sides}
    data = step_picture(build, sides, bottom, ways, 150.0)
    assert struct.unpack(">II", data[16:24]) == (900, 600)
    shown = decoded(data, tmp_path)
    saturated = shown.max(axis=2) - shown.min(axis=2)
    assert (saturated > 0.25).mean() > 0.15  # sides
    pale = (saturated > 0.02) & (saturated < 0.15) & (shown.min(axis=2) > 0.6)
    assert pale.mean() > 0.05  # bottom
    arrows = np.abs(shown - np.array(ARROW, np.float32)).max(axis=2) < 0.05
    assert arrows.sum() > 400
    without = decoded(step_picture(build, sides, bottom, {}, 150.0), tmp_path)
    assert (np.abs(without - np.array(ARROW, np.float32)).max(axis=2) < 0.05).sum() == 0


def test_steps_are_the_same_in_one_studio_and_in_their_own(herbarium: Build) -> None:
    build = herbarium
    first = (step(build, 0, "side"), step(build, 0, "bottom"), {}, 100.0)
    back: dict[str, Vec] = dict.fromkeys(step(build, 0, "back"), (0.0, -1.0, 0.0))
    second = (list(back), step(build, 0, "side", "bottom"), back, 200.0)
    with Studio(build) as studio:
        drawn = [step_picture(build, *s, studio=studio) for s in (first, second, first)]
    assert drawn[0] == drawn[2] == step_picture(build, *first)
    assert drawn[1] == step_picture(build, *second)
    assert drawn[0] != drawn[1]


def test_steps_that_cannot_be_drawn(herbarium: Build) -> None:
    with pytest.raises(ProjectError, match="no part 'press base/nothing'"):
        step_picture(herbarium, ["press base/nothing"], [], {}, 100.0)
    with pytest.raises(ProjectError, match="without a part"):
        step_picture(herbarium, [], [], {}, 100.0)


@pytest.mark.parametrize("seed", range(20))
def test_marks_and_their_lines_keep_clear_of_each_other(seed: int) -> None:
    many = np.random.default_rng(seed)
    size = (900, 600)
    places = [(float(x), float(y)) for x, y in many.uniform((150, 20), (750, 580), (3 + 2 * seed, 2))]
    words = [(f"{i} x B{i}-{seed:02d}", at) for i, at in enumerate(places)]
    found, _ = placed(words, size, 17)
    assert sorted(c.text for c in found) == sorted(t for t, _ in words)
    for a, b in itertools.combinations(found, 2):
        assert not overlap(a.low, a.high, b.low, b.high, 0.0)
        if (a.low[0] < 450) == (b.low[0] < 450):
            assert not crossing(a.start, a.at, b.start, b.at)
    for c in found:
        assert min(*c.low, size[0] - c.high[0], size[1] - c.high[1]) >= 0


def test_a_trimmed_picture_has_nothing_but_white_above_and_below(herbarium: Build, tmp_path: Path) -> None:
    drawer = [p.path for p in herbarium.plan.units[0].parts if p.path.startswith("press base/drawer 1/")]
    with Studio(herbarium, (300, 200)) as whole, Studio(herbarium, (300, 200), trimmed=True) as trimmed:
        full = decoded(whole.picture(drawer, [], {}, 0.0), tmp_path)
        cut = decoded(trimmed.picture(drawer, [], {}, 0.0), tmp_path)
    assert full.shape == (200, 300, 3)
    assert cut.shape[0] < 190
    assert cut.shape[1] == 300
    inked = np.flatnonzero((full < 1).any(axis=(1, 2)))
    top = inked[0] - TRIM
    assert np.array_equal(cut, full[max(top, 0) : inked[-1] + 1 + TRIM])


def test_what_is_called_by_a_name_has_one_mark(herbarium: Build) -> None:
    parts = [p for p in herbarium.plan.units[0].parts if "build-out" in p.path]
    shown = Step(herbarium, parts, [], {}, 0.0, {}, {})
    mark = herbarium.plan.marks[parts[0].part]
    assert [word for word, _ in shown.kinds] == [f"12 \N{MULTIPLICATION SIGN} {mark}"]
    named = Step(herbarium, parts, [], {}, 0.0, {p.path: "strips" for p in parts}, {})
    assert [(word, len(pieces)) for word, pieces in named.kinds] == [("strips", 12)]


def test_marks_point_beside_arrows() -> None:
    """By hand: a place 3 above and 4 behind the end of an arrow along x is 5 off it (3-4-5)."""
    places = np.array(((50.0, 3.0), (104.0, 3.0), (-6.0, 8.0)))
    assert off_arrows(places, [np.array(((0.0, 0.0), (100.0, 0.0)))]) == pytest.approx((3.0, 5.0, 10.0))
    assert off_arrows(places, []) == pytest.approx((np.inf,) * 3)
