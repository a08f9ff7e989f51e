"""What is written on a drawing for the person who reads it: marks, names, the grain, and the list of layers."""

from collections.abc import Iterable, Iterator

from exporters.cnc import layers
from exporters.cnc.figures import Figure, line_of_text, loop, text
from exporters.cnc.layers import Layer
from model.bill import plain_mm
from model.cnc import Version
from model.part import Part

SMALLEST, LARGEST = 0.5, 30.0
"""mm. Heights of a mark: so that it stays on a small part, and is read from a step away on a large one."""
INDEX_HEIGHT = (2.5, 10.0)
"""mm. Heights of the list of layers."""


def size_of(part: Part) -> str:
    """Length, width and thickness in mm, and the material."""
    return f"{' x '.join(plain_mm(v) for v in part.size)}  {part.material}"


def labels(part: Part, size: tuple[float, float], mark: str, name: str, faces: str) -> Iterator[Figure]:
    """Mark, name, size and a word on the faces in the middle of the panel, and an arrow along the grain above them."""
    lines = [(layers.MARK, mark, 1.0), (layers.MARK, name, 0.6), (layers.MARK, size_of(part), 0.5)]
    lines = [line for line in [*lines, (layers.FACES, faces, 0.5)] if line[1]]
    widest = max(len(words) * share for _, words, share in lines)
    height = max(SMALLEST, min(LARGEST, size[1] / 9, size[0] * 0.8 / widest))
    x, y = size[0] / 2, size[1] / 2 + height
    for layer, words, share in lines:
        yield text(layer, (x, y), height * share, words)
        y -= height * (0.4 + share)
    if part.grain == "length":
        yield arrow((x, size[1] / 2 + 2.2 * height), min(100.0, size[0] * 0.3), height)


def arrow(middle: tuple[float, float], half: float, height: float) -> Figure:
    """A closed arrow with two heads along x."""
    x, y = middle
    head, shaft = height * 0.4, height * 0.08
    back = half - 2 * head if half > 3 * head else half / 3
    right = ((back, -shaft), (back, -head), (half, 0.0), (back, head), (back, shaft))
    points = (*right, *((-u, -v) for u, v in right))
    return loop(layers.GRAIN, tuple((x + u, y + v) for u, v in points))


def index(
    used: Iterable[Layer], told: Iterable[str], size: tuple[float, float], version: Version
) -> tuple[tuple[Figure, ...], float]:
    """The layers of a drawing, one line each, above the panel or sheet, and how high it then is (mm)."""
    named = sorted({*used, layers.INDEX})
    lines = [f"{layer.name(version)}: {layer.told}" for layer in named] + [f"to note: {line}" for line in told]
    height = min(max(size[0] / max(len(line) for line in lines), INDEX_HEIGHT[0]), INDEX_HEIGHT[1])
    top = size[1] + 2 * height + (len(lines) - 1) * 1.6 * height
    drawn = (line_of_text(layers.INDEX, (0.0, top - i * 1.6 * height), height, line) for i, line in enumerate(lines))
    return tuple(drawn), top + 2 * height
