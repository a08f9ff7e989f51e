"""The tests on boxes against all-against-all and a collision library (FCL)."""

import fcl
import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from model.collision.bodies import Bodies, apart, crossing
from model.part import PlacedPart
from model.placement import Placement
from tests.placed import (
    PLAIN,
    offsets,
    panel,
    placements,
)


@given(st.integers(0, 10_000))
@settings(max_examples=25, deadline=None)
def test_sorted_boxes_give_the_pairs_of_all_against_all(seed):
    rng = np.random.default_rng(seed)
    low_a, low_b = (rng.integers(0, 20, (n, 3)).astype(np.float64) for n in (30, 20))
    high_a, high_b = (low + rng.integers(1, 8, low.shape).astype(np.float64) for low in (low_a, low_b))
    i, j = crossing(low_a, high_a, low_b, high_b)
    expected = [(a, b) for a in range(30) for b in range(20) if all(low_a[a] < high_b[b]) and all(low_b[b] < high_a[a])]
    assert list(zip(i.tolist(), j.tolist(), strict=True)) == expected


@given(at=placements, run=offsets)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_oriented_boxes_agree_with_a_collision_library(at, run):
    """A box swept in a straight line is the hull of its two ends: FCL's convex against box."""
    a, b = PlacedPart("a", PLAIN, Placement(), "x"), PlacedPart("b", panel(140, 60, 20), at, "x")
    bodies = Bodies.of([a, b])
    corners = np.array([[x, y, z] for x in (0, 150) for y in (0, 90) for z in (0, 40)], dtype=float)
    hull = hull_object(np.vstack((corners, corners + run)))
    other = fcl.CollisionObject(
        fcl.Box(140, 60, 20), fcl.Transform(np.array(at.rotation), np.array(at.apply((70.0, 30.0, 10.0))))
    )
    hit = bool(fcl.collide(hull, other, fcl.CollisionRequest(), fcl.CollisionResult()))
    one, two = np.array([0]), np.array([1])
    assert (not apart(bodies, one, two, np.array([run]), grow=0.001)[0]) or not hit
    assert apart(bodies, one, two, np.array([run]), grow=-0.001)[0] or hit


def hull_object(points: np.ndarray) -> fcl.CollisionObject:
    hull = ConvexHull(points)
    faces = np.column_stack((np.full(len(hull.simplices), 3), hull.simplices)).ravel()
    return fcl.CollisionObject(fcl.Convex(points, len(hull.simplices), faces))
