"""Relief of inside corners: whether a round tool really reaches the corner, what the relief takes, by closed form."""

import math

import pytest
from dxf_verifier import Shape, area, flattened

from exporters.cnc.contours import traced
from exporters.cnc.relief import EASE, relieved

TOOL = 6.0
R = TOOL / 2 + EASE
DOG_BONE = math.pi * R**2 / 2 - R**2
"""mm^2. On the bisector: half a circle in the place of the triangle of corner and chord."""
INTO_A_SIDE = math.pi * R**2 / 2
"""mm^2. Half a circle on a side."""


def shaped(vertices: tuple[tuple[float, float, float], ...]) -> Shape:
    return Shape("outline", "loop", vertices)


def depth_reached(shape: Shape, corner: tuple[float, float], void: tuple[int, int], radius: float) -> float:
    """How near a disc of that radius comes to the corner without leaving the void: over all its places around it."""
    contour = flattened(shape, 96)
    sides = [(a, b) for a, b in zip(contour, contour[1:] + contour[:1], strict=True) if a != b]
    best = math.inf
    for k in range(-90, 181, 5):  # a disc that touches the corner, then farther off
        angle = math.radians(k)
        for away in (radius, radius * math.sqrt(2)):
            middle = (corner[0] + void[0] * math.cos(angle) * away, corner[1] + void[1] * math.sin(angle) * away)
            if min(distance(middle, a, b) for a, b in sides) >= radius - 0.01 and in_void(contour, middle):
                best = min(best, away - radius)
    return best


def in_void(contour: list[tuple[float, float]], p: tuple[float, float]) -> bool:
    """Whether a point lies outside the material of a loop, by the sign of its winding."""
    turns = 0.0
    for a, b in zip(contour, contour[1:] + contour[:1], strict=True):
        one, two = complex(a[0] - p[0], a[1] - p[1]), complex(b[0] - p[0], b[1] - p[1])
        turns += math.atan2((one.conjugate() * two).imag, (one.conjugate() * two).real)
    return round(turns / (2 * math.pi)) != 1


def distance(p: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    d = complex(b[0] - a[0], b[1] - a[1])
    v = complex(p[0] - a[0], p[1] - a[1])
    t = min(max((v * d.conjugate()).real / abs(d) ** 2, 0.0), 1.0)
    return abs(v - d * t)


NOTCHED = traced(300, 200, [((0, 0), (60, 40))])[0]
PIERCED = traced(300, 200, [((100, 80), (180, 140))])
SLOTTED = traced(300, 200, [((100, 80), (180, 86.5))])


def opening(loops: list[tuple[tuple[float, float], ...]]) -> tuple[tuple[float, float], ...]:
    return next(loop for loop in loops if area(shaped(tuple((x, y, 0.0) for x, y in loop))) < 0)


def test_a_square_corner_keeps_the_tool_off_by_the_closed_form() -> None:
    """Without relief the tool stands r (root 2 - 1) short of the corner: what it leaves standing."""
    square = shaped(tuple((x, y, 0.0) for x, y in NOTCHED))
    assert depth_reached(square, (60, 40), (-1, -1), TOOL / 2) == pytest.approx(TOOL / 2 * (math.sqrt(2) - 1))


def test_a_notch_is_relieved_in_its_one_corner() -> None:
    found = relieved(NOTCHED, TOOL)
    assert found.left == 0
    assert depth_reached(shaped(found.vertices), (60, 40), (-1, -1), TOOL / 2) == 0
    assert area(shaped(found.vertices)) == pytest.approx(300 * 200 - 60 * 40 - DOG_BONE)
    assert sum(b != 0 for _, _, b in found.vertices) == 1


def test_an_opening_is_relieved_in_all_four_corners() -> None:
    found = relieved(opening(PIERCED), TOOL)
    shape = shaped(found.vertices)
    assert -area(shape) == pytest.approx(80 * 60 + 4 * DOG_BONE)
    for corner, void in {(100, 80): (1, 1), (180, 80): (-1, 1), (180, 140): (-1, -1), (100, 140): (1, -1)}.items():
        assert depth_reached(shape, corner, void, TOOL / 2) == 0  # type: ignore[arg-type]


def test_a_slot_hardly_wider_than_the_tool_is_relieved_into_its_long_sides() -> None:
    """Two reliefs on the bisectors would run into each other: 2 r root 2 is 8.6, the slot is 6.5 wide."""
    found = relieved(opening(SLOTTED), TOOL)
    shape = shaped(found.vertices)
    assert found.left == 0
    assert -area(shape) == pytest.approx(80 * 6.5 + 4 * INTO_A_SIDE)
    for corner, void in {(100, 80): (1, 1), (180, 80): (-1, 1), (180, 86.5): (-1, -1), (100, 86.5): (1, -1)}.items():
        assert depth_reached(shape, corner, void, TOOL / 2) == 0  # type: ignore[arg-type]


def test_a_shallow_notch_is_relieved_into_its_long_side() -> None:
    (loop,) = traced(300, 200, [((100, 0), (180, 3))])
    found = relieved(loop, TOOL)
    assert found.left == 0
    assert area(shaped(found.vertices)) == pytest.approx(300 * 200 - 80 * 3 - 2 * INTO_A_SIDE)


def test_a_relief_never_runs_into_another_opening() -> None:
    """Beside a rib of half a millimetre a relief goes into the other side; between two of them the corner is left."""
    left, below = ((90, 70), (99.5, 150)), ((90, 70), (190, 79.5))
    for ribs, taken, untouched in (
        ([left], 2 * DOG_BONE + 2 * INTO_A_SIDE, 0),
        ([left, below], DOG_BONE + 2 * INTO_A_SIDE, 1),
    ):
        loops = traced(300, 200, [((100, 80), (180, 140)), *ribs])
        wide = next(loop for loop in loops if (180.0, 140.0) in loop)
        found = relieved(wide, TOOL, tuple(loop for loop in loops if loop is not wide))
        assert found.left == untouched
        assert -area(shaped(found.vertices)) == pytest.approx(80 * 60 + taken)


def test_outside_corners_stay_as_they_are() -> None:
    (loop,) = traced(300, 200, [])
    assert relieved(loop, TOOL).vertices == tuple((x, y, 0.0) for x, y in loop)


@pytest.mark.parametrize("tool", [3.0, 6.0, 12.7])
def test_every_tool_reaches_its_corner(tool: float) -> None:
    found = relieved(NOTCHED, tool)
    assert depth_reached(shaped(found.vertices), (60, 40), (-1, -1), tool / 2) == 0
    assert depth_reached(shaped(found.vertices), (60, 40), (-1, -1), tool / 2 + 0.5) > 0  # and no wider one
