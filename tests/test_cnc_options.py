"""What a project says about its router, and whether the tool fits into every slot."""

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from dxf_verifier import apart, pieces, read
from projects import base, write_project

from exporters import panels, sheets
from model.build import build
from model.checks.slots import slots
from model.cnc import Cnc
from model.errors import ConfigError


@pytest.mark.parametrize(
    ("said", "message"),
    [
        ({"gap": 5}, "cnc.gap: the gap between parts is narrower than the tool"),
        ({"margin": 3}, "cnc.margin: the margin is narrower than the tool"),
        ({"version": "R14"}, "cnc.version is 'R14', did you mean 'R12'?"),
        ({"tool": 0}, "must be above 0"),
        ({"tabs": {"apart": 10}}, "apart"),
    ],
)
def test_options_that_cannot_be_are_one_line(said: dict[str, Any], message: str, tmp_path: Path) -> None:
    path = write_project(tmp_path, {"press": base(height=800)}, cnc=said)
    with pytest.raises(ConfigError) as refused:
        build(path)
    (line,) = refused.value.lines
    assert message in line
    assert "project.yaml:" in line


def test_the_version_and_the_gap_come_from_the_project(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    made = build(
        write_project(tmp_path, {"press": base(height=800)}, cnc={"version": "R12", "tool": "1/4 in", "gap": 9})
    )
    cnc = made.inputs.project.value.cnc
    assert (cnc.tool, cnc.spacing, Cnc().spacing) == (6.35, 9, 8)
    panels.write(made, tmp_path)
    assert not caplog.records  # the library has nothing to warn of
    assert all("AC1009" in p.read_text() for p in (tmp_path / "panels").glob("*.dxf"))


def test_a_slot_narrower_than_the_tool_is_found(tmp_path: Path) -> None:
    said: dict[str, Any] = base(height=800, joinery="housed", drawers={"rows": 2})
    found = {}
    for tool in (6, 8):
        (tmp_path / str(tool)).mkdir()
        made = build(write_project(tmp_path / str(tool), {"press": said}, cnc={"tool": tool}))
        found[tool] = list(slots(made))
    assert not found[6]
    assert found[8]
    assert {f.severity for f in found[8]} == {"warning"}
    assert all((f.value, f.limit) == (6.1, 8) for f in found[8])
    assert "a groove of 6.1 mm is narrower than the tool of 8 mm (cnc: tool)" in found[8][0].message


def test_a_project_is_nested_as_it_says(tmp_path: Path) -> None:
    said = {"tool": 8, "gap": 12, "margin": 15}
    path = write_project(tmp_path, {"press": base(height=800, drawers={"rows": 2})}, cnc=said)
    made = build(path)
    sheets.write(made, tmp_path)
    wanted = Counter(made.plan.marks[p.part] for p in made.plan.walk() if p.part.kind == "sheet")
    found: Counter[str] = Counter()
    for drawing in sorted((tmp_path / "sheets").glob("*.dxf")):
        shapes = read(drawing)
        (sheet,) = (s.box for s in shapes if s.layer == "note sheet")
        boxes = [piece.outline.box for piece in pieces(shapes, set(wanted))]
        for i, box in enumerate(boxes):
            assert min(box[0], box[1], sheet[2] - box[2], sheet[3] - box[3]) >= 15 - 1e-3
            assert all(apart(box, other) >= 12 - 1e-3 for other in boxes[:i])
        found += Counter(piece.mark for piece in pieces(shapes, set(wanted)))
    assert found == wanted
