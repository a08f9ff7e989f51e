"""Pictures of one unit, of parts moved apart, cut open and with sizes."""

import itertools
import subprocess
import sys
from pathlib import Path

import manifold3d as m3
import numpy as np
import pytest

from exporters.pictures.arranged import Wish, arranged
from exporters.pictures.cutaway import FACES, Cut, Plane, halves, plane_of, read_cut, what_is_left
from exporters.pictures.dims import Drawn, Size, laid_out, main_sizes, overlap
from exporters.pictures.explode import SUNK, Exploded, explode
from exporters.pictures.render import Quality, picture, png, render
from exporters.pictures.scene import Opening, View, camera
from exporters.pictures.viewpoints import wall_of
from model.build import Build
from model.build import build as build_project
from model.errors import ProjectError
from model.lengths import parse_length
from model.meshes import placed_mesh
from model.placement import Placement
from model.shapes import Box

ROOT = Path(__file__).parent.parent
DEMOS = ("herbarium", "trains", "guest-study")
QUICK = Quality(layers=1, around=16, key=1, room_map=128, key_map=128)
SMALL = (300, 220)


@pytest.fixture(scope="module")
def demos() -> dict[str, Build]:
    return {name: build_project(ROOT / "configs" / name / "project.yaml") for name in DEMOS}


def local(build: Build, unit: str) -> dict[str, Box]:
    """The boxes of the parts of a unit in the frame of its wall."""
    back = wall_of(build, unit).frame.inverse()
    return {p.path: p.moved(back).bounds() for p in build.plan.walk() if p.path.split("/")[0] == unit}


def moved(build: Build, unit: str, exploded: Exploded) -> dict[str, Box]:
    turn = wall_of(build, unit).frame.inverse().turn
    return {path: Placement(turn(exploded.moves[path])).box(box) for path, box in local(build, unit).items()}


def shared(a: Box, b: Box) -> float:
    common = a.common(b)
    return common.volume if common else 0.0


# Parts moved apart


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("share", [0.3, 1.0])
def test_parts_moved_apart_share_no_more_than_at_rest(demos: dict[str, Build], name: str, share: float) -> None:
    build = demos[name]
    exploded = explode(build, share)
    for unit in build.plan.units:
        rest, now = local(build, unit.name), moved(build, unit.name, exploded)
        for a, b in itertools.combinations(rest, 2):
            assert shared(now[a], now[b]) <= shared(rest[a], rest[b]) + 1.0, (a, b)


@pytest.mark.parametrize("name", DEMOS)
def test_joined_parts_stand_apart_in_the_order_they_were_in(demos: dict[str, Build], name: str) -> None:
    """Along the axis a joint is made in, parts of one body keep their order and end up clear of each other."""
    build = demos[name]
    exploded = explode(build, 1.0)
    riding = {p for m in build.plan.motions for p in m.parts}
    seen = 0
    for unit in build.plan.units:
        rest, now = local(build, unit.name), moved(build, unit.name, exploded)
        for joint in unit.joints:
            a, b = joint.a, joint.b
            if {a, b} & riding:
                continue
            sunk = [min(rest[a].hi[i], rest[b].hi[i]) - max(rest[a].lo[i], rest[b].lo[i]) for i in range(3)]
            thin = [min(rest[a].size[i], rest[b].size[i]) for i in range(3)]
            axis = int(np.argmin(np.array(sunk) / thin))
            if sunk[axis] > SUNK * thin[axis]:
                continue  # one lies inside the other's box
            first, second = (a, b) if rest[a].center[axis] < rest[b].center[axis] else (b, a)
            assert now[first].hi[axis] < now[second].lo[axis] - 5, (joint, axis)
            seen += 1
    assert seen > 100


