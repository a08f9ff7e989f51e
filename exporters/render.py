"""Pictures of a plan in its room, drawn off screen from the meshes: `renders/wall.png` and `renders/open.png`.

The graphics library draws only what is seen (colour, direction and distance of each point) and, from each of many
directions of light, what the light meets first; from these each point is lit by all directions that reach it. So the
picture has soft shadows and darker corners on any driver, and the same plan gives the same picture.

Walls are seen through from behind; the first and the last run on past the room's ends. The camera is worked out from
the parts alone: it stands at eye height and looks level, so that uprights are upright.
"""

import ctypes
import math
import os
import struct
import zlib
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from model.errors import ProjectError
from model.meshes import arrays, mesh
from model.part import Motion, Part, PlacedPart
from model.placement import Placement
from model.plan import Plan
from model.shapes import Vec

if TYPE_CHECKING:
    from model.build import Build

View = Literal["wall", "left", "right", "front", "above"]
Opening = float | Mapping[str, float] | Collection[str]
"""How far what moves is opened, 0 to 1: one share for all, one for each motion by name, or the names of those open."""

Array = NDArray[np.float64]
Indices = NDArray[np.int64]
Colour = tuple[float, float, float]
"""sRGB, each 0 to 1."""
