"""Lights under a shelf: sound wherever they fit, wired through real bores, on a driver that is strong enough."""

from typing import Any

import pytest
from conftest import plan_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from model.checks.interference import interference
from model.cuts import Bore
from model.draft import Draft
from model.lighting.lights import LightOptions, LightPlace, driver_for, light_under, strip_length
from model.materials import Materials
from model.part import PlacedPart
from model.plan import BuiltUnit
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock.lights import Driver, LedStrip, LightProfile
from model.stock.tables import Stock

Stocks = dict[str, tuple[Stock, Materials]]
WORDS = {
    "mm": {"strips": ["warm strip 10", "work strip 10"], "profile": "channel 17x8", "bar": "bar 600"},
    "in": {"strips": ["warm strip", "work strip"], "profile": "channel", "bar": "bar 24"},
}


def lit(
    stocks: Stocks,
    width: float = 1000,
    depth: float = 280,
    lengths: str = "mm",
    twice: bool = False,
    back: bool = False,
    **options: Any,
) -> BuiltUnit:
    """A shelf with a light under it; `twice`: the driver stands on a second panel above; `back`: with a back behind."""
    stock, materials = stocks[lengths]
    site = Site("unit", "X1", width, None, stock, materials)
    draft, sheet, thin = Draft(), site.sheet("carcass"), site.sheet("back")
    t = sheet.thickness
    shelf = draft.sheet("shelf", Box((0, 0, 0), (width, depth, t)), sheet, "x", "+z", "shelf")
    on = shelf
    if twice:
        on = draft.sheet("upper shelf", Box((0, 0, 300), (width, depth, 300 + t)), sheet, "x", "+z", "shelf")
    behind = None
    if back:
        box = Box((0, depth, 0), (width, depth + thin.thickness, 500))
        behind = draft.sheet("back", box, thin, "x", "-y", "back")
        draft.join("screwed", behind, shelf)
    x, y = (20.0, width - 20.0), (0.0, depth)
    light_under(draft, site, LightOptions(**options), LightPlace(shelf, x, y, on, x, y, back=behind))
    return draft.finish("unit", "X1", "test")


def part(unit: BuiltUnit, path: str) -> PlacedPart:
    return next(p for p in unit.parts if p.path == path)


def cables(unit: BuiltUnit, path: str) -> list[tuple[float, float, float]]:
    """The cables' bores in a panel that lies flat: x and y of their axes in the unit, and their radius."""
    found = part(unit, path)
    bores = [c for c in found.part.cuts if isinstance(c, Bore) and c.purpose == "cable"]
    places = [found.placement.apply((c.u, c.v, 0.0)) for c in bores]
    return sorted((round(x, 3), round(y, 3), c.diameter / 2) for (x, y, _), c in zip(places, bores, strict=True))


@st.composite
def lights(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    lengths = draw(st.sampled_from(["mm", "in"]))
    words = WORDS[lengths]
    kind = draw(
        st.sampled_from(words["strips"]).map(lambda s: {"strip": s, "profile": words["profile"]})
        | st.sampled_from(words["strips"]).map(lambda s: {"strip": s})
        | st.just({"bar": words["bar"]})
    )
    cable = {
        "bore": draw(st.sampled_from([8.0, 12.0, 20.0])),
        "route": draw(st.sampled_from(["down", "rear", "none"])),
        "side": draw(st.sampled_from(["left", "right"])),
    }
    margin, set_back = draw(st.sampled_from([0.0, 20.0, 45.0])), draw(st.floats(0, 150))
    return lengths, {**kind, "cable": cable, "margin": margin, "set_back": set_back}


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    asked=lights(),
    width=st.floats(260, 3200),
    depth=st.floats(150, 400),
    twice=st.booleans(),
    back=st.booleans(),
)
def test_any_light_is_sound_or_says_why_not(
    stocks: Stocks, asked: tuple[str, dict[str, Any]], width: float, depth: float, twice: bool, back: bool
) -> None:
    """Nothing meets, every joint does, and every cable's bore is a whole hole, clear of edges, light and driver."""
    lengths, options = asked
    try:
        unit = lit(stocks, round(width, 1), round(depth, 1), lengths, twice, back, **options)
    except Unbuildable as problem:
        if not problem.message or problem.loc[0] != "light":
            raise
        return
    loose = {"upper shelf"} if twice else set()
    found = [f for f in interference(plan_of(unit)) if not (f.code == "adrift" and loose & set(f.parts))]
    assert [f.message for f in found] == []
    shelf = part(unit, "shelf").bounds()
    fittings = [p.bounds() for p in unit.parts if p.role in ("light", "driver")]
    bores = cables(unit, "shelf")
    assert len(bores) == (2 if options["cable"]["route"] == "down" else 1)
    for x, y, r in bores:
        assert shelf.lo[0] < x - r
        assert x + r < shelf.hi[0]
        assert shelf.lo[1] < y - r
        assert y + r < shelf.hi[1]
        hole = Box((x - r, y - r, -50), (x + r, y + r, 400))
        assert all(hole.common(box) is None for box in fittings)
    if options["cable"]["route"] == "rear":
        assert len(cables(unit, "back")) == 1


