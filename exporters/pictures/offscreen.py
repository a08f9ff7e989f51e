"""What a camera or a light sees of a scene, drawn by VTK without a window: distance, direction, colour of each pixel.

The only file that imports VTK. Raises ExportError where the machine has no OpenGL that works without a window, instead
of the crash VTK ends in there.
"""

import ctypes
import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from exporters.pictures.scene import Array, Batch, Camera, axes
from model.errors import ExportError

Floats = NDArray[np.float32]
Bytes = NDArray[np.uint8]

LIFT = 3.0
"""mm. Edges are drawn this far toward the camera, so that the faces beside them do not hide them."""
NEAR = 0.25
"""The nearest thing drawn, as a share of the distance to the nearest part: floor in front of the parts."""
FAR = 8.0
"""The farthest, as a share of the distance to the farthest part."""
EDGE_SHADE = 0.5
"""An edge has the colour of its part, this much of it."""
BOLD, BOLD_SHADE = 4.0, 0.22
"""Strong edges: pixels wide, and this much of the colour of their part."""
MESA_NAMES = ("libOSMesa.so", "libOSMesa.so.8", "libOSMesa.so.6")
NO_GRAPHICS = (
    "no picture: this machine has no OpenGL that draws without a window; install the EGL library of its graphics "
    "driver or of Mesa (libEGL), or OSMesa"
)


@dataclass(frozen=True, eq=False)
class Seen:
    """What the camera sees: `index` of the pixels where there is something (row by row from the top), and for each its
    place (3 x N, mm), its normal (3 x N) and its colour (N x 3, sRGB, edges darkened)."""

    index: NDArray[np.intp]
    points: Floats
    normals: Floats
    colours: Floats


