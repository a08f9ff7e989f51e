"""Corners: what closes the place where the runs of two walls meet, and carries the tops there."""

from dataclasses import dataclass, field, replace

from model.cabinet.carcass import Carcass, Joints, Span
from model.cabinet.doors import DoorOptions, make_doors
from model.cabinet.frame import Opening
from model.cabinet.fronts import FrontOptions
from model.draft import Draft, Panel
from model.messages import mm
from model.placement import Placement
from model.plan import BuiltUnit
from model.shapes import Box
from model.site import Site, Unbuildable
from model.siting.layout import CornerSpot
from model.stock.tables import Sheet

CLEAT = 60.0
"""mm. Height of the cleats on the walls and behind the boards (common practice)."""

STRETCHER = 100.0
"""mm. Width of a blind cabinet's stretchers (common practice)."""

SEAM_BEARING = 15.0
"""mm. The second wall's top lies at least this far on the strap under the seam (common practice)."""

KICK_HEIGHT, KICK_DEPTH = 90.0, 75.0
"""mm. The toe kick of a blind corner's cabinet (common practice)."""

BEARING = frozenset({
    "first board", "second board", "first wall cleat", "second wall cleat", "strap",
    "left side", "right side", "front stretcher", "rear stretcher",
})  # fmt: skip
"""What a top lies on."""


def build_corner(site: Site, spot: CornerSpot, seam: float | None, covered: bool = True) -> BuiltUnit:
    """The corner in the first wall's frame: boards or a cabinet, cleats on both walls, a strap under the seam.

    `site.height` is floor to underside of the tops; `seam` where the second wall's top begins, mm along it, None
    where no two tops meet; `covered` says whether any lies over it. Raises Unbuildable (key paths in the corner).
    """
    return {"filler": _filler, "blind": _blind, "open": _open}[spot.corner.kind](Making(site, spot, seam, covered))


@dataclass
class Making:
    """A corner in the making."""

    site: Site
    spot: CornerSpot
    seam: float | None
    covered: bool
    draft: Draft = field(default_factory=Draft)

    def __post_init__(self) -> None:
        clear, t = self.spot.corner.clear, self.t
        if self.top < KICK_HEIGHT + 6 * t:
            raise Unbuildable(f"{mm(self.top)} of height leave no room for a corner", "height")
        if clear < 2 * t + 2.0:
            raise Unbuildable(
                f"a clearance of {mm(clear)} leaves no room behind its boards, the least is {mm(2 * t + 2.0)}", "clear"
            )
        if self.seam is not None and self.seam > self.spot.depths[0] + clear - SEAM_BEARING:
            raise Unbuildable(
                f"the tops meet past the corner: with {mm(clear)} of clearance the first may stand out at most "
                f"{mm(clear - SEAM_BEARING)}, make clear wider",
                "clear",
            )

    @property
    def top(self) -> float:
        """Floor to the underside of the tops, mm."""
        return self.site.height or 0.0

    @property
    def sheet(self) -> Sheet:
        return self.site.sheet("carcass")

    @property
    def t(self) -> float:
        return self.sheet.thickness

    @property
    def end(self) -> float:
        """Where the second wall's face lies along the first."""
        return self.spot.first.wall.width

    @property
    def face(self) -> float:
        """Where the faces of the second wall's frames lie along the first."""
        return self.end - self.spot.depths[1]

    @property
    def front(self) -> float:
        """Where the faces of the first wall's frames lie, in y."""
        return -self.spot.depths[0]

    @property
    def start(self) -> float:
        """Where the first wall's last unit ends."""
        return self.spot.x[0][0]

    @property
    def far(self) -> float:
        """Where the second wall's first unit begins, in y."""
        return self.front - self.spot.corner.clear

    def done(self, ends: tuple[str, str]) -> BuiltUnit:
        bears = tuple(p for p in self.draft.order if p in BEARING)
        return self.draft.finish(self.site.name, self.site.code, "corner", ends, bears)

    def front_second(self) -> Panel:
        """The board in the second wall's front plane, from the first wall's front to the second's first unit."""
        box = Box((self.face, self.far, 0.0), (self.face + self.t, self.front, self.top))
        return self.draft.sheet("second board", box, self.sheet, "z", "-x", "filler")

    def cleat_second(self, board: Panel) -> None:
        """A strip in the angle between that board and the side of the second wall's first unit."""
        x = (self.face + self.t, self.face + self.t + CLEAT)
        box = Box((x[0], self.far, 0.0), (x[1], self.far + self.t, self.top - self.t))
        self.draft.join("screwed", self.draft.sheet("second cleat", box, self.sheet, "z", "+y", "cleat"), board)

    def wall_cleats(self, first: Span | None, second: Span) -> None:
        """Cleats on both walls that carry the tops where no unit does; `first` along x, `second` along y."""
        if not self.covered:
            return
        z = (self.top - CLEAT, self.top)
        if first:
            box = Box((first[0], -self.t, z[0]), (first[1], 0.0, z[1]))
            self.draft.sheet("first wall cleat", box, self.sheet, "x", "-y", "wall cleat")
        box = Box((self.end - self.t, second[0], z[0]), (self.end, second[1], z[1]))
        cleat = self.draft.sheet("second wall cleat", box, self.sheet, "y", "-x", "wall cleat")
        if first:
            self.draft.join("screwed", cleat, "first wall cleat")

    def strap(self, from_x: float, holder: str) -> None:
        """A flat strap under the seam of the tops, from `from_x` to the second wall's cleat."""
        box = Box((from_x, self.far, self.top - self.t), (self.end - self.t, self.front, self.top))
        strap = self.draft.sheet("strap", box, self.sheet, "x", "+z", "strap")
        self.draft.join("screwed", strap, "second wall cleat")
        self.draft.join("screwed", strap, holder)


