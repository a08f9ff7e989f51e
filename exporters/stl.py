"""`model.stl`: every part at its place in the room as triangles, in the binary STL form.

Each part is a closed shell of its own, in the order of the plan; parts that touch are not welded. The format has no
unit: coordinates are millimetres, z up. 80 bytes of header, the number of triangles, then 50 bytes each (a normal and
three corners as 32-bit floats, two bytes unused), all little-endian.
"""

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from model.errors import ExportError
from model.meshes import triangles
from model.plan import Plan

if TYPE_CHECKING:
    from model.build import Build

HEADER = b"wallwork: binary STL, millimetres, z up".ljust(80)
"""Not `solid ...`, by which readers know the text form."""

TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("unused", "<u2")])


def write(build: "Build", out: Path) -> list[Path]:
    """Write `model.stl` below `out`; raises ExportError where it would not be whole."""
    path = out / "model.stl"
    content = stl_bytes(build.plan)
    try:
        path.write_bytes(content)
        size = path.stat().st_size
    except OSError as error:
        raise ExportError(f"{path.name}: could not be written: {error.strerror}") from error
    if size != len(content):
        raise ExportError(f"{path.name}: {size} bytes on disk; must be {len(content)}")
    return [path]


def stl_bytes(plan: Plan) -> bytes:
    """The whole file."""
    corners = [points[faces] for points, faces in map(triangles, plan.walk())]
    if not corners:
        raise ExportError("model.stl: the plan has no parts")
    return HEADER + _count(corners) + b"".join(_records(part).tobytes() for part in corners)


def _count(corners: list[NDArray[np.float64]]) -> bytes:
    return np.array(sum(map(len, corners)), dtype="<u4").tobytes()


def _records(corners: NDArray[np.float64]) -> NDArray[np.void]:
    """The file's records of N x 3 corners (x, y, z); the normal of a triangle without area is zero."""
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    records = np.zeros(len(corners), dtype=TRIANGLE)
    records["normal"] = np.divide(normals, lengths, out=np.zeros_like(normals), where=lengths > 0)
    records["corners"] = corners
    return records
