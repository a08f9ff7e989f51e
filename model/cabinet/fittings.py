"""Bought hardware as parts: simple envelopes of the true outer sizes, so that it takes part in every check.

Each function gives one part in its own frame; where it goes is the business of what it is fixed to.
"""

from model.part import Part, hardware
from model.shapes import Box, Cylinder
from model.stock.cabinet import Dowel, Foot
from model.stock.tables import Hinge, Pull, ShelfPin, Slide

CUP_CLEARANCE = 0.2
"""mm. A hinge cup is this much smaller than its bore (slip fit: common practice)."""


def slide_members(slide: Slide, length: float) -> tuple[Part, Part]:
    """The cabinet member and the drawer member of one slide: together as thick as the side space they take.

    Length along x, height along y, thickness along z. The drawer member is the lower: it runs inside the other.
    """
    half = slide.thickness / 2
    mass = slide.material().mass_of(length, 0.0)
    cabinet = hardware(slide.name, (length, slide.height, half), mass)
    drawer = hardware(slide.name, (length, slide.height * DRAWER_MEMBER, slide.thickness - half), mass)
    return cabinet, drawer


DRAWER_MEMBER = 0.7
"""A drawer member's height as a part of the slide's: it runs inside the cabinet member (measured on common slides,
from memory)."""


def hinge_parts(hinge: Hinge, stand_off: float, arm: float) -> tuple[Part, Part]:
    """The cup, which rides on the door, and the arm, which stays on the carcass.

    The cup stands on z = 0 (the bottom of its bore) and is as deep as the bore and the door's stand-off (mm).
    The arm lies on the carcass: length `arm` along x, width along y, height along z.
    """
    diameter = hinge.cup_diameter - CUP_CLEARANCE
    depth = hinge.cup_depth + stand_off
    cup = hardware(
        hinge.name,
        (diameter, diameter, depth),
        hinge.mass / 2,
        Cylinder((diameter / 2, diameter / 2, 0.0), (0.0, 0.0, 1.0), diameter / 2, depth),
    )
    return cup, hardware(hinge.name, (arm, hinge.arm_width, hinge.arm_height), hinge.mass / 2)


def shelf_pin(pin: ShelfPin) -> Part:
    """A shelf pin lying along x."""
    r = pin.diameter / 2
    bar = Cylinder((0.0, r, r), (1.0, 0.0, 0.0), r, pin.length)
    return hardware(pin.name, (pin.length, pin.diameter, pin.diameter), pin.mass, bar)


def dowel_part(dowel: Dowel) -> Part:
    """A dowel lying along x."""
    r = dowel.diameter / 2
    bar = Cylinder((0.0, r, r), (1.0, 0.0, 0.0), r, dowel.length)
    return hardware(dowel.name, (dowel.length, dowel.diameter, dowel.diameter), dowel.mass, bar)


def foot_part(foot: Foot, height: float) -> Part:
    """A levelling foot standing on z = 0, turned out to `height`."""
    r = foot.diameter / 2
    post = Cylinder((r, r, 0.0), (0.0, 0.0, 1.0), r, height)
    return hardware(foot.name, (foot.diameter, foot.diameter, height), foot.mass, post)


def pull_part(pull: Pull) -> Part:
    """A bar on two posts, or a knob on a neck where the pull has one hole; standing on z = 0, a bar along x."""
    bar, projection = pull.bar_thickness, pull.projection
    up = (0.0, 0.0, 1.0)
    if not pull.spacing:
        middle = (bar / 2, bar / 2, 0.0)
        neck = Cylinder(middle, up, bar / 4, projection / 2)
        head = Cylinder((bar / 2, bar / 2, projection / 2), up, bar / 2, projection / 2)
        return hardware(pull.name, (bar, bar, projection), pull.mass, neck, head)
    posts = [(pull.length - pull.spacing) / 2, (pull.length + pull.spacing) / 2]
    stand = projection - bar / 2
    return hardware(
        pull.name,
        (pull.length, bar, projection),
        pull.mass,
        Box((0.0, 0.0, projection - bar), (pull.length, bar, projection)),
        *(Cylinder((x, bar / 2, 0.0), up, bar / 2, stand) for x in posts),
    )
