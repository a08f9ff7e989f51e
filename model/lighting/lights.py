"""Task lights under a shelf: a strip in a profile or a bar, its driver, and the bores its cables take.

Everything here is on the low-voltage side of a driver. What is on mains (the driver's supply, an outlet, a switch) is
work for a licensed electrician and the local code.
"""

import itertools
from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from model.config.types import Name, NonNegativeLength, PositiveLength, Strict
from model.draft import Draft, Panel
from model.lighting.parts import bar_part, driver_part, profile_part, strip_part
from model.messages import mm
from model.placement import Placement
from model.shapes import Box
from model.site import Site, Unbuildable
from model.stock.lights import Driver, LedStrip, LightProfile
from model.stock.pick import pick
from model.stock.tables import Stock
from model.tolerances import rounded
from model.tops.seams import even_pieces

Span = tuple[float, float]

LOAD_SHARE = 0.8
"""A driver carries at most this share of its rating for long (NFPA 70, 210.20(A): a continuous load at 125 %)."""

BESIDE_BORE = 5.0
"""mm. Least wood beside a cable's bore (common practice)."""

AIR = 10.0
"""mm. A driver keeps this far from what stands beside it: it must shed its heat (common practice)."""


class CableOptions(Strict):
    """The way of the cables: bores that are really drilled."""

    bore: PositiveLength = Field(default=12.0, ge=4, le=60)
    """Diameter of the bores; 12 mm passes a low-voltage plug (common practice)."""
    route: Literal["down", "rear", "none"] = "down"
    """The driver's supply goes `down` through a bore at the wall, to a grommet in the top, or out at the `rear` through
    the back, where there is one; `none`: over the edge of the shelf, without a bore."""
    side: Literal["left", "right"] = "right"
    """The end the cables are at."""


class LightOptions(Strict):
    """A light under a shelf: a strip, in a profile or bare, or a bar. Low voltage; the mains side of its driver is work
    for a licensed electrician and the local code."""

    strip: Name | None = None
    """The LED strip in stock, cut to whole segments."""
    profile: Name | None = None
    """The profile it lies in; the strip is stuck to the shelf where there is none."""
    bar: Name | None = None
    """A light bar in place of a strip."""
    driver: Name | None = None
    """Its power supply; the smallest in stock of that voltage that is strong enough unless given."""
    length: PositiveLength | None = None
    """Length of the profile; as long as there is room unless given."""
    margin: NonNegativeLength = 20.0
    """Room left at both ends."""
    set_back: NonNegativeLength = 60.0
    """Front of the shelf to the light."""
    cable: CableOptions = CableOptions()
    """The way of the cables."""


@dataclass(frozen=True)
class LightPlace:
    """Where a light may go, mm in the unit.

    It is fixed under the panel `under` within `x` and `y` (clear of what hangs there; y[0] is the front it is set back
    from, `front` the first y it may reach). Its driver stands on `on` within `on_x` and `on_y`, against the rear.
    `back` is the panel behind, for cables that leave through it; `headroom` the clear height over `on`, where something
    lies over it.
    """

    under: Panel
    x: Span
    y: Span
    on: Panel
    on_x: Span
    on_y: Span
    front: float = 0.0
    back: Panel | None = None
    headroom: float | None = None


@dataclass(frozen=True)
class Light:
    """A light that was placed: the room it takes under the panel, its driver, and what it draws (W)."""

    box: Box
    driver: Driver
    watts: float


def driver_for(stock: Stock, volts: float, watts: float, name: str | None = None, *loc: str | int) -> Driver:
    """The driver of that name, else the smallest in stock, that gives `volts` and carries `watts` for long.

    Raises Unbuildable where it (or any) is of another voltage or too weak.
    """
    needed = watts / LOAD_SHARE
    given = pick(stock.drivers, name, "driver", *loc, "driver")
    if given is None:
        enough = [d for d in stock.drivers.values() if d.volts == volts and d.watts >= needed - 1e-9]
        if not enough:
            raise Unbuildable(
                f"no driver in stock gives {volts:g} V and {needed:.3g} W ({watts:.3g} W of light at {LOAD_SHARE:.0%})",
                *loc,
                "driver",
            )
        return min(enough, key=lambda d: (d.watts, d.name))
    if given.volts != volts:
        raise Unbuildable(f"{given.name} gives {given.volts:g} V, the light runs on {volts:g} V", *loc, "driver")
    if given.watts < needed - 1e-9:
        raise Unbuildable(
            f"{given.name} is rated {given.watts:g} W; {watts:.3g} W of light need {needed:.3g} W "
            f"(a lasting load is at most {LOAD_SHARE:.0%} of the rating)",
            *loc,
            "driver",
        )
    return given


