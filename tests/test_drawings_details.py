"""Enlarged details, sections of the room and codes of units, against what the model says of its own cuts and places."""

import itertools
import math
from dataclasses import dataclass
from functools import cached_property

import pytest
from drawing_verifier import Drawing
from drawn import DEMOS, demo_drawings

from exporters.drawings.display import Dimension, Path, Rect, Round, Sheet, Text, simple
from exporters.drawings.on_paper import Space
from exporters.drawings.sections import stacks_of
from exporters.filenames import file_stems
from model.build import Build
from model.cuts import Bore, Cut, Groove, Rabbet
from model.part import PlacedPart
from model.plan import BuiltUnit
from model.shapes import Box

MM = {"mm": 1.0, "in": 25.4}
NEAR = 0.02
"""mm. The geometry of a drawing against the model's."""


@dataclass
class Demo:
    built: Build
    sheets: dict[str, Sheet]
    drawings: dict[str, Drawing]

    @cached_property
    def details(self) -> list[tuple[BuiltUnit, Sheet, Drawing]]:
        """Each unit that has a sheet of details, the sheet, and the file as another reader has it."""
        stems = file_stems(u.name for u in self.built.plan.units)
        found = [(u, self.sheets.get(f"details-{stems[u.name]}")) for u in self.built.plan.units]
        return [(u, s, self.drawings[s.name]) for u, s in found if s is not None]

    def at_wall(self, placed: PlacedPart, unit: str) -> Box:
        """Where a part lies along its wall, into it and up."""
        frame = next(w.frame for w in self.built.walls if w.name == self.built.stands_at[unit])
        return placed.moved(frame.inverse()).bounds()


@pytest.fixture(scope="module", params=DEMOS)
def demo(request: pytest.FixtureRequest) -> Demo:
    drawn = demo_drawings(request.param)
    return Demo(drawn.built, drawn.sheets, drawn.drawings)


def _told(drawing: Drawing, upright: bool | None = None) -> list[float]:
    """The lengths that are dimensioned, mm."""
    return [d.length * MM[drawing.unit] for d in drawing.dimensions() if upright is None or d.upright == upright]


def _among(value: float, lengths: list[float]) -> bool:
    return any(abs(value - v) < NEAR for v in lengths)


def _words(sheet: Sheet) -> list[str]:
    return [i.text for i in simple(sheet.items) if isinstance(i, Text)]


# what details tell


def _channels(demo: Demo, unit: BuiltUnit) -> list[tuple[str, str, Cut, str]]:
    """What each panel of a joint is let into: the words for it, which way it runs in the room, the cut, its owner."""
    parts = {p.path: p for p in unit.parts}
    found: list[tuple[str, str, Cut, str]] = []
    for joint in unit.joints:
        for a, b in itertools.permutations([p for p in (joint.a, joint.b) if p in parts]):
            if parts[b].part.kind == "hardware":
                continue
            guest = parts[a].placement.inverse().compose(parts[b].placement).box(Box((0, 0, 0), parts[b].part.size))
            for cut in parts[a].part.cuts:
                if isinstance(cut, Groove | Rabbet):
                    low = 0.0 if cut.face == "B" else parts[a].part.thickness - cut.depth
                    taken = Box((cut.u0, cut.v0, low), (cut.u1, cut.v1, low + cut.depth))
                    if taken.common(guest) is not None:
                        frame = next(w.frame for w in demo.built.walls if w.name == demo.built.stands_at[unit.name])
                        lying = parts[a].moved(frame.inverse()).placement.box(taken)
                        way = max("xyz", key=lambda axis, box=lying: box.span(axis)[1] - box.span(axis)[0])
                        what = type(cut).__name__.lower()
                        found.append(
                            (f"{parts[b].role} in {what} of {parts[a].role}", f"{what} {way}", cut, parts[a].role)
                        )
    return found


