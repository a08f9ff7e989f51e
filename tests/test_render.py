"""Pictures: the camera, opening and light against closed forms; the file by its own header."""

import math
import os
import struct
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from exporters.pictures import offscreen
from exporters.pictures.arranged import parts_by_colour
from exporters.pictures.light import Light, from_room, linear, lit
from exporters.pictures.offscreen import Eye, Lamp, quiet_driver
from exporters.pictures.render import Quality, picture, render
from exporters.pictures.room_scene import surfaces
from exporters.pictures.scene import (
    MARGIN,
    Batch,
    axes,
    camera,
    drawn,
    fanned,
    posed,
    spread,
)
from model.build import RoomWall
from model.build import build as build_project
from model.config.tree import read
from model.cuts import Bore
from model.errors import ExportError, ProjectError
from model.materials import Materials
from model.meshes import sides
from model.part import Motion, Part, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.room.ceiling import Ceiling
from model.room.room import Wall
from model.shapes import Cylinder
from model.site import Site
from model.stock.tables import Stock
from model.units.wall_bed import WallBedOptions
from model.units.wall_bed import build as wall_bed

ROOT = Path(__file__).parent.parent
QUICK = Quality(layers=1, around=32, key=1, room_map=256, key_map=256)
SMALL = (240, 160)
RED = (0.8, 0.2, 0.2)
STOCK = Stock.model_validate(
    {
        "sheets": {
            name: {"thickness": 18, "sizes": [{"length": 2500, "width": 1250}], "density": 680, "colour": colour}
            for name, colour in (("red", "#cc3333"), ("blue", "#3333cc"))
        }
    }
)


def panel(material: str, length: float = 600.0, width: float = 400.0, *cuts: Bore) -> Part:
    return Part(kind="sheet", material=material, length=length, width=width, thickness=18, cuts=cuts)


def upright(x: float, z: float, y: float = -18.0) -> Placement:
    """A panel standing with face A toward the room, its length level."""
    return Placement((x, y + 18.0, z), ((1.0, 0.0, 0.0), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0)))


def build() -> Any:
    """Invented: two panels on a wall, one that slides out and carries one that swings."""
    unit = BuiltUnit(
        "left",
        "B1",
        "base",
        (
            PlacedPart("back", panel("red"), upright(0, 100), "back"),
            PlacedPart("front", panel("blue"), upright(0, 500, -300), "front"),
        ),
        motions=(
            Motion("drawer", "slide", ("back", "front"), (0.0, -1.0, 0.0), 400.0),
            Motion("flap", "swing", ("front",), (0.0, 0.0, 1.0), math.pi / 2, (0.0, -300.0, 0.0)),
        ),
    )
    other = BuiltUnit("right", "B2", "base", (PlacedPart("side", panel("red"), upright(1400, 0), "side"),))
    plan = Plan("invented", (unit.placed(Placement()), other.placed(Placement())))
    walls = (RoomWall("north", Wall.model_validate({"width": 2200.0, "outlets": [{"x": 900, "z": 300}]}), Placement()),)
    return SimpleNamespace(
        plan=plan,
        stock=STOCK,
        walls=walls,
        ceiling=2400.0,
        overhead=Ceiling(2400.0),
        stands_at={"left": "north", "right": "north"},
    )


def colours(pixels: Any) -> int:
    return len(np.unique(pixels.reshape(-1, 3), axis=0))


def test_picture_has_its_size_and_is_not_blank(tmp_path: Path) -> None:
    path = render(build(), tmp_path / "new" / "wall.png", size=SMALL, quality=QUICK)
    data = path.read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"  # PNG specification (ISO/IEC 15948), 5.2
    assert struct.unpack(">II", data[16:24]) == SMALL  # 11.2.2: width and height begin IHDR
    assert [p.name for p in path.parent.iterdir()] == ["wall.png"]
    seen = picture(build(), size=SMALL, quality=QUICK)
    assert seen.shape == (SMALL[1], SMALL[0], 3)
    assert colours(seen) > 200
    red = (seen[..., 0].astype(int) - seen[..., 2]) > 60
    blue = (seen[..., 2].astype(int) - seen[..., 0]) > 60
    assert min(red.sum(), blue.sum()) > 500