def light_under(
    draft: Draft, site: Site, options: LightOptions, place: LightPlace, prefix: str = "light", loc: str = "light"
) -> Light:
    """Fix a light under a panel, stand its driver, bore the way of its cables; `loc` is the key of its options.

    Parts are named `light/profile`, `light/strip`, `light/bar`, `light/driver`. Raises Unbuildable.
    """
    if (options.strip is None) == (options.bar is None):
        raise Unbuildable("a light is a strip or a bar: name one of them", loc)
    y0 = rounded(place.y[0] + options.set_back)
    if y0 < place.front:
        raise Unbuildable(f"it must be set back {mm(rounded(place.front - place.y[0]))} or more", loc, "set_back")
    if options.bar is not None:
        box, volts, watts = _bar(draft, site, options, place, y0, prefix, loc)
    else:
        box, volts, watts = _strip(draft, site, options, place, y0, prefix, loc)
    driver = driver_for(site.stock, volts, watts, options.driver, loc)
    _wire(draft, options, place, box, driver, prefix, loc)
    return Light(box, driver, watts)


def _room(options: LightOptions, place: LightPlace, loc: str) -> Span:
    """From where to where along x the light may reach."""
    room = (rounded(place.x[0] + options.margin), rounded(place.x[1] - options.margin))
    if room[1] - room[0] < 1:
        raise Unbuildable(f"margins of {mm(options.margin)} leave no room for a light", loc, "margin")
    return room


def _too_long(length: float, room: Span, loc: str, key: str) -> Unbuildable:
    return Unbuildable(f"the light is {mm(length)} long, there is room for {mm(rounded(room[1] - room[0]))}", loc, key)


def _hung(x: float, y: float, z: float) -> Placement:
    """The placement of a part that stands on z = 0, turned to hang from z: its own far long edge at y."""
    return Placement.axes((x, y, z), "+x", "-z")


def _bar(
    draft: Draft, site: Site, options: LightOptions, place: LightPlace, y0: float, prefix: str, loc: str
) -> tuple[Box, float, float]:
    bar = pick(site.stock.light_bars, options.bar, "light bar", loc, "bar")
    assert bar is not None
    if options.length is not None or options.profile is not None:
        raise Unbuildable("a bar is as long as it is and has no profile: leave these out", loc, "bar")
    room = _room(options, place, loc)
    if bar.length > room[1] - room[0]:
        raise _too_long(bar.length, room, loc, "bar")
    x = rounded((room[0] + room[1] - bar.length) / 2)
    z = place.under.box.lo[2]
    path = draft.place(f"{prefix}/bar", bar_part(bar), _hung(x, y0 + bar.width, z), "light")
    draft.join("screwed", path, place.under)
    box = Box((x, y0, z - bar.height), (x + bar.length, y0 + bar.width, z))
    return _inside(box, place, loc), bar.volts, bar.watts


def _strip(
    draft: Draft, site: Site, options: LightOptions, place: LightPlace, y0: float, prefix: str, loc: str
) -> tuple[Box, float, float]:
    strip = pick(site.stock.led_strips, options.strip, "LED strip", loc, "strip")
    profile = pick(site.stock.light_profiles, options.profile, "profile", loc, "profile")
    assert strip is not None
    room = _room(options, place, loc)
    length = options.length if options.length is not None else rounded(room[1] - room[0])
    if length > rounded(room[1] - room[0]):
        raise _too_long(length, room, loc, "length")
    lit = strip_length(strip, length)
    if lit <= 0:
        raise Unbuildable(f"{mm(length)} is shorter than a segment of {strip.name}", loc, "length")
    x0 = rounded((room[0] + room[1] - length) / 2)
    z = place.under.box.lo[2]
    width, high = (profile.width, profile.height) if profile else (strip.width, strip.thickness)
    hosts = _profiles(draft, profile, strip, place, (x0, rounded(x0 + length)), y0, prefix, loc)
    base = profile.wall if profile else 0.0
    at = _hung(x0 + (length - lit) / 2, y0 + (width + strip.width) / 2, z - base)
    path = draft.place(f"{prefix}/strip", strip_part(strip, lit), at, "light")
    for host, span in hosts:
        if span[0] < x0 + (length + lit) / 2 and x0 + (length - lit) / 2 < span[1]:
            draft.join("glued", path, host)
    box = Box((x0, y0, z - high), (x0 + length, y0 + width, z))
    return _inside(box, place, loc), strip.volts, strip.watts_per_metre * lit / 1000


def strip_length(strip: LedStrip, room: float) -> float:
    """The longest piece of whole segments in a room, mm."""
    return rounded(int(room / strip.segment + 1e-9) * strip.segment)


