"""Views: what is seen and what is hidden, against closed forms and against rays shot at boxes."""

import math
import random

import numpy as np
import pytest

from exporters.drawings.clip import clipped
from exporters.drawings.codes import coded
from exporters.drawings.display import Path, Round, Text, overlap
from exporters.drawings.on_paper import Space
from exporters.drawings.tidy import Arc, Line
from exporters.drawings.views import Direction, Face, Lines, view
from model.cuts import Bore, Groove
from model.part import Part, PlacedPart, hardware
from model.placement import Placement
from model.shapes import Box, Cylinder


def panel(length: float, width: float, thickness: float, *cuts: Bore | Groove) -> Part:
    return Part(kind="sheet", material="ply", length=length, width=width, thickness=thickness, cuts=cuts)


def at(part: Part, x: float = 0.0, y: float = 0.0, z: float = 0.0, name: str = "p") -> PlacedPart:
    return PlacedPart(name, part, Placement((x, y, z)), "")


def ends(lines: tuple[Line | Arc, ...]) -> set[tuple[float, ...]]:
    """Both ends of each line, the lower or left one first."""
    return {tuple(v for end in sorted((p.start, p.end)) for v in end) for p in lines if isinstance(p, Line)}


def total(lines: tuple[Line | Arc, ...]) -> float:
    return sum(math.dist(p.start, p.end) for p in lines if isinstance(p, Line))


def test_a_box_is_a_rectangle_from_every_side() -> None:
    box = at(panel(300, 200, 18))
    sizes: dict[Direction, tuple[float, float]] = {
        "front": (300, 18), "rear": (300, 18), "left": (200, 18), "right": (200, 18),
        "top": (300, 200), "below": (300, 200),
        "x0": (18, 200), "x1": (18, 200), "y0": (300, 18), "y1": (300, 18),
    }  # fmt: skip
    for direction, (w, h) in sizes.items():
        seen = view([box], direction, hidden=True)
        assert len(seen.visible) == 4, direction
        assert total(seen.visible) == pytest.approx(2 * (w + h))
        assert not seen.hidden
        assert (seen.box[2] - seen.box[0], seen.box[3] - seen.box[1]) == pytest.approx((w, h))


def test_what_is_behind_is_dashed_from_where_it_goes_behind() -> None:
    near, far = at(panel(100, 18, 100)), at(panel(200, 18, 50), x=50, y=40, z=20, name="q")
    seen = view([near, far], "front", hidden=True)
    # the far panel reaches from x = 50 to 250, z = 20 to 70; the near one hides all of it up to x = 100
    assert ends(seen.hidden) == {(50, 20, 100, 20), (50, 70, 100, 70), (50, 20, 50, 70)}
    assert {(100, 20, 250, 20), (100, 70, 250, 70), (250, 20, 250, 70)} <= ends(seen.visible)
    assert view([near, far], "front").hidden == ()


def test_flush_faces_share_one_line_and_nothing_is_drawn_twice() -> None:
    pair = [at(panel(100, 20, 18)), at(panel(100, 20, 18), x=100, name="q")]
    seen = view(pair, "front")
    assert ends(seen.visible) == {(0, 0, 200, 0), (0, 18, 200, 18), (0, 0, 0, 18), (100, 0, 100, 18), (200, 0, 200, 18)}


def test_holes_are_true_circles_and_those_from_behind_are_dashed() -> None:
    part = panel(
        200, 100, 18,
        Bore(face="A", u=30, v=40, diameter=5, depth=9), Bore(face="B", u=90, v=40, diameter=8, depth=9),
        Bore(face="A", u=150, v=40, diameter=35),
    )  # fmt: skip
    seen = view([at(part)], "top", hidden=True)
    rings = {(*p.middle, p.radius) for p in seen.visible if isinstance(p, Arc) and p.whole}
    assert rings == {(30, 40, 2.5), (150, 40, 17.5)}
    # what goes through opens on face B too; from below x runs the same way, y the other
    below = view([at(part)], "below").visible
    assert {(*p.middle, p.radius) for p in below if isinstance(p, Arc)} == {(90, -40, 4.0), (150, -40, 17.5)}
    dashed = [p for p in seen.hidden if isinstance(p, Arc)]
    assert [(*p.middle, p.radius, p.whole) for p in dashed] == [(90, 40, 4.0, True)]
    edge = panel(200, 100, 18, Bore(face="x1", u=25, v=9, diameter=8, depth=30))
    (ring,) = [p for p in view([at(edge)], "x1").visible if isinstance(p, Arc)]
    assert (ring.middle, ring.radius) == ((-9, 25), 4.0)


