"""Close-ups: where the camera looks, what is drawn in which colour, the words, and machines that cannot draw."""

import math
import struct
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from broken_builds import BAR, broken_herbarium, pushed_trains
from conftest import plan_of

from exporters import closeups, registry
from exporters.closeups import Closeups, closeup, pictured
from exporters.outputs import write_all
from exporters.pictures import lettering, offscreen
from exporters.pictures.closeup_view import looking, nearest, on_picture, shown
from exporters.pictures.closeup_words import CAPTION, measures, where
from exporters.pictures.offscreen import quiet_driver
from exporters.spots import FIRST, SECOND, SHARED, numbered, spot_of
from model.build import Build
from model.checks.interference import interference_of
from model.collision.pairs import Pose, gap
from model.errors import ExportError
from model.findings import Finding
from model.lengths import show_length
from model.part import Part, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit, Plan


@pytest.fixture(scope="module")
def broken(herbarium: Build) -> Build:
    return broken_herbarium(herbarium)


@pytest.fixture(scope="module")
def pushed(trains: Build) -> Build:
    return pushed_trains(trains)


def block(path: str, size: tuple[float, float, float], at: Placement) -> PlacedPart:
    part = Part(kind="sheet", material="birch 18", length=size[0], width=size[1], thickness=size[2])
    return PlacedPart(path, part, at, "panel")


def first(built: Build, code: str, path: str = "") -> Finding:
    return next(f for f in interference_of(built.plan) if f.code == code and path in f.parts[0])


def note(code: str, **more: Any) -> Finding:
    return Finding(code=code, severity="note", message="as it is", **more)


def tinted(picture: np.ndarray, colour: tuple[float, float, float]) -> np.ndarray:
    """Where a picture has the hue of a colour: its channels in nearly the same proportions."""
    flat = picture / np.maximum(np.linalg.norm(picture, axis=2, keepdims=True), 1e-6)
    return (flat @ (np.array(colour) / np.linalg.norm(colour)) > 0.985) & (np.ptp(picture, axis=2) > 0.2)


# Places


def test_the_camera_has_the_target_in_the_middle_and_the_right_scale() -> None:
    """By the rule of the pinhole: a point `half` mm above the target, square to the line of sight, is on the edge."""
    target, half, turn, rise = (300.0, -200.0, 700.0), 80.0, 0.6, 0.3
    eye = looking(target, half, turn, rise, 1.5)
    (middle,) = on_picture(eye, np.array([target]), (600, 400))
    assert middle.tolist() == pytest.approx([300, 200])
    up = (-math.sin(turn) * math.sin(rise), math.cos(turn) * math.sin(rise), math.cos(rise))
    (edge,) = on_picture(eye, np.array([[t + half * u for t, u in zip(target, up, strict=True)]]), (600, 400))
    assert edge.tolist() == pytest.approx([300, 0], abs=1e-6)
    right = (math.cos(turn), math.sin(turn), 0.0)
    (side,) = on_picture(eye, np.array([[t + 1.5 * half * r for t, r in zip(target, right, strict=True)]]), (600, 400))
    assert side.tolist() == pytest.approx([600, 200], abs=1e-6)


@pytest.mark.parametrize(
    ("at", "distance"),
    [
        (Placement((0.0, 0.0, 24.0)), 4.0),  # one above the other
        (Placement((103.0, 54.0, 0.0)), 5.0),  # corner to corner, 3 and 4 mm off
        (Placement((102.0, 53.0, 26.0)), 7.0),  # in all three directions: 2, 3 and 6
        (Placement.turned("z", math.radians(45), (100 + 10 + 50 * math.sqrt(0.5), 0.0, 0.0)), 10.0),  # edge to face
    ],
)
def test_the_nearest_points_are_as_far_apart_as_geometry_says(at: Placement, distance: float) -> None:
    a, b = block("a", (100.0, 50.0, 20.0), Placement()), block("b", (100.0, 50.0, 20.0), at)
    ends = nearest(a, b)
    assert np.linalg.norm(ends[1] - ends[0]) == pytest.approx(distance, abs=1e-3)
    back = nearest(b, a)
    assert np.linalg.norm(back[1] - back[0]) == pytest.approx(distance, abs=1e-3)
    low, high = a.bounds().lo, a.bounds().hi
    assert all(lo - 1e-6 <= c <= hi + 1e-6 for lo, c, hi in zip(low, ends[0], high, strict=True))