def _profiles(
    draft: Draft,
    profile: LightProfile | None,
    strip: LedStrip,
    place: LightPlace,
    x: Span,
    y0: float,
    prefix: str,
    loc: str,
) -> list[tuple[str | Panel, Span]]:
    """The profile in pieces as long as it is sold; gives what the strip is stuck to."""
    if profile is None:
        return [(place.under, x)]
    inside = (profile.width - 2 * profile.wall, profile.height - 2 * profile.wall)
    if strip.width > inside[0] or strip.thickness > inside[1]:
        raise Unbuildable(
            f"{strip.name} ({mm(strip.width)} x {mm(strip.thickness)}) does not go into {profile.name}, "
            f"which is {mm(rounded(inside[0]))} x {mm(rounded(inside[1]))} inside",
            loc,
            "profile",
        )
    hosts: list[tuple[str | Panel, Span]] = []
    places = [x[0], *even_pieces(x, max(profile.lengths)), x[1]]
    for i, (a, b) in enumerate(itertools.pairwise(places), 1):
        path = f"{prefix}/profile" if len(places) == 2 else f"{prefix}/profile {i}"
        at = _hung(a, y0 + profile.width, place.under.box.lo[2])
        draft.place(path, profile_part(profile, rounded(b - a)), at, "light")
        draft.join("screwed", path, place.under)
        hosts.append((path, (a, b)))
    return hosts


def _inside(box: Box, place: LightPlace, loc: str) -> Box:
    if box.hi[1] > place.y[1]:
        raise Unbuildable(
            f"set back so far the light ends {mm(rounded(box.hi[1] - place.y[1]))} behind the shelf", loc, "set_back"
        )
    return box


def _wire(
    draft: Draft, options: LightOptions, place: LightPlace, light: Box, driver: Driver, prefix: str, loc: str
) -> None:
    """The driver at the rear of its panel, the lead up to it behind the light, the supply beside it."""
    cable, r = options.cable, options.cable.bore / 2
    sign = 1.0 if cable.side == "right" else -1.0
    end = min(place.x[1], place.on_x[1]) if sign > 0 else max(place.x[0], place.on_x[0])
    y_lead = rounded(light.hi[1] + BESIDE_BORE + r)
    rear = min(place.on_y[1], place.y[1])
    low = rear - driver.width
    if y_lead + r + BESIDE_BORE > low:
        raise Unbuildable(
            f"the light, its lead and a driver {mm(driver.width)} deep need "
            f"{mm(rounded(y_lead + r + BESIDE_BORE + driver.width - place.y[0]))} of depth, "
            f"there is {mm(rounded(rear - place.y[0]))}",
            loc,
            "set_back",
        )
    if place.headroom is not None and driver.height + AIR > place.headroom:
        raise Unbuildable(
            f"{driver.name}, {mm(driver.height)} high, needs {mm(driver.height + AIR)} over its shelf, "
            f"there is {mm(rounded(place.headroom))}",
            loc,
            "driver",
        )
    beside = 2 * r + 2 * BESIDE_BORE if cable.route == "down" else 0.0
    near = end - sign * (beside + AIR)
    xs = sorted((near, near - sign * driver.length))
    room = (max(place.on_x[0], place.x[0]), min(place.on_x[1], place.x[1]))
    if xs[0] < room[0] + AIR or xs[1] > room[1] - AIR:
        raise Unbuildable(
            f"no room for {driver.name}, {mm(driver.length)} long, in {mm(rounded(room[1] - room[0]))}", loc, "driver"
        )
    z = place.on.box.hi[2]
    path = draft.place(f"{prefix}/driver", driver_part(driver), Placement((xs[0], low, z)), "driver")
    draft.join("screwed", path, place.on)
    lead = rounded(min(max(near - sign * driver.length / 2, light.lo[0] + r), light.hi[0] - r))
    _through(place, (lead, y_lead), cable.bore)
    if cable.route == "down":
        _through(place, (rounded(end - sign * (BESIDE_BORE + r)), rounded(rear - BESIDE_BORE - r)), cable.bore)
    elif cable.route == "rear":
        if place.back is None:
            raise Unbuildable("there is no back for the cables to leave through", loc, "cable", "route")
        at = (near - sign * driver.length / 2, place.back.box.lo[1], z + driver.height / 2 + r)
        place.back.bore(at, "+y", cable.bore, None, "cable")


def _through(place: LightPlace, at: tuple[float, float], diameter: float) -> None:
    """A bore straight down through the panels between driver and light."""
    for panel in {id(p): p for p in (place.on, place.under)}.values():
        panel.bore((*at, panel.box.hi[2]), "-z", diameter, None, "cable")
