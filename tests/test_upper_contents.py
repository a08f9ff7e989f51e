"""What is inside and under an upper: fixed shelves and shelves on pins, columns, lights, doors."""

import itertools
from typing import Any

import pytest
from conftest import plan_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from soundness import built_or_refused
from uppers import OPTIONS, T, Upper, part, span

from model.checks.interference import interference
from model.cuts import Bore, Groove
from model.site import Unbuildable


def test_fixed_shelves_are_housed_in_grooves_and_reach_the_back(upper: Upper) -> None:
    unit = upper(800, 1000, hung=False, shelves={"fixed": 1, "count": 0}, joints={"groove_depth": 6})
    shelf = part(unit, "fixed shelf 1").bounds()
    assert shelf.span("x") == pytest.approx((T - 6, 800 - T + 6))
    assert shelf.span("y") == pytest.approx((20, span(unit, "back", "y")[0]))
    # clear height 1000 - 17.8 - 40, less the shelf, in two
    assert shelf.span("z")[1] == pytest.approx(40 + (1000 - T - 40 - T) / 2 + T)
    grooves = [c for c in part(unit, "left side").part.cuts if isinstance(c, Groove)]
    assert [round(c.u1 - c.u0, 3) for c in grooves].count(T) == 2  # the bottom and the fixed shelf
    assert not any(isinstance(c, Bore) for c in part(unit, "left side").part.cuts)


def test_heights_of_fixed_shelves_are_above_the_bottom(upper: Upper) -> None:
    unit = upper(800, 1000, hung=False, shelves={"fixed": [300.0, 620.0], "count": 0})
    assert [span(unit, f"fixed shelf {i}", "z")[1] - 40 for i in (1, 2)] == pytest.approx([300, 620])


def test_pin_rows_are_split_at_fixed_shelves(upper: Upper) -> None:
    unit = upper(800, 1200, hung=False, shelves={"fixed": 1, "count": 2, "margin": 96})
    side, shelf = part(unit, "left side"), part(unit, "fixed shelf 1").bounds()
    heights = sorted({round(side.placement.apply((c.u, c.v, 0))[2], 3) for c in side.part.cuts if isinstance(c, Bore)})
    low, high = 40 + 96, 1200 - T - 96
    assert heights[0] == pytest.approx(low)
    assert heights[-1] <= high
    below = [z for z in heights if z < shelf.lo[2]]
    above = [z for z in heights if z > shelf.hi[2]]
    assert below + above == heights
    assert shelf.lo[2] - below[-1] >= 96 - 0.001
    assert above[0] - shelf.hi[2] == pytest.approx(96)
    assert {round(b - a, 3) for row in (below, above) for a, b in itertools.pairwise(row)} == {32.0}
    # one of the two shelves on pins in each compartment
    assert span(unit, "shelf 1", "z")[1] < shelf.lo[2] < shelf.hi[2] < span(unit, "shelf 2", "z")[0]


def test_cleated_fixed_shelves_lie_on_strips(upper: Upper) -> None:
    """Clear height 1000 - 17.8 - 30 - 40, less a shelf and its strips of 30, in two: 432.2; the shelf ends at 520."""
    unit = upper(800, 1000, hung=False, joinery="cleated", shelves={"fixed": 1, "count": 2})
    shelf, strip = part(unit, "fixed shelf 1").bounds(), part(unit, "fixed shelf 1 cleat, left").bounds()
    assert shelf.hi[2] == pytest.approx(520)
    assert strip.span("z") == pytest.approx((520 - T - 30, 520 - T))
    side = part(unit, "left side")
    heights = [side.placement.apply((c.u, c.v, 0))[2] for c in side.part.cuts if isinstance(c, Bore)]
    assert strip.lo[2] - max(z for z in heights if z < strip.lo[2]) >= 96 - 0.001