class Eye:
    """A camera's window of `size` pixels on a scene."""

    def __init__(self, batches: Sequence[Batch], surfaces: Sequence[Batch], size: tuple[int, int]) -> None:
        self.size = size
        self._window: Any = None
        self.show(batches, surfaces)

    def show(
        self,
        batches: Sequence[Batch],
        surfaces: Sequence[Batch] = (),
        bold: Sequence[Batch] = (),
        light: Callable[[Array], Array] | None = None,
        edges: bool = True,
    ) -> None:
        """Look at another scene.

        `bold` is drawn too, with strong edges; `light` gives the share of its colour that a surface shows, by its
        normal (N x 3); edges may be left out.
        """
        every = [*batches, *bold]
        self._points = np.concatenate([b.points for b in every])
        before = [*self._actors, *(line.actor for line in self._lines)] if self._window else []
        groups = ((batches, 1.0), (bold, BOLD)) if edges else ()
        self._lines = [_Lines.of(group, wide) for group, wide in groups if group]
        self._actors = [_actor(_joined(every, light), culled=False)]
        if surfaces:
            self._actors.append(_actor(_joined(surfaces), culled=True))
        actors = [*self._actors, *(line.actor for line in self._lines)]
        if self._window is None:
            self._window = _window(self.size, actors)
            return
        renderer = self._window.GetRenderers().GetFirstRenderer()
        for actor in before:
            renderer.RemoveViewProp(actor)  # gives back what the driver holds of it
        for actor in actors:
            renderer.AddActor(actor)

    def see(
        self, camera: Camera, shift: tuple[float, float] = (0.0, 0.0), reach: tuple[float, float] | None = None
    ) -> Seen:
        """The view from a camera, moved by `shift` pixels to the right and up.

        `reach` is the nearest and farthest that is drawn (mm ahead); all parts must be ahead where it is left out.
        """
        width, height = self.size
        frame, at = axes(camera), np.array(camera.at)
        reach = reach or self.reach(camera)
        middle = [camera.middle[i] + camera.half[i] * 2 * shift[i] / self.size[i] for i in (0, 1)]
        self._look(camera, middle, reach)
        depth = self._draw("normals")
        index = np.flatnonzero(depth < 1.0)
        normals = self._pixels()[index].T.astype(np.float32) / np.float32(127.5) - 1
        self._draw("colours")
        colours: Floats = self._pixels()[index].astype(np.float32)
        colours /= 255
        ahead = ahead_of(depth[index], reach)
        row, column = np.divmod(index.astype(np.int32), np.int32(width))
        seen = np.empty((3, len(index)), np.float32)
        seen[0] = (camera.half[0] * (2 * (column + np.float32(0.5)) / width - 1) + middle[0]) * ahead
        seen[1] = (camera.half[1] * (1 - 2 * (row + np.float32(0.5)) / height) + middle[1]) * ahead
        seen[2] = ahead
        points = frame.T.astype(np.float32) @ seen
        points += at.astype(np.float32)[:, None]
        return Seen(index, points, normals, colours)

    def reach(self, camera: Camera) -> tuple[float, float]:
        """From where to where things are drawn, mm ahead, where all parts are ahead."""
        away = (self._points - np.array(camera.at)) @ np.array(camera.forward)
        return float(away.min()) * NEAR, float(away.max()) * FAR

    def colours(self, camera: Camera, reach: tuple[float, float]) -> tuple[Floats, Bytes]:
        """Depth, 1 where there is nothing, and the colour (N x 3) of all pixels; quicker than `see`, as drawn once."""
        self._look(camera, camera.middle, reach)
        return self._draw("colours"), self._pixels()

    def distances(self, camera: Camera, reach: tuple[float, float]) -> Floats:
        """How far ahead each pixel is (mm, row by row from the top), endless where there is nothing; `reach` as in
        `see`. Quicker than that."""
        self._look(camera, camera.middle, reach)
        depth = self._draw("normals")
        return np.where(depth < 1.0, ahead_of(depth, reach), np.inf).astype(np.float32)

    def _look(self, camera: Camera, middle: Sequence[float], reach: tuple[float, float]) -> None:
        eye = self._window.GetRenderers().GetFirstRenderer().GetActiveCamera()
        eye.SetPosition(*camera.at)
        eye.SetFocalPoint(*np.add(camera.at, camera.forward))
        eye.SetViewUp(*axes(camera)[1])
        eye.SetViewAngle(math.degrees(2 * math.atan(camera.half[1])))
        eye.SetWindowCenter(middle[0] / camera.half[0], middle[1] / camera.half[1])
        eye.SetClippingRange(*reach)
        for line in self._lines:
            line.lift(camera)

    def _draw(self, what: str) -> Floats:
        """Draw by one of the arrays; gives depth, 0 to 1, row by row from the top."""
        for actor in self._actors:
            actor.GetMapper().SelectColorArray(what)
        for line in self._lines:
            line.actor.SetVisibility(what == "colours")
        self._window.Render()
        return _depth(self._window)[::-1].ravel()

    def _pixels(self) -> Bytes:
        from vtkmodules.vtkCommonCore import vtkUnsignedCharArray

        width, height = self.size
        data: Any = vtkUnsignedCharArray()
        self._window.GetPixelData(0, 0, width - 1, height - 1, 0, data, 0)
        return np.frombuffer(data, np.uint8).reshape(height, width, 3)[::-1].reshape(-1, 3)

    def close(self) -> None:
        """Give the driver back what the window holds."""
        self._window.Finalize()


