"""Joinery against closed forms and the habits of the trade."""

import itertools
import math

import pytest
from conftest import MakeUnit

from model.cabinet.joinery import evenly, on_grid, pocket_bore
from model.cuts import Bore, PocketBore
from model.meshes import volume
from model.part import Part, canonical
from model.site import Unbuildable
from model.solids import solid
from model.stock.tables import Screw

SCREW = Screw(diameter=4, length=32, clearance_diameter=4.5, pilot_diameter=2.8)
SIDE, PANEL = 17.8, 17.8


def pocketed(edge: str) -> Part:
    bore = pocket_bore(SCREW, PANEL, SIDE, (400.0, 200.0), edge, 60.0)
    return Part(kind="sheet", material="ply", length=400, width=200, thickness=PANEL, cuts=(bore,))


@pytest.mark.parametrize("edge", ["x0", "x1", "y0", "y1"])
def test_a_pocket_bore_takes_away_the_volume_of_two_truncated_cylinders(edge: str) -> None:
    """A cylinder cut by planes that cross all of it has the volume of its section times its length on the axis."""
    part = pocketed(edge)
    (bore,) = part.cuts
    assert isinstance(bore, PocketBore)
    axis = PANEL / 2 / math.sin(math.radians(15))
    taken = math.pi / 4 * (9.5**2 * (axis - bore.shoulder) + 4.5**2 * bore.shoulder)
    blank = 400 * 200 * PANEL
    assert blank - volume(part) == pytest.approx(taken, abs=0.5)
    assert blank - solid(part).Volume() == pytest.approx(taken, abs=0.5)


def test_a_pocket_screw_leaves_the_end_in_the_middle_and_stays_in_the_side() -> None:
    """15 degrees, a 3/8 in pocket, out of the end at half the thickness (common practice)."""
    (bore,) = pocketed("x1").cuts
    assert isinstance(bore, PocketBore)
    assert (bore.degrees, bore.diameter) == (15.0, 9.5)
    assert (400 - bore.u) * math.tan(math.radians(15)) == pytest.approx(PANEL / 2, abs=0.001)
    tip = (SCREW.length - bore.shoulder) * math.cos(math.radians(15))
    assert SIDE / 2 < tip < SIDE
    assert bore.depth_in((400, 200, PANEL)) < PANEL


def test_a_turned_panel_has_the_same_pocket() -> None:
    """Half a turn moves a pocket from face B to face A and loses nothing."""
    shapes = {canonical(pocketed(edge))[0] for edge in ("x0", "x1")}
    assert len({round(volume(s), 3) for s in shapes}) == 1
    assert {c.face for s in shapes for c in s.cuts if isinstance(c, PocketBore)} == {"A"}


def test_a_screw_that_suits_neither_panel_is_refused() -> None:
    long = SCREW.model_copy(update={"length": 64.0})
    with pytest.raises(Unbuildable, match="has no pocket"):
        pocket_bore(long, PANEL, SIDE, (400.0, 200.0), "x1", 60.0)


def test_dowels_lie_on_the_32_mm_grid(make_unit: MakeUnit) -> None:
    """32 mm system (common practice): 8 mm dowels, the first 37 mm from the front edge, a multiple of 32 mm apart."""
    unit = make_unit("base", 600, 800, joinery="dowelled", frame=None, toe_kick=None, closing="full", wall_rail=None)
    left = next(p for p in unit.parts if p.path == "left side")
    bores = [c for c in left.part.cuts if isinstance(c, Bore) and c.purpose == "dowel"]
    rows = sorted({b.v for b in bores})
    assert {b.diameter for b in bores} == {8}
    front = [37 + 32 * k for k in range(20)]
    ends = (rows, [left.part.width - v for v in rows])  # a turned panel is measured from its other edge
    assert any(all(any(abs(v - f) < 0.01 for f in front) for v in way) for way in ends)
    assert all((b - a) % 32 == pytest.approx(0, abs=0.01) for a, b in itertools.pairwise(rows))
    assert max(b - a for a, b in itertools.pairwise(rows)) <= 128.01


def test_places_keep_to_their_span() -> None:
    assert on_grid((0, 100), 37, 16) == [37, 69]
    assert on_grid((0, 30), 37, 16) == [15]
    assert evenly((0, 600)) == pytest.approx([37, 168.5, 300, 431.5, 563])
    assert evenly((0, 30)) == [15]