def test_the_nearest_points_of_turned_parts_agree_with_the_mesh_library() -> None:
    a = block("a", (120.0, 60.0, 18.0), Placement.turned("x", 0.3, (5.0, 6.0, 7.0)))
    for i in range(12):
        turn = Placement.turned("z", 0.5 * i).compose(Placement.turned("y", 0.7 * i))
        b = block("b", (90.0, 40.0, 12.0), Placement((150.0, 20.0 * i - 100.0, 60.0)).compose(turn))
        relative = a.placement.inverse().compose(b.placement)
        pose = Pose(a.part, b.part, np.array(relative.rotation), np.array(relative.origin))
        ends = nearest(a, b)
        assert np.linalg.norm(ends[1] - ends[0]) == pytest.approx(gap(pose, 1e4), abs=0.01)


def test_what_the_view_holds(broken: Build) -> None:
    """The overlap lies where the finding says; the gap is as wide as said; the door is also shown at rest."""
    overlap = first(broken, "overlap")
    scene = shown(broken, overlap, spot_of(broken.plan, overlap))
    corners = scene.shared[0].points
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
    assert middle == pytest.approx(overlap.at, abs=0.1)
    assert scene.target == pytest.approx(overlap.at, abs=0.1)
    assert np.ptp(corners, axis=0).max() < 4 * scene.half  # all of it is in the view
    assert scene.rest == []
    loose = first(broken, "loose")
    scene = shown(broken, loose, spot_of(broken.plan, loose))
    assert scene.gap is not None
    assert np.linalg.norm(scene.gap[1] - scene.gap[0]) == pytest.approx(4.0, abs=0.01)
    assert scene.shared == []
    door = first(broken, "blocked", "left door")
    scene = shown(broken, door, spot_of(broken.plan, door))
    rest = broken.plan.by_path[door.parts[0]].bounds()
    assert scene.rest[0].points.min(axis=0) == pytest.approx(rest.lo, abs=1e-6)
    assert scene.first[0].points.min(axis=0)[1] < rest.lo[1] - 100


# Words


def test_measures_are_in_the_unit_of_the_project(broken: Build, pushed: Build) -> None:
    front = first(broken, "blocked", "drawer 1/front")
    parts = broken.plan.by_path
    gap = parts[front.parts[0]].bounds().lo[1] - parts[BAR].bounds().hi[1]
    assert gap > 90
    assert measures(front, "mm")[0] == f"free {show_length(gap, 'mm')} of 550 mm"
    assert measures(front, "in")[0] == f"free {show_length(gap, 'in')} of 21 21/32 in"
    door = first(broken, "blocked", "left door")
    assert measures(door, "mm")[0] == measures(door, "in")[0] == f"free {door.value:g}° of {door.limit:g}°"
    assert measures(first(broken, "loose"), "mm") == ["4.00 mm apart"]
    assert measures(first(pushed, "loose"), "in") == ["0.197 in apart"]
    assert measures(first(pushed, "overlap"), "in")[1] == "0.197 in deep"  # 5 mm
    assert measures(first(broken, "adrift"), "mm") == ["touches nothing"]
    other = Finding(code="tight", severity="fault", message="", value=0.8, limit=1.5, unit="mm")
    assert measures(other, "mm") == ["0.8 mm", "limit 1.5 mm"]