def test_every_kind_of_groove_and_rabbet_is_drawn_with_its_depth_and_width(demo: Demo) -> None:
    """As many kinds as there are ways they run in the room; each with the very depth and width its part is cut to."""
    seen = 0
    for unit, sheet, drawing in demo.details:
        told = _told(drawing)
        kinds: dict[str, list[tuple[str, Cut]]] = {}
        for words, way, cut, owner in _channels(demo, unit):
            kinds.setdefault(f"{way} drawer" if owner.startswith("drawer") else way, []).append((words, cut))
        for kind, cuts in kinds.items():
            if kind == "groove x drawer":
                continue  # the groove of a drawer's front is that of its sides
            drawn = [
                c for words, c in cuts if words in _words(sheet) or "slide and drawer side" in " ".join(_words(sheet))
            ]
            assert drawn, (unit.code, kind)
            assert any(
                isinstance(c, Groove | Rabbet) and _among(c.depth, told) and _among(min(c.u1 - c.u0, c.v1 - c.v0), told)
                for c in drawn
            ), (unit.code, kind)
            seen += 1
    assert seen >= 3


def test_units_with_channels_have_a_sheet_of_details(demo: Demo) -> None:
    with_sheet = {u.name for u, _, _ in demo.details}
    assert {u.name for u in demo.built.plan.units if _channels(demo, u)} <= with_sheet
    assert {u.name for u in demo.built.plan.units if u.motions} <= with_sheet


def test_each_kind_of_joint_has_its_detail(demo: Demo) -> None:
    for unit, sheet, _ in demo.details:
        words = "\n".join(_words(sheet))
        parts = {p.path: p for p in unit.parts}
        pairs = {(j.kind, *sorted((parts[j.a].role, parts[j.b].role))) for j in unit.joints if {j.a, j.b} <= set(parts)}
        asked = {
            "slide and drawer side": ("runs", "slide", "slide") in pairs,
            "at a hinge": any(k[0] == "hinged" for k in pairs),
            "shelf on a pin": ("plugged", "shelf pin", "side") in {(k, *sorted((a, b))) for k, a, b in pairs},
            "stile and side": ("frame", "side", "stile") in pairs,
            "on its pivot": any(k[0] == "turns on" for k in pairs),
            "edge glued to top": ("glued", "edge", "top") in pairs,
        }
        for said, there in asked.items():
            assert (said in words) == there, (unit.code, said)


def test_the_room_of_a_slide_is_what_the_model_leaves_for_it(demo: Demo) -> None:
    """From what the slide is screwed to, to the side of the drawer: told on the sheet."""
    for unit, sheet, drawing in demo.details:
        parts = {p.path: p for p in unit.parts}
        screwed = [(j.a, j.b) for j in unit.joints if j.kind == "screwed"]
        gaps = []
        for joint in (j for j in unit.joints if j.kind == "runs" and parts[j.a].part.kind == "hardware"):
            held = [
                b if a == end else a for end in (joint.a, joint.b) for a, b in screwed
                if end in (a, b) and parts[b if a == end else a].part.kind != "hardware"
            ]  # fmt: skip
            first, second = (demo.at_wall(parts[p], unit.name).span("x") for p in held)
            gaps.append(max(first[0], second[0]) - min(first[1], second[1]))
        if gaps:
            assert any(_among(g, _told(drawing, upright=False)) for g in gaps), (unit.code, sheet.name)
            assert min(gaps) > 5.0  # a slide of balls is some 12.7 mm thick (common practice)


def test_a_door_s_overlay_and_its_cup_are_told(demo: Demo) -> None:
    for unit, _, drawing in demo.details:
        doors = [p for p in unit.parts if p.role == "door"]
        stiles = [p for p in unit.parts if p.role == "stile"]
        if not doors or not stiles or not any(j.kind == "hinged" for j in unit.joints):
            continue
        lying, standing = _told(drawing, upright=False), _told(drawing, upright=True)
        over = []
        for door, stile in itertools.product(doors, stiles):
            a, b = (demo.at_wall(p, unit.name).span("x") for p in (door, stile))
            over.append(min(a[1], b[1]) - max(a[0], b[0]))
        assert any(o > 1 and _among(o, lying) for o in over), (unit.code, over)
        cups = [c for d in doors for c in d.part.cuts if isinstance(c, Bore) and c.purpose == "hinge cup"]
        assert any(_among(c.diameter, lying) for c in cups), unit.code
        assert any(_among(c.depth or 0.0, standing) for c in cups), unit.code


