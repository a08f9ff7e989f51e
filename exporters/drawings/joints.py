"""Which places of a unit are drawn enlarged: one of each kind of joint, read from its joints, cuts and fixings."""

import itertools
import math
from collections.abc import Iterator, Sequence

from exporters.drawings.windows import (
    MARGIN,
    MOST,
    TOUCH,
    Detail,
    Made,
    along_eye,
    contact,
    cut_along,
    longest,
    point,
    window,
)  # fmt: skip
from model.cuts import Bore, Groove, PocketBore, Rabbet
from model.fastening.fixing import Fixing
from model.part import Joint
from model.shapes import Box

POST = 45.0
"""mm. How much of what a door hangs on is shown beside its hinge."""


def details_of(made: Made) -> list[Detail]:
    """One detail of each kind of joint, in a fixed order."""
    found: dict[str, Detail] = {}
    for rule, one in _RULES:
        for detail in itertools.islice(rule(made), 1 if one else None):
            found.setdefault(detail.kind, detail)
    of_case = [
        k
        for k in found
        if k.startswith(("Groove", "Rabbet", "rests", "glued", "dowelled")) and not k.endswith("drawer")
    ]
    if not of_case:
        for detail in itertools.islice(_screwed(made), 1):
            found.setdefault(detail.kind, detail)
    for other in [kind for d in found.values() for kind in d.also]:
        found.pop(other, None)
    return list(found.values())


def _joints(made: Made, kind: str) -> list[Joint]:
    return [j for j in made.unit.joints if j.kind == kind and j.a in made.parts and j.b in made.parts]


def _channels(made: Made) -> Iterator[Detail]:
    """A panel in a groove or a rabbet of another: one for each kind of channel and way it runs."""
    done: set[str] = set()
    for joint in made.unit.joints:
        for owner, guest in ((joint.a, joint.b), (joint.b, joint.a)):
            if owner not in made.parts or guest not in made.parts or not made.is_made(guest):
                continue
            for cut in made.parts[owner].part.cuts:
                if not isinstance(cut, Groove | Rabbet):
                    continue
                box = made.cut_box(owner, cut)
                if box is None or box.common(made.boxes[guest]) is None:
                    continue
                axis, drawer = longest(box), made.role(owner).startswith("drawer")
                kind = f"{type(cut).__name__} {'drawer' if drawer else 'xyz'[axis]}"
                if kind not in done:
                    done.add(kind)
                    yield _channel(made, kind, (owner, guest), cut, box)


def _channel(made: Made, kind: str, pair: tuple[str, str], cut: Groove | Rabbet, box: Box) -> Detail:
    owner, guest = pair
    axis, what = longest(box), type(cut).__name__
    middle = (box.lo[axis] + box.hi[axis]) / 2
    direction, section = cut_along(made, (owner, guest), axis, middle)
    words = f"{made.role(guest)} in {what.lower()} of {made.role(owner)}"
    edges = (made.boxes[owner], made.boxes[guest], box)
    return window(kind, words, direction, section, [box], edges)


def _slides(made: Made) -> Iterator[Detail]:
    """Carcass, what fills out to the opening, slide and drawer side, with the groove of its bottom."""
    done: set[str] = set()
    for joint in _joints(made, "runs"):
        kind = " ".join(sorted((made.role(joint.a), made.role(joint.b))))
        if kind in done:
            continue
        done.add(kind)
        ends = [(p, made.joined(p)) for p in (joint.a, joint.b)]
        held = [(p, [q for q in qs if made.is_made(q)]) for p, qs in ends if not made.is_made(p)]
        if len(held) != 2 or not all(qs for _, qs in held):
            if all(made.is_made(p) for p in (joint.a, joint.b)):
                yield _between(made, "runner", joint.a, joint.b, f"{made.role(joint.a)} on {made.role(joint.b)}")
            continue
        drawer = next((qs[0] for _, qs in held if made.role(qs[0]).startswith("drawer")), None)
        wall = next((qs[0] for _, qs in held if not made.role(qs[0]).startswith("drawer")), None)
        if drawer is not None and wall is not None:
            yield _slide(made, [p for p, _ in held], wall, drawer)


