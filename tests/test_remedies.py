"""The smallest change that clears a finding: written into the files and built from there, it does, and a step less does
not."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml
from conftest import CONFIGS, INCH
from projects import base, write_project
from rooms import room_project, unit

from model.build import Build, build
from model.checks import run
from model.config.rewrite import rewritten
from model.findings import Finding
from model.lengths import MM_PER_INCH
from model.remedies import Advice, Remedy, remedies, shown

INCHES = CONFIGS / "stock" / "maple-inch.yaml"


def ill(findings: tuple[Finding, ...]) -> set[tuple[str, tuple[str, ...]]]:
    return {(f.code, f.parts) for f in findings if f.severity != "note"}


def advised(path: Path, code: str) -> tuple[Build, tuple[Finding, ...], Advice]:
    """The project, its findings of one code, and the advice they share."""
    built = build(path)
    found = run(built)
    asked = tuple(f for f in found if f.code == code)
    assert asked
    given = remedies(built, found, only={code})
    (advice,) = {id(given[f]): given[f] for f in asked}.values()
    return built, asked, advice


def applied(path: Path, remedy: Remedy, new: str | None = None) -> tuple[Finding, ...]:
    """What is found once the remedy (or another value in its place) is written into its file; the file is put back."""
    file = Path(remedy.file)
    before = file.read_text(encoding="utf-8")
    try:
        file.write_text(rewritten(before, {remedy.loc: new or remedy.yaml}), encoding="utf-8")
        return run(build(path))
    finally:
        file.write_text(before, encoding="utf-8")


def step_less(remedy: Remedy, step: float) -> str:
    """The value a step nearer to the old one, as YAML."""
    assert isinstance(remedy.old, int | float)
    assert isinstance(remedy.new, int | float)
    value = remedy.new + (step if remedy.new < remedy.old else -step)
    return f"{value:.10g}" if remedy.kind == "angle" else f"{value:.10g} mm"


def mends(path: Path, code: str, step: float = 0.5) -> Remedy:
    """The best remedy, after it and all others have been written into the files and tried."""
    built, asked, advice = advised(path, code)
    before = ill(run(built))
    assert advice.best is not None
    for remedy in advice.remedies:
        after = ill(applied(path, remedy))
        assert not after & ill(asked)
        assert after <= before
    size = 1.0 if advice.best.kind == "angle" else step
    less = ill(applied(path, advice.best, step_less(advice.best, size)))
    assert less & ill(asked) or not less <= before
    return advice.best


def drawers(**more: Any) -> dict[str, Any]:
    return base(height=800, drawers={"rows": 2, **more})


def press(folder: Path) -> Path:
    """Slides that are not brought out past the stiles: a stile of 40 on a side of 17.8 stands in by 22.2."""
    return write_project(folder, {"press": drawers(build_out=0)})


def press_in_inches(folder: Path) -> Path:
    """A stile of 1 1/2 in on a side of 23/32 in stands in by 25/32 in."""
    return write_project(
        folder,
        {"press": {"lengths": "in", "kind": "base", "height": "32 in", "drawers": {"rows": 2, "build_out": 0}}},
        widths={"press": "24 in"},
        stock=INCHES,
        lengths="in",
        materials=INCH.model_dump(exclude_none=True),
    )


def wide_fronts(folder: Path) -> Path:
    """Fronts that lap stiles of 40 by 43 stand 3 past the end of the wall."""
    return write_project(folder, {"a": {**drawers(), "fronts": {"overlay": 43}}})


def door_to_wall(folder: Path) -> Path:
    """A door hung right in the corner of the room that is to turn past a right angle."""
    return room_project(
        folder,
        {"walls": {"north": {"width": 700}, "east": {"width": 2400}}},
        {"north": [unit("a", "doors", 600, height=800, doors={"leaves": 1, "hinged": "right", "opens": 110})]},
        margins={"north": {"left": 100}},
    )


def before_a_radiator(folder: Path) -> Path:
    """20 mm of a base before a radiator."""
    thing = {"x": 580, "z": 100, "width": 400, "height": 500, "projection": 80}
    return write_project(folder, {"a": base(height=800)}, room=with_thing("radiators", thing))


def before_an_outlet(folder: Path) -> Path:
    """An outlet behind the sides of two bases, where no back can be opened for it."""
    units = {name: base(height=800) for name in ("a", "b")}
    return write_project(folder, units, room=with_thing("outlets", {"x": 590, "z": 300}))


def with_thing(kind: str, thing: dict[str, Any]) -> dict[str, Any]:
    return {"height": 2500, "walls": {"north": {"width": 2400, kind: [thing]}}}


def under_a_slope(folder: Path) -> Path:
    """A tall base under a ceiling that is too low for it."""
    return write_project(folder, {"a": base(height=2105)}, room={"height": 2100, "walls": {"north": {"width": 2400}}})


@pytest.mark.parametrize(
    ("project", "code", "key", "new"),
    [
        (press, "overlap", "drawers.build_out", 22.5),
        (wide_fronts, "past-wall", "fronts.overlay", 40.0),
        (before_a_radiator, "in-the-way", "width", 580.0),
        (under_a_slope, "too-high", "height", 2100.0),
    ],
)
def test_the_smallest_change(project: Callable[[Path], Path], code: str, key: str, new: float, tmp_path: Path) -> None:
    remedy = mends(project(tmp_path), code)
    assert (remedy.key, remedy.new) == (key, new)


def test_inches_are_changed_by_thirty_seconds(tmp_path: Path) -> None:
    path = press_in_inches(tmp_path)
    remedy = mends(path, "overlap", MM_PER_INCH / 32)
    assert remedy.key == "drawers.build_out"
    assert remedy.new == pytest.approx(25 / 32 * MM_PER_INCH, abs=1e-3)
    assert shown(remedy, "in").startswith("drawers.build_out of press: 0 in -> 25/32 in (")


def test_a_door_opens_less_far(tmp_path: Path) -> None:
    remedy = mends(door_to_wall(tmp_path / "room"), "hits-room")
    assert (remedy.key, remedy.kind, remedy.old) == ("doors.opens", "angle", 110.0)
    assert 80 <= float(remedy.new) < 100


def test_what_is_covered_is_moved_clear_of(tmp_path: Path) -> None:
    mends(before_an_outlet(tmp_path), "outlet-covered")


def test_what_newly_fails_elsewhere_is_no_remedy(tmp_path: Path) -> None:
    """A base 20 mm before a pipe; all the wall moved by that would put its neighbour before another."""
    pipes = [{"x": x, "z": 100, "width": 20, "height": 500, "projection": 60} for x in (0, 1205)]
    room = {"height": 2500, "walls": {"north": {"width": 1230, "pipes": pipes}}}
    path = write_project(tmp_path, {name: base(height=800) for name in ("a", "b")}, room=room)
    built = build(path)
    found = run(built)
    given = remedies(built, found, only={"in-the-way"})
    assert {f.parts[0].split("/")[0] for f in given} == {"a"}
    assert "margins.north.left" not in {r.key for advice in given.values() for r in advice.remedies}

    path.write_text(rewritten(path.read_text(), {("margins", "north", "left"): "20 mm"}))
    moved = {f.parts[0].split("/")[0] for f in run(build(path)) if f.code == "in-the-way"}
    assert moved == {"b"}


def test_a_value_is_named_where_it_stands(tmp_path: Path) -> None:
    """In the unit's file, in the change laid over it, or where it would be added."""
    path = wide_fronts(tmp_path)
    remedy = advised(path, "past-wall")[2].best
    assert remedy is not None
    assert (remedy.file, remedy.loc) == (str(tmp_path / "unit-0.yaml"), ("fronts", "overlay"))
    line = (tmp_path / "unit-0.yaml").read_text().splitlines()[remedy.mark.line - 1]
    assert line[remedy.mark.column - 1 :] == "43"

    said = yaml.safe_load(path.read_text())
    said["walls"]["north"][0]["change"] = {"fronts": {"overlay": 42}}
    path.write_text(yaml.safe_dump(said, sort_keys=False))
    remedy = mends(path, "past-wall")
    assert (remedy.file, remedy.old, remedy.new) == (str(path), 42.0, 40.0)
    assert remedy.loc == ("walls", "north", 0, "change", "fronts", "overlay")


