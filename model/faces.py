"""The six faces of a blank, where half a turn takes them, and what every cut into one can do."""

from abc import ABC, abstractmethod
from dataclasses import fields, replace
from typing import Literal, Self

from model.shapes import Box, Primitive, Vec
from model.tolerances import rounded

Face = Literal["A", "B", "x0", "x1", "y0", "y1"]
Size = tuple[float, float, float]
"""Length, width and thickness of a blank, mm."""

FLAT: tuple[Face, Face] = ("A", "B")
INWARD: dict[str, Vec] = {
    "A": (0.0, 0.0, -1.0),
    "B": (0.0, 0.0, 1.0),
    "x0": (1.0, 0.0, 0.0),
    "x1": (-1.0, 0.0, 0.0),
    "y0": (0.0, 1.0, 0.0),
    "y1": (0.0, -1.0, 0.0),
}
TURNED_FACE: dict[str, dict[str, Face]] = {
    "x": {"A": "B", "B": "A", "y0": "y1", "y1": "y0", "x0": "x0", "x1": "x1"},
    "y": {"A": "B", "B": "A", "x0": "x1", "x1": "x0", "y0": "y0", "y1": "y1"},
    "z": {"x0": "x1", "x1": "x0", "y0": "y1", "y1": "y0", "A": "A", "B": "B"},
}


def axes_of(face: Face) -> tuple[int, int, int]:
    """Indices of u, v and the axis through the face."""
    return (0, 1, 2) if face in FLAT else (1, 2, 0) if face in ("x0", "x1") else (0, 2, 1)


def through(face: Face, size: Size) -> float:
    """How thick the blank is behind `face`, mm."""
    return size[axes_of(face)[2]]


def flip(value: float, index: int, axis: str, size: Size) -> float:
    """A coordinate along the axis of that index, after half a turn about `axis`."""
    return value if "xyz"[index] == axis else rounded(size[index] - value)


class CutBase(ABC):
    """What every cut can do. Fields that are lengths are rounded on construction."""

    __slots__ = ()

    def __post_init__(self) -> None:
        for f in fields(self):  # pyright: ignore[reportArgumentType]
            value = getattr(self, f.name)
            if isinstance(value, float | int) and not isinstance(value, bool):
                object.__setattr__(self, f.name, rounded(value))

    @abstractmethod
    def primitives(self, size: Size) -> tuple[Primitive, ...]:
        """The volumes taken away from a blank of this size, run out past the faces they open on."""

    def meets(self, size: Size) -> bool:
        """Whether all it takes away shares a volume with a blank of this size."""
        blank = Box((0.0, 0.0, 0.0), size)
        return all(p.bounds().common(blank) is not None for p in self.primitives(size))

    @abstractmethod
    def depth_in(self, size: Size) -> float:
        """How deep it goes, mm: the whole thickness when it goes through."""

    def shifted(self, x: float, y: float) -> Self:
        """The same cut moved by (x, y) mm over faces A and B, after the blank has lost an edge."""
        steps = {"u": x, "u0": x, "u1": x, "v": y, "v0": y, "v1": y}
        if getattr(self, "face", "A") not in FLAT or hasattr(self, "edge"):
            raise ValueError(f"{self} lies on an edge: it cannot be moved over the face")
        moved = {f.name: getattr(self, f.name) + steps[f.name] for f in fields(self) if f.name in steps}  # pyright: ignore[reportArgumentType]
        return replace(self, **moved)  # pyright: ignore[reportArgumentType]

    @abstractmethod
    def turned(self, axis: str, size: Size) -> Self:
        """The same cut after the blank is turned by half a turn about its own `x`, `y` or `z`."""