def test_same_bytes_from_another_process_and_nothing_on_stderr(tmp_path: Path) -> None:
    here = render(build(), tmp_path / "here.png", size=SMALL, quality=QUICK).read_bytes()
    code = (
        "import sys; from pathlib import Path; from tests.test_render import *;"
        "render(build(), Path(sys.argv[1]), size=SMALL, quality=QUICK);"
        "sys.exit(any(m in sys.modules for m in ('OCP', 'cadquery')))"
    )
    there = tmp_path / "there.png"
    env = {**os.environ, "PYTHONHASHSEED": "5"}
    done = subprocess.run([sys.executable, "-c", code, str(there)], cwd=ROOT, env=env, capture_output=True, check=False)
    assert (done.returncode, done.stderr) == (0, b"")
    assert there.read_bytes() == here


@pytest.mark.parametrize("extra", [{"VTK_DEFAULT_OPENGL_WINDOW": "vtkOSOpenGLRenderWindow"}, {"DISPLAY": ""}])
def test_without_graphics_a_clear_error_and_no_crash(tmp_path: Path, extra: dict[str, str]) -> None:
    """No driver is found where EGL is told to look in an empty folder; with OSMesa installed the picture is drawn."""
    code = (
        "import sys; from pathlib import Path; from tests.test_render import *\n"
        "try: render(build(), Path(sys.argv[1]), size=SMALL, quality=QUICK)\n"
        "except ExportError as error: print(error); sys.exit(3)"
    )
    env = {**os.environ, "__EGL_VENDOR_LIBRARY_DIRS": str(tmp_path), **extra}
    out = tmp_path / "wall.png"
    done = subprocess.run([sys.executable, "-c", code, str(out)], cwd=ROOT, env=env, capture_output=True, check=False)
    assert done.stderr == b""
    if done.returncode == 3:
        assert b"no OpenGL" in done.stdout
        assert not out.exists()
    else:
        assert done.returncode == 0
        assert out.stat().st_size > 1000


