"""The rules of the trade: which of two parts a screw passes, which it bites in, and where the screws of a joint lie."""

from dataclasses import dataclass

from model.cabinet.joinery import evenly
from model.fastening.bench import Contact
from model.tolerances import rounded

THIN = 9.0
"""mm. Thinner panels are nailed on (common practice)."""
REACH = 62.0
"""mm. A strip higher than this is not screwed through its height."""
SHORT = 35.0
"""mm. A joint shorter than this takes one screw."""
WIDE = 80.0
"""mm. Faces that meet over more than this take two rows of screws."""

STRIPS = frozenset({
    "cleat", "build-out", "runner", "ledge", "batten", "spacer", "wall cleat", "strap", "packing",
})  # fmt: skip
"""Roles that are screwed on from their own side."""
SHOWN = frozenset({"front", "door", "skirt", "facing", "end panel", "front panel", "top", "filler", "drawer front"})
"""Roles whose outer face is seen: faces against them are screwed from behind."""
BEHIND = frozenset({"bearer", "apron"})
"""Roles that lie behind or under what is seen, and are screwed to it from their own side."""
BEFORE = frozenset({"leg board"})
"""Roles that stand before a front: screwed through it from behind."""
GIVES_WAY = frozenset({"rail", "stretcher", "sub-top", "packing", "hanger", "apron"})
"""Of two equal faces the one with such a role is screwed through."""
EVERY = {"front": 450.0, "frame": 250.0, "build-out": 250.0, "between": 600.0, "top": 300.0}
"""mm. Screws at most this far apart, where it is not the 150 mm of a carcass (common practice)."""
ROWS_IN = 25.0
"""mm. A row of screws from the edge of what faces share (common practice)."""


@dataclass(frozen=True, slots=True)
class Drive:
    """How a joint is held: by screws, nails or pocket screws, through the first part or the second."""

    by: str
    through_first: bool


def drive_of(c: Contact, kind: str) -> Drive:
    """What holds two parts that touch."""
    a, b = c.a, c.b
    faces = (a.is_face(c.axis), b.is_face(c.axis))
    roles = (a.blank.role, b.blank.role)
    for i in (0, 1):
        if faces[i] and c.walls[i] < THIN:
            return Drive("nail", i == 0)
    for i in (0, 1):
        strip = roles[i] in STRIPS or (roles[i] in BEHIND and roles[1 - i] in SHOWN)
        strip = strip and c.walls[i] <= REACH
        if strip and not (roles[1 - i] in STRIPS and c.walls[1 - i] < c.walls[i]):
            return Drive("screw", i == 0)
    if faces[0] and faces[1]:
        return Drive("screw", _first_gives_way(c, roles))
    if faces[0] or faces[1]:
        i = 0 if faces[0] else 1
        other = roles[1 - i]
        if kind != "frame" and roles[i] in SHOWN and roles[i] != "filler" and other not in BEFORE:
            return Drive("screw" if c.walls[1 - i] <= REACH else "pocket", i != 0)
        if roles[i] == "partition" and other == "fixed shelf":
            return Drive("pocket", i != 0)
        return Drive("screw", i == 0)
    return Drive("pocket", _ends_first(c))


def _first_gives_way(c: Contact, roles: tuple[str, str]) -> bool:
    for i in (0, 1):
        if roles[i] in SHOWN and roles[1 - i] not in SHOWN:
            return i == 1
    if abs(c.walls[0] - c.walls[1]) > 0.5:
        return c.walls[0] < c.walls[1]
    for i in (0, 1):
        if roles[i] in GIVES_WAY and roles[1 - i] not in GIVES_WAY:
            return i == 0
    return True


def _ends_first(c: Contact) -> bool:
    """Of two edges that meet, whether the first ends there: its end is smaller than the edge it stands against."""
    spread = [max(v.hi[i] - v.lo[i] for i in range(3) if i not in (c.axis, v.thick)) for v in (c.a, c.b)]
    return spread[0] <= spread[1]


def spacing(kind: str, roles: tuple[str, str], between: bool) -> float:
    """How far apart screws may be, mm."""
    if between:
        return EVERY["top"] if "top" in roles else EVERY["between"]
    if kind == "frame":
        return EVERY["frame"]
    return next((EVERY[role] for role in roles if role in ("front", "build-out")), 150.0)


def lines(c: Contact, every: float, rows: bool = True) -> tuple[int, int, list[float], list[float]]:
    """The pattern of a joint: the axis along it and across it, the places along, and the rows across."""
    (j, a, b), (k, p, q) = c.spans
    if b - a < q - p:
        (j, a, b), (k, p, q) = (k, p, q), (j, a, b)
    across = [rounded((p + q) / 2)]
    if rows and q - p >= WIDE:
        across = [rounded(p + ROWS_IN), rounded(q - ROWS_IN)]
    along = [rounded((a + b) / 2)]
    if b - a >= 40:
        along = evenly((a, b), every)
    elif b - a >= SHORT:
        along = [rounded(a + (b - a) / 4), rounded(b - (b - a) / 4)]
    return j, k, along, across