def test_a_default_is_added_where_one_placement_differs(tmp_path: Path) -> None:
    """Two bases of one file: the one at the end of the wall alone is told to lap less."""
    path = write_project(tmp_path, {"a": base(height=800, depth=600)}, widths={"a": 600})
    said = yaml.safe_load(path.read_text())
    row = said["walls"]["north"]
    row.append({**row[0], "name": "b"})
    row[0]["change"] = {"drawers": {"rows": 1}, "frame": {"stile": 10}}
    path.write_text(yaml.safe_dump(said, sort_keys=False))
    remedy = mends(path, "past-wall")
    assert remedy.file == str(path)
    assert remedy.written or remedy.loc[:1] in (("walls",), ("margins",))


def test_nothing_clears_what_no_value_moves(tmp_path: Path) -> None:
    """A radiator along the whole wall."""
    thing = {"x": 5, "z": 50, "width": 2390, "height": 600, "projection": 80}
    path = write_project(tmp_path, {"a": base(height=800)}, room=with_thing("radiators", thing))
    built = build(path)
    found = run(built)
    sides = [f for f in found if f.code == "in-the-way" and f.parts == ("a/left side",)]
    given = remedies(built, found, only={"in-the-way"})[sides[0]]
    assert given.remedies == ()
    assert shown(given, "mm") == f"no single value clears this ({given.tried} tried)"
    assert given.tried > 5


def test_the_same_advice_twice(tmp_path: Path) -> None:
    """And the build it is about, the room and the stock are as they were."""
    path = wide_fronts(tmp_path)
    built, _, advice = advised(path, "past-wall")
    assert advised(path, "past-wall")[2] == advice
    assert {r.file for r in advice.remedies} == {str(path), str(tmp_path / "unit-0.yaml")}
    assert built.plan == build(path).plan


def test_a_sound_project_needs_none(tmp_path: Path) -> None:
    built = build(write_project(tmp_path, {"a": base(height=800)}))
    assert remedies(built, run(built)) == {}
