"""What is put together first: bands on their panels, sides with their strips, frames, drawer boxes, doors, beds."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from model.part import Joint, Motion
from model.plan import BuiltUnit

RANKS: dict[str, tuple[int, str]] = {
    "side": (10, "carcass"),
    "end panel": (10, "carcass"),
    "partition": (14, "carcass"),
    "bottom": (20, "carcass"),
    "sub-top": (20, "carcass"),
    "top": (20, "carcass"),
    "fixed shelf": (20, "carcass"),
    "deck": (20, "carcass"),
    "stretcher": (22, "carcass"),
    "rail": (22, "carcass"),
    "hanger": (24, "carcass"),
    "toe board": (26, "carcass"),
    "kick board": (26, "carcass"),
    "base board": (26, "carcass"),
    "floor rail": (26, "carcass"),
    "wall rail": (26, "carcass"),
    "bottom rail": (26, "carcass"),
    "plinth": (36, "plinth"),
    "build-up strip": (38, "build-up"),
    "back": (40, "back"),
    "wall cleat": (42, "back"),
    "edge": (44, "edge"),
    "moulding": (46, "edge"),
    "facing": (48, "facing"),
    "stile": (50, "frame"),
    "apron": (50, "frame"),
    "blind panel": (52, "frame"),
    "skirt": (54, "skirt"),
    "foot": (56, "feet"),
    "runner": (58, "slides"),
    "stop block": (85, "tray"),
    "slide": (60, "slides"),
    "pivot": (60, "slides"),
    "backsplash": (70, "backsplash"),
    "grommet": (72, "grommets"),
    "ledge": (18, "ledges"),
    "light": (74, "lights"),
    "driver": (75, "lights"),
    "cable": (76, "lights"),
    "shelf pin": (80, "shelves"),
    "shelf": (80, "shelves"),
    "leg board": (60, "bed board"),
    "gas spring": (96, "springs"),
    "mattress": (98, "mattress"),
}
"""When a part's turn comes in its unit, and the stage it belongs to; what goes in last comes out first."""

OTHER = (30, "carcass")
"""A part whose role is not named above."""

CLOSING = (34, "close")
"""The second end, which closes a box."""

WHOLE: dict[str, tuple[int, str]] = {
    "frame": (50, "frame"),
    "plinth": (36, "plinth"),
    "lamp": (74, "lights"),
    "tray": (84, "tray"),
    "drawer": (86, "drawers"),
    "front": (88, "fronts"),
    "door": (90, "doors"),
    "bed": (94, "bed"),
}
"""The same for what is put together first."""

ON_SIDES = frozenset({"build-out", "cleat", "runner", "packing"})
"""Strips that are fixed to a side while it still lies flat."""

LATE = frozenset({"shelves", "tray", "drawers", "fronts", "doors", "bed", "springs", "mattress", "lights"})
"""Stages that wait until the unit stands in its place."""

BOX: dict[str, int] = {
    "drawer front or back": 20,
    "drawer bottom": 30,
    "slide": 50,
    "pull": 60,
    "front": 10,
    "tray": 10,
}
"""When a part's turn comes in a drawer box, a front or a tray."""

BED: dict[str, tuple[int, str]] = {
    "bed rail": (10, "bed frame"),
    "front panel": (20, "bed front"),
    "bearer": (30, "bed slats"),
    "slat": (40, "bed slats"),
    "pivot": (50, "bed fittings"),
    "leg board": (60, "bed fittings"),
    "pull": (70, "bed fittings"),
}
"""The same in a bed."""


@dataclass(frozen=True)
class Item:
    """Something that is moved as one: a part, or parts put together before (`inner`, with their own order)."""

    name: str
    parts: tuple[str, ...]
    rank: int
    stage: str
    kind: str = "part"
    inner: "tuple[Item, ...]" = ()


def whole(name: str, kind: str, inner: Iterable[Item], rank: int, stage: str) -> Item:
    """Items put together first, as one."""
    kept = tuple(inner)
    return Item(name, tuple(p for item in kept for p in item.parts), rank, stage, kind, kept)


def wall_parts(unit: BuiltUnit) -> tuple[str, ...]:
    """What is fixed to the walls before the unit comes: wall halves of hanging cleats, cleats of an open corner,
    ledges."""
    hung = {j.b for j in unit.joints if j.kind == "hung"}
    corner = unit.kind == "corner"
    return tuple(
        p.path for p in unit.parts if p.path in hung or p.role == "ledge" or (corner and p.role == "wall cleat")
    )


def items_of(unit: BuiltUnit) -> tuple[Item, ...]:
    """What a unit is put together from at the bench and in its place; wall parts left out."""
    return _Sorting(unit).items()


