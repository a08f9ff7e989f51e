"""The first files of a project, from a few answers: a room, a wall of units with a top, and what they draw on."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from model.config.rewrite import scalar
from model.errors import ProjectError
from model.lengths import MM_PER_INCH, LengthUnit, parse_length, show_length, show_number
from model.messages import shown
from model.siting.widths import DoesNotFit, WidthWish, solve_widths

PACKAGED = Path(__file__).parent / "starter_files"
SOURCE = PACKAGED if PACKAGED.is_dir() else Path(__file__).parent.parent / "configs"
"""Where the unit and stock files are copied from: beside the code where it is installed, else the demos' own."""
WALL = "long wall"
LEAST_UPPER = 300.0
"""mm. A lower upper holds no row of books."""

Kind = Literal["drawers", "doors", "seat"]
KINDS: dict[Kind, str] = {
    "drawers": "a base with drawers",
    "doors": "a base with two doors and a shelf",
    "seat": "a place to sit, with shallow drawers under the top",
}


@dataclass(frozen=True)
class Habits:
    """What is usual where lengths are counted in one unit (mm; common practice): stock, sizes, files."""

    stock: str
    files: dict[str, str]
    depth: str | None
    materials: dict[str, str]
    margin: float
    front: float
    bench: float
    desk: float
    panel: str
    """As thick as the carcass sheet: the width of an end panel."""
    base: tuple[float, float]
    seat: tuple[float, float]
    upper: float
    grid: float
    room: tuple[float, float]

    def top_height(self, kinds: Sequence[str]) -> float:
        """Of a desk where somebody sits at it, else of a bench."""
        return self.desk if "seat" in kinds else self.bench


def _inches(value: float) -> float:
    return round(value * MM_PER_INCH, 3)