def test_a_hole_half_hidden_is_an_arc() -> None:
    bored = at(panel(200, 100, 18, Bore(face="A", u=100, v=50, diameter=40, depth=9)))
    seen = view([bored, at(panel(100, 100, 18), z=18, name="q")], "top", hidden=True)
    (arc,) = [p for p in seen.visible if isinstance(p, Arc)]
    assert (arc.start % 360, arc.end % 360) == pytest.approx((270, 90), abs=0.1)
    (rest,) = [p for p in seen.hidden if isinstance(p, Arc)]
    assert (rest.start, rest.end) == pytest.approx((90, 270), abs=0.1)


def test_a_round_bar_is_a_circle_from_its_end_and_two_lines_from_its_side() -> None:
    bar = at(hardware("rod", (30, 30, 200), 1.0, Cylinder((15, 15, 0), (0, 0, 1), 15, 200)))
    (ring,) = view([bar], "top").visible
    assert isinstance(ring, Arc)
    assert (ring.whole, ring.radius) == (True, 15)
    side = view([bar], "front").visible
    assert len(side) == 4
    # the polygon that stands for the circle has its area, so its corners lie a little outside it
    assert total(side) == pytest.approx(2 * (200 + 30), abs=0.2)


def test_a_turned_panel_is_as_wide_as_its_shadow() -> None:
    turned = PlacedPart("p", panel(400, 18, 600), Placement.turned("z", math.radians(30)), "")
    seen = view([turned], "front")
    assert seen.box[2] - seen.box[0] == pytest.approx(400 * math.cos(math.radians(30)) + 18 * 0.5)
    # one corner of the end is seen past the face: two outlines, top, bottom, and the edge between
    uprights = [p for p in seen.visible if isinstance(p, Line) and abs(p.start[0] - p.end[0]) < 1e-3]
    assert len(uprights) == 3


def test_a_section_cuts_off_what_is_near_and_shows_true_faces() -> None:
    side = panel(700, 500, 18, Groove(face="A", u0=0, v0=100, u1=700, v1=118, depth=6))
    seen = view([at(side), at(panel(50, 50, 5), x=-200, name="near")], "left", section=-350.0)
    (face,) = seen.faces
    xs = np.array([p for loop in face.loops for p in loop])
    area = (
        abs(
            sum(
                a[0] * b[1] - b[0] * a[1]
                for loop in face.loops
                for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)
            )
        )
        / 2
    )
    assert area == pytest.approx(500 * 18 - 18 * 6)
    assert np.ptp(xs[:, 0]) == pytest.approx(500)
    assert total(seen.cut) == pytest.approx(2 * (500 + 18) + 2 * 6)
    assert not seen.visible  # what is behind ends at the very outline that is cut


def _boxes(rng: random.Random) -> list[PlacedPart]:
    found = []
    for i in range(12):
        size = [rng.randint(5, 120) for _ in range(3)]
        x, y, z = (rng.randint(0, 200) for _ in range(3))
        found.append(at(panel(size[0], size[1], size[2]), x, y, z, f"p{i}"))
    return found


@pytest.mark.parametrize("seed", range(6))
def test_every_piece_is_as_rays_say(seed: int) -> None:
    """Rays at the middle of each piece: just beside a visible one lies nothing nearer than what it outlines."""
    parts = _boxes(random.Random(seed))
    solids = [p.bounds() for p in parts]
    seen = view(parts, "front", hidden=True)
    for piece in seen.visible:
        assert _outlines(piece, solids, seen=True), piece
    for piece in seen.hidden:
        assert not _outlines(piece, solids, seen=True), piece
    assert _everything_outlined(seen, solids)


def _outlines(piece: Line | Arc, solids: list[Box], seen: bool) -> bool:
    """Whether some box has an edge along the piece's middle that no other box stands before."""
    assert isinstance(piece, Line)
    x, z = (piece.start[0] + piece.end[0]) / 2, (piece.start[1] + piece.end[1]) / 2
    upright = abs(piece.start[0] - piece.end[0]) < 1e-6
    for b in solids:
        on = (
            min(abs(x - b.lo[0]), abs(x - b.hi[0])) < 1e-3 and b.lo[2] <= z <= b.hi[2]
            if upright
            else min(abs(z - b.lo[2]), abs(z - b.hi[2])) < 1e-3 and b.lo[0] <= x <= b.hi[0]
        )
        before = [o for o in solids if o.lo[1] < b.lo[1] - 0.05 and o.lo[0] <= x <= o.hi[0] and o.lo[2] <= z <= o.hi[2]]
        if on and not before:
            return seen
    return not seen