def test_where_it_is_along_the_wall_and_above_the_floor(broken: Build, pushed: Build) -> None:
    assert where(broken, first(broken, "overlap"), (1000.0, -250.0, 700.0)) == (
        "At north, 1000 mm from its left end, 250 mm off it, 700 mm above the floor"
    )
    finding = first(pushed, "overlap")
    wall = next(w for w in pushed.walls if w.name == pushed.stands_at["left seat"])
    at = wall.frame.apply((254.0, -25.4, 508.0))
    assert where(pushed, finding, at) == f"At {wall.name}, 10 in from its left end, 1 in off it, 20 in above the floor"


def test_letters_stand_on_one_line_and_signs_are_signs() -> None:
    heights = {lettering.letters(text, 19).shape[0] for text in ("acemno", "gjpqy", "ÄÖÜ³°", "$x^2$|_")}
    assert len(heights) == 1
    feet = [int(np.nonzero(lettering.letters(text, 19).any(axis=1))[0].max()) for text in ("acemno", "E", "ÄÖÜ³°")]
    assert len(set(feet)) == 1
    assert lettering.width_of("$x^2$", 19) > lettering.width_of("x2", 19)
    assert lettering.width_of("two\nlines", 19) == lettering.width_of("two lines", 19)
    assert lettering.letters("", 19).shape[1] == 0