def test_a_strip_is_as_many_whole_segments_as_fit_in_its_profile(stocks: Stocks) -> None:
    """1000 mm of shelf less 20 at each end and a margin of 20: 920 mm of profile, 14 segments of 62.5 mm are 875 mm."""
    unit = lit(stocks, strip="work strip 10", profile="channel 17x8")
    profile, strip = part(unit, "light/profile"), part(unit, "light/strip")
    assert profile.bounds().span("x") == (40, 960)
    assert strip.part.length == 875
    assert strip.bounds().span("x") == (62.5, 937.5)
    # the profile is 17 x 8 and 60 back, under the shelf; the strip lies on its 1.2 mm base, centred
    assert profile.bounds().span("y") == (60, 77)
    assert profile.bounds().span("z") == (-8, 0)
    assert strip.bounds().span("y") == (63.5, 73.5)
    assert strip.bounds().span("z") == pytest.approx((-3.2, -1.2))


def test_a_profile_is_a_channel_with_a_cover(stocks: Stocks) -> None:
    from model.meshes import volume

    unit = lit(stocks, strip="work strip 10", profile="channel 17x8")
    hollow = (17 - 2.4) * (8 - 2.4)
    assert volume(part(unit, "light/profile").part) == pytest.approx((17 * 8 - hollow) * 920, rel=1e-9)


def test_a_long_light_has_a_profile_in_pieces_and_one_strip(stocks: Stocks) -> None:
    unit = lit(stocks, width=3180, strip="warm strip 10", profile="channel 17x8")
    pieces = [part(unit, f"light/profile {i}").bounds().span("x") for i in (1, 2)]
    assert pieces == [(40, 1590), (1590, 3140)]
    assert part(unit, "light/strip").part.length == 3100


def test_the_lead_goes_up_behind_the_light_to_the_driver(stocks: Stocks) -> None:
    unit = lit(stocks, strip="work strip 10", profile="channel 17x8", cable={"bore": 12})
    lead, supply = cables(unit, "shelf")
    assert lead[1:] == (77 + 5 + 6, 6)
    assert supply == (980 - 5 - 6, 280 - 5 - 6, 6)
    driver = part(unit, "light/driver").bounds()
    assert driver.span("z") == pytest.approx((17.8, 17.8 + 22))
    assert driver.span("y") == (280 - 42, 280)
    assert driver.hi[0] == 980 - (12 + 2 * 5) - 10


def test_through_two_panels_the_bores_are_in_line(stocks: Stocks) -> None:
    unit = lit(stocks, twice=True, strip="work strip 10")
    places = [cables(unit, path) for path in ("shelf", "upper shelf")]
    assert places[0] == places[1]
    assert len(places[0]) == 2


@pytest.mark.parametrize(
    ("options", "key", "message"),
    [
        ({}, (), "a strip or a bar"),
        ({"strip": "work strip 10", "bar": "bar 600"}, (), "a strip or a bar"),
        ({"strip": "wurk strip 10"}, ("strip",), "did you mean 'work strip 10'"),
        ({"strip": "work strip 10", "length": 2000.0}, ("length",), "2000 mm long, there is room for 920 mm"),
        ({"strip": "work strip 10", "length": 40.0}, ("length",), "shorter than a segment"),
        ({"strip": "work strip 10", "set_back": 210.0}, ("set_back",), "of depth"),
        ({"strip": "work strip 10", "set_back": 275.0}, ("set_back",), "5 mm behind the shelf"),
        ({"strip": "work strip 10", "cable": {"route": "rear"}}, ("cable", "route"), "no back"),
        ({"bar": "bar 600", "length": 500.0}, ("bar",), "as long as it is"),
    ],
)
def test_what_cannot_be_lit_says_why(
    stocks: Stocks, options: dict[str, Any], key: tuple[str, ...], message: str
) -> None:
    with pytest.raises(Unbuildable, match=message) as caught:
        lit(stocks, **options)
    assert caught.value.loc == ("light", *key)


def test_a_strip_too_wide_for_its_profile_is_refused(stocks: Stocks) -> None:
    stock, materials = stocks["mm"]
    slim = LightProfile(width=10.0, height=6.0, lengths=(1000.0,))
    slim._name = "slim"
    narrow = stock.model_copy(update={"light_profiles": {"slim": slim}})
    with pytest.raises(Unbuildable, match="does not go into slim"):
        lit({"mm": (narrow, materials)}, strip="work strip 10", profile="slim")


def test_a_driver_of_another_voltage_or_too_weak_is_refused(stocks: Stocks) -> None:
    stock, _ = stocks["mm"]
    other = Driver(length=100.0, width=40.0, height=20.0, volts=12.0, watts=60.0)
    other._name = "twelve"
    mixed = stock.model_copy(update={"drivers": {**stock.drivers, "twelve": other}})
    with pytest.raises(Unbuildable, match="twelve gives 12 V, the light runs on 24 V"):
        driver_for(mixed, 24, 10, "twelve")
    with pytest.raises(Unbuildable, match="driver 30 is rated 30 W; 25 W of light need"):
        driver_for(mixed, 24, 25, "driver 30")
    assert driver_for(mixed, 24, 24, "driver 30").name == "driver 30"
    assert driver_for(mixed, 24, 24.1).name == "driver 60"
    with pytest.raises(Unbuildable, match="no driver in stock gives 24 V and 188 W"):
        driver_for(mixed, 24, 150)


def test_no_segment_is_lost_to_rounding() -> None:
    strip = LedStrip(width=8.0, thickness=2.0, segment=33.3, volts=24.0, watts_per_metre=5.0)
    assert strip_length(strip, 333.0) == 333.0
    assert strip_length(strip, 332.9) == pytest.approx(299.7)
