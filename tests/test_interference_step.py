"""`interference.step` read again by the kernel's own reader: what is in it, how it is named, how large, and where."""

import math
from dataclasses import replace
from pathlib import Path

import pytest
from broken_builds import BAR, POST, broken_herbarium, pushed_trains
from conftest import plan_of
from test_step import Leaf, Read

from exporters import interference_step
from exporters.outputs import write_all
from exporters.spots import FIRST, SECOND, SHARED, spot_of
from model.build import Build
from model.checks.interference import interference_of
from model.findings import Finding
from model.part import Part, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Box
from model.solids import located


@pytest.fixture(scope="module")
def broken(herbarium: Build) -> Build:
    return broken_herbarium(herbarium)


@pytest.fixture(scope="module")
def pushed(trains: Build) -> Build:
    return pushed_trains(trains)


@pytest.fixture(scope="module")
def files(broken: Build, tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    return interference_step.write(broken, tmp_path_factory.mktemp("interference"))


@pytest.fixture(scope="module")
def found(broken: Build) -> tuple[Finding, ...]:
    findings = interference_of(broken.plan)
    assert {f.code for f in findings} == {"overlap", "blocked", "loose", "adrift"}
    return findings


def corners(leaf: Leaf) -> Box:
    box = leaf.shape.BoundingBox(tolerance=1e-4)
    return Box((box.xmin, box.ymin, box.zmin), (box.xmax, box.ymax, box.zmax))


def grouped(read: Read) -> dict[str, list[Leaf]]:
    groups: dict[str, list[Leaf]] = {}
    for leaf in read.leaves:
        assert len(leaf.names) == 2
        groups.setdefault(leaf.names[0], []).append(leaf)
    return groups


def agrees(built: Build, path: Path) -> None:
    """Every finding has its group: its parts at their places, and the overlap as large as the finding says."""
    findings = interference_of(built.plan)
    read = Read(path)
    assert read.root == built.plan.title
    groups = grouped(read)
    assert list(groups) == [f"{i:02d} {f.code}" for i, f in enumerate(findings, start=1)]
    for (name, leaves), finding in zip(groups.items(), findings, strict=True):
        details = dict(finding.details)
        parts, rest = leaves[: len(finding.parts)], leaves[len(finding.parts) :]
        assert [leaf.names[1] for leaf in parts] == list(finding.parts)
        for leaf, placed, colour in zip(parts, spot_of(built.plan, finding).parts, (FIRST, SECOND), strict=False):
            assert leaf.product == built.plan.marks[placed.part]
            assert leaf.colour == pytest.approx(colour, abs=1e-6)
            assert leaf.shape.Volume() == pytest.approx(located(placed).Volume(), rel=1e-6)
            assert (leaf.shape.Center() - located(placed).Center()).Length < 1e-3
        if finding.code in ("loose", "adrift"):
            assert rest == []
            continue
        (overlap,) = rest
        assert overlap.names[1] == f"overlap {name[:2]}: {' x '.join(finding.parts)}"
        assert overlap.product == overlap.names[1]
        assert overlap.colour == pytest.approx(SHARED, abs=1e-6)
        assert overlap.shape.isValid()
        assert overlap.shape.Volume() == pytest.approx(details["volume_mm3"], rel=1e-3)
        box = corners(overlap)
        assert finding.at is not None
        assert all(lo - 0.1 <= at <= hi + 0.1 for lo, at, hi in zip(box.lo, finding.at, box.hi, strict=True))


def test_every_finding_has_its_parts_and_its_overlap(broken: Build, files: list[Path], found) -> None:
    (path,) = files
    assert path.name == "interference.step"
    agrees(broken, path)


def test_a_project_in_inches_is_written_in_millimetres(pushed: Build, tmp_path: Path) -> None:
    (path,) = interference_step.write(pushed, tmp_path)
    agrees(pushed, path)
    text = path.read_text(encoding="ascii")
    assert "SI_UNIT(.MILLI.,.METRE.)" in text
    assert "CONVERSION_BASED_UNIT" not in text


def test_what_moves_stands_where_it_runs_deepest(broken: Build, files: list[Path], found) -> None:
    """A drawer's front met by a bar 100 mm before it, and a door by a post: where each stands by its own motion."""
    groups = grouped(Read(files[0]))
    plan = broken.plan
    front = next(f for f in found if f.parts == ("paper base/drawer 1/front", BAR))
    leaf = groups[f"{found.index(front) + 1:02d} blocked"][0]
    travel = dict(front.details)["position_mm"]
    assert travel > 100
    rest = located(plan.by_path[front.parts[0]]).Center()
    assert leaf.shape.Center().toTuple() == pytest.approx((rest.x, rest.y - travel, rest.z), abs=2e-3)
    door = next(f for f in found if f.parts == ("jar base/left door/door", POST))
    leaf = groups[f"{found.index(door) + 1:02d} blocked"][0]
    hinge = next(m for m in plan.motions if m.name == "jar base/left door").origin
    rest = located(plan.by_path[door.parts[0]]).Center()
    before = math.atan2(rest.y - hinge[1], rest.x - hinge[0])
    after = math.atan2(leaf.shape.Center().y - hinge[1], leaf.shape.Center().x - hinge[0])
    assert math.degrees(before - after) == pytest.approx(dict(door.details)["position_deg"], abs=2e-3)


def test_a_swing_against_the_hand_of_its_axis_goes_the_same_way(broken: Build, found) -> None:
    """The right door turns the other way round: its spot lies before the wall too."""
    door = next(f for f in found if f.parts == ("jar base/right door/door", POST))
    spot = spot_of(broken.plan, door)
    assert door.parts[0] in spot.moved
    assert spot.parts[0].bounds().lo[1] < broken.plan.by_path[door.parts[0]].bounds().lo[1] - 100
    assert spot.parts[1] == broken.plan.by_path[POST]


def test_nothing_is_written_for_a_sound_plan_and_the_old_file_goes(
    broken: Build, herbarium: Build, tmp_path: Path
) -> None:
    assert interference_step.write(herbarium, tmp_path) == []
    assert list(tmp_path.iterdir()) == []
    said: list[str] = []
    assert write_all(broken, tmp_path, ["collisions"], said.append) == [tmp_path / "interference.step"]
    assert write_all(herbarium, tmp_path, ["collisions"], said.append) == []
    assert not (tmp_path / "interference.step").exists()


def test_a_part_that_lies_whole_in_another_is_its_own_overlap(herbarium: Build, tmp_path: Path) -> None:
    """A block of 20 x 30 x 40 mm inside of one of 100 x 100 x 100: 24000 mm^3."""
    sizes = {"large": ((100.0, 100.0, 100.0), (0.0, 0.0, 0.0)), "small": ((20.0, 30.0, 40.0), (11.0, 22.0, 33.0))}
    parts = tuple(
        PlacedPart(
            name, Part(kind="sheet", material="birch 18", length=x, width=y, thickness=z), Placement(at), "block"
        )
        for name, ((x, y, z), at) in sizes.items()
    )
    built = replace(herbarium, plan=plan_of(BuiltUnit("case", "C1", "base", parts)))
    (path,) = interference_step.write(built, tmp_path)
    agrees(built, path)
    overlap = grouped(Read(path))["01 overlap"][-1]
    assert overlap.shape.Volume() == pytest.approx(24000, rel=1e-9)
    assert corners(overlap).lo == pytest.approx((11, 22, 33), abs=2e-4)


def test_equal_plans_give_equal_bytes(broken: Build, files: list[Path], tmp_path: Path) -> None:
    (again,) = interference_step.write(broken, tmp_path)
    assert again.read_bytes() == files[0].read_bytes()
