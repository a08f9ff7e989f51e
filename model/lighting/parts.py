"""Lights, drivers and grommets as parts: envelopes of their true outer sizes."""

from model.part import Part, hardware
from model.shapes import Box, Cylinder
from model.stock.lights import Driver, Grommet, LedStrip, LightBar, LightProfile

SLEEVE_PLAY = 0.4
"""mm. The sleeve of a grommet is this much thinner than its bore (slip fit: common practice)."""


def profile_part(profile: LightProfile, length: float) -> Part:
    """A profile along x, its base on z = 0, its cover uppermost, hollow from end to end."""
    w, h, t = profile.width, profile.height, profile.wall
    shell = (
        Box((0.0, 0.0, 0.0), (length, w, t)),
        Box((0.0, 0.0, h - t), (length, w, h)),
        Box((0.0, 0.0, 0.0), (length, t, h)),
        Box((0.0, w - t, 0.0), (length, w, h)),
    )
    return hardware(profile.name, (length, w, h), profile.mass_of(length), *shell)


def strip_part(strip: LedStrip, length: float) -> Part:
    """A piece of strip along x, lying on z = 0."""
    return hardware(strip.name, (length, strip.width, strip.thickness), strip.mass_of(length))


def bar_part(bar: LightBar) -> Part:
    """A light bar along x, its back on z = 0."""
    return hardware(bar.name, (bar.length, bar.width, bar.height), bar.mass)


def driver_part(driver: Driver) -> Part:
    """A driver standing on z = 0, its longest side along x."""
    return hardware(driver.name, (driver.length, driver.width, driver.height), driver.mass)


def grommet_part(grommet: Grommet) -> Part:
    """A grommet: the end of its sleeve at z = 0, its rim uppermost, its axis through the middle of its blank."""
    rim, up = grommet.flange_diameter / 2, (0.0, 0.0, 1.0)
    sleeve = grommet.bore_diameter - SLEEVE_PLAY
    high = grommet.depth + grommet.flange_height
    return hardware(
        grommet.name,
        (2 * rim, 2 * rim, high),
        grommet.mass,
        Cylinder((rim, rim, 0.0), up, sleeve / 2, high),
        Cylinder((rim, rim, grommet.depth), up, rim, grommet.flange_height),
    )