def test_pins_are_bored_as_deep_as_told(demo: Demo) -> None:
    for unit, sheet, drawing in demo.details:
        if "shelf on a pin in side" in _words(sheet):
            pins = {
                (c.depth, c.diameter)
                for p in unit.parts
                for c in p.part.cuts
                if isinstance(c, Bore) and c.purpose == "pin"
            }
            lying, standing = _told(drawing, upright=False), _told(drawing, upright=True)
            assert any(_among(depth or 0.0, lying) and _among(d, standing) for depth, d in pins), unit.code


def test_details_are_enlarged_and_their_places_marked_on_the_unit(demo: Demo) -> None:
    stems = file_stems(u.name for u in demo.built.plan.units)
    for unit, sheet, _ in demo.details:
        front = demo.sheets[f"unit-{stems[unit.name]}"]
        assert sheet.scale <= front.scale / 2
        letters = [w.split(" ")[0] for w in _words(sheet) if w.endswith(")") and "(1:" in w]
        assert letters
        rings = [i for i in front.items if isinstance(i, Round) and i.layer == "MARKS"]
        large = [i for i in sheet.items if isinstance(i, Round) and i.layer == "NOTES" and i.radius > 10]
        # the circle on the unit is as large in true size as the one round the detail
        assert sorted(round(r.radius * front.scale, 1) for r in rings) == sorted(
            round(r.radius * sheet.scale, 1) for r in large
        ), unit.code
        assert len(letters) == len(rings)
        assert set(letters) <= set(_words(front))


def test_nothing_of_a_detail_leaves_its_circle(demo: Demo) -> None:
    for unit, sheet, _ in demo.details:
        rings = [i for i in sheet.items if isinstance(i, Round) and i.layer == "NOTES" and i.radius > 10]
        for item in sheet.items:
            if isinstance(item, Path) and item.layer in ("VISIBLE", "CUT"):
                for p in item.points:
                    assert any(math.dist(p, r.middle) <= r.radius + 1e-6 for r in rings), (unit.code, p)


# sections of the room


def test_heights_of_sections_add_up_to_the_ceiling_and_pass_the_counter(demo: Demo) -> None:
    stacks = stacks_of(demo.built)
    for wall in demo.built.walls:
        for stack in stacks.get(wall.name, []):
            chains = _chains(demo, stack.letter)
            ceiling = demo.built.overhead.over(wall.frame.apply((stack.at, 0.0, 0.0)))
            heights = list(itertools.accumulate(chains["heights"]))
            assert heights[-1] == pytest.approx(ceiling, abs=NEAR), stack
            assert chains["height"] == [pytest.approx(ceiling, abs=NEAR)]
            for name in stack.units:
                unit = next(u for u in demo.built.plan.units if u.name == name)
                made = [demo.at_wall(p, name) for p in unit.parts if p.part.kind != "hardware"]
                if unit.kind == "top":
                    made = [demo.at_wall(p, name) for p in unit.parts if p.role == "top"]
                    assert chains["counter"] == [pytest.approx(max(b.hi[2] for b in made), abs=NEAR)]
                for z in (min(b.lo[2] for b in made), max(b.hi[2] for b in made)):
                    assert _among(z, [0.0, *heights]), (stack, name, z)
                side = "depths above" if unit.kind in ("upper", "connecting") else "depths below"
                depths = list(itertools.accumulate(chains[side]))
                whole = depths[-1]
                assert any(
                    _among(-min(b.lo[1] for b in made), [d, whole - d]) for d in (0.0, *depths)
                ), (stack, name)  # fmt: skip


