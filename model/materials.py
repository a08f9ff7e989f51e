"""Which stock plays which role: named once for a project, overridden where a unit differs."""

from typing import Literal

from model.config.types import Name, Strict

Role = Literal[
    "carcass", "back", "frame", "front", "box", "bottom", "top", "slide", "hinge", "pin", "pull", "rail_screw",
    "wall_screw", "carcass_screw", "pocket_screw", "dowel", "foot",
    "gas_spring", "bed_pivot", "bed_leg",
]  # fmt: skip


TABLES: dict[Role, str] = {
    "carcass": "sheets",
    "back": "sheets",
    "frame": "boards",
    "front": "sheets",
    "box": "sheets",
    "bottom": "sheets",
    "top": "sheets",
    "slide": "slides",
    "hinge": "hinges",
    "pin": "pins",
    "pull": "pulls",
    "rail_screw": "screws",
    "wall_screw": "screws",
    "carcass_screw": "screws",
    "pocket_screw": "screws",
    "dowel": "dowels",
    "foot": "feet",
    "gas_spring": "gas_springs",
    "bed_pivot": "bed_pivots",
    "bed_leg": "bed_legs",
}
"""The table of a stock file each role draws on."""


class Materials(Strict):
    """Names of stock by role. What is left out comes from the project, then from the role it stands in for."""

    carcass: Name | None = None
    """Sheet for sides, bottoms, stretchers, shelves and rails."""
    back: Name | None = None
    """Thin sheet for backs."""
    frame: Name | None = None
    """Board for face frames and facings."""
    front: Name | None = None
    """Sheet for drawer fronts and doors; the carcass sheet when left out."""
    box: Name | None = None
    """Sheet for drawer boxes; the carcass sheet when left out."""
    bottom: Name | None = None
    """Thin sheet for drawer bottoms; the back sheet when left out."""
    top: Name | None = None
    """Sheet for tops; the carcass sheet when left out."""
    slide: Name | None = None
    """Drawer slide series."""
    hinge: Name | None = None
    """Cup hinge."""
    pin: Name | None = None
    """Shelf pin."""
    pull: Name | None = None
    """Pull for drawers and doors."""
    rail_screw: Name | None = None
    """Screw that fixes an upper through its bottom rail."""
    wall_screw: Name | None = None
    """Screw that fixes a wall cleat into a stud."""

    carcass_screw: Name | None = None
    """Screw of a butt joint; its bores are drawn where it is named."""
    pocket_screw: Name | None = None
    """Screw of a pocket joint."""
    dowel: Name | None = None
    """Dowel of a dowelled joint."""
    foot: Name | None = None
    """Levelling foot or glide."""
    gas_spring: Name | None = None
    """Gas spring of a wall bed. Under high pressure: never open, drill or heat one."""
    bed_pivot: Name | None = None
    """Pivots of a wall bed."""
    bed_leg: Name | None = None
    """Folding leg of a wall bed; a leg board of the front sheet does without."""

    def over(self, base: "Materials") -> "Materials":
        """These names where given, else those of `base`."""
        own = {k: v for k, v in self.model_dump().items() if v is not None}
        return base.model_copy(update=own)

    def filled(self) -> "Materials":
        """With the stand-ins: fronts, boxes and tops of the carcass sheet, drawer bottoms of the back sheet."""
        stand_in = {"front": self.carcass, "box": self.carcass, "top": self.carcass, "bottom": self.back}
        return self.model_copy(update={k: v for k, v in stand_in.items() if getattr(self, k) is None})