class _Sorting:
    """One unit's parts, taken by one sub-assembly after another; what is left goes in by itself."""

    def __init__(self, unit: BuiltUnit) -> None:
        gone = set(wall_parts(unit))
        self.unit = unit
        self.role = {p.path: p.role for p in unit.parts if p.path not in gone}
        self.bands = _bands(unit)
        self.joined: Mapping[str, list[Joint]] = defaultdict(list)
        for joint in unit.joints:
            self.joined[joint.a].append(joint)
            self.joined[joint.b].append(joint)
        self.free = {path: None for path in self.role if path not in self.bands}

    def items(self) -> tuple[Item, ...]:
        found = [item for motion in self.unit.motions for item in self._moving(motion)]
        found += self._connected("frame", {"stile", "rail", "mullion"}, lambda j: j.kind == "frame")
        found += self._connected("plinth", {"plinth"}, lambda j: True)
        found += self._connected("lamp", {"light"}, lambda j: j.kind == "glued", least=2)
        sides = [p for p in self.free if self.role[p] in ("side", "partition") or p in self.unit.ends]
        found += [self._side(path) for path in sides]
        return (*found, *(self._part(path) for path in tuple(self.free)))

    def _take(self, path: str) -> str:
        self.free.pop(path, None)
        return path

    def _part(self, path: str, rank: tuple[int, str] | None = None) -> Item:
        """A part with its bands as one item."""
        self._take(path)
        number, stage = rank or self._turn(path)
        mine = tuple(band for band, panel in self.bands.items() if panel == path)
        bare = Item(path, (path,), number, stage)
        if not mine:
            return bare
        bands = [Item(band, (band,), 10 + k, "bands") for k, band in enumerate(mine)]
        return whole(path, "banded", [replace(bare, rank=0, stage="bands"), *bands], number, stage)

    def _turn(self, path: str) -> tuple[int, str]:
        """When a part's turn comes; a shelf that lies on no pins is part of the carcass."""
        role = self.role[path]
        if role == "shelf" and not any(self.role.get(j.b) == "shelf pin" for j in self.joined[path]):
            return RANKS["fixed shelf"]
        return RANKS.get(role, OTHER)

    def _side(self, path: str) -> Item:
        """A side with the strips that are fixed to it while it lies flat."""
        last = path == self.unit.ends[1] and path != self.unit.ends[0]
        rank = CLOSING if last else RANKS["partition" if self.role[path] == "partition" else "side"]
        first = self._part(path, rank)
        near = [j.b if j.a == path else j.a for j in self.joined[path]]
        strips = [p for p in dict.fromkeys(near) if p in self.free and self.role[p] in ON_SIDES]
        if not strips:
            return first
        inner = [replace(first, rank=0, stage="sides"), *(self._part(p, (10, "sides")) for p in strips)]
        return whole(path, "side", inner, *rank)

    def _connected(self, kind: str, roles: set[str], wanted: Callable[[Joint], bool], least: int = 3) -> list[Item]:
        """Parts of some roles that hang together by joints of their own: `least` or more are put together first."""
        left = [p for p in self.free if self.role[p] in roles]
        found: list[Item] = []
        while left:
            group, queue = [], [left[0]]
            while queue:
                path = queue.pop()
                if path not in left:
                    continue
                left.remove(path)
                group.append(path)
                queue += [j.b if j.a == path else j.a for j in self.joined[path] if wanted(j)]
            if len(group) < least:
                continue
            order = [p for p in self.role if p in group]
            ends = [p for p in order if self.role[p] == "stile"][:2] or order[:2]
            ranks = {p: (10 if p == ends[0] else 30 if p == ends[-1] else 20, kind) for p in order}
            name = f"{self.unit.name} {'face frame' if kind == 'frame' else kind}"
            found.append(whole(name, kind, [self._part(p, ranks[p]) for p in order], *WHOLE[kind]))
        return found

    def _moving(self, motion: Motion) -> list[Item]:
        """What moves together is put together first; a drawer's front comes after its box."""
        parts = [p for p in motion.parts if p in self.free and self.role[p] != "mattress"]
        roles = {self.role[p] for p in parts}
        if "bed rail" in roles:
            ranks = {p: BED.get(self.role[p], (45, "bed fittings")) for p in parts}
            return [whole(motion.name, "bed", [self._part(p, ranks[p]) for p in parts], *WHOLE["bed"])]
        if motion.kind == "swing":
            arms = [j.a for p in parts for j in self.joined[p] if j.kind == "hinged" and j.a in self.free]
            order = [*parts, *(a for a in arms if a not in parts)]
            inner = [self._part(p, (0 if self.role[p] == "door" else 10, "door")) for p in order]
            return [whole(motion.name, "door", inner, *WHOLE["door"])]
        kind = "drawer" if "drawer side" in roles else "tray"
        front = [p for p in parts if kind == "drawer" and self.role[p] in ("front", "pull")]
        box = [p for p in parts if p not in front]
        found = [whole(motion.name, kind, self._box(box, kind), *WHOLE[kind])]
        if front:
            inner = [self._part(p, (BOX[self.role[p]], "front")) for p in front]
            found.append(whole(f"{motion.name} front", "front", inner, *WHOLE["front"]))
        return found

    def _box(self, parts: list[str], kind: str) -> list[Item]:
        """A drawer box: one side, front and back, a grooved bottom, the other side; a bottom that is applied, last."""
        sides = [p for p in parts if self.role[p] == "drawer side"]
        ranks = {p: BOX.get(self.role[p], 45) for p in parts}
        for path in parts:
            if self.role[path] == "drawer bottom" and not any(j.kind == "grooved" for j in self.joined[path]):
                ranks[path] = 45
        ranks |= {p: 10 if p == sides[0] else 40 for p in sides}
        return [self._part(p, (ranks[p], kind)) for p in parts]


def _bands(unit: BuiltUnit) -> dict[str, str]:
    """The panel each edge band is glued to."""
    bands = {p.path for p in unit.parts if p.part.kind == "band"}
    ends = [(j.a, j.b) for j in unit.joints] + [(j.b, j.a) for j in unit.joints]
    found: dict[str, str] = {}
    for band, panel in ends:
        if band in bands and panel not in bands:
            found.setdefault(band, panel)
    return found