@dataclass(frozen=True, eq=False)
class _Lines:
    """The edges (K x 2 x 3, mm) of some batches as they are drawn."""

    edges: Array
    data: Any
    actor: Any

    @classmethod
    def of(cls, batches: Sequence[Batch], wide: float) -> "_Lines":
        edges = np.concatenate([b.edges for b in batches])
        shade = BOLD_SHADE if wide > 1 else EDGE_SHADE
        shades = np.concatenate([np.tile(_edge_colour(b.colour, shade), (2 * len(b.edges), 1)) for b in batches])
        data = _line_data(len(edges), shades)
        actor = _actor(data, culled=False)
        actor.GetProperty().SetLineWidth(wide)
        return cls(edges, data, actor)

    def lift(self, camera: Camera) -> None:
        """Toward the camera, so that the faces beside the edges do not hide them."""
        toward = np.array(camera.at) - self.edges
        lifted = self.edges + LIFT * toward / np.linalg.norm(toward, axis=2, keepdims=True)
        self.data.GetPoints().SetData(_vtk(lifted.reshape(-1, 3)))
        self.data.Modified()


class Lamp:
    """A light's window on a scene: orthographic maps, of `size` x `size` pixels, of how far light gets.

    `middle` is the middle of the parts (mm); `grain` the size of a pixel of the map (mm).
    """

    def __init__(self, batches: Sequence[Batch], size: int) -> None:
        corners = np.concatenate([b.shade for b in batches]).reshape(-1, 3)
        low, high = corners.min(axis=0), corners.max(axis=0)
        self.middle: Floats = ((low + high) / 2).astype(np.float32)
        self._half = float(np.linalg.norm(high - low)) / 2 * (1 + 4 / size)
        self._size = size
        self.grain = 2 * self._half / size
        data = _data(corners)
        data.SetPolys(_cells(np.arange(len(corners)).reshape(-1, 3)))
        self._window = _window((size, size), [_actor(data, culled=False)])

    def reaches(self, toward: Array, points: Floats) -> NDArray[np.bool_]:
        """Whether light from the unit direction `toward` reaches each point (3 x N, mm from the middle)."""
        least = np.eye(3)[int(np.argmin(np.abs(np.round(toward, 6))))]
        right = np.cross(least, toward)
        right /= np.linalg.norm(right)
        up = np.cross(toward, right)
        distance = self._distances(toward, up)
        scale = self._size / 2 / self._half
        across = np.array((right * scale, up * scale, toward), dtype=np.float32) @ points
        column, row = ((across[i] + np.float32(self._size / 2)).astype(np.intp) for i in (0, 1))
        for pixel in (column, row):
            np.clip(pixel, 0, self._size - 1, out=pixel)
        row *= self._size
        row += column
        return self._half - across[2] <= distance.ravel().take(row) + np.float32(0.5 * self.grain)

    def _distances(self, toward: Array, up: Array) -> Floats:
        """How far light gets from the plane through the near end of the parts, mm; endless along the border."""
        eye = self._window.GetRenderers().GetFirstRenderer().GetActiveCamera()
        eye.ParallelProjectionOn()
        eye.SetParallelScale(self._half)
        eye.SetFocalPoint(*self.middle)
        eye.SetPosition(*(self.middle + toward * self._half))
        eye.SetViewUp(*up)
        eye.SetClippingRange(0.0, 2 * self._half)
        self._window.Render()
        depth = _depth(self._window)
        return np.where(depth < 1.0, depth * np.float32(2 * self._half), np.float32(np.inf))

    def close(self) -> None:
        """Give the driver back what the window holds."""
        self._window.Finalize()


@contextmanager
def quiet_driver() -> Iterator[None]:
    """Eyes and lamps are made and used within: VTK's drawing classes loaded, its own messages held back."""
    import vtkmodules.vtkRenderingOpenGL2  # noqa: F401 - makes every class made from here on one that draws
    from vtkmodules.vtkCommonCore import vtkLogger

    before = vtkLogger.GetCurrentVerbosityCutoff()
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    try:
        yield
    finally:
        vtkLogger.SetStderrVerbosity(before)


def _edge_colour(colour: tuple[float, float, float], shade: float = EDGE_SHADE) -> Bytes:
    """The colour of an edge."""
    return np.round(np.array(colour) * 255 * shade).astype(np.uint8)


def _vtk(array: Any) -> Any:
    from vtkmodules.util.numpy_support import numpy_to_vtk

    return numpy_to_vtk(np.ascontiguousarray(array), deep=True)