def _chains(demo: Demo, letter: str) -> dict[str, list[float]]:
    """The dimensions of one section by the chain they belong to, mm, from the floor up or from left to right."""
    found: dict[str, list[tuple[float, float]]] = {}
    for name, sheet in demo.sheets.items():
        if name.startswith("section-"):
            for d in (i for i in sheet.items if isinstance(i, Dimension)):
                chain, _, own = d.chain.rpartition(" ")
                if own == letter:
                    start, length = d.a[d.upright], (d.b[d.upright] - d.a[d.upright]) * sheet.scale
                    found.setdefault(chain, []).append((start, length))
    return {chain: [length for _, length in sorted(dims)] for chain, dims in found.items()}


def test_every_unit_that_is_wide_enough_is_in_a_section_or_has_its_like_in_one(demo: Demo) -> None:
    cut = {name for stacks in stacks_of(demo.built).values() for s in stacks for name in s.units}
    for unit in demo.built.plan.units:
        if unit.kind in ("corner", "panel", "filler") or not unit.parts:
            continue
        size = _rounded_size(demo, unit)
        like = {u.name for u in demo.built.plan.units if u.kind == unit.kind and _rounded_size(demo, u)[1:] == size[1:]}
        assert cut & like, unit.code


def _rounded_size(demo: Demo, unit: BuiltUnit) -> tuple[int, ...]:
    """Width, depth and height to 20 mm."""
    made = [demo.at_wall(p, unit.name) for p in unit.parts if p.part.kind != "hardware"]
    if not made:
        return (0, 0, 0)
    return tuple(round((max(b.hi[i] for b in made) - min(b.lo[i] for b in made)) / 20) for i in range(3))


def test_cutting_planes_are_marked_where_the_sections_are_taken(demo: Demo) -> None:
    stems = file_stems(w.name for w in demo.built.walls)
    for wall, stacks in stacks_of(demo.built).items():
        sheet = demo.sheets[f"wall-{stems[wall]}"]
        x0, _ = _corner(sheet)
        for stack in stacks:
            at = x0 + stack.at / sheet.scale
            strokes = [
                i for i in sheet.items
                if isinstance(i, Path) and i.layer == "CUT" and all(abs(x - at) < 1e-6 for x, _ in i.points)
            ]  # fmt: skip
            assert len(strokes) == 2, stack
            named = [i for i in sheet.items if isinstance(i, Text) and i.layer == "TEXT" and i.text == stack.letter]
            assert len(named) == 2


# codes of units


def _corner(sheet: Sheet) -> tuple[float, float]:
    """Where the left end of a wall's floor lies on its sheet: the whole of the wall is dimensioned from there."""
    (whole,) = [i for i in sheet.items if isinstance(i, Dimension) and i.chain == "wall"]
    return whole.a


def test_codes_without_a_leader_stand_in_their_own_unit(demo: Demo) -> None:
    stems = file_stems(w.name for w in demo.built.walls)
    inside = 0
    for wall in demo.built.walls:
        sheet = demo.sheets.get(f"wall-{stems[wall.name]}")
        units = [u for u in demo.built.plan.units if demo.built.stands_at[u.name] == wall.name]
        if sheet is None or not units:
            continue
        x0, y0 = _corner(sheet)
        rings = [i for i in sheet.items if isinstance(i, Round) and i.layer == "MARKS"]
        for unit in units:
            (words,) = [i for i in sheet.items if isinstance(i, Text) and i.text == unit.code and i.layer == "MARKS"]
            (ring,) = [r for r in rings if math.dist(r.middle, words.at) < 1e-9]
            assert all(math.dist(c, ring.middle) < ring.radius for c in _corners(words.rect()))
            if any(_leads(i, ring) for i in sheet.items):
                continue
            inside += 1
            boxes = [p.moved(wall.frame.inverse()).bounds() for p in unit.parts]
            low = [x0 + min(b.lo[0] for b in boxes) / sheet.scale, y0 + min(b.lo[2] for b in boxes) / sheet.scale]
            high = [x0 + max(b.hi[0] for b in boxes) / sheet.scale, y0 + max(b.hi[2] for b in boxes) / sheet.scale]
            for i in (0, 1):
                assert low[i] <= ring.middle[i] - ring.radius, unit.code
                assert ring.middle[i] + ring.radius <= high[i], unit.code
    assert inside >= 2