def _slide(made: Made, slides: Sequence[str], wall: str, drawer: str) -> Detail:
    walls = [wall]
    if made.role(wall) == "build-out":
        walls += [p for p in made.joined(wall) if made.role(p) in ("side", "partition")][:1]
    boxes = [made.boxes[p] for p in (*walls, drawer)]
    runs = [made.boxes[p] for p in slides]
    y0 = max(b.lo[1] for b in (*runs, made.boxes[drawer]))
    y1 = min(b.hi[1] for b in (*runs, made.boxes[drawer]))
    direction, section = cut_along(made, (*walls, drawer), 1, (y0 + y1) / 2)
    heights = (min(r.lo[2] for r in runs), max(r.hi[2] for r in runs))
    low, high = made.boxes[drawer].span("z")
    xs = (min(b.lo[0] for b in boxes), max(b.hi[0] for b in boxes))
    middle = (heights[0] + heights[1]) / 2
    grooves = [(c, b) for c in made.parts[drawer].part.cuts if isinstance(c, Groove) and (b := made.cut_box(drawer, c))]
    about = [Box((xs[0], y0, heights[0]), (xs[1], y1, heights[1]))]
    down = Box((xs[0], y0, min(low, heights[0])), (xs[1], y1, max(min(high, low + 40.0), heights[1])))
    whole = math.hypot(down.size[0], down.size[2]) / 2 + MARGIN <= MOST
    if whole:
        about = [down]
    beside, below = [boxes[-1], *(b for _, b in grooves)], [*boxes, *(b for _, b in grooves)]
    also = ("Groove drawer",) if grooves and whole else ()
    fill = f"{made.role(wall)}, " if made.role(wall) == "build-out" else ""
    words = f"{fill}slide and drawer side"
    return window("slide", words, direction, section, about, beside, stops=((), (middle,)), below=below, also=also)


def _hinges(made: Made) -> Iterator[Detail]:
    """A door and what it is hung on, through the middle of a hinge cup."""
    for joint in _joints(made, "hinged"):
        held = [q for p in (joint.a, joint.b) for q in made.joined(p) if made.is_made(q)]
        door = next((p for p in held if made.role(p) == "door"), None)
        post = next((p for p in held if p != door), None)
        if door is None or post is None:
            continue
        near = made.boxes[joint.a].center[2]
        cups = [b for c, b in made.bores(door) if isinstance(c, Bore) and c.purpose == "hinge cup"]
        if not cups:
            continue
        cup = min(cups, key=lambda b: (abs(b.center[2] - near), b.lo))
        direction = made.towards(2)
        frame = [made.boxes[post], *(made.boxes[p] for p in made.joined(post, "frame") if made.role(p) == "side")]
        edges = [made.boxes[door], *frame, cup]
        facing = made.boxes[post]
        near_cup = cup.replace(x=_wider(cup.span("x")), y=_wider(cup.span("y")))
        about = [cup, facing.common(near_cup) or cup]
        words = f"{made.role(door)} on {made.role(post)} at a hinge"
        section = along_eye(direction, 2, cup.center[2])
        below, over = [made.boxes[door], cup], [facing, made.boxes[door]]
        yield window("hinge", words, direction, section, about, edges, below=below, over=over)


def _wider(span: tuple[float, float]) -> tuple[float, float]:
    return span[0] - POST, span[1] + POST


