"""The command as a user meets it: exit codes, one clear line for bad input, outputs left whole."""

import csv
import json
import re
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from conftest import CONFIGS
from projects import base, write_project

from exporters import cli, registry
from exporters.outputs import RECORD
from model.errors import ExportError
from model.schemas import schema_types

Run = Callable[..., tuple[int, str, str]]
HERBARIUM = CONFIGS / "herbarium" / "project.yaml"
OURS = ("herbarium", "trains", "guest-study", "units", "stock")
ONE_LINE = re.compile(r"^\S.*\.yaml:\d+:\d+: .+$")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run the command with arguments; gives exit code, standard output and standard error."""

    def call(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["wallwork", *map(str, words)])
        with pytest.raises(SystemExit) as left:
            cli.main()
        said = capsys.readouterr()
        code = left.value.code
        return (code if isinstance(code, int) else 0), said.out, said.err

    return call


def files(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_build_writes_everything_and_leaves_with_0(run: Run, tmp_path: Path) -> None:
    code, out, err = run("build", HERBARIUM, "--out", tmp_path / "out")
    assert (code, err) == (0, "")
    assert "nothing collides" in out
    written = files(tmp_path / "out")
    assert {"model.step", "model.stl", "interference.json", "lists/parts.csv", "units/press-base.step"} <= set(written)
    with (tmp_path / "out/lists/parts.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    sheets = {r["mark"] for r in rows if r["material"].startswith("birch")}
    panels = {name for name in written if name.startswith("panels/") and not name.endswith(("-b.dxf", "README.txt"))}
    assert {f"panels/{mark}.dxf" for mark in sheets} == {name.replace("-a.dxf", ".dxf") for name in panels}
    assert sum(int(r["quantity"]) for r in rows) > 200


def test_two_builds_give_the_same_bytes(run: Run, tmp_path: Path) -> None:
    path = write_project(tmp_path, {"press": base(height=800, drawers={"rows": 2}), "jars": base(height=800, doors={})})
    for folder in ("a", "b"):
        assert run("build", path, "--out", tmp_path / folder, "--quiet")[0] == 0
    assert files(tmp_path / "a") == files(tmp_path / "b")


def test_faults_leave_with_1_and_name_the_pair(run: Run, tmp_path: Path) -> None:
    path = write_project(tmp_path, {"press": base(height=800, drawers={"rows": 1, "build_out": 0})})
    code, out, _ = run("check", path)
    assert code == 1
    assert "press/left stile" in out
    assert "faults" in out


def test_only_picks_exporters_and_takes_nothing_else_away(run: Run, tmp_path: Path) -> None:
    path = write_project(tmp_path, {"press": base(height=800)})
    out = tmp_path / "out"
    assert run("build", path, "--out", out, "--only", "lists,panels")[0] == 0
    assert "model.step" not in files(out)
    before = {name: content for name, content in files(out).items() if name.startswith("panels/")}
    assert before
    assert run("build", path, "--out", out, "--only", "stl")[0] == 0
    assert before.items() <= files(out).items()
    code, _, err = run("build", path, "--only", "lists,step2")
    assert code == 2
    assert err.startswith("--only: no exporter step2; there is step, stl")


def test_a_later_build_takes_away_what_it_no_longer_makes_and_nothing_else(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "out"
    two = write_project(tmp_path, {"press": base(height=800), "jars": base(height=800, depth=500)})
    assert run("build", two, "--out", out, "--only", "step")[0] == 0
    (out / "units" / "mine.txt").write_text("kept")
    one = write_project(tmp_path, {"press": base(height=800)})
    assert run("build", one, "--out", out, "--only", "step")[0] == 0
    assert sorted(p.name for p in (out / "units").iterdir()) == ["mine.txt", "press.step"]


def test_a_record_that_was_tampered_with_takes_nothing_outside(run: Run, tmp_path: Path) -> None:
    out, treasure = tmp_path / "out", tmp_path / "treasure.txt"
    out.mkdir()
    treasure.write_text("kept")
    (out / RECORD).write_text(json.dumps({"lists": ["../treasure.txt", str(treasure), 7]}))
    path = write_project(tmp_path, {"press": base(height=800)})
    assert run("build", path, "--out", out, "--only", "lists")[0] == 0
    assert treasure.read_text() == "kept"


def test_a_failed_build_leaves_the_last_one_whole(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write_project(tmp_path, {"press": base(height=800)})
    out = tmp_path / "out"
    assert run("build", path, "--out", out)[0] == 0
    before = files(out)

    def broken(_built: object, folder: Path) -> list[Path]:
        (folder / "interference.json").write_text("half")
        raise ExportError("no room on the disk")

    monkeypatch.setattr("exporters.interference.write", broken)
    write_project(tmp_path, {"press": base(height=700)})
    code, _, err = run("build", path, "--out", out)
    assert (code, err) == (2, "no room on the disk\n")
    assert files(out) == before


def test_out_that_is_a_file(run: Run, tmp_path: Path) -> None:
    (tmp_path / "out").write_text("mine")
    path = write_project(tmp_path, {"press": base(height=800)})
    code, _, err = run("build", path, "--out", tmp_path / "out")
    assert code == 2
    assert err.count("\n") == 1
    assert (tmp_path / "out").read_text() == "mine"


def change(folder: Path, text: str, better: str, file: str = "project.yaml") -> None:
    path = folder / file
    said = path.read_text(encoding="utf-8")
    assert text in said
    path.write_text(said.replace(text, better, 1), encoding="utf-8")


def two_bases(folder: Path) -> Path:
    units = {"press": base(depth=600, drawers={"rows": 2}), "jars": base(depth=600)}
    tops = [{"name": "bench", "wall": "north", "over": ["press", "jars"], "height": 800}]
    return write_project(folder, units, tops=tops)


def test_without_a_mistake_it_is_sound(run: Run, tmp_path: Path) -> None:
    """What the next test breaks in many ways."""
    assert run("check", two_bases(tmp_path))[0] == 0


@pytest.mark.parametrize(
    ("file", "text", "wrong", "says"),
    [
        ("project.yaml", "width: 600", "widht: 600", "unknown key 'widht' in walls.north[1], did you mean width?"),
        ("project.yaml", "width: 600", "width: 600 kg", "'600 kg': kg is not a unit of length"),
        ("project.yaml", "width: 600", "width: 60", "too small"),
        ("project.yaml", "width: 600", "width: 5 m", "3200 mm more than"),
        ("project.yaml", "room: room.yaml", "room: rom.yaml", "there is no such file"),
        ("project.yaml", "carcass: birch 18", "carcass: birch 81", "did you mean 'birch 18'"),
        ("project.yaml", "- press", "- pres", "no unit 'pres'"),
        ("project.yaml", "north:", "south:", "the room has no wall 'south'"),
        ("unit-0.yaml", "kind: base", "kind: bases", "did you mean base?"),
        ("unit-0.yaml", "kind: base", "note: none", "no kind"),
        ("unit-0.yaml", "rows: 2", "rows: two", "rows"),
        ("unit-0.yaml", "rows: 2", "rows: 40", "too small for a 45 mm high slide"),
        ("unit-0.yaml", "depth: 600", "depth: 590", "equally deep"),
        ("room.yaml", "height: 2500", "height: .nan", ".nan is not a size"),
    ],
)
def test_bad_input_is_one_line_and_exit_code_2(
    run: Run, tmp_path: Path, file: str, text: str, wrong: str, says: str
) -> None:
    path = two_bases(tmp_path)
    change(tmp_path, text, wrong, file)
    code, out, err = run("build", path, "--out", tmp_path / "out")
    assert (code, out) == (2, "")
    lines = err.splitlines()
    assert len(lines) == 1, err
    assert ONE_LINE.match(lines[0])
    assert says in lines[0]
    assert not (tmp_path / "out").exists()


def test_names_are_used_once(run: Run, tmp_path: Path) -> None:
    path = write_project(tmp_path, {"press": base(height=800), "Press": base(height=800)})
    code, _, err = run("check", path)
    assert code == 2
    assert "'Press' is taken at" in err


def test_a_change_is_laid_over_the_unit_where_it_is_placed(run: Run, tmp_path: Path) -> None:
    """In the unit of the file that says it: 24 in of depth in a project in inches, over a unit in mm."""
    path = write_project(tmp_path, {"press": base(height=800, depth=500, drawers={"rows": 2})})
    said = yaml.safe_load(path.read_text())
    said["walls"]["north"][0].update(change={"depth": 24, "drawers": None}, width="23 5/8")
    said["lengths"] = "in"
    path.write_text(yaml.safe_dump(said))
    code, out, _ = run("parts", path)
    assert code == 0
    assert "drawer" not in out
    # the rails of the frame lie between two stiles of 40 mm: 600.1 - 80 mm
    assert "20 15/32" in out


def test_schemas_are_the_committed_ones(run: Run, tmp_path: Path) -> None:
    for name in schema_types():
        code, out, _ = run("schema", name)
        assert code == 0
        assert (CONFIGS / "schema" / f"{name}.json").read_text(encoding="utf-8") == out, (
            f"run wallwork schema --out {CONFIGS.name}/schema"
        )
    assert {p.stem for p in (CONFIGS / "schema").iterdir()} == set(schema_types())
    assert run("schema", "projct")[0] == 2


def test_demo_files_name_their_schema() -> None:
    """The folders of ours: a maker's own projects may lie beside them."""
    for path in (p for folder in OURS for p in sorted((CONFIGS / folder).rglob("*.yaml"))):
        first = path.read_text(encoding="utf-8").splitlines()[0]
        named = re.fullmatch(r"# yaml-language-server: \$schema=(\S+)", first)
        assert named, path
        assert (path.parent / named[1]).resolve().parent == CONFIGS / "schema"
        assert (path.parent / named[1]).is_file(), path


def test_every_exporter_module_is_registered() -> None:
    folder = Path(cli.__file__).parent
    files = {p.stem: p for p in folder.glob("*.py")} | {p.parent.name: p for p in folder.glob("*/__init__.py")}
    writers = {n for n, p in files.items() if re.search(r"^def write\(", p.read_text(encoding="utf-8"), re.M)}
    assert writers == {e.module.rsplit(".", 1)[-1] for e in registry.EXPORTERS.values()}