def _everything_outlined(seen: Lines, solids: list[Box]) -> bool:
    """The front edges of each box, a dot at a time: what no other box hides is on a visible line."""
    for b in solids:
        for k in range(1, 40):
            z = b.lo[2] + (b.hi[2] - b.lo[2]) * k / 40 + 0.013
            for x in (b.lo[0], b.hi[0]):
                hidden = any(
                    o.lo[1] < b.lo[1] - 0.05 and o.lo[0] <= x <= o.hi[0] and o.lo[2] <= z <= o.hi[2] for o in solids
                )
                there = any(
                    isinstance(p, Line) and abs(p.start[0] - x) < 1e-3 and abs(p.end[0] - x) < 1e-3
                    and min(p.start[1], p.end[1]) - 0.03 <= z <= max(p.start[1], p.end[1]) + 0.03
                    for p in seen.visible
                )  # fmt: skip
                if not hidden and z < b.hi[2] and not there:
                    return False
    return True


# a view cut off at a circle


def test_lines_arcs_and_faces_end_at_the_circle() -> None:
    """A chord, a circle half inside, and a strip whose area in the circle has a closed form."""
    lines = Lines(
        visible=(Line((-10.0, 3.0), (10.0, 3.0)), Line((6.0, -1.0), (9.0, -1.0))),
        cut=(Arc((0.0, 0.0), 2.0, 0.0, 360.0), Arc((5.0, 0.0), 2.0, 0.0, 360.0)),
        faces=(Face("p", "m", (((-10.0, -1.0), (10.0, -1.0), (10.0, 1.0), (-10.0, 1.0)),)),),
    )
    seen = clipped(lines, (0.0, 0.0), 5.0)
    assert seen.visible == (Line((-4.0, 3.0), (4.0, 3.0)),)
    assert Arc((0.0, 0.0), 2.0, 0.0, 360.0) in seen.cut
    rest = [p for p in seen.cut if isinstance(p, Line)]
    assert rest
    assert all(math.dist(p, (0.0, 0.0)) < 5.0 + 1e-9 for line in rest for p in (line.start, line.end))
    (face,) = seen.faces
    area = sum(
        (a[0] * b[1] - b[0] * a[1]) / 2 for loop in face.loops for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)
    )
    # twice the integral of sqrt(25 - y^2) from -1 to 1
    assert area == pytest.approx(2 * (math.sqrt(24) + 25 * math.asin(0.2)), rel=2e-3)


# codes of units


def test_a_code_goes_beside_a_unit_too_small_for_it_and_has_a_leader_then() -> None:
    space = Space([((0.0, 0.0), (40.0, 0.0)), ((0.0, 4.0), (40.0, 4.0))])
    items = coded("T1", (0.0, 0.0, 40.0, 4.0), space)
    (ring,) = [i for i in items if isinstance(i, Round)]
    (leader,) = [i for i in items if isinstance(i, Path)]
    assert not overlap(
        (0.0, 0.0, 40.0, 4.0), (ring.middle[0] - 3, ring.middle[1] - 3, ring.middle[0] + 3, ring.middle[1] + 3)
    )
    assert 0.0 < leader.points[0][1] < 4.0
    assert math.dist(leader.points[1], ring.middle) == pytest.approx(ring.radius)


def test_a_code_in_a_large_unit_has_none() -> None:
    items = coded("T1", (0.0, 0.0, 40.0, 30.0), Space([((0.0, 15.0), (40.0, 15.0))]))
    assert not any(isinstance(i, Path) for i in items)
    (ring,) = [i for i in items if isinstance(i, Round)]
    assert abs(ring.middle[1] - 15.0) > ring.radius


def test_the_leader_of_a_code_goes_round_words() -> None:
    """A thin unit with sizes written right beside it: no leader runs through the writing."""
    words = [Text("MARKS", (x, 50.0), "28 25/32 " * 5, 2.5, "centre", upright=True) for x in (-6.0, 7.0)]
    space = Space()
    space.take(words)
    (leader,) = [i for i in coded("E1", (0.0, 0.0, 1.0, 100.0), space) if isinstance(i, Path)]
    (x0, y0), (x1, y1) = leader.points
    for low in (w.rect() for w in words):
        for k in range(101):
            x, y = x0 + (x1 - x0) * k / 100, y0 + (y1 - y0) * k / 100
            assert not (low[0] < x < low[2] and low[1] < y < low[3])
