"""Whether the low-voltage side of each light holds up: its driver, the volts lost on the way, the wire, the heat.

The mains side of a driver, its plug or box and its switch are work for a licensed electrician under the local code. The
code: `wiring`, once for each light.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from model.build import Build
from model.checks import check
from model.findings import Code, Finding
from model.lengths import show_length
from model.lighting import wires
from model.lighting.found import FoundLight, lights_of
from model.lighting.lights import LOAD_SHARE
from model.stock.lights import LedStrip
from model.tolerances import rounded

SPARE = 300.0
"""mm. Cable to spare at both ends together (common practice)."""
WARM = {"bare": 10.0, "profile": 20.0}
"""W/m. What a strip stuck to wood, or in a slim profile, gives off without getting hot enough to age early (common
practice)."""
ELECTRICIAN = "the mains side is work for a licensed electrician"
SOURCE = (
    "V = 2 L R' I, half of it along an evenly lit strip; copper IEC 60028; driver at 80 % (NFPA 70, 210.20(A)); drop "
    "3 % (NFPA 70, 210.19(A), note)"
)

CODES = (
    Code(
        "wiring",
        "Whether the driver of a light is strong enough, how many volts are lost on the way to its far end, which wire "
        "to take and how warm it gets. The mains side is work for a licensed electrician.",
        causes=(
            "a long strip fed from one end",
            "a thin or long cable between driver and light",
            "a strong strip without a profile that takes its heat",
        ),
        moved_by=(
            "unit: light.strip",
            "unit: light.driver",
            "unit: light.length",
            "unit: light.profile",
            "project: comfort.light.lead",
            "project: comfort.light.drop",
        ),
    ),
)


@dataclass(frozen=True, slots=True)
class Feed:
    """A light's supply: amperes, the cable's length (m), the wire to take (its name, mm2), the volts lost in the cable
    and along the strip."""

    amperes: float
    lead: float
    wire: str
    area: float
    in_lead: float
    along: float
    fits: bool


@check
def wiring(build: Build) -> Iterator[Finding]:
    """Finding `wiring`."""
    for unit in build.plan.units:
        for light in lights_of(unit, build.stock):
            yield _finding(build, light)


def lead_of(build: Build, light: FoundLight) -> float:
    """The length of the cable from driver to light, mm: as the project says, else at right angles to the nearer end."""
    said = build.inputs.project.value.comfort.light.lead
    if said is not None or light.driver is None:
        return said or SPARE
    at = light.driver.bounds().center
    return rounded(min(sum(abs(a - b) for a, b in zip(at, end, strict=True)) for end in light.ends) + SPARE)


def feed(build: Build, light: FoundLight) -> Feed:
    """The smallest wire that keeps the whole loss within what is allowed, or the thickest where none does."""
    volts, amperes = light.item.volts, light.watts / light.item.volts
    along = 0.0
    if isinstance(light.item, LedStrip):
        along = wires.drop(amperes, wires.tracks(light.item.width) * light.length / 1000, along=True)
    lead = lead_of(build, light) / 1000
    allowed = volts * build.inputs.project.value.comfort.light.drop / 100
    metric = build.plan.lengths == "mm"
    areas = wires.METRIC_SIZES if metric else tuple(wires.awg_area(n) for n in wires.AWG_SIZES)
    names = [f"{a:g} mm²" for a in areas] if metric else [f"{n} AWG" for n in wires.AWG_SIZES]
    found = wires.smallest(areas, amperes, lead, max(allowed - along, 0.0))
    i = found if found is not None else len(areas) - 1
    lost = wires.drop(amperes, 2 * wires.resistance(areas[i], lead))
    return Feed(amperes, lead, names[i], areas[i], lost, along, found is not None)


def _finding(build: Build, light: FoundLight) -> Finding:
    lengths, item, fed = build.plan.lengths, light.item, feed(build, light)
    allowed = build.inputs.project.value.comfort.light.drop
    lost = fed.in_lead + fed.along
    share = 100 * lost / item.volts
    per_metre = light.watts / light.length * 1000
    hot = isinstance(item, LedStrip) and per_metre > WARM["profile" if light.profiles else "bare"]
    weak = light.supply is not None and light.watts > LOAD_SHARE * light.supply.watts + 1e-9
    said = [
        f"{light.path} draws {light.watts:.1f} W, {fed.amperes:.2f} A at {item.volts:g} V",
        _driver(light, weak),
        f"{fed.wire} wire does for {show_length(rounded(fed.lead * 1000), lengths)} of cable ("
        f"2 x {fed.lead:.2f} m x {1000 * wires.resistance(fed.area):.1f} ohm/km x {fed.amperes:.2f} A = "
        f"{fed.in_lead:.2f} V)",
    ]
    if not fed.fits:
        said[2] = f"no wire up to {fed.wire} keeps the loss within {allowed:g} %"
    if fed.along:
        ohm, metres = wires.tracks(light.source.part.width), light.length / 1000
        said.append(
            f"along the strip {ohm:.3f} ohm/m (estimated) x {metres:.2f} m x {fed.amperes:.2f} A / 2 = "
            f"{fed.along:.2f} V are lost, {share:.1f} % in all"
        )
    if share > allowed:
        said.append(f"{allowed:g} % is the most: feed it at both ends or in the middle, or take two")
    said.append(_heat(light, per_metre, hot))
    return Finding(
        code="wiring",
        severity="warning" if weak or hot or not fed.fits else "note",
        message="; ".join(s for s in [*said, ELECTRICIAN] if s),
        parts=(light.source.path, *((light.driver.path,) if light.driver else ())),
        value=round(share, 2),
        limit=allowed,
        unit="%",
        source=SOURCE,
        details=(
            ("watts", round(light.watts, 2)),
            ("amperes", round(fed.amperes, 3)),
            ("driver_W", light.supply.watts if light.supply else 0.0),
            ("lead_mm", rounded(fed.lead * 1000)),
            ("wire_mm2", round(fed.area, 3)),
            ("lead_V", round(fed.in_lead, 4)),
            ("strip_V", round(fed.along, 4)),
            ("watts_per_metre", round(per_metre, 2)),
        ),
    )


def _driver(light: FoundLight, weak: bool) -> str:
    if light.supply is None:
        return ""
    needed = light.watts / LOAD_SHARE
    said = (
        f"its driver is rated {light.supply.watts:g} W, {light.watts:.1f} / {LOAD_SHARE:g} = {needed:.1f} W are needed"
    )
    if weak:
        return f"{said}: take a stronger one"
    limit = wires.class_2(light.supply.volts)
    if light.supply.watts > limit:
        return f"{said}; over {limit:g} W it is no Class 2 supply, and its wires are for an electrician too"
    return said


def _heat(light: FoundLight, per_metre: float, hot: bool) -> str:
    """What is given off for each metre, and whether something must take it up."""
    if not isinstance(light.item, LedStrip):
        return ""
    if hot and not light.profiles:
        return f"{per_metre:.1f} W of heat a metre are too much for wood: lay it in an aluminium profile"
    if hot:
        return f"{per_metre:.1f} W of heat a metre take a profile with more aluminium, and air behind the driver"
    return f"{per_metre:.1f} W of heat a metre, which its {'profile' if light.profiles else 'panel'} takes"
