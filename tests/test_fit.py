"""`wallwork fit`: plans made for one room solved again for another."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml
from conftest import CONFIGS
from projects import base, write_project

from exporters import cli
from model.build import build
from model.checks import run as run_checks
from model.config.rewrite import rewritten
from model.fit import Fit, fit
from model.project import Fill
from model.siting.layout import lay_out

HERBARIUM = CONFIGS / "herbarium" / "project.yaml"
TRAINS = CONFIGS / "trains" / "project.yaml"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    def call(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["wallwork", *map(str, words)])
        with pytest.raises(SystemExit) as left:
            cli.main()
        said = capsys.readouterr()
        return (left.value.code if isinstance(left.value.code, int) else 0), said.out, said.err

    return call


def room(folder: Path, height: float = 2500, **walls: Any) -> Path:
    """A room file beside a plan: walls by name, each a width in mm or the whole wall."""
    said = {name.replace("_", " "): {"width": w} if isinstance(w, int | float) else w for name, w in walls.items()}
    path = folder / "other-room.yaml"
    path.write_text(yaml.safe_dump({"height": height, "walls": said}, sort_keys=False), encoding="utf-8")
    return path


def plan(folder: Path, widths: dict[str, Any], **more: Any) -> Path:
    """A wall of plain bases 800 mm high, made for a room of 2400 mm."""
    return write_project(folder, {name: base(height=800) for name in widths}, widths=widths, **more)


def widths(found: Fit) -> dict[str, float]:
    return {c.unit: c.new for c in found.sizes if c.what == "width"}


@pytest.mark.parametrize("length", [3000, 3620, 5000])
def test_the_herbarium_goes_along_other_walls(length: int, tmp_path: Path) -> None:
    found = fit(HERBARIUM, room(tmp_path, 2430, north=length))
    assert found.refused == ()
    assert found.given == ()
    assert found.new is not None
    said = found.new.inputs.project.value
    margins = said.margins["north"]
    got = widths(found)
    assert sum(got.values()) == pytest.approx(length - margins.left - margins.right, abs=0.001)
    free = {p.name: p.width for p in said.walls["north"] if isinstance(p.width, Fill)}
    for p in said.walls["north"]:
        if isinstance(p.width, float):
            assert got[p.name] == p.width
    unbound = [got[n] / w.fill for n, w in free.items() if (w.min or 0) < got[n] < (w.max or 1e9)]
    assert unbound == pytest.approx([unbound[0]] * len(unbound), abs=0.3)


def test_the_herbarium_in_its_own_room_stays_as_it_is() -> None:
    found = fit(HERBARIUM, HERBARIUM.parent / "room.yaml")
    assert found.holds
    assert found.parts["changed"] == found.parts["new"] == found.parts["gone"] == 0
    assert found.newly == ()


def test_trains_in_a_room_measured_in_mm(tmp_path: Path) -> None:
    """The same room with every wall 30 mm longer, in mm; the plan counts on in inches."""
    old = build(TRAINS)
    walls = {
        w.name: w.wall.model_dump(exclude_defaults=True) | {"width": round(w.wall.width) + 30.0} for w in old.walls
    }
    found = fit(TRAINS, room(tmp_path, old.ceiling, **walls))
    assert found.refused == ()
    assert found.new is not None
    assert found.new.plan.lengths == "in"
    before, after = lay_out(old.inputs).spots, lay_out(found.new.inputs).spots
    for wall in old.walls:
        shares = [p for p in old.inputs.project.value.walls.get(wall.name, ()) if isinstance(p.width, Fill)]
        if shares:
            more = sum(s.x[1] - s.x[0] for s in after.values() if s.wall.name == wall.name)
            less = sum(s.x[1] - s.x[0] for s in before.values() if s.wall.name == wall.name)
            assert more - less == pytest.approx(round(wall.wall.width) + 30 - wall.wall.width, abs=0.01)


def test_limits_give_in_proportion_before_fixed_widths(tmp_path: Path) -> None:
    asked = {"a": 600, "b": {"fill": 1, "min": 900}, "c": {"fill": 1, "min": 600}}
    found = fit(plan(tmp_path, asked), room(tmp_path, north=2000))
    # 100 mm too many of 1500: 60 and 40 mm of the limits
    assert found.given == ("b at least 900 mm, now 840 mm", "c at least 600 mm, now 560 mm")
    assert widths(found) == {"a": 600, "b": 840, "c": 560}
    assert not found.holds


def test_fixed_widths_give_when_limits_have_given_a_quarter(tmp_path: Path) -> None:
    asked = {"a": 600, "b": {"fill": 1, "min": 800}, "c": 900}
    found = fit(plan(tmp_path, asked), room(tmp_path, north=2050))
    # b gives 200; 50 mm are left for 600 and 900: 20 and 30
    assert widths(found) == {"a": 580, "b": 600, "c": 870}
    assert "a fixed 600 mm, now 580 mm" in found.given


def test_what_nothing_helps_says_by_how_much_and_what_to_leave_out(tmp_path: Path) -> None:
    asked = {"a": 600, "b": 900, "c": 400}
    found = fit(plan(tmp_path, asked), room(tmp_path, north=1100))
    # three quarters of 1900 are 1425
    assert found.new is None
    assert "it takes 1900 mm, 800 mm more than the 1100 mm there is" in found.refused[0]
    assert "still 325 mm too many" in found.refused[0]
    # without a: 1300, of which 975 must stay; without b: 1000; without c: 1500, of which 1125 must stay
    assert found.refused[1] == "it would fit without a or b"


def test_what_stays_empty_becomes_a_margin(tmp_path: Path) -> None:
    asked = {"a": 600, "b": {"fill": 1, "max": 1000}}
    path = plan(tmp_path, asked, room={"height": 2500, "walls": {"north": {"width": 1500}}})
    found = fit(path, room(tmp_path, north=2100))
    assert widths(found) == {"a": 600, "b": 1000}
    assert found.holds
    assert found.notes == ("500 mm stay empty at the right end: a fixed 600 mm, b at most 1000 mm",)


def test_walls_are_matched_by_name_then_in_order(tmp_path: Path) -> None:
    shares = {"a": {"fill": 1}, "b": {"fill": 1}}
    path = plan(tmp_path, shares, margins={"north": {"left": 5}}, mirror={"north": "middle"})
    found = fit(path, room(tmp_path, east_wall=1400))
    assert found.walls == (("north", "east wall"),)
    assert found.new is not None
    assert set(found.new.inputs.project.value.mirror) == {"east wall"}
    two = room(tmp_path, short=900, long=2600)
    assert fit(path, two).walls == (("north", "long"),)


def test_an_alignment_the_room_has_not_is_given_up(tmp_path: Path) -> None:
    window = {"name": "garden", "x": 1000, "z": 1000, "width": 800, "height": 900}
    there = {"height": 2500, "walls": {"north": {"width": 2400, "windows": [window]}}}
    path = plan(tmp_path, {"a": {"fill": 1}, "b": {"fill": 1}}, room=there)
    said = yaml.safe_load(path.read_text())
    said["walls"]["north"][1]["align"] = {"edge": "left", "to": "garden"}
    path.write_text(yaml.safe_dump(said, sort_keys=False))
    assert [s.x for s in lay_out(build(path).inputs).spots.values()] == [(0, 1000), (1000, 2400)]
    moved = {**window, "x": 700}
    same = fit(path, room(tmp_path, north={"width": 2400, "windows": [moved]}))
    assert widths(same) == {"a": 700, "b": 1700}
    assert same.given == ()
    lost = fit(path, room(tmp_path, north=2400))
    assert widths(lost) == {"a": 1200, "b": 1200}
    assert lost.given == ("b no longer stands in line: the wall north has no window 'garden'",)


def with_upper(folder: Path) -> Path:
    upper = folder / "upper.yaml"
    upper.write_text("kind: upper\ndepth: 300\n", encoding="utf-8")
    tops = [{"name": "bench", "wall": "north", "over": ["a", "b"], "height": 900}]
    uppers = [{"name": "books", "unit": "upper.yaml", "on": "bench", "above": "a", "height": 1200}]
    wide = {"a": 700, "b": {"fill": 1}}
    return write_project(folder, {name: base() for name in wide}, widths=wide, tops=tops, uppers=uppers)


def test_uppers_are_lowered_under_a_lower_ceiling(tmp_path: Path) -> None:
    found = fit(with_upper(tmp_path), room(tmp_path, 2050, north=2000))
    assert found.given == ("books 1200 mm high, now 1140 mm: the ceiling leaves 1150 mm",)
    assert not any(f.code == "too-high" for f in found.newly)
    low = fit(with_upper(tmp_path), room(tmp_path, 1700, north=2000))
    assert low.given == ()
    assert any(f.code == "too-high" for f in low.newly) or low.refused
    assert not low.holds


def test_the_command_writes_a_project_that_builds(run: Run, tmp_path: Path) -> None:
    path = plan(tmp_path, {"a": 600, "b": {"fill": 1, "min": 900}})
    path.write_text("# my wall\n" + path.read_text().replace("width: 600", "width: 600  # as the press"))
    out = tmp_path / "elsewhere" / "fitted"
    code, said, err = run("fit", room(tmp_path, north=1400), "--plan", path, "--out", out)
    assert (code, err) == (1, "")
    assert "b at least 900 mm, now 800 mm" in said
    text = (out / "project.yaml").read_text()
    assert "# my wall" in text
    assert "# as the press" in text
    built = build(out / "project.yaml")
    assert [s.x for s in lay_out(built.inputs).spots.values()] == [(0, 600), (600, 1400)]
    assert not [f for f in run_checks(built) if f.severity == "fault"]
    before = text
    code, said, err = run("fit", tmp_path / "other-room.yaml", "--plan", path, "--out", out)
    assert code == 2
    assert err.count("\n") == 1
    assert "is there already" in err
    assert (out / "project.yaml").read_text() == before


def test_exit_codes(run: Run, tmp_path: Path) -> None:
    path = plan(tmp_path, {"a": 600, "b": {"fill": 1, "min": 900}})
    assert run("fit", room(tmp_path, north=1700), "--plan", path)[0] == 0
    code, out, _ = run("fit", room(tmp_path, north=900), "--plan", path, "--out", tmp_path / "none")
    assert code == 1
    assert "does not fit this room" in out
    assert not (tmp_path / "none").exists()
    code, _, err = run("fit", tmp_path / "nowhere.yaml", "--plan", path)
    assert code == 2
    assert err.count("\n") == 1


def test_a_value_is_rewritten_in_its_place() -> None:
    text = "a: {b: 1, c: [2, 3]}  # kept\nlist:\n  - name: x\n    width: {fill: 1}\n  - name: y\n"
    changes = {("a", "c", 1): "30", ("list", 0, "width", "min"): "5", ("list", 1, "z", "h"): "7", ("m", "n"): "1"}
    found = rewritten(text, changes, {("a",): "aa"})
    assert found.startswith("aa: {b: 1, c: [2, 30]}  # kept\n")
    assert yaml.safe_load(found) == {
        "aa": {"b": 1, "c": [2, 30]},
        "list": [{"name": "x", "width": {"min": 5, "fill": 1}}, {"z": {"h": 7}, "name": "y"}],
        "m": {"n": 1},
    }
