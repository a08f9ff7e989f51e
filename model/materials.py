"""Which stock plays which role: named once for a project, overridden where a unit differs."""

from typing import Literal

from model.config.types import Name, Strict

Role = Literal[
    "carcass", "back", "frame", "front", "box", "bottom", "top", "slide", "hinge", "pin", "pull", "rail_screw"
]


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

    def over(self, base: "Materials") -> "Materials":
        """These names where given, else those of `base`."""
        own = {k: v for k, v in self.model_dump().items() if v is not None}
        return base.model_copy(update=own)

    def filled(self) -> "Materials":
        """With the stand-ins: fronts, boxes and tops of the carcass sheet, drawer bottoms of the back sheet."""
        stand_in = {"front": self.carcass, "box": self.carcass, "top": self.carcass, "bottom": self.back}
        return self.model_copy(update={k: v for k, v in stand_in.items() if getattr(self, k) is None})
