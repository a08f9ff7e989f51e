"""What is screwed on site: bases to the wall through their rails, uppers down into tops."""

import itertools

import pytest

from model.build import Build
from model.cuts import Bore


@pytest.mark.parametrize("name", ["herbarium", "trains", "guest_study"])
def test_a_base_is_screwed_to_the_wall_through_its_rail_and_its_back(name: str, request: pytest.FixtureRequest) -> None:
    """Two screws a stud behind each rail, or evenly where none is known; the back is bored where each passes."""
    built: Build = request.getfixturevalue(name)
    walls = {w.name: w for w in built.walls}
    bases = [u for u in built.plan.units if u.kind == "base"]
    assert bases
    for made in bases:
        rail, back = (next(p for p in made.parts if p.role == role) for role in ("wall rail", "back"))
        wall = walls[built.stands_at[made.name]]
        inward = wall.frame.inverse()
        box = rail.moved(inward).bounds()
        (fixing,) = (f for f in built.plan.fixings if f.through == rail.path and f.kind == "wall screw")
        spots = [inward.apply(s.at) for s in fixing.spots]
        studs = wall.wall.studs.centres(wall.wall.width) if wall.wall.studs else ()
        behind = [x for x in studs if box.lo[0] + 25 <= x <= box.hi[0] - 25]
        if wall.wall.studs:
            assert {min(abs(x - s) for s in behind) <= 12 for x, _, _ in spots} == {True}
            assert len(spots) == 2 * len(behind)
        else:  # evenly, 16 in apart at most
            xs = sorted({x for x, _, _ in spots})
            assert max(b - a for a, b in itertools.pairwise(xs)) <= 406.4
            assert len(spots) == 2 * len(xs)
        bores = [c for c in back.part.cuts if isinstance(c, Bore) and c.purpose == "wall clearance"]
        holes = [back.placement.apply(c.bar(back.part.size).base) for c in bores]
        inside = [inward.apply(h) for h in holes]
        assert sorted((round(x, 1), round(z, 1)) for x, _, z in inside) == sorted(
            (round(x, 1), round(z, 1)) for x, _, z in spots
        )


@pytest.mark.parametrize("name", ["herbarium", "trains", "guest_study"])
def test_rail_screws_keep_off_the_seams_of_a_top(name: str, request: pytest.FixtureRequest) -> None:
    """No pilot in a face comes nearer to an end or edge of its blank than its own diameter."""
    built: Build = request.getfixturevalue(name)
    for placed in built.plan.walk():
        length, width, _ = placed.part.size
        for cut in placed.part.cuts:
            if isinstance(cut, Bore) and cut.purpose == "pilot" and cut.face in ("A", "B"):
                assert min(cut.u, length - cut.u, cut.v, width - cut.v) >= cut.diameter, placed.path