def _frames(made: Made) -> Iterator[Detail]:
    """The face frame on the carcass, at a pocket screw of a rail where there is one."""
    joints = sorted(_joints(made, "frame"), key=lambda j: "side" not in (made.role(j.a), made.role(j.b)))
    for joint in joints:
        a, b = joint.a, joint.b
        meet = contact(made.boxes[a], made.boxes[b])
        if meet is None:
            continue
        axis = longest(meet)
        at = (meet.lo[axis] + meet.hi[axis]) / 2
        post = a if made.role(a) != "side" else b
        paths: list[str] = [a, b]
        pockets = [
            (rail, box) for rail in made.joined(post, "frame") for c, box in made.bores(rail)
            if isinstance(c, PocketBore)
        ]  # fmt: skip
        words = f"{made.role(a)} to {made.role(b)}"
        if pockets and axis == 2:
            rail, box = min(pockets, key=lambda rb: (abs(rb[1].center[0] - made.boxes[post].center[0]), rb[1].lo))
            direction = made.towards(2)
            section = along_eye(direction, 2, box.center[2])
            paths.append(rail)
            words = f"rail, {made.role(a)} and {made.role(b)}"
        else:
            direction, section = cut_along(made, paths, axis, at)
        about = [meet] if meet.size[0] < 2 * MOST else [_near_one(meet)]
        if axis == 2 and made.boxes[post].size[0] < MOST:
            flat_on = made.boxes[post]
            about = [flat_on.replace(y=(flat_on.lo[1], flat_on.hi[1] + 20.0))]
        yield window("frame", words, direction, section, about, [made.boxes[p] for p in paths])


def _near_one(meet: Box) -> Box:
    return meet.replace(x=(meet.lo[0], meet.lo[0] + 20.0))


def _pins(made: Made) -> Iterator[Detail]:
    """A shelf on a pin in its bore."""
    for joint in _joints(made, "plugged"):
        pin, panel = (joint.a, joint.b) if not made.is_made(joint.a) else (joint.b, joint.a)
        shelf = next((q for q in made.joined(pin, "rests") if made.is_made(q)), None)
        if shelf is None or made.is_made(pin):
            continue
        middle = made.boxes[pin].center
        bores = [b for c, b in made.bores(panel) if b.grown(TOUCH).common(made.boxes[pin]) is not None]
        if not bores:
            continue
        direction, bore = made.towards(1), bores[0]
        edges = [made.boxes[panel], made.boxes[shelf], bore]
        section = along_eye(direction, 1, bore.center[1])
        about = [made.boxes[pin], bore, made.boxes[panel].replace(y=bore.span("y"), z=(middle[2] - 8, middle[2] + 24))]
        yield window("pin", f"{made.role(shelf)} on a pin in {made.role(panel)}", direction, section, about, edges)


def _dowels(made: Made) -> Iterator[Detail]:
    """Two panels and a dowel in both."""
    for joint in _joints(made, "dowelled"):
        both = set(made.joined(joint.a, "plugged")) & set(made.joined(joint.b, "plugged"))
        meet = contact(made.boxes[joint.a], made.boxes[joint.b])
        if not both or meet is None:
            continue
        dowel = made.boxes[min(both)]
        way = longest(dowel)
        size = meet.size
        axis = max((i for i in range(3) if i != way), key=lambda i: size[i])
        direction = made.towards(axis)
        near = [b for p in (joint.a, joint.b) for _, b in made.bores(p) if b.grown(TOUCH).common(dowel) is not None]
        bores = [b for b in near if longest(b) == way]
        edges = [made.boxes[joint.a], made.boxes[joint.b], *bores]
        section = along_eye(direction, axis, dowel.center[axis])
        words = f"{made.role(joint.a)} dowelled to {made.role(joint.b)}"
        yield window("dowelled", words, direction, section, [dowel, *bores], edges)


def _hung(made: Made) -> Iterator[Detail]:
    """A cleat on the cleat of the wall."""
    for joint in _joints(made, "hung"):
        yield _between(made, "hung", joint.a, joint.b, f"{made.role(joint.a)} on {made.role(joint.b)}")


def _rests(made: Made) -> Iterator[Detail]:
    for joint in _joints(made, "rests"):
        if made.is_made(joint.a) and made.is_made(joint.b):
            yield _between(made, "rests", joint.a, joint.b, f"{made.role(joint.a)} on {made.role(joint.b)}")


