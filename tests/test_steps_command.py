"""The steps on the terminal: every step in order, every part by its mark, lengths in the project's unit."""

import sys

import pytest
from conftest import CONFIGS

from exporters import cli
from exporters.commands.steps import lines
from model.assembly.installation import assembly
from model.build import Build


def test_every_step_names_its_parts(herbarium: Build) -> None:
    work = assembly(herbarium)
    for step in work.steps:
        said = list(lines(step, herbarium.plan))
        assert said[0] == step.text
        for path in set(step.shown) & set(step.new):
            mark = herbarium.plan.marks[herbarium.plan.by_path[path].part]
            assert any(line.startswith("Parts: ") and mark in line for line in said)


@pytest.mark.parametrize(("unit", "code"), [("left seat", 0), ("lefty", 2)])
def test_one_unit_in_inches(
    unit: str, code: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    project = str(CONFIGS / "trains" / "project.yaml")
    monkeypatch.setattr(sys, "argv", ["wallwork", "steps", project, "--unit", unit])
    with pytest.raises(SystemExit) as left:
        cli.main()
    said = capsys.readouterr()
    assert (left.value.code or 0) == code
    assert (" in" in said.out) == (code == 0)
    assert ("there is no 'lefty'" in said.err) == (code == 2)
