"""The cut list: counted and weighed by hand, read back with the standard csv module."""

import csv
import io
import math
import re
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from rich.console import Console

from exporters.lists import COLUMNS, parts_csv, parts_table, safe_cell, write
from model.bill import Row, cut_list, describe_cuts
from model.cuts import Bore, Cutout, Groove, Notch, Rabbet
from model.cutting.laid import CuttingPlan
from model.finishes import Finishing
from model.part import Part, PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit, Plan
from model.shapes import Box
from model.stock.tables import Stock

DENSITY = 680.0
"""kg/m3, birch plywood (from memory; makers publish 640 to 700)."""
PULL_MASS = 0.045

STOCK = Stock.model_validate(
    {
        "sheets": {"birch 18": {"thickness": 18, "sizes": [{"length": 2500, "width": 1250}], "density": DENSITY}},
        "pulls": {
            "bar pull": {
                "mass": PULL_MASS,
                "spacing": 128,
                "bore_diameter": 5,
                "projection": 32,
                "bar_thickness": 10,
                "length": 140,
            }
        },
    }
)

SIDE = Part(
    kind="sheet",
    material="birch 18",
    length=700,
    width=500,
    thickness=18,
    cuts=(
        Groove(face="A", u0=0, v0=100, u1=700, v1=106, depth=6),
        Groove(face="A", u0=0, v0=200, u1=700, v1=206, depth=6),
        Rabbet(face="B", u0=0, v0=490, u1=700, v1=500, depth=9),
        Notch(u0=0, v0=0, u1=90, v1=60),
        Cutout(u0=300, v0=300, u1=380, v1=360),
        *(Bore(face="A", u=100 + 32 * k, v=400, diameter=5, depth=10, purpose="pin") for k in range(14)),
        Bore(face="B", u=650, v=250, diameter=4.5),
        Bore(face="x0", u=250, v=9, diameter=8, depth=30, purpose="dowel"),
    ),
)
SHELF = Part(kind="sheet", material="birch 18", length=600, width=300, thickness=18, grain="any")
PULL = Part(
    kind="hardware",
    material="bar pull",
    length=140,
    width=32,
    thickness=10,
    body=(Box((0.0, 0.0, 0.0), (140.0, 32.0, 10.0)),),
)


def placed(path: str, part: Part, role: str = "panel", x: float = 0.0) -> PlacedPart:
    return PlacedPart(path, part, Placement((x, 0.0, 0.0)), role)


def plan() -> Plan:
    left = BuiltUnit(
        "left base",
        "B1",
        "base",
        (
            placed("left side", SIDE, "side"),
            placed("right side", SIDE, "side"),
            placed("shelf 1", SHELF, "shelf"),
            placed("pull", PULL, "pull"),
        ),
    )
    right = BuiltUnit("right base", "B2", "base", (placed("left side", SIDE, "side"), placed("shelf 1", SHELF, "lid")))
    return Plan("invented", (left.placed(Placement()), right.placed(Placement((900.0, 0.0, 0.0)))))


def build(of: Plan | None = None) -> Any:
    said = SimpleNamespace(value=SimpleNamespace(finish=Finishing()))
    inputs = SimpleNamespace(project=said)
    cutting = CuttingPlan((), ())
    return SimpleNamespace(plan=of or plan(), stock=STOCK, walls=(), stands_at={}, inputs=inputs, cutting=cutting)


def rows() -> tuple[Row, ...]:
    return cut_list(plan(), STOCK)


def test_equal_parts_share_a_row_in_order_of_appearance() -> None:
    seen = [(r.mark, r.quantity, r.names, r.units, r.roles) for r in rows()]
    assert seen == [
        ("B1-01", 3, ("left side", "right side"), ("left base", "right base"), ("side",)),
        ("B1-02", 2, ("shelf 1",), ("left base", "right base"), ("shelf", "lid")),
        ("H-01", 1, ("pull",), ("left base",), ("pull",)),
    ]
    assert sum(r.quantity for r in rows()) == len(list(plan().walk()))


def test_weights_against_hand_computed_volumes() -> None:
    side, shelf, pull = rows()
    assert shelf.weight_kg == pytest.approx(0.6 * 0.3 * 0.018 * DENSITY, rel=1e-9)  # 2.2032 kg
    removed = (
        2 * 700 * 6 * 6  # grooves
        + 700 * 10 * 9  # rabbet
        + 90 * 60 * 18  # notch: its corner is clear of both grooves
        + 80 * 60 * 18  # cutout
        + 14 * math.pi * 2.5**2 * 10
        + math.pi * 2.25**2 * 18
        + math.pi * 4**2 * 30
    )
    by_hand = (700 * 500 * 18 - removed) * 1e-9 * DENSITY
    assert side.weight_kg == pytest.approx(by_hand, rel=1e-6)
    assert pull.weight_kg == PULL_MASS


def test_grain_is_told_only_where_it_matters() -> None:
    assert [r.grain for r in rows()] == ["length", "none", "none"]