LIGHT = {
    "mm": [{"strip": "warm strip 10", "profile": "channel 17x8"}, {"strip": "work strip 10"}, {"bar": "bar 600"}],
    "in": [{"strip": "warm strip", "profile": "channel"}, {"strip": "work strip"}, {"bar": "bar 24"}],
}


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    said=OPTIONS,
    which=st.integers(0, 2),
    cable=st.fixed_dictionaries(
        {"route": st.sampled_from(["down", "none"]), "side": st.sampled_from(["left", "right"])}
    ),
    width=st.floats(500, 1300).map(lambda x: round(x, 1)),
    lengths=st.sampled_from(["mm", "in"]),
)
def test_any_lit_upper_is_sound_or_says_why_not(
    upper: Upper, said: dict[str, Any], which: int, cable: dict[str, Any], width: float, lengths: str
) -> None:
    light = {**LIGHT[lengths][which], "cable": cable}
    unit = built_or_refused(lambda: upper(width, 900, lengths, light=light, **said))
    assert unit is None or [f.message for f in interference(plan_of(unit))] == []


def test_a_light_hangs_under_the_bottom_behind_the_rail(upper: Upper) -> None:
    """The bottom lies 40 - 17.8 up behind the facing, its front at 20: the light is 60 behind, 20 from the ends."""
    unit = upper(800, 700, light=LIGHT["mm"][0], shelves=None)
    profile, driver = part(unit, "light/profile").bounds(), part(unit, "light/driver").bounds()
    assert profile.hi[2] == pytest.approx(40 - T)
    assert profile.span("y") == pytest.approx((80, 97))
    assert profile.span("x") == pytest.approx((T + 20, 800 - T - 20))
    assert driver.lo[2] == pytest.approx(40)
    assert [c.purpose for c in part(unit, "bottom").part.cuts if isinstance(c, Bore)] == ["cable", "cable"]


@pytest.mark.parametrize(
    ("hung", "light", "match"),
    [(False, {}, "no room for a light under it"), (True, {"cable": {"route": "rear"}}, "lead its supply down")],
)
def test_a_light_that_cannot_be_says_why(upper: Upper, hung: bool, light: dict[str, Any], match: str) -> None:
    with pytest.raises(Unbuildable, match=match):
        upper(800, 700, hung=hung, light={**LIGHT["mm"][0], **light})


def test_a_driver_stands_clear_of_the_pins_over_it(upper: Upper) -> None:
    """Pins of 5 mm in bores 33 over the bottom leave 30.5; a driver 22 high takes 10 of air."""
    shelves = {"count": 13, "pitch": 5.0, "margin": 33.0}
    with pytest.raises(Unbuildable, match=r"needs 32 mm over its shelf, there is 30\.5 mm"):
        upper(800, 700, light=LIGHT["mm"][0], shelves=shelves)


def test_columns_are_divided_by_housed_partitions(upper: Upper) -> None:
    """800 between 17.8 sides and one 17.8 partition: two columns of 373.3, one with a fixed shelf, one with pins."""
    unit = upper(800, 1000, columns=[{"shelves": {"fixed": 1, "count": 0}}, {"shelves": {"count": 1}}])
    x = (800 - 3 * T) / 2
    assert span(unit, "partition 1", "x") == pytest.approx((T + x, 2 * T + x))
    assert span(unit, "partition 1", "z") == pytest.approx((40 - 6, 1000 - T + 6))
    assert span(unit, "column 1 fixed shelf 1", "x")[1] == pytest.approx(T + x + 6)
    assert span(unit, "column 2 shelf 1", "x") == pytest.approx((2 * T + x + 1, 800 - T - 1))


def test_contents_are_said_once(upper: Upper) -> None:
    with pytest.raises(Unbuildable, match="put them into the columns"):
        upper(800, 700, columns=[{}, {}], shelves={"count": 1})


def test_doors_of_a_pair_swing_outward_to_their_own_sides(upper: Upper) -> None:
    """Half way open the free edge of each leaf stands before its hinge side, nearer to the viewer than before."""
    unit = upper(800, 700, doors={"leaves": 2})
    for name, sign in (("left door", 1), ("right door", -1)):
        motion = next(m for m in unit.motions if m.name == name)
        door = part(unit, f"{name}/door").bounds()
        free = door.hi[0] if sign > 0 else door.lo[0]
        x, y, _ = motion.origin
        assert abs(free - x) > 300
        # a quarter turn about the axis: (dx, 0) goes to (0, dx * direction)
        assert (free - x) * motion.direction[2] < 0
        assert y == pytest.approx(door.lo[1])