@pytest.mark.parametrize("name", DEMOS)
def test_exploded_units_stand_clear_of_each_other(demos: dict[str, Build], name: str) -> None:
    build = demos[name]
    exploded = explode(build, 1.0)
    hulls: dict[str, Box] = {}
    for unit in build.plan.units:
        boxes = [Placement(exploded.moves[p.path]).box(p.bounds()) for p in unit.parts]
        low, high = np.min([b.lo for b in boxes], axis=0).tolist(), np.max([b.hi for b in boxes], axis=0).tolist()
        hulls[unit.name] = Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))
    for a, b in itertools.combinations(hulls, 2):
        assert hulls[a].common(hulls[b]) is None, (a, b)
    for line in exploded.leaders:  # each ties parts of one unit
        low, high = line.min(axis=0), line.max(axis=0)
        assert any(np.all(low > np.array(b.lo) - 2) and np.all(high < np.array(b.hi) + 2) for b in hulls.values())
    assert min(b.lo[2] for b in hulls.values()) == pytest.approx(0.0, abs=0.01)  # nothing sinks into the floor


def test_drawers_come_out_along_their_slides(demos: dict[str, Build]) -> None:
    build = demos["herbarium"]
    exploded = explode(build, 1.0, ["press base"])
    front = max(-exploded.moves[p.path][1] for p in build.plan.units[0].parts if p.role == "side")
    for motion in build.plan.units[0].motions:
        sides = [p for p in motion.parts if p.endswith("bottom")]
        assert sides
        assert all(-exploded.moves[p][1] > front + 500 for p in sides)


def test_leaders_run_between_parts_that_were_joined(demos: dict[str, Build]) -> None:
    build = demos["herbarium"]
    exploded = explode(build, 1.0, ["jar base"])
    assert len(exploded.leaders) > 20
    lengths = np.linalg.norm(exploded.leaders[:, 1] - exploded.leaders[:, 0], axis=1)
    assert lengths.min() >= 1.0
    still = explode(build, 0.0)
    assert len(still.leaders) == 0
    assert set(still.moves.values()) == {(0.0, 0.0, 0.0)}


# Cut away


@pytest.mark.parametrize("side", ["left", "right", "front", "top"])
def test_halves_close_and_add_up(demos: dict[str, Build], side: str) -> None:
    build = demos["herbarium"]
    parts = [p for p in build.plan.walk() if p.path.startswith("jar base/")]
    low, high = np.min([p.bounds().lo for p in parts], axis=0), np.max([p.bounds().hi for p in parts], axis=0)
    plane = plane_of(read_cut(side, "mm"), Placement(), Box(tuple(low.tolist()), tuple(high.tolist())), "mm")
    through = 0
    for part in parts:
        whole = placed_mesh(part)
        left, off = halves(whole, plane)
        assert left.volume() + off.volume() == pytest.approx(whole.volume(), rel=1e-6)
        own, face = what_is_left(part, part.placement, plane)
        if face is None:
            continue
        assert own is not None
        through += 1
        corners = face.points[face.triangles]
        areas = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) / 2
        assert areas @ np.array(plane.normal) == pytest.approx(np.linalg.norm(areas, axis=1), rel=1e-6)
        # the divergence theorem: the volume under a closed surface is a third of the sum over its faces
        every = np.concatenate([own.points[own.triangles], corners])
        origin = every.reshape(-1, 3).mean(axis=0)
        a, b, c = (every[:, i] - origin for i in range(3))
        assert np.sum(np.cross(a, b) * c) / 6 == pytest.approx(left.volume(), rel=1e-6)
    assert through >= 4


def test_a_cut_box_shows_its_section() -> None:
    """A cube of 100 mm cut at 40 has a face of 100 x 100 there and keeps 60 of 100."""
    left, off = halves(m3.Manifold.cube((100, 100, 100)), Plane((-1.0, 0.0, 0.0), -40.0))
    assert left.volume() == pytest.approx(600_000)
    assert off.volume() == pytest.approx(400_000)


