"""The binary STL file read by another library (trimesh), and byte by byte."""

import io
import struct
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import trimesh

from exporters import stl
from model.errors import ExportError
from model.part import PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.solids import solid
from tests.small_plan import BOTTOM, BUILD, PINS, PLAN, VOLUMES, blank

ROOT = Path(__file__).parent.parent


def export(out: Path, plan: Plan = PLAN) -> bytes:
    (path,) = stl.write(cast(Any, SimpleNamespace(plan=plan, stock=BUILD.stock)), out)
    assert path == out / "model.stl"
    return path.read_bytes()


def records(content: bytes) -> tuple[np.ndarray, np.ndarray]:
    """Normals (n x 3) and corners (n x 3 x 3) by the layout of the format: little-endian, 50 bytes a triangle."""
    (count,) = struct.unpack_from("<I", content, 80)
    values = np.array([struct.unpack_from("<12f", content, 84 + 50 * i) for i in range(count)])
    return values[:, :3], values[:, 3:].reshape(-1, 3, 3)


@pytest.fixture(scope="module")
def content(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    return export(tmp_path_factory.mktemp("stl"))


def apart(gap: float = 1000.0) -> Plan:
    """The parts of the small plan drawn so far apart that no two share a corner."""
    parts = tuple(p.moved(Placement((gap * i, 0, 0)), str(i)) for i, p in enumerate(PLAN.walk()))
    return Plan("apart", (BuiltUnit("all", "A", "base", parts),))


def test_layout_of_the_file(content: bytes):
    """An 80-byte header that does not begin with `solid`, a 32-bit count, 50 bytes a triangle (common practice)."""
    (count,) = struct.unpack_from("<I", content, 80)
    assert len(content) == 84 + 50 * count
    assert not content[:80].strip().lower().startswith(b"solid")
    assert content[:80].isascii()
    assert all(content[84 + 50 * i + 48 : 84 + 50 * i + 50] == b"\0\0" for i in range(count))


def test_a_plain_panel_is_twelve_triangles(tmp_path: Path):
    plan = Plan(
        "box",
        (BuiltUnit("u", "U", "base", (PlacedPart("u/p", blank("birch 18", (600, 300, 18)), Placement(), "side"),)),),
    )
    content = export(tmp_path, plan)
    assert len(content) == 684
    normals, corners = records(content)
    assert corners.reshape(-1, 3).min(axis=0).tolist() == [0, 0, 0]
    assert corners.reshape(-1, 3).max(axis=0).tolist() == [600, 300, 18]
    assert (np.abs(normals).sum(axis=1) == 1).all()


def test_normals_point_outward_as_the_corners_turn(content: bytes):
    normals, corners = records(content)
    turned = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    turned /= np.linalg.norm(turned, axis=1, keepdims=True)
    assert np.einsum("ij,ij->i", normals, turned).min() > 0.999
    assert np.linalg.norm(normals, axis=1) == pytest.approx(1, abs=1e-6)


def test_another_reader_finds_every_part_closed_and_of_its_volume(tmp_path: Path):
    plan = apart()
    parts = list(plan.walk())
    whole = trimesh.load(io.BytesIO(export(tmp_path, plan)), file_type="stl")
    assert isinstance(whole, trimesh.Trimesh)
    assert whole.is_watertight
    shells = whole.split(only_watertight=True)
    assert len(shells) == sum(len(solid(p.part).Solids()) for p in parts)
    assert sum(s.volume for s in shells) == pytest.approx(sum(VOLUMES[p.part] for p in parts), rel=1e-5)
    assert whole.volume == pytest.approx(sum(solid(p.part).Volume() for p in parts), rel=1e-5)
    single = [v for part, v in VOLUMES.items() if part != PINS] + [VOLUMES[PINS] / 2]
    for shell in shells:  # 32-bit floats step by 0.001 mm at 10 m
        assert min(abs(shell.volume / v - 1) for v in single) < 1e-4


def test_each_part_is_a_shell_of_its_own_in_the_order_of_the_plan(content: bytes):
    """Even where parts touch: every edge of a part is met once in each direction among its own triangles."""
    _, corners = records(content)
    start = 0
    for placed in PLAN.walk():
        alone = Plan("one", (BuiltUnit("u", "U", "base", (placed,)),))
        mine = corners[start : start + (len(stl.stl_bytes(alone)) - 84) // 50]
        start += len(mine)
        _, numbered = np.unique(mine.reshape(-1, 3), axis=0, return_inverse=True)
        faces = numbered.reshape(-1, 3)
        edges = [(int(a), int(b)) for f in faces for a, b in ((f[0], f[1]), (f[1], f[2]), (f[2], f[0]))]
        assert len(set(edges)) == len(edges)
        assert {(b, a) for a, b in edges} == set(edges)
        volume = np.einsum("ij,ij->i", mine[:, 0], np.cross(mine[:, 1], mine[:, 2])).sum() / 6
        assert volume == pytest.approx(VOLUMES[placed.part], rel=1e-4)
        if placed.part == BOTTOM:
            box = placed.bounds()
            assert mine.reshape(-1, 3).min(axis=0) == pytest.approx(box.lo, abs=2e-3)
            assert mine.reshape(-1, 3).max(axis=0) == pytest.approx(box.hi, abs=2e-3)
    assert start == len(corners)


def test_equal_bytes_in_another_process_and_no_cad_kernel(content: bytes, tmp_path: Path):
    code = (
        "import pathlib, sys\n"
        "from exporters import stl\n"
        "from tests.small_plan import BUILD\n"
        "stl.write(BUILD, pathlib.Path(sys.argv[1]))\n"
        "assert not {'OCP', 'cadquery'} & set(sys.modules)\n"
    )
    run = [sys.executable, "-c", code, str(tmp_path)]
    subprocess.run(run, cwd=ROOT, check=True)
    assert (tmp_path / "model.stl").read_bytes() == content


def test_what_cannot_be_written_says_so(tmp_path: Path):
    with pytest.raises(ExportError, match=r"model\.stl: could not be written"):
        export(tmp_path / "missing")
    with pytest.raises(ExportError, match=r"model\.stl: the plan has no parts"):
        export(tmp_path, Plan("empty", ()))
