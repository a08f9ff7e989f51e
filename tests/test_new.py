"""`wallwork new`: a project that builds at once, from answers or flags, and never over what is there."""

import io
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from exporters import cli
from model.build import build
from model.checks import run as run_checks
from model.siting.layout import lay_out

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    def call(*words: object, typed: str | None = None) -> tuple[int, str, str]:
        class Terminal(io.StringIO):
            def isatty(self) -> bool:
                return typed is not None

        monkeypatch.setattr(sys, "argv", ["wallwork", *map(str, words)])
        monkeypatch.setattr(sys, "stdin", Terminal(typed or ""))
        with pytest.raises(SystemExit) as left:
            cli.main()
        said = capsys.readouterr()
        return (left.value.code if isinstance(left.value.code, int) else 0), said.out, said.err

    return call


@pytest.mark.parametrize(
    ("lengths", "flags"),
    [
        ("mm", ["--width", "3620", "--height", "2430", "--units", "drawers,seat,doors", "--uppers", "drawers,doors"]),
        ("mm", ["--width", "2.4 m", "--units", "doors,drawers,doors", "--uppers", "none", "--top", "900"]),
        ("mm", ["--width", "3100", "--units", "seat,drawers,seat"]),
        ("mm", ["--width", "1500", "--units", "seat"]),
        ("in", ["--width", "8 ft", "--height", "95", "--units", "seat,drawers,seat"]),
        ("in", ["--width", "70", "--units", "drawers,seat"]),
        ("in", ["--width", "12 ft 4 1/2 in", "--height", "8 ft", "--units", "drawers,seat,drawers,doors"]),
        ("in", ["--width", "70", "--units", "drawers,doors", "--uppers", "doors"]),
    ],
)
def test_what_is_written_builds_without_a_fault(run: Run, tmp_path: Path, lengths: str, flags: list[str]) -> None:
    folder = tmp_path / "spare room"
    code, out, err = run("new", folder, "--lengths", lengths, *flags, "--yes")
    assert (code, err) == (0, "")
    assert "wrote" in out
    built = build(folder / "project.yaml")
    assert [f.message for f in run_checks(built) if f.severity == "fault"] == []
    assert built.plan.lengths == lengths
    (wall,) = built.walls
    spots = list(lay_out(built.inputs).spots.values())
    margins = built.inputs.project.value.margins[wall.name]
    assert spots[0].x[0] == pytest.approx(margins.left)
    assert spots[-1].x[1] == pytest.approx(wall.wall.width - margins.right, abs=0.002)
    # all it needs is in the folder
    assert not [p for p in folder.rglob("*.yaml") if "../" in p.read_text(encoding="utf-8")]
    assert not list(tmp_path.glob(".wallwork-*"))


def test_two_runs_write_the_same_bytes(run: Run, tmp_path: Path) -> None:
    for name in ("a", "b"):
        assert run("new", tmp_path / name, "--title", "Wall", "--yes")[0] == 0
    a, b = ({p.relative_to(tmp_path / n): p.read_bytes() for p in (tmp_path / n).rglob("*.yaml")} for n in "ab")
    assert a == b


def test_questions_on_a_terminal(run: Run, tmp_path: Path) -> None:
    """A wrong answer is asked again; an empty one is the usual one."""
    typed = "in\n9 ft\nninety\n94\ndrawers,desk\ndrawers,seat,doors\n\nnone\n"
    code, out, err = run("new", tmp_path / "den", typed=typed)
    assert code == 0
    assert "is not a length" in out + err
    built = build(tmp_path / "den" / "project.yaml")
    said = built.inputs.project.value
    assert said.title == "Den"
    assert built.walls[0].wall.width == pytest.approx(9 * 304.8)
    assert built.ceiling == pytest.approx(94 * 25.4)
    assert said.tops[0].over == ("drawers", "seat", "doors")
    assert said.tops[0].height == pytest.approx(30 * 25.4)
    assert said.uppers == ()


def test_without_a_terminal_it_names_the_missing_flags(run: Run, tmp_path: Path) -> None:
    code, out, err = run("new", tmp_path / "den", "--width", "3000", "--lengths", "mm")
    assert (code, out) == (2, "")
    assert err == ("no terminal to ask at: give --height, --units, --top, --uppers, or --yes for the usual answers\n")
    assert not (tmp_path / "den").exists()


@pytest.mark.parametrize("name", ["project.yaml", "room.yaml", "units/kneehole.yaml"])
def test_nothing_is_overwritten(run: Run, tmp_path: Path, name: str) -> None:
    mine = tmp_path / name
    mine.parent.mkdir(exist_ok=True)
    mine.write_text("mine")
    code, _, err = run("new", tmp_path, "--yes")
    assert code == 2
    assert err.count("\n") == 1
    assert f"{mine} is there already" in err
    assert [p for p in tmp_path.rglob("*") if p.is_file()] == [mine]
    assert mine.read_text() == "mine"


@pytest.mark.parametrize(
    ("flags", "says"),
    [
        (["--width", "3 kg"], "--width: '3 kg': kg is not a unit of length"),
        (["--lengths", "cubits"], "neither mm nor in"),
        (["--units", "drawers,throne"], "no 'throne': there is drawers, doors, seat"),
        (["--uppers", "attic"], "no unit 'attic'"),
        (["--width", "900"], "too many units for this wall: it takes 1450 mm, 570 mm more than"),
        (["--width", "9000"], "too few units for this wall"),
        (["--height", "900"], "no room for uppers: the ceiling is 160 mm over the top"),
        (["--title", "a/b"], "--title:"),
    ],
)
def test_bad_answers_are_one_line(run: Run, tmp_path: Path, flags: list[str], says: str) -> None:
    code, out, err = run("new", tmp_path / "den", *flags, "--yes")
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert says in err
    assert not (tmp_path / "den").exists()


def test_a_folder_that_cannot_be_made(run: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    code, _, err = run("new", tmp_path / "file" / "den", "--yes")
    assert code == 2
    assert err.count("\n") == 1