def test_long_texts_are_broken_to_fit_and_nothing_is_lost() -> None:
    text = "a base with a long name/drawer 2/slide, left, drawer member and " + "w" * 80
    lines = lettering.wrapped(text, 19, 300)
    assert len(lines) > 2
    assert all(lettering.width_of(line, 19) <= 300 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


# Pictures


@pytest.fixture(scope="module", autouse=True)
def quick() -> Iterator[None]:
    """Small pictures of one layer."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(closeups, "VIEW", (600, 380))
        patch.setattr(closeups, "INSET", (200, 134))
        patch.setattr(closeups, "LAYERS", ((0.0, 0.0),))
        yield


@pytest.fixture(scope="module")
def book(broken: Build) -> Closeups:
    return Closeups(broken)


def test_a_picture_shows_the_pair_and_what_it_shares_where_it_is(book: Closeups, tmp_path: Path) -> None:
    finding = first(book.build, "blocked", "drawer 1/front")
    with quiet_driver():
        picture = book.picture(finding, "07")
    assert picture.shape == (closeups.VIEW[1] + CAPTION, closeups.VIEW[0], 3)
    view = picture[: closeups.VIEW[1]]
    assert tinted(view, FIRST).mean() > 0.02
    red = tinted(view, SHARED)
    red[-closeups.INSET[1] - 20 :, -closeups.INSET[0] - 20 :] = False  # the ring in the small picture
    assert red.mean() > 0.005
    y, x = np.nonzero(red)
    assert (np.median(x), np.median(y)) == pytest.approx((closeups.VIEW[0] / 2, closeups.VIEW[1] / 2), abs=40)
    small = view[-closeups.INSET[1] - 16 : -16, -closeups.INSET[0] - 16 : -16]
    assert tinted(small, FIRST).any()
    assert tinted(small, SHARED).sum() > 50
    assert np.ptp(picture[closeups.VIEW[1] + 8 :]) > 0.8  # the caption is written


def test_the_file_and_the_same_bytes_again(broken: Build, tmp_path: Path) -> None:
    finding = first(broken, "adrift")
    one, two = closeup(broken, finding, tmp_path / "a" / "one.png"), closeup(broken, finding, tmp_path / "two.png")
    data = one.read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"  # PNG specification (ISO/IEC 15948), 5.2; then width and height, 11.2.2
    assert struct.unpack(">II", data[16:24]) == (closeups.VIEW[0], closeups.VIEW[1] + CAPTION)
    assert two.read_bytes() == data


def test_what_stands_before_the_pair_is_taken_off(herbarium: Build) -> None:
    """A block shut in a box on all sides is drawn as if the box were not there, but for the ghost of it."""
    inner = block("inner", (60.0, 60.0, 60.0), Placement((70.0, 70.0, 70.0)))
    walls = [
        block(f"wall {i}", size, Placement(at))
        for i, (size, at) in enumerate(
            [
                ((200.0, 200.0, 10.0), (0.0, 0.0, 0.0)),
                ((200.0, 200.0, 10.0), (0.0, 0.0, 190.0)),
                ((10.0, 200.0, 180.0), (0.0, 0.0, 10.0)),
                ((10.0, 200.0, 180.0), (190.0, 0.0, 10.0)),
                ((180.0, 10.0, 180.0), (10.0, 0.0, 10.0)),
                ((180.0, 10.0, 180.0), (10.0, 190.0, 10.0)),
            ]
        )
    ]
    plan = plan_of(BuiltUnit("case", "C1", "base", (inner, *walls)))
    built = replace_plan(herbarium, plan)
    finding = Finding(
        code="adrift", severity="fault", message="in the air", parts=("case/inner",), at=(100.0, 100.0, 100.0)
    )
    with quiet_driver():
        picture = Closeups(built).picture(finding)
    view = picture[: closeups.VIEW[1], : closeups.VIEW[0] - closeups.INSET[0] - 20]
    assert tinted(view, FIRST).mean() > 0.05


def replace_plan(built: Build, plan: Plan) -> Build:
    return replace(built, plan=plan, stands_at={u.name: "north" for u in plan.units})


def test_any_finding_with_a_place_or_parts_is_drawn_and_others_are_refused(book: Closeups, tmp_path: Path) -> None:
    with quiet_driver():
        place = book.picture(note("clear-floor", at=(1500.0, -900.0, 0.0)))
        several = book.picture(note("order", parts=tuple(p.path for p in list(book.build.plan.walk())[:4])))
    assert tinted(place[: closeups.VIEW[1]], SHARED).any()
    assert tinted(several[: closeups.VIEW[1]], SECOND).any()
    with pytest.raises(ExportError, match="no part and no place"):
        book.draw(note("way-in"), tmp_path / "x.png")


# The exporter


def test_files_are_numbered_as_in_the_report_and_limited(
    broken: Build,
    herbarium: Build,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(closeups, "MOST", 2)
    drawn: list[str] = []

    def draw(self: Closeups, finding: Finding, path: Path, number: str = "") -> None:
        drawn.append(number)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"")

    monkeypatch.setattr(Closeups, "draw", draw)
    findings = pictured(broken)
    assert findings[: len(interference_of(broken.plan))] == interference_of(broken.plan)
    assert {"too-tight"} <= {f.code for f in findings}
    names = [f"interference/{n}-{f.code}.png" for n, f in list(numbered(findings))[:2]]
    written = write_all(broken, tmp_path, ["closeups"], lambda _: None)
    assert [p.relative_to(tmp_path).as_posix() for p in written] == names
    assert names[0] == "interference/01-overlap.png"
    assert drawn == ["01", "02"]
    assert f"first 2 of {len(findings)}" in capsys.readouterr().err
    assert write_all(herbarium, tmp_path, ["closeups"], lambda _: None) == []
    assert not (tmp_path / "interference").exists()


def test_without_graphics_the_rest_is_still_written(
    broken: Build,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def refuse(_: str) -> None:
        raise ExportError(offscreen.NO_GRAPHICS)

    monkeypatch.setattr(offscreen, "_check_driver", refuse)
    written = write_all(broken, tmp_path, ["interference", "closeups"], lambda _: None)
    assert [p.name for p in written] == ["interference.json"]
    said = capsys.readouterr().err.splitlines()
    assert len(said) == 1
    assert "no OpenGL" in said[0]


def test_it_is_registered() -> None:
    assert registry.EXPORTERS["closeups"].module == "exporters.closeups"