def _cells(corners: NDArray[np.int64]) -> Any:
    from vtkmodules.util.numpy_support import numpy_to_vtkIdTypeArray
    from vtkmodules.vtkCommonDataModel import vtkCellArray

    cells = vtkCellArray()
    cells.SetData(corners.shape[1], numpy_to_vtkIdTypeArray(np.ascontiguousarray(corners).ravel(), deep=True))
    return cells


def _data(points: Array, **arrays: Bytes) -> Any:
    from vtkmodules.vtkCommonCore import vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkPolyData

    data, places = vtkPolyData(), vtkPoints()
    places.SetData(_vtk(points))
    data.SetPoints(places)
    for name, array in arrays.items():
        column = _vtk(array)
        column.SetName(name)
        data.GetPointData().AddArray(column)
    return data


def _joined(batches: Sequence[Batch], light: Callable[[Array], Array] | None = None) -> Any:
    """All batches as one body, each point with its `colours` and its `normals` as bytes."""
    starts = np.cumsum([0, *(len(b.points) for b in batches[:-1])])
    normals = np.concatenate([b.normals for b in batches])
    colours = np.concatenate([np.tile(np.array(b.colour), (len(b.points), 1)) for b in batches])
    if light is not None:
        colours = colours * light(normals)[:, None]
    data = _data(
        np.concatenate([b.points for b in batches]),
        normals=np.round((normals + 1) * 127.5).astype(np.uint8),
        colours=np.round(colours * 255).astype(np.uint8),
    )
    data.SetPolys(_cells(np.concatenate([b.triangles + s for b, s in zip(batches, starts, strict=True)])))
    return data


def _line_data(count: int, shades: Bytes) -> Any:
    data = _data(np.zeros((2 * count, 3)), colours=shades)
    data.SetLines(_cells(np.arange(2 * count).reshape(-1, 2)))
    return data


def _actor(data: Any, culled: bool) -> Any:
    from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper

    mapper = vtkPolyDataMapper()
    mapper.SetInputData(data)
    mapper.SetScalarModeToUsePointFieldData()
    mapper.SetColorModeToDirectScalars()
    mapper.SelectColorArray("colours")
    actor = vtkActor()
    actor.SetMapper(mapper)
    actor.GetProperty().LightingOff()
    actor.GetProperty().SetBackfaceCulling(culled)
    return actor


def _window(size: tuple[int, int], actors: Sequence[Any]) -> Any:
    from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow

    window = vtkRenderWindow()
    _check_driver(window.GetClassName())
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetSize(*size)
    renderer = vtkRenderer()
    renderer.SetBackground(0.0, 0.0, 0.0)
    for actor in actors:
        renderer.AddActor(actor)
    window.AddRenderer(renderer)
    return window


def _check_driver(window_class: str) -> None:
    """VTK falls back on OSMesa where nothing else works, and crashes where that is missing: look before it does."""
    if window_class != "vtkOSOpenGLRenderWindow":
        return
    for name in MESA_NAMES:
        try:
            ctypes.CDLL(name)
        except OSError:
            continue
        return
    raise ExportError(NO_GRAPHICS)


def ahead_of(depth: Floats, reach: tuple[float, float]) -> NDArray[np.float64]:
    """How far ahead of the camera points are (mm) whose depth in its window is 0 to 1."""
    near, far = reach
    return 2 * near * far / (far + near - (2 * depth.astype(np.float64) - 1) * (far - near))


def _depth(window: Any) -> Floats:
    """Depth, 0 to 1, rows from the bottom."""
    from vtkmodules.vtkCommonCore import vtkFloatArray

    width, height = window.GetSize()
    data: Any = vtkFloatArray()
    window.GetZbufferData(0, 0, width - 1, height - 1, data)
    return np.frombuffer(data, np.float32).reshape(height, width)