def test_cuts_in_words() -> None:
    assert describe_cuts(SIDE) == (
        "2 grooves 6 wide 6 deep on A; 1 rabbet 10 wide 9 deep on B; 1 corner notch 90 x 60; 1 cutout 80 x 60; "
        "14 pin bores 5 x 10 deep on A; 1 screw bore 4.5 through; 1 dowel bore 8 x 30 deep in end x0"
    )
    assert describe_cuts(SHELF) == ""
    slotted = Part(
        kind="sheet",
        material="birch 18",
        length=400,
        width=200,
        thickness=18,
        cuts=(
            Notch(u0=100, v0=0, u1=150, v1=20),
            Cutout(u0=200, v0=50, u1=260, v1=110, radius=12.5),
            Bore(face="y1", u=200, v=9, diameter=4),
        ),
    )
    assert describe_cuts(slotted) == (
        "1 edge notch 50 x 20; 1 cutout 60 x 60 radius 12.5; 1 screw bore 4 through in edge y0"
    )


def test_csv_read_back() -> None:
    text = parts_csv(rows())
    read = list(csv.DictReader(io.StringIO(text, newline="")))
    assert tuple(read[0]) == COLUMNS
    assert ",".join(COLUMNS) == (
        "mark,quantity,name,unit,role,material,length_mm,width_mm,thickness_mm,grain,cuts,weight_kg"
    )
    assert [r["quantity"] for r in read] == ["3", "2", "1"]
    assert read[0]["name"] == "left side; right side"
    assert [float(read[0][c]) for c in ("length_mm", "width_mm", "thickness_mm")] == [700, 500, 18]
    assert read[0]["cuts"] == describe_cuts(SIDE)
    assert float(read[1]["weight_kg"]) == pytest.approx(2.203)


def test_csv_lines_end_as_rfc_4180_says() -> None:
    text = parts_csv(rows())  # RFC 4180, section 2, rule 1: each record is delimited by a line break (CRLF)
    assert text.endswith("\r\n")
    assert text.count("\r\n") == 4
    assert "\r" not in text.replace("\r\n", "")
    assert "\n" not in text.replace("\r\n", "")


def test_file_is_utf_8_and_the_same_each_time(tmp_path: Path) -> None:
    unit = BuiltUnit("N\u00e4htisch", "B1", "base", (placed("Boden \u2205, \u201egro\u00df\u201c", SHELF),))
    named = Plan("invented", (unit.placed(Placement()),))
    path = write(build(named), tmp_path)[0]
    assert path == tmp_path / "lists" / "parts.csv"
    first = path.read_bytes()
    assert not first.startswith(b"\xef\xbb\xbf")
    (row,) = csv.DictReader(io.StringIO(first.decode("utf-8"), newline=""))
    assert (row["name"], row["unit"]) == ("Boden \u2205, \u201egro\u00df\u201c", "N\u00e4htisch")
    write(build(named), tmp_path)
    assert path.read_bytes() == first


@pytest.mark.parametrize(
    "name",
    [
        "=1+2",
        "+1",
        "-1",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        "  =1",
        "\uff1d1",
        "shelf;=1+2",
        "shelf, @now",
        "a\n=1",
        "\u2028=1",
    ],
)
def test_no_cell_starts_a_formula(name: str) -> None:
    """OWASP, "CSV Injection": = + - @, tab, carriage return, line feed and full-width forms start formulas."""
    unit = BuiltUnit(name, "B1", "base", (PlacedPart(name, SHELF, Placement(), name),))
    text = parts_csv(cut_list(Plan("invented", (unit,)), STOCK))
    (row,) = csv.DictReader(io.StringIO(text, newline=""))
    for split_at in (",", ";", "\t"):  # as a program set to another separator would
        for cell in csv.reader([line for line in text.splitlines() if line], delimiter=split_at):
            assert not any(re.match(r"\s*[=+\-@\uff1d\uff0b\uff0d\uff20]", part) for part in cell)
    assert not re.search(r"[\x00-\x1f\u2028]", row["name"])


def test_plain_names_are_left_alone() -> None:
    for name in ("left side", "1/2 in shelf", "pull-out tray", "a+b", "top (2 of 3)"):
        assert safe_cell(name) == name


def printed(lengths: Any) -> str:
    console = Console(file=io.StringIO(), width=220, color_system=None)
    console.print(parts_table(rows(), lengths))
    out = console.file
    assert isinstance(out, io.StringIO)
    return out.getvalue()


def test_table_in_millimetres_and_inches() -> None:
    assert "600" in printed("mm")
    inches = printed("in")  # 600 mm = 23.622 in, nearest 1/32: 23 5/8; 18 mm = 0.70866 in: 23/32
    assert "23 5/8" in inches
    assert "23/32" in inches


def test_table_takes_no_markup_from_names() -> None:
    unit = BuiltUnit("u", "B1", "base", (placed("[red]shelf", SHELF),))
    console = Console(file=io.StringIO(), width=220, color_system=None)
    console.print(parts_table(cut_list(Plan("invented", (unit,)), STOCK), "mm"))
    assert "[red]shelf" in console.file.getvalue()  # pyright: ignore[reportAttributeAccessIssue]


def test_cut_list_loads_no_cad_kernel() -> None:
    code = "import sys, exporters.lists; sys.exit(any(m in sys.modules for m in ('OCP', 'cadquery', 'vtkmodules')))"
    assert subprocess.run([sys.executable, "-c", code], check=False, cwd=Path(__file__).parent.parent).returncode == 0
