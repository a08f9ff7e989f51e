"""Letters, lines, rings and boxes set into a picture: a float array, height x width x 3, sRGB 0 to 1.

Places are pixels, x to the right and y down from the upper left corner.
"""

import math
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from exporters.pictures.offscreen import Floats
from exporters.spots import Colour

Place = tuple[float, float]
INK: Colour = (0.1, 0.1, 0.12)
PAPER: Colour = (1.0, 1.0, 1.0)
TALL = 1.25
"""Height of a line with its accents, in sizes of the letters."""
LEADING = 1.3
"""From one line to the next, in sizes of the letters."""


@lru_cache(maxsize=512)
def letters(text: str, size: int, bold: bool = False) -> Floats:
    """How much ink falls on each pixel, 0 to 1; as high for every text of a size, the baseline at one height."""
    import vtkmodules.vtkRenderingFreeType  # noqa: F401 - without it there are no letters
    from vtkmodules.vtkCommonDataModel import vtkImageData
    from vtkmodules.vtkRenderingCore import vtkTextProperty, vtkTextRenderer

    plain = "".join(c if c.isprintable() else " " for c in text)
    style, image = vtkTextProperty(), vtkImageData()
    style.SetFontFamilyToArial()
    style.SetFontSize(size)
    style.SetBold(bold)
    drawn = [0, 0]
    renderer = vtkTextRenderer.GetInstance()
    # its own letters: a sign of a formula in a name is a sign
    if not plain.strip() or not renderer.RenderString(style, plain, image, drawn, 72, vtkTextRenderer.FreeType):
        return np.zeros((math.ceil(size * TALL), 0), np.float32)
    width, height, _ = image.GetDimensions()
    scalars: Any = image.GetPointData().GetScalars()
    ink = np.frombuffer(scalars, np.uint8).reshape(height, width, 4)[: drawn[1], : drawn[0], 3]
    # the baseline lies as far above the bottom for every text, and accents reach higher than capitals
    high = math.ceil(size * TALL)
    even = np.zeros((high, drawn[0]), np.float32)
    even[: drawn[1]] = ink[:high] / np.float32(255)
    return even[::-1]


def width_of(text: str, size: int, bold: bool = False) -> int:
    """How wide a text is."""
    return letters(text, size, bold).shape[1]


def wrapped(text: str, size: int, width: int, bold: bool = False) -> list[str]:
    """A text in lines no wider than that: broken after a blank or the stroke of a path, else where it must be."""
    lines: list[str] = []
    line = ""
    for piece in _pieces(text):
        if width_of((line + piece).rstrip(), size, bold) <= width:
            line += piece
            continue
        if line:
            lines.append(line.rstrip())
        line = ""
        for char in piece:
            if line and width_of(line + char, size, bold) > width:
                lines.append(line)
                line = ""
            line += char
    return [*lines, line.rstrip()] if line.strip() or not lines else lines


def _pieces(text: str) -> list[str]:
    pieces = [""]
    for char in text:
        pieces[-1] += char
        if char in " /":
            pieces.append("")
    return pieces


def write_line(picture: Floats, at: Place, text: str, size: int, colour: Colour = INK, bold: bool = False) -> None:
    """One line of text, its upper left corner at a place."""
    ink = letters(text, size, bold)
    _blend(picture, round(at[0]), round(at[1]), ink, colour)


def _blend(picture: Floats, x: int, y: int, ink: Floats, colour: Colour) -> None:
    """Colour laid on by the share that `ink` gives for each pixel from x, y on; what lies outside is left off."""
    height, width = picture.shape[:2]
    left, top = max(x, 0), max(y, 0)
    right, bottom = min(x + ink.shape[1], width), min(y + ink.shape[0], height)
    if right <= left or bottom <= top:
        return
    share = ink[top - y : bottom - y, left - x : right - x, None]
    some = picture[top:bottom, left:right]
    some += share * (np.array(colour, np.float32) - some)


def box(picture: Floats, low: Place, high: Place, fill: Colour = PAPER, edge: Colour = INK, share: float = 1.0) -> None:
    """A filled box with an edge of one pixel; `share` is how much it covers."""
    x, y, w, h = round(low[0]), round(low[1]), round(high[0] - low[0]), round(high[1] - low[1])
    _blend(picture, x, y, np.full((h, w), share, np.float32), fill)
    edges = np.zeros((h, w), np.float32)
    edges[[0, -1]] = 1
    edges[:, [0, -1]] = 1
    _blend(picture, x, y, edges, edge)


def line(picture: Floats, a: Place, b: Place, colour: Colour = INK, wide: float = 2.0) -> None:
    """A straight line."""
    x, y = int(min(a[0], b[0]) - wide - 1), int(min(a[1], b[1]) - wide - 1)
    across, down = _grid(x, y, int(max(a[0], b[0]) + wide + 2) - x, int(max(a[1], b[1]) + wide + 2) - y)
    dx, dy = b[0] - a[0], b[1] - a[1]
    along = np.clip(((across - a[0]) * dx + (down - a[1]) * dy) / max(dx * dx + dy * dy, 1e-9), 0, 1)
    off = np.hypot(across - a[0] - along * dx, down - a[1] - along * dy)
    _blend(picture, x, y, _edge(off, wide), colour)


def ring(picture: Floats, middle: Place, radius: float, colour: Colour, wide: float = 3.0) -> None:
    """A circle."""
    reach = int(radius + wide + 2)
    x, y = round(middle[0]) - reach, round(middle[1]) - reach
    across, down = _grid(x, y, 2 * reach + 1, 2 * reach + 1)
    off = np.abs(np.hypot(across - middle[0], down - middle[1]) - radius)
    _blend(picture, x, y, _edge(off, wide), colour)


def dot(picture: Floats, middle: Place, radius: float, colour: Colour) -> None:
    """A filled circle."""
    ring(picture, middle, radius / 2, colour, radius)


def _grid(x: int, y: int, width: int, height: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The middles of pixels from x, y on: a row and a column."""
    across: NDArray[np.float64] = np.arange(x, x + width, dtype=np.float64) + 0.5
    down: NDArray[np.float64] = np.arange(y, y + height, dtype=np.float64) + 0.5
    return across[None, :], down[:, None]


def _edge(off: NDArray[np.float64], wide: float) -> Floats:
    """The ink of a stroke for pixels so far off its middle."""
    return np.clip(wide / 2 + 0.5 - off, 0, 1).astype(np.float32)