HABITS: dict[LengthUnit, Habits] = {
    "mm": Habits(
        stock="birch-metric.yaml",
        files={"drawers": "drawer-base", "doors": "door-base", "seat": "kneehole", "upper": "upper"},
        depth=None,
        materials={
            "carcass": "birch 18", "back": "birch 6", "frame": "pine 20x40", "slide": "ball-bearing 45",
            "hinge": "cup 35", "pin": "pin 5", "pull": "bar 128", "rail_screw": "screw 4x50",
        },
        margin=10, front=25, bench=900, desk=740, panel="17.8", base=(400, 900), seat=(650, 1800), upper=1200, grid=10,
        room=(3000, 2400),
    ),
    "in": Habits(
        stock="maple-inch.yaml",
        files={"drawers": "tool-base", "doors": "door-base", "seat": "kneehole", "upper": "upper"},
        depth="23 1/2",
        materials={
            "carcass": "maple three-quarter", "back": "maple quarter", "frame": "pine 1x2", "slide": "half-inch 100",
            "hinge": "cup 35", "pin": "pin quarter", "pull": "bar 5", "rail_screw": "number 8 x 2",
        },
        margin=_inches(0.25), front=_inches(1), bench=_inches(36), desk=_inches(30), panel="23/32",
        base=(_inches(16), _inches(36)), seat=(_inches(26), _inches(72)), upper=_inches(48), grid=_inches(0.5),
        room=(_inches(120), _inches(96)),
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Answers:
    """What `starter_files` makes a project of; sizes in mm. `uppers` are names of units, as `unit_names` gives them."""

    title: str
    lengths: LengthUnit
    width: float
    height: float
    units: tuple[Kind, ...]
    top_height: float
    uppers: tuple[str, ...] = ()

    @property
    def panels(self) -> tuple[str, ...]:
        """Panels that carry the top where nothing stands beside a seat: at the left end of the wall, at the right."""
        ends = (("left panel", self.units[:1]), ("right panel", self.units[-1:]))
        return tuple(name for name, unit in ends if unit == ("seat",))


def unit_names(kinds: Sequence[str]) -> list[str]:
    """A name for each unit, left to right: its kind, numbered where there are several."""
    seen: Counter[str] = Counter()
    names = []
    for kind in kinds:
        seen[kind] += 1
        names.append(kind if seen[kind] == 1 else f"{kind} {seen[kind]}")
    return names


def starter_files(answers: Answers) -> dict[str, str]:
    """The files of the project, path to text, `project.yaml` last. Raises ProjectError for answers that cannot be."""
    habits = HABITS[answers.lengths]
    _check_widths(answers, habits)
    used = {habits.files[kind] for kind in {*answers.units, *(["upper"] if answers.uppers else [])}}
    files = {f"units/{name}.yaml" for name in {*used, *(["end-panel"] if answers.panels else [])}}
    texts = {name: _copied(name) for name in sorted({*files, f"stock/{habits.stock}"})}
    return texts | {"room.yaml": _room(answers), "project.yaml": _project(answers, habits)}


def _copied(name: str) -> str:
    path = SOURCE / name
    try:
        text = path.read_text(encoding="utf-8")
    except OSError:
        raise ProjectError(f"{name} is not where wallwork is installed: run it from a clone of it") from None
    first, _, rest = text.partition("\n")
    return rest if first.startswith("# yaml-language-server") else text


def _check_widths(answers: Answers, habits: Habits) -> None:
    """Whether as many units as these stand well along a wall of this length."""
    if not answers.units:
        raise ProjectError("no units: name at least one")
    wishes = [
        WidthWish(name, share=float(share), least=low)
        for name, (share, low, _) in zip(unit_names(answers.units), _shares(answers, habits), strict=True)
    ]
    panels = len(answers.panels) * parse_length(habits.panel, answers.lengths)
    free = answers.width - 2 * habits.margin - panels
    try:
        solve_widths(wishes, free)
    except DoesNotFit as problem:
        text = shown(problem.message, answers.lengths)
        raise ProjectError(f"too many units for this wall: {text}") from None
    most = sum(habits.seat[1] if kind == "seat" else habits.base[1] for kind in answers.units)
    if free > most:
        more = math.ceil((free - most) / habits.base[1])
        raise ProjectError(
            f"too few units for this wall: with each at its widest they come to {show_length(most, answers.lengths)} "
            f"of {show_length(answers.width, answers.lengths)}; {more} more would do"
        )


def _shares(answers: Answers, habits: Habits) -> list[tuple[int, float, float]]:
    """Share, least and greatest width of each unit."""
    return [(2, *habits.seat) if kind == "seat" else (1, *habits.base) for kind in answers.units]


def _number(value: float, lengths: LengthUnit) -> str:
    """A length in a file whose bare numbers count in `lengths`; with its own unit where that would round it."""
    text = show_number(value, lengths)
    return text if abs(parse_length(text, lengths) - value) < 0.001 else f"{value:.10g} mm"


def _room(answers: Answers) -> str:
    def n(value: float) -> str:
        return _number(value, answers.lengths)

    inch = answers.lengths == "in"
    board = "{height: 3 1/2, thickness: 9/16}" if inch else "{height: 110, thickness: 14}"
    outlet = "{name: outlet, x: 5 ft, z: 42}" if inch else "{name: outlet, x: 1500, z: 1150}"
    window = (
        "{name: window, x: 40, z: 44, width: 36, height: 36}"
        if inch
        else "{name: window, x: 1000, z: 1100, width: 900, height: 1000}"
    )
    return f"""\
# The room as you measured it. Facing a wall, x runs to the right from its left end, z up from the floor.
lengths: {answers.lengths}            # the unit of bare numbers here; any value may carry its own: 29 1/4 in, 0.9 m
height: {n(answers.height)}
walls:
  {WALL}:
    width: {n(answers.width)}
    # Take away the # before what the wall has, and write its own sizes:
    # baseboard: {board}
    # outlets: [{outlet}]
    # windows: [{window}]
"""


def _project(answers: Answers, habits: Habits) -> str:
    def n(value: float) -> str:
        return _number(value, answers.lengths)

    names = unit_names(answers.units)
    units = "".join(_unit(answers, habits, i, name) for i, name in enumerate(names))
    left, right = ([name] if name in answers.panels else [] for name in ("left panel", "right panel"))
    over = [*left, *names, *right]
    before, after = ("".join(_panel(habits, name) for name in side) for side in (left, right))
    materials = "".join(f"  {role}: {name}\n" for role, name in habits.materials.items())
    m = n(habits.margin)
    return f"""\
# Begun with a few answers; everything here is yours to change. Check it: wallwork check project.yaml
title: {scalar(answers.title)}
lengths: {answers.lengths}            # the unit of bare numbers here, and the one lengths are shown in
room: room.yaml
stock: stock/{habits.stock}    # sizes and prices are invented: measure your own stock and write it there

# Which stock plays which role, by its name in the stock file.
materials:
{materials}
# Kept free at the ends of the wall; the top reaches over it.
margins:
  {WALL}: {{left: {m}, right: {m}}}

# What stands along the wall, left to right. A width is a length, or a share of what is left within limits.
walls:
  {WALL}:
{before}{units}{after}
# One top over all of them; seams are placed over carcasses where a sheet is too short.
tops:
  - name: top
    wall: {WALL}
    over: [{", ".join(over)}]
    height: {n(answers.top_height)}
    overhang: {{front: {n(habits.front)}, left: {m}, right: {m}}}
{_uppers(answers, habits)}"""


def _unit(answers: Answers, habits: Habits, index: int, name: str) -> str:
    kind = answers.units[index]
    share, low, high = _shares(answers, habits)[index]
    limits = f"{{fill: {share}, min: {_number(low, answers.lengths)}, max: {_number(high, answers.lengths)}}}"
    change = {}
    file = habits.files[kind]
    if habits.depth is not None and file != "tool-base":
        change["depth"] = habits.depth
    written = ", ".join(f"{k}: {v}" for k, v in change.items())
    tail = f"      change: {{{written}}}      # what differs here from the unit's file\n" if change else ""
    return f"    - name: {name}\n      unit: units/{file}.yaml\n      width: {limits}\n{tail}"


def _panel(habits: Habits, name: str) -> str:
    side, depth = name.split()[0], f", depth: {habits.depth}" if habits.depth else ""
    change = f"      change: {{exposed: {side}{depth}}}\n"
    return f"    - name: {name}\n      unit: units/end-panel.yaml\n      width: {habits.panel}\n{change}"


def _uppers(answers: Answers, habits: Habits) -> str:
    if not answers.uppers:
        return ""
    left = answers.height - answers.top_height - habits.grid
    height = min(habits.upper, math.floor(left / habits.grid + 1e-6) * habits.grid)
    if height < LEAST_UPPER:
        over = show_length(max(answers.height - answers.top_height, 0.0), answers.lengths)
        raise ProjectError(f"no room for uppers: the ceiling is {over} over the top")
    file = habits.files["upper"]
    rows = "".join(
        f"  - name: shelves over {name}\n    unit: units/{file}.yaml\n    on: top\n    above: {name}\n"
        f"    height: {_number(height, answers.lengths)}\n"
        for name in answers.uppers
    )
    return f"\n# Shelf units on the top, each as wide as the unit under it.\nuppers:\n{rows}"