def _glued(made: Made) -> Iterator[Detail]:
    for joint in _joints(made, "glued"):
        kinds = {made.parts[p].part.kind for p in (joint.a, joint.b)}
        if kinds <= {"sheet", "board"} and made.role(joint.a) != made.role(joint.b):
            words = f"{made.role(joint.a)} glued to {made.role(joint.b)}"
            kind = " ".join(["glued", *sorted((made.role(joint.a), made.role(joint.b)))])
            yield _between(made, kind, joint.a, joint.b, words)


def _pivots(made: Made) -> Iterator[Detail]:
    """What turns on a pivot and what carries it."""
    for joint in _joints(made, "turns on"):
        held = [q for p in (joint.a, joint.b) for q in made.joined(p) if made.is_made(q)]
        held.sort(key=lambda p: (not any(p in m.parts for m in made.unit.motions), p))
        middle = contact(made.boxes[joint.a], made.boxes[joint.b])
        if len(held) < 2 or middle is None:
            continue
        direction = made.towards(2)
        around = [made.boxes[p] for p in (joint.a, joint.b)]
        section = along_eye(direction, 2, middle.center[2])
        words = f"{made.role(held[0])} on its pivot at {made.role(held[1])}"
        yield window("pivot", words, direction, section, around, [made.boxes[p] for p in held])


def _between(made: Made, kind: str, a: str, b: str, words: str) -> Detail:
    """Two parts where they meet, across the way they run together."""
    meet = contact(made.boxes[a], made.boxes[b]) or made.boxes[a]
    axis = longest(meet)
    direction, section = cut_along(made, (a, b), axis, (meet.lo[axis] + meet.hi[axis]) / 2)
    return window(kind, words, direction, section, [meet], [made.boxes[a], made.boxes[b]])


def _screwed(made: Made) -> Iterator[Detail]:
    """Two panels of the carcass and the screw that holds them."""
    for fixing in made.unit.fixings:
        pair = [fixing.through, *fixing.into[:1]]
        if len(pair) != 2 or any(p not in made.parts or not made.is_made(p) for p in pair):
            continue
        if "screw" in fixing.kind and not any(made.role(p).startswith(("drawer", "front")) for p in pair):
            yield _screw(made, fixing, pair[0], pair[1])


def _screw(made: Made, fixing: Fixing, a: str, b: str) -> Detail:
    spot = fixing.spots[0]
    way = made.frame.turn(spot.direction)
    head = made.frame.apply(spot.at)
    tip = made.frame.apply(spot.point(fixing.length))
    meet = contact(made.boxes[a], made.boxes[b]) or made.boxes[a]
    driven = max(range(3), key=lambda i: abs(way[i]))
    tilted = [i for i in range(3) if i != driven and abs(way[i]) > 0.05]
    across = [i for i in range(3) if i != driven and i not in tilted] or [i for i in range(3) if i != driven]
    axis = max(across, key=lambda i: meet.size[i])
    direction = made.towards(axis)
    (u0, v0, w), (u1, v1, _) = point(head, direction), point(tip, direction)
    corners = [(min(p, q), max(p, q) + 0.01) for p, q in zip(head, tip, strict=True)]
    body = Box((corners[0][0], corners[1][0], corners[2][0]), (corners[0][1], corners[1][1], corners[2][1]))
    edges = [made.boxes[a], made.boxes[b]]
    words = f"{made.role(a)} screwed to {made.role(b)}"
    along, up = ((), (v0,)) if abs(u1 - u0) > abs(v1 - v0) else ((u0,), ())
    stops = ((), ()) if tilted else (along, up)
    return window("screwed", words, direction, w, [body], edges, ((u0, v0), (u1, v1)), stops)


_RULES = (
    (_slides, False), (_hinges, True), (_channels, False), (_frames, True), (_dowels, True), (_hung, True),
    (_pins, True), (_rests, True), (_glued, False), (_pivots, True),
)  # fmt: skip
"""The rules in order, and whether each has one kind alone."""
