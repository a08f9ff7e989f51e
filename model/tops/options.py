"""What a top may be made with, beyond its sheets: layers, edge, backsplash, scribes, cutouts and grommets."""

from typing import Literal

from pydantic import Field

from model.config.types import Name, NonNegativeLength, PositiveLength, Strict

End = Literal["left", "right"]


class EdgeOptions(Strict):
    """A build-up of the front edge: a dressed board on it, a moulding on that or under it, or either alone."""

    board: Name | None = None
    """A board applied to the edge, flush with the upper face."""
    height: PositiveLength | None = None
    """Height of the board, ripped where it is wider; as wide as it is unless given."""
    moulding: Name | None = None
    """A moulding."""
    moulding_at: Literal["face", "under"] = "face"
    """On the `face` of the edge, flush with the upper face, or `under` it, flush with the front."""
    ends: tuple[End, ...] = ()
    """Ends of the top around which the edge returns, mitred at the corners: those that do not meet a wall."""


class Backsplash(Strict):
    """A low upright strip along the wall, between the uppers that stand on the top."""

    height: PositiveLength = 100.0
    """Above the top (100 mm, 4 in: common practice)."""
    board: Name | None = None
    """A dressed board, ripped to that height; a strip of the top's sheet unless given."""
    ends: tuple[End, ...] = ()
    """Ends of the top that meet a wall and get a strip too."""


class EndScribes(Strict):
    """Wood left on an end that meets a wall, to be trimmed to it: the blanks are sawn this much longer."""

    left: NonNegativeLength = 0.0
    """At the left end."""
    right: NonNegativeLength = 0.0
    """At the right end."""


class TopCutout(Strict):
    """An opening in the top, as for a sink or a vice plate."""

    name: Name = "cutout"
    """What it is for."""
    x: PositiveLength
    """Its middle, from the left end of the top."""
    front: PositiveLength
    """The front of the top to the opening."""
    width: PositiveLength
    """Along the top."""
    depth: PositiveLength
    """Front to back."""
    radius: NonNegativeLength = 10.0
    """Of its corners; a square corner starts a crack (common practice)."""


class TopGrommet(Strict):
    """A sleeve for cables through the top. What lies under it there, a sub-top or a stretcher, is bored on site."""

    item: Name
    """The grommet in stock."""
    x: PositiveLength
    """Its middle, from the left end of the top."""
    from_wall: PositiveLength = 60.0
    """Its middle, from the wall."""


class TopOptions(Strict):
    """How a top is made."""

    layers: Literal[1, 2] = 1
    """Sheets on one another; the seams of the lower lie over carcasses too, away from those of the upper."""
    stagger: PositiveLength = 150.0
    """Seams of two layers lie at least this far apart (150 mm, 6 in: common practice)."""
    build_up: PositiveLength | None = Field(default=None, ge=40)
    """Width of strips of the same sheet under the edges, the seams and wherever a unit carries the top, in place of a
    whole second layer."""
    edge: EdgeOptions | None = None
    """What is applied to the front edge; the overhang is measured to its face."""
    backsplash: Backsplash | None = None
    """A strip along the wall."""
    scribe: EndScribes = EndScribes()
    """Left on ends that meet a wall."""
    cutouts: tuple[TopCutout, ...] = Field(default=(), max_length=20)
    """Openings, clear of seams, edges and the sides of carcasses."""
    grommets: tuple[TopGrommet, ...] = Field(default=(), max_length=40)
    """Sleeves for cables."""