def _corners(r: Rect) -> list[tuple[float, float]]:
    # letters are a little lower than the box that keeps room for what hangs below the line
    return [(x, y) for x in (r[0] + 0.2, r[2] - 0.2) for y in (r[1] + 0.8, r[3] - 0.1)]


def _leads(item: object, ring: Round) -> bool:
    """Whether a line ends at a circle from outside."""
    return (
        isinstance(item, Path)
        and item.layer == "MARKS"
        and any(abs(math.dist(p, ring.middle) - ring.radius) < 1e-6 for p in item.points)
    )


def test_codes_and_names_keep_clear_of_lines_and_of_each_other(demo: Demo) -> None:
    """No line that is seen runs through a circle round a code, on the plan nor on elevations."""
    for name, sheet in demo.sheets.items():
        if not name.startswith(("wall-", "room-")):
            continue
        words = [i for i in sheet.items if isinstance(i, Text) and i.layer == "MARKS"]
        rings = [
            i for i in sheet.items
            if isinstance(i, Round) and i.whole and any(math.dist(w.at, i.middle) < 1e-9 for w in words)
        ]  # fmt: skip
        assert rings or not any(u for u in demo.built.plan.units if name == "room-plan")
        for a, b in itertools.combinations(rings, 2):
            assert math.dist(a.middle, b.middle) > a.radius + b.radius, name
        lines = [i for i in sheet.items if isinstance(i, Path) and i.layer in ("VISIBLE", "ROOM", "CUT")]
        for ring in rings:
            near = [
                s
                for i in lines
                for s in itertools.pairwise(i.points)
                if _distance(ring.middle, *s) < ring.radius - 0.01
            ]
            assert not near, (name, ring)


def _distance(p: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    along = (b[0] - a[0], b[1] - a[1])
    length = along[0] ** 2 + along[1] ** 2
    t = 0.0 if length == 0 else max(0.0, min(1.0, ((p[0] - a[0]) * along[0] + (p[1] - a[1]) * along[1]) / length))
    return math.dist(p, (a[0] + along[0] * t, a[1] + along[1] * t))


# all of these sheets


def test_no_line_of_a_dimension_runs_through_words(demo: Demo) -> None:
    """Not through the text of another dimension, nor through letters, headings, codes and marks."""
    for name, sheet in demo.sheets.items():
        dims = [i for i in sheet.items if isinstance(i, Dimension)]
        lines = [s for d in dims for i in d.items if isinstance(i, Path) for s in itertools.pairwise(i.points)]
        words = [i for i in sheet.items if isinstance(i, Text) and i.layer in ("TEXT", "MARKS")]
        for text in (*words, *(d.items[-1] for d in dims)):
            assert isinstance(text, Text)
            own = [s for d in dims if d.items[-1] is text for i in d.items if isinstance(i, Path)
                   for s in itertools.pairwise(i.points)]  # fmt: skip
            met = Space(lines).crossings(_letters(text)) - (Space(own).crossings(_letters(text)) if own else 0)
            assert met == 0, (name, text.text)


def _letters(text: Text) -> Rect:
    """The box of the letters alone, without what hangs below the line."""
    x0, y0, x1, y1 = text.rect()
    if text.upright:
        return (x0 + 0.3, y0 + 0.4, x1 - 0.9, y1 - 0.4)
    return (x0 + 0.4, y0 + 0.9, x1 - 0.4, y1 - 0.3)