def test_cut_faces_have_their_own_colours(demos: dict[str, Build]) -> None:
    scene = arranged(demos["herbarium"], wish=Wish(unit="press base", cut=Cut("left", 300.0)))
    colours = {b.colour for b in scene.batches}
    assert {FACES["sheet"], FACES["board"]} <= colours
    assert scene.points[:, 0].min() == pytest.approx(10 + 300, abs=0.01)
    hatched = next(b for b in scene.batches if b.colour == FACES["sheet"])
    assert len(hatched.edges) > 50


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("behind", "no side: write left, right, front or top"),
        ("left:wide", "--cut:"),
        ("left:-3", "more than 0 and less than 620 mm"),
        ("left:900", "more than 0 and less than 620 mm"),
    ],
)
def test_cuts_that_cannot_be(demos: dict[str, Build], text: str, said: str) -> None:
    with pytest.raises(ProjectError, match=said) as caught:
        arranged(demos["herbarium"], wish=Wish(unit="press base", cut=read_cut(text, "mm")))
    assert len(caught.value.lines) == 1


def test_a_cut_is_read_in_the_units_of_the_project() -> None:
    assert read_cut("top:12 1/2", "in") == Cut("top", 317.5)
    assert read_cut("left", "mm") == Cut("left", None)


# Sizes


def sized(build: Build, unit: str | None, view: View, size: tuple[int, int]) -> list[Drawn]:
    scene = arranged(build, wish=Wish(unit=unit))
    aspect = size[0] / size[1]
    eye = camera(build, view, scene.points, aspect, scene.straight)
    sizes: list[Size] = []
    for _ in range(2):
        sizes = main_sizes(build, scene.parts, eye, unit, size)
        ends = np.array([p for s in sizes for p in s.line]).reshape(-1, 3)
        eye = camera(build, view, np.concatenate([scene.points, ends]), aspect, scene.straight)
    return laid_out(sizes, eye, size, build.plan.lengths)


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("size", [(1800, 1100), (900, 700), (600, 900)])
def test_words_of_sizes_lie_in_the_picture_and_never_on_one_another(
    demos: dict[str, Build], name: str, size: tuple[int, int]
) -> None:
    build = demos[name]
    alone = [u.name for u in build.plan.units] if size == (900, 700) else []
    for unit in (None, *alone):
        drawn = sized(build, unit, "wall" if unit is None else (30.0, 18.0), size)
        assert drawn
        for a, b in itertools.combinations(drawn, 2):
            assert not overlap(a.low, a.high, b.low, b.high, 0.0), (unit, a.text, b.text)
        for each in drawn:
            assert min(*each.low, size[0] - each.high[0], size[1] - each.high[1]) >= 0, (unit, each.text)


@pytest.mark.parametrize("name", DEMOS)
def test_sizes_are_those_of_the_model(demos: dict[str, Build], name: str) -> None:
    build = demos[name]
    mark = 0.06 if build.plan.lengths == "mm" else 25.4 / 64 + 0.001
    for unit in build.plan.units:
        back = wall_of(build, unit.name).frame.inverse()
        made = [p for p in unit.parts if p.part.kind in ("sheet", "board")]
        boxes = [p.moved(back).bounds() for p in made]
        low, high = np.min([b.lo for b in boxes], axis=0), np.max([b.hi for b in boxes], axis=0)
        drawn = {d.size.name: d for d in sized(build, unit.name, (30.0, 18.0), (900, 700))}
        for each, expected in zip(("width", "depth", "height"), (high - low).tolist(), strict=False):
            axis = ("width", "depth", "height").index(each)
            found = drawn[f"overall {each}"]
            assert found.size.length == pytest.approx(float((high - low)[axis]), abs=0.01), expected
            assert parse_length(found.text, build.plan.lengths) == pytest.approx(found.size.length, abs=mark)


def test_chains_of_widths_add_up(demos: dict[str, Build]) -> None:
    sizes = [d.size for d in sized(demos["herbarium"], None, "wall", (1800, 1100))]
    widths = [s.length for s in sizes if s.name == "width"]
    (overall,) = [s.length for s in sizes if s.name == "overall width"]
    assert sum(widths) == pytest.approx(overall, abs=0.01)
    assert {620.0, 1440.0, 720.0, 820.0} <= {round(w, 1) for w in widths}  # as configs/herbarium gives them
    heights = [s.length for s in sizes if s.name == "height"]
    (tall,) = [s.length for s in sizes if s.name == "overall height"]
    assert sum(heights) == pytest.approx(tall, abs=0.01)