def _filler(m: Making) -> BuiltUnit:
    d, t, y = m.draft, m.t, m.front
    box = Box((m.start, y, 0.0), (m.face + t, y + t, m.top))
    first = d.sheet("first board", box, m.sheet, "z", "-y", "filler")
    second = m.front_second()
    d.join("screwed", first, second)
    box = Box((m.start, y + t, 0.0), (m.start + t, y + t + CLEAT, m.top - t))
    d.join("screwed", d.sheet("first cleat", box, m.sheet, "z", "+x", "cleat"), first)
    m.cleat_second(second)
    m.wall_cleats((m.start, m.end), (m.far, -t))
    if m.seam is not None:
        m.strap(m.face + t, "second cleat")
    return m.done(("first cleat", "second cleat"))


def _open(m: Making) -> BuiltUnit:
    m.wall_cleats((m.start, m.end), (m.far, -m.t))
    if m.seam is not None:
        box = Box((m.face, m.far, 0.0), (m.face + m.t, m.front, m.top - m.t))
        leg = m.draft.sheet("leg", box, m.sheet, "z", "-x", "leg")
        m.strap(m.face, leg.path)
    return m.done(("first wall cleat", "second wall cleat"))


def _blind(m: Making) -> BuiltUnit:
    cabinet = _cabinet(m)
    _move(m.draft, cabinet, Placement((m.start, m.front, 0.0)))
    second = m.front_second()
    m.draft.join("screwed", second, "blind panel")
    m.cleat_second(second)
    m.wall_cleats(None, (m.far, m.front))
    if m.seam is not None:
        m.strap(m.face + m.t, "second cleat")
    return m.done(("left side", "second cleat"))


def _cabinet(m: Making) -> Draft:
    """The cabinet of a blind corner, its face at y = 0: the panel at its right is behind the second wall's units."""
    draft, t, corner = Draft(), m.t, m.spot.corner
    width, rear = m.end - m.spot.stand_offs[1] - m.start, m.spot.depths[0] - m.spot.stand_offs[0]
    box = Carcass.sides(draft, m.sheet, "butt", Joints(), width, (0.0, rear), m.top)
    box.take_from_sides((0.0, KICK_DEPTH), (0.0, KICK_HEIGHT))
    kick = box.upright("toe kick", (KICK_DEPTH, KICK_DEPTH + t), (0.0, KICK_HEIGHT), "toe kick")
    floor = box.level("bottom", (0.0, rear), KICK_HEIGHT + t, "bottom")
    draft.join("screwed", kick, floor)
    closer = box.level("front stretcher", (0.0, STRETCHER), m.top, "stretcher")
    box.level("rear stretcher", (rear - STRETCHER, rear), m.top, "stretcher")
    x, z = (t + corner.opening, width - t), (KICK_HEIGHT + t, m.top - t)
    panel = draft.sheet("blind panel", Box((x[0], 0.0, z[0]), (x[1], t, z[1])), m.sheet, "z", "-y", "filler")
    for other in (box.right, floor, closer):
        draft.join("screwed", panel, other)
    if corner.door:
        gap = FrontOptions().gap
        options = DoorOptions(leaves=1, hinged="left")
        make_doors(draft, m.site, options, Opening((t, x[0]), z, box.left, panel), t - gap / 2, gap, ())
    return draft


def _move(into: Draft, made: Draft, at: Placement) -> None:
    """Take over what was drafted at the origin, at its place."""
    into.order.extend(made.order)
    for path, panel in made.panels.items():
        into.panels[path] = replace(panel, box=at.box(panel.box))
    for path, placed in made.hardware.items():
        into.hardware[path] = placed.moved(at)
    into.joints.extend(made.joints)
    into.motions.extend(replace(m, origin=at.apply(m.origin)) for m in made.motions)