def test_missing_mesa_is_seen_before_the_driver_is_called(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> None:
        raise OSError(name)

    monkeypatch.setattr(offscreen.ctypes, "CDLL", missing)
    offscreen._check_driver("vtkEGLRenderWindow")
    with pytest.raises(ExportError, match="libEGL"):
        offscreen._check_driver("vtkOSOpenGLRenderWindow")


def test_a_picture_that_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(ExportError, match=r"file/wall\.png"):
        render(build(), tmp_path / "file" / "wall.png", size=(64, 48), quality=QUICK)


@pytest.mark.parametrize("size", [(8, 100), (100, 9000), (6000, 6000)])
def test_sizes_out_of_bounds(size: tuple[int, int]) -> None:
    with pytest.raises(ProjectError, match="pixels"):
        picture(build(), size=size)


@pytest.mark.parametrize("view", ["wall", "left", "right", "front", "above"])
@pytest.mark.parametrize("aspect", [0.6, 1.5, 3.0])
def test_camera_frames_everything_and_no_more(view: Any, aspect: float) -> None:
    plan = build()
    points = np.concatenate([b.points for b in parts_by_colour(plan)])
    eye = camera(plan, view, points, aspect)
    seen = (points - np.array(eye.at)) @ axes(eye).T
    flat = (seen[:, :2] / seen[:, 2:] - eye.middle) / eye.half
    assert seen[:, 2].min() > 0
    assert np.abs(flat).max() == pytest.approx(1 / MARGIN, abs=2e-3)
    assert eye.half[0] / eye.half[1] == pytest.approx(aspect)
    if view != "above":
        assert eye.forward[2] == 0  # a level camera keeps uprights upright
        assert eye.at[2] == 1600


def test_the_camera_stands_where_it_sees_the_walls() -> None:
    plan = build()
    points = np.concatenate([b.points for b in parts_by_colour(plan)])
    assert camera(plan, "wall", points, 1.5).at[0] > 2010  # from the right where either side would do
    right_wall = Placement.turned("z", -math.pi / 2, (2010.0, 0.0, 0.0))
    plan.walls += (RoomWall("east", Wall(width=3000.0), right_wall),)
    assert camera(plan, "wall", points, 1.5).at[0] < 1000  # from the left where a wall stands to the right


def test_the_driver_sees_things_where_they_are() -> None:
    """What faces the camera lies in a few known planes: wall, outlet, panels standing at it, and one before it."""
    plan = build()
    batches = parts_by_colour(plan)
    points = np.concatenate([b.points for b in batches])
    eye = camera(plan, "front", points, 1.5)
    with quiet_driver(), closing(Eye(batches, surfaces(plan, points.min(axis=0), points.max(axis=0)), SMALL)) as window:
        seen = window.see(eye, (0.25, -0.25))
    ahead = seen.normals[1] < -0.99
    planes = np.array([0.0, -8.0, -18.0, -300.0])[:, None]
    assert np.abs(seen.points[1, ahead] - planes).min(axis=0).max() < 0.1
    blue = (seen.colours @ np.array([-1.0, 0.0, 1.0]) > 0.5) & ahead
    assert blue.sum() > 300
    assert seen.points[0, blue].min() > -0.5
    assert seen.points[0, blue].max() < 600.5
    assert seen.points[2, blue].min() > 499.5
    assert seen.points[2, blue].max() < 900.5


def test_opening_slides_and_swings() -> None:
    plan = build().plan
    moved = posed(plan, {"left/drawer": 0.5})
    assert moved["left/back"].apply((1.0, 2.0, 3.0)) == (1.0, -198.0, 3.0)
    swung = posed(plan, {"left/flap": 1.0})
    assert set(swung) == {"left/front"}
    # a quarter turn about the upright through (0, -300): (x, y) goes to (-(y + 300), x - 300)
    assert swung["left/front"].apply((600.0, -300.0, 7.0)) == pytest.approx((0.0, 300.0, 7.0))
    assert posed(plan) == posed(plan, 0) == {}


def test_what_rides_on_another_opens_first() -> None:
    both = posed(build().plan, {"left/drawer", "left/flap"})
    assert both["left/front"].apply((600.0, -300.0, 7.0)) == pytest.approx((0.0, 300.0 - 400.0, 7.0))


@pytest.mark.parametrize("opening", [1.5, -0.1, float("nan"), {"left/drawer": 2.0}, {"no such": 0.5}, {"other"}])
def test_openings_that_cannot_be(opening: Any) -> None:
    with pytest.raises(ProjectError):
        posed(build().plan, opening)


def test_the_lower_stands_open_farther() -> None:
    shares = fanned(build().plan)
    assert set(shares) == {"left/drawer", "left/flap"}
    assert all(0 < share <= 1 for share in shares.values())
    unit = BuiltUnit(
        "u",
        "B1",
        "base",
        tuple(PlacedPart(f"p{z}", panel("red"), upright(0, z), "front") for z in (0, 400, 800)),
        motions=tuple(Motion(f"m{z}", "slide", (f"p{z}",), (0.0, -1.0, 0.0), 300.0) for z in (0, 400, 800)),
    )
    shares = fanned(Plan("invented", (unit.placed(Placement()),)))
    assert shares["u/m0"] > shares["u/m400"] > shares["u/m800"] > 0


def test_units_apart_keep_their_floor() -> None:
    moves = spread(build().plan, 0.5)
    assert moves["left"].origin[0] < 0 < moves["right"].origin[0]
    assert moves["right"].origin[2] == 0
    assert moves["left"].origin[2] == 50  # it begins 100 mm up
    assert spread(build().plan, 0.0) == {}


def test_hidden_roles_are_left_out() -> None:
    (left,) = parts_by_colour(build(), hidden={"front"})
    assert left.colour == pytest.approx(RED)
    with pytest.raises(ProjectError, match="nothing to draw"):
        parts_by_colour(build(), hidden={"front", "back", "side"})


def test_edges_and_normals_of_a_bored_panel() -> None:
    piece = drawn(panel("red", 600.0, 400.0, Bore(face="A", u=100, v=100, diameter=20)))
    assert len(piece.edges) == 12 + 2 * sides(10.0)  # of a box, and of both mouths of a bore through it
    assert np.linalg.norm(piece.normals, axis=1) == pytest.approx(1.0)
    wall = np.abs(piece.normals[:, 2]) < 0.5
    inside = wall & (np.hypot(piece.points[:, 0] - 100, piece.points[:, 1] - 100) < 10.5)
    middle = (100.0, 100.0) - piece.points[inside, :2]
    smooth = np.sum(piece.normals[inside, :2] * middle / np.linalg.norm(middle, axis=1, keepdims=True), axis=1)
    assert inside.sum() > 100
    assert smooth.min() > 0.9999  # toward the axis of the bore; of a facet alone it would be cos(pi / 24) = 0.9914


def test_linear_light() -> None:
    """IEC 61966-2-1: sRGB 0.5 is linear 0.21404, 0.04045 is 0.0031308."""
    assert linear(np.array([0.0, 0.04045, 0.5, 1.0], np.float32)) == pytest.approx([0, 0.0031308, 0.21404, 1], abs=1e-5)


def even_sky(count: int) -> list[Light]:
    """As bright in every direction, so that an open face is lit by 1."""
    return [Light(light.toward, np.full(3, 4 / count, np.float32)) for light in from_room(count)]


@pytest.mark.parametrize("height", [250.0, 500.0, 1000.0])
def test_shade_under_a_disc(height: float) -> None:
    """A disc of radius r at height h above a point keeps r^2 / (r^2 + h^2) of an even sky from it.

    The view factor from a small face to a coaxial parallel disc (textbooks of heat transfer; from memory).
    """
    radius = 500.0
    disc = Part(
        kind="hardware",
        material="red",
        length=1000,
        width=1000,
        thickness=5,
        body=(Cylinder((500.0, 500.0, 0.0), (0.0, 0.0, 1.0), radius, 5.0),),
    )
    piece = drawn(disc)
    batch = Batch(RED, piece.points, piece.normals, piece.triangles, piece.edges, piece.shade)
    points = np.array([[500.0, 500.0], [500.0, 500.0], [-height, 5.0]], np.float32)
    up = np.array([[0.0, 0.0], [0.0, 0.0], [1.0, 1.0]], np.float32)
    with quiet_driver(), closing(Lamp([batch], 512)) as lamp:
        reached, above = lit(points, up, even_sky(600), lamp).T
    assert reached == pytest.approx(1 - radius**2 / (radius**2 + height**2), abs=0.02)
    assert above == pytest.approx(1.0, abs=0.01)  # nothing above it, and it does not shade itself


def lowest(plan: Plan, moves: dict[str, Placement], paths: tuple[str, ...]) -> float:
    return min(plan.by_path[path].moved(moves[path]).bounds().lo[2] for path in paths)


def test_an_opened_bed_stands_on_its_leg_board() -> None:
    plan = build_project(ROOT / "configs" / "guest-study" / "project.yaml").plan
    (bed,) = (m for m in plan.motions if m.name == "guest bed/bed")
    moves = posed(plan, {"guest bed/bed": 1.0})
    assert set(moves) == set(bed.parts)
    legs = tuple(path for path in bed.parts if plan.by_path[path].role == "leg board")
    assert lowest(plan, moves, legs) == pytest.approx(0.0, abs=0.05)
    assert lowest(plan, moves, tuple(set(bed.parts) - set(legs))) > 100
    mattress = plan.by_path["guest bed/bed/mattress"]
    lying = mattress.moved(moves[mattress.path]).bounds()
    assert lying.hi[2] - lying.lo[2] == pytest.approx(mattress.part.thickness)
    assert fanned(plan)["guest bed/bed"] == 1.0  # shown in use, not hanging half way


def test_a_fanned_bed_stands_on_its_folding_legs(stocks: dict[str, tuple[Stock, Materials]]) -> None:
    """What turns down about a level axis opens all the way, and legs unfold before the bed they ride on comes down."""
    options = read(ROOT / "configs" / "units" / "wall-bed-sideways.yaml", WallBedOptions).value
    stock, materials = stocks["in"]
    site = Site("bed", "W1", 2070.0, None, stock, options.materials.over(materials).filled())
    plan = Plan("invented", (wall_bed(options, site).placed(Placement()),))
    legs = [m.parts for m in plan.motions if m.name != "bed/bed"]
    assert len(legs) == 2
    moves = posed(plan, fanned(plan))
    for parts in legs:
        assert lowest(plan, moves, parts) == pytest.approx(0.0, abs=0.05)