def test_depth_is_left_out_straight_on(demos: dict[str, Build]) -> None:
    names = {d.size.name for d in sized(demos["herbarium"], "press base", "front", (900, 700))}
    assert names >= {"overall width", "overall height"}
    assert "overall depth" not in names


# The picture


def test_an_unknown_unit_is_one_line_with_a_hint(demos: dict[str, Build], tmp_path: Path) -> None:
    with pytest.raises(ProjectError, match="'pres base'; did you mean press base\\?") as caught:
        render(demos["herbarium"], tmp_path / "no.png", wish=Wish(unit="pres base"))
    assert len(caught.value.lines) == 1
    with pytest.raises(ProjectError, match="there is press base, drawing place"):
        arranged(demos["herbarium"], wish=Wish(unit="zzz"))
    assert not (tmp_path / "no.png").exists()


@pytest.mark.parametrize(
    ("opening", "wish", "said"),
    [
        (0.5, Wish(explode=1.0), "leave out --open"),
        (0.0, Wish(explode=1.0, dims=True), "leave out --explode"),
        (0.0, Wish(explode=9.0), "0 to 3"),
    ],
)
def test_wishes_that_do_not_go_together(demos: dict[str, Build], opening: Opening, wish: Wish, said: str) -> None:
    with pytest.raises(ProjectError, match=said):
        arranged(demos["herbarium"], opening, wish=wish)


def test_one_unit_alone_stands_on_the_floor(demos: dict[str, Build]) -> None:
    build = demos["herbarium"]
    scene = arranged(build, wish=Wish(unit="book upper"))
    assert {p.path.split("/")[0] for p in scene.parts} == {"book upper"}
    assert scene.points[:, 2].min() == pytest.approx(0.0, abs=0.01)
    assert not scene.walls


WISHES = (
    Wish(unit="press base", explode=1.0),
    Wish(unit="press base", cut=Cut("left")),
    Wish(unit="press base", dims=True),
    Wish(unit="press base", explode=1.0, transparent=True),
)


@pytest.mark.parametrize("wish", WISHES)
def test_the_same_picture_twice(demos: dict[str, Build], wish: Wish) -> None:
    once, again = (picture(demos["herbarium"], size=SMALL, quality=QUICK, wish=wish) for _ in range(2))
    assert png(once) == png(again)
    assert once.shape == (SMALL[1], SMALL[0], 4 if wish.transparent else 3)
    assert len(np.unique(once.reshape(-1, once.shape[2]), axis=0)) > 200


def test_a_transparent_background_has_no_floor(demos: dict[str, Build]) -> None:
    shown = picture(demos["herbarium"], size=SMALL, quality=QUICK, wish=Wish(unit="press base", transparent=True))
    alpha = shown[..., 3]
    assert alpha[0].max() == alpha[:, 0].max() == alpha[-1].max() == 0
    assert 0.2 < (alpha == 255).mean() < 0.8
    data = png(shown)
    assert data[25] == 6  # PNG specification (ISO/IEC 15948), 11.2.2: colour type 6 is truecolour with alpha


@pytest.mark.parametrize(
    ("extra", "said"),
    [
        (["--unit", "pres base"], "did you mean press base?"),
        (["--view", "sideways"], "--view: 'sideways' is no view"),
        (["--view", "10,95"], "rise by -80 to 80"),
        (["--open", "wide"], "--open: 'wide' is no share"),
    ],
)
def test_what_the_command_refuses(tmp_path: Path, extra: list[str], said: str) -> None:
    out = tmp_path / "wall.png"
    code = "from exporters.cli import main; main()"
    command = [sys.executable, "-c", code, "render", "configs/herbarium/project.yaml", "--out", str(out), *extra]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert said in done.stderr
    assert done.stderr.count("\n") == 1
    assert not out.exists()
