"""Cutting plans: what is written can be cut, costs little, and comes out the same every time."""

import itertools
import json
import random
import re
import zlib
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from cut_plans import Blank, build, plan, sheets, stock
from cut_verifier import faults, near, quantities

from exporters import cutting
from exporters.cli import main
from model.build import build as built
from model.config.tree import read
from model.cutting import sheets as search
from model.cutting.laid import CuttingPlan
from model.cutting.offcuts import Offcut, read_offcuts
from model.cutting.packing import Bed, Leaf, Rect
from model.cutting.plans import cutting_plan, nests
from model.cutting.sheets import QUICK, Effort
from model.errors import ConfigError
from model.lengths import MM_PER_INCH
from model.plan import Plan
from model.stock.tables import Stock

CONFIGS = Path(__file__).parent.parent / "configs"
MIXED = [(880, 580, 6), (700, 300, 5), (560, 120, 9), (433.3, 77.7, 7), (1500, 610, 2)]


def written(made: Plan, said: Stock, out: Path, **how: Any) -> CuttingPlan:
    found = cutting_plan(made, said, **how)
    cutting.write_plan(build(made, said), found, out)
    return found


def costs(found: CuttingPlan) -> float:
    return sum(s.sheet.price or 0.0 for s in found.sheets) + sum(b.price or 0.0 for b in found.boards)


@pytest.mark.parametrize("name", ["herbarium", "trains"])
def test_what_is_written_for_a_demo_can_be_cut(name: str, tmp_path: Path) -> None:
    room = built(CONFIGS / name / "project.yaml")
    found = written(room.plan, room.stock, tmp_path, effort=QUICK)
    assert faults(tmp_path) == []
    assert found.left_over == ()


def test_same_input_same_bytes(tmp_path: Path) -> None:
    for name in ("a", "b"):
        written(plan(MIXED), stock(), tmp_path / name)
    files = sorted(p.name for p in (tmp_path / "a" / "cutting").iterdir())
    assert {"plan.pdf", "plan.json", "offcuts.yaml", "ply-01.svg"} <= set(files)
    for name in files:
        assert (tmp_path / "a/cutting" / name).read_bytes() == (tmp_path / "b/cutting" / name).read_bytes()


def spoil_place(p: dict[str, Any]) -> None:
    p["sheets"][0]["pieces"][0]["x"] += 1.0


def spoil_count(p: dict[str, Any]) -> None:
    p["sheets"][0]["pieces"].pop()


def spoil_grain(p: dict[str, Any]) -> None:
    piece = p["sheets"][0]["pieces"][0]
    piece["turned"], piece["along"], piece["across"] = True, piece["across"], piece["along"]


def spoil_order(p: dict[str, Any]) -> None:
    cuts = p["sheets"][0]["cuts"]
    cuts[2], cuts[-1] = {**cuts[-1], "number": 3}, {**cuts[2], "number": len(cuts)}


def spoil_fence(p: dict[str, Any]) -> None:
    p["sheets"][0]["cuts"][3]["fence"] += 0.5


def spoil_kerf(p: dict[str, Any]) -> None:
    p["sheets"][0]["kerf"] += 1.0


def spoil_through(p: dict[str, Any]) -> None:
    p["sheets"][0]["cuts"][-1]["to"] -= 5.0


@pytest.mark.parametrize(
    "spoil", [spoil_place, spoil_count, spoil_grain, spoil_order, spoil_fence, spoil_kerf, spoil_through]
)
def test_the_verifier_sees_what_is_wrong(spoil: Callable[[dict[str, Any]], None], tmp_path: Path) -> None:
    written(plan(MIXED), stock(), tmp_path, effort=QUICK)
    path = tmp_path / "cutting" / "plan.json"
    said = json.loads(path.read_text(encoding="utf-8"))
    assert faults(tmp_path) == []
    spoil(said)
    path.write_text(json.dumps(said), encoding="utf-8")
    assert faults(tmp_path)


@pytest.mark.parametrize(
    ("width", "kerf", "strip", "n"),
    [
        (1200.0, 3.2, 147.2, 8),  # 8 x 147.2 + 7 x 3.2 = 1200
        (1200.0, 3.0, 298.5, 4),  # 4 x 298.5 + 3 x 3 = 1203: one too many
        (1219.2, MM_PER_INCH / 8, 5.125 * MM_PER_INCH, 9),
        (1219.2, MM_PER_INCH / 8, 4.25 * MM_PER_INCH, 11),  # 11 x 4 1/4 + 10 x 1/8 = 48 in
        (1219.2, MM_PER_INCH / 8, 4.25 * MM_PER_INCH + 0.001, 11),
        (1219.2, 3.0, 76.2, 15),
        (1219.2, 3.0, 78.5, 15),  # 15 x 78.5 + 14 x 3 = 1219.5
    ],
)
def test_rips_that_just_fit(width: float, kerf: float, strip: float, n: int) -> None:
    """Closed form: n strips of width w with a saw cut k come from a sheet of width W when n w + (n - 1) k <= W."""
    said = stock(sheets=sheets("ply", [(2440, width, 98)]), sheet_trim=0, kerf=kerf)
    found = cutting_plan(plan([(2440, strip, n)]), said, effort=QUICK)
    fits = round(n * round(strip, 3) + (n - 1) * kerf, 3) <= width + 1e-9
    assert len(found.sheets) == (1 if fits else 2)


def whole_sheet(rnd: random.Random, length: float, width: float, kerf: float) -> list[Blank]:
    """A sheet cut without any waste in three stages: strips, pieces of them, some of those once more."""

    def shares(size: float, n: int) -> list[float]:
        at = sorted(rnd.sample(range(2, 18), n - 1))
        edges = [0.0, *(round(size * a / 20, 1) for a in at), size]
        parts = [b - a - (kerf if b < size else 0.0) for a, b in itertools.pairwise(edges)]
        return [round(p, 1) for p in parts]

    blanks: list[Blank] = []
    for across in shares(width, rnd.randint(2, 3)):
        for along in shares(length, rnd.randint(2, 4)):
            twice = shares(across, 2) if across > 300 and rnd.random() < 0.4 else [across]
            blanks += [(along, part, 1) for part in twice if part > 20]
    return blanks


@pytest.mark.parametrize("seed", range(6))
def test_whole_sheets_cut_up_are_put_together_again(seed: int, tmp_path: Path) -> None:
    """The optimum is known: the parts come from so many sheets without waste."""
    rnd = random.Random(seed)
    count = 1 + seed // 2
    blanks = [b for _ in range(count) for b in whole_sheet(rnd, 2420.0, 1200.0, 3.2)]
    found = written(plan(blanks), stock(), tmp_path)
    assert len(found.sheets) == count
    assert faults(tmp_path) == []


@pytest.mark.parametrize("seed", range(3))
def test_whole_lengths_cut_up_are_put_together_again(seed: int, tmp_path: Path) -> None:
    rnd = random.Random(seed)
    blanks: list[Blank] = []
    for _ in range(6):
        at = sorted(rnd.sample(range(20, 280), rnd.randint(2, 3)))
        edges = [0.0, *(10.0 * a for a in at), 3003.2]
        blanks += [(round(b - a - 3.2, 1), 40, 1) for a, b in itertools.pairwise(edges)]
    said = stock(boards={"pine": {"thickness": 20, "width": 40, "lengths": [3000], "density": 450}})
    found = written(plan(blanks, "pine", "board"), said, tmp_path)
    assert len(found.boards) == 6
    assert faults(tmp_path) == []


def test_the_cheapest_mix_is_not_the_fewest_sheets() -> None:
    """Four parts: one large sheet at 100, or two small ones at 30 each."""
    said = stock(sheets=sheets("ply", [(2440, 1220, 100), (1220, 1220, 30)]))
    found = cutting_plan(plan([(1190, 590, 4)]), said)
    assert [s.sheet.price for s in found.sheets] == [30, 30]
    three = cutting_plan(plan([(1190, 700, 3)]), said)  # on two sheets at 130, on three at 90
    assert [s.sheet.price for s in three.sheets] == [30, 30, 30]
    one_long = cutting_plan(plan([(1190, 590, 4), (2400, 300, 1)]), said)
    assert sorted(s.sheet.price or 0 for s in one_long.sheets) in ([30, 100], [30, 30, 100])
    assert costs(one_long) == 130


def test_money_counts_before_sheets_and_sheets_before_offcuts() -> None:
    beds = (Bed(2420, 1200, 100, 9), Bed(1200, 1200, 30, 9), Bed(1200, 1200, 60, 9))
    job = search.Job((Rect(500, 500, 1),), beds, 3.2, search.sawn, lambda filled: 1e6 * (2 - filled.bed))
    one, two, three = (search.Filled(i, Leaf(0)) for i in range(3))
    ways = {"dear": [one], "two cheap": [two, two], "cheap": [three]}
    assert sorted(ways, key=lambda w: job.score(ways[w])) == ["cheap", "two cheap", "dear"]


def test_a_mix_of_lengths_costs_least() -> None:
    """2 x 1750 mm are two lengths of 1800; 3 x 790 with their saw cuts are one of 2400."""
    found = cutting_plan(plan([(1750, 40, 2), (790, 40, 3)], "pine", "board"), stock())
    assert sorted(b.length for b in found.boards) == [1800, 1800, 2400]


def test_lengths_are_chosen_by_price_where_every_price_is_known() -> None:
    found = cutting_plan(plan([(1400, 40, 2)], "pine", "board"), stock())
    assert [b.length for b in found.boards] == [3000]
    assert costs(found) == pytest.approx(6.0)


def test_offcuts_are_used_first_and_what_is_left_can_be_used_again(tmp_path: Path) -> None:
    said, made = stock(), plan([(800, 400, 2), (2000, 1100, 1)])
    rack = (Offcut(material="ply", length=812, width=850, name="behind the door"),)
    found = written(made, said, tmp_path, offcuts=rack)
    assert [(s.sheet.offcut, len(s.pieces), s.trim) for s in found.sheets] == [("behind the door", 2, 0), ("", 1, 10)]
    assert faults(tmp_path) == []
    left = read_offcuts(tmp_path / "cutting" / "offcuts.yaml", said)
    assert left
    assert all(o.material == "ply" and o.width for o in left)
    again = cutting_plan(plan([(min(1200.0, left[0].length), 80, 1)]), said, offcuts=left)
    assert [s.sheet.offcut for s in again.sheets] == ["offcut 1"]


def test_what_is_kept_follows_the_stock_file() -> None:
    made = plan([(2000, 1100, 1)])
    kept = {size for s in cutting_plan(made, stock()).sheets for o in s.offcuts for size in [(o.along, o.across)]}
    assert kept == {(416.8, 1100.0)}
    none = cutting_plan(made, stock(offcut_length=1200))
    assert [s.offcuts for s in none.sheets] == [()]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("offcuts: [{material: plyy, length: 500, width: 300}]", "did you mean 'ply'"),
        ("offcuts: [{material: ply, length: 500}]", "has a width"),
        ("offcuts: [{material: pine, length: 500, width: 40}]", "leave the width out"),
        ("offcuts: [{material: ply, length: 500, width: 300, hight: 2}]", "hight"),
    ],
)
def test_bad_offcut_files_say_what_would_be_right(text: str, said: str, tmp_path: Path) -> None:
    path = tmp_path / "rack.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ConfigError, match=said):
        read_offcuts(path, stock())


def test_grain_is_kept_and_only_grain() -> None:
    """Parts longer than the sheet is wide: turned they fit three to a sheet, along the grain two."""
    size = sheets("ply", [(1300, 2440, 98)])["ply"]
    said = stock(sheets={"ply": size, "mdf": {**size, "grain": False}})
    grown = cutting_plan(plan([(1250, 790, 6)], "ply"), said)
    turned = cutting_plan(plan([(2000, 400, 3)], "mdf"), said)
    assert not any(p.turned for s in grown.sheets for p in s.pieces)
    assert all(p.turned for s in turned.sheets for p in s.pieces)
    assert cutting_plan(plan([(2000, 400, 3)], "ply"), said).left_over == ("B1-01",)


def test_each_setting_is_made_once_in_a_stage() -> None:
    for sheet in cutting_plan(plan(MIXED), stock()).sheets:
        for _, cuts in itertools.groupby(sheet.cuts, key=lambda c: c.stage):
            settings = [k for k, _ in itertools.groupby(round(c.fence, 1) for c in cuts)]
            assert len(settings) == len(set(settings))
        assert [c.stage for c in sheet.cuts] == sorted(c.stage for c in sheet.cuts)
        assert {c.orientation for c in sheet.cuts if c.stage == 1} == {"rip"}
        assert max(c.stage for c in sheet.cuts) <= 4


def test_a_solver_that_fails_is_made_up_for(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def broken(*_: Any) -> None:
        raise RuntimeError("no answer")

    monkeypatch.setattr("model.cutting.plans.sawn", broken)
    monkeypatch.setattr("model.cutting.boards.lengths", broken)
    written(plan([*MIXED, (2100, 90, 3)]), stock(), tmp_path)
    assert faults(tmp_path) == []
    found = cutting_plan(plan([(1750, 40, 2), (790, 40, 3)], "pine", "board"), stock())
    assert Counter(m for b in found.boards for m, _, _ in b.pieces) == {"B1-01": 2, "B1-02": 3}


def test_no_time_still_gives_a_plan(tmp_path: Path) -> None:
    written(plan(MIXED), stock(), tmp_path, effort=Effort(seconds=0.0))
    assert faults(tmp_path) == []


def test_the_search_says_how_far_it_is() -> None:
    said: list[str] = []
    cutting_plan(plan(MIXED), stock(), progress=said.append)
    assert said[0] == "ply: searching"
    assert any(re.fullmatch(r"ply: \d+ sheets", line) for line in said)


def test_bands_come_by_the_metre_or_from_rolls() -> None:
    made = plan([(600, 22, 4)], "band", "band")
    (metre,) = cutting_plan(made, stock()).boards
    assert (metre.length, metre.price) == (4 * 630.0, pytest.approx(4 * 0.63 * 0.9))
    rolls = {"band": {"thickness": 1, "width": 22, "lengths": [1300], "density": 680}}
    assert [len(b.pieces) for b in cutting_plan(made, stock(bands=rolls)).boards] == [2, 2]


def test_what_fits_nothing_is_left_over_by_its_mark(tmp_path: Path) -> None:
    found = written(plan([(2500, 100, 2), (900, 100, 1)]), stock(), tmp_path)
    assert found.left_over == ("B1-01",)
    assert faults(tmp_path) == []


@pytest.mark.parametrize("material", ["ply", "mdf"])
def test_nests_keep_gap_margin_and_grain(material: str) -> None:
    made = plan(MIXED, material)
    found = nests(made, stock(), gap=12, margin=15, effort=QUICK)
    assert Counter(p.mark for s in found for p in s.pieces) == {
        made.marks[p]: n for p, n in Counter(q.part for q in made.walk()).items()
    }
    for sheet in found:
        boxes = [(p.x, p.y, p.x + p.along, p.y + p.across) for p in sheet.pieces]
        assert near(boxes, 12 - 1e-6) == []
        assert min(min(b[:2]) for b in boxes) >= 15
        assert max(b[2] for b in boxes) <= 2440 - 15
        assert max(b[3] for b in boxes) <= 1220 - 15
        assert material == "mdf" or not any(p.turned for p in sheet.pieces)
        assert not sheet.cuts


def test_names_are_text_and_fonts_are_in_the_file(tmp_path: Path) -> None:
    """A title that would be code in a typesetter; every font a PDF uses is embedded (ISO 32000-1, 9.9)."""
    written(plan([(900, 400, 2)], title='#panic("x") $a_b$ *c* \\ [d'), stock(), tmp_path, effort=QUICK)
    pdf = (tmp_path / "cutting" / "plan.pdf").read_bytes()
    packed = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL)
    plain = [pdf]
    for part in packed:
        try:
            plain.append(zlib.decompress(part))
        except zlib.error:
            continue
    whole = b"\n".join(plain)
    assert whole.count(b"/FontDescriptor") > 0
    assert whole.count(b"/Type /FontDescriptor") + whole.count(b"/Type/FontDescriptor") == len(
        re.findall(rb"/FontFile[23]?\b", whole)
    )


def test_the_least_cost_is_a_bound() -> None:
    """The search may stop where the area of the parts leaves nothing to gain: never below a real answer."""
    said = stock(sheets=sheets("ply", [(2440, 1220, 98), (1525, 1525, 74), (3000, 1500, 152)]))
    found = cutting_plan(plan(MIXED), said, effort=QUICK)
    area = sum(a * b * n for a, b, n in MIXED)
    assert costs(found) >= area * min(98 / (2420 * 1200), 74 / 1505**2, 152 / (2980 * 1480))
    assert search.DEFAULT.seconds is None


def test_counts_are_of_the_plan_that_is_written(tmp_path: Path) -> None:
    written(plan(MIXED), stock(), tmp_path, effort=QUICK)
    said = json.loads((tmp_path / "cutting" / "plan.json").read_text(encoding="utf-8"))
    assert sum(b["count"] for b in said["blanks"]) == sum(n for _, _, n in MIXED)
    assert quantities({**said, "sheets": []})


def test_the_command_writes_and_tells(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def run(*words: str) -> int:
        monkeypatch.setattr("sys.argv", ["wallwork", "cut", str(CONFIGS / "trains/project.yaml"), *words])
        with pytest.raises(SystemExit) as left:
            main()
        return int(left.value.code or 0)

    assert run("--effort", "hard") == 2
    assert "there is quick, default, thorough" in capsys.readouterr().err
    assert run("--effort", "quick", "--seconds", "0.2", "--out", str(tmp_path)) == 0
    said = capsys.readouterr().out
    assert "maple three-quarter" in said
    assert "files in" in said
    assert faults(tmp_path) == []


def test_a_project_names_its_offcuts(tmp_path: Path) -> None:
    for name in ("project.yaml", "room.yaml"):
        text = (CONFIGS / "herbarium" / name).read_text(encoding="utf-8")
        text = text.replace("../stock/", f"{CONFIGS}/stock/").replace("../units/", f"{CONFIGS}/units/")
        (tmp_path / name).write_text(text, encoding="utf-8")
    project = tmp_path / "project.yaml"
    project.write_text(project.read_text(encoding="utf-8") + "offcuts: rack.yaml\n", encoding="utf-8")
    rack = tmp_path / "rack.yaml"
    rack.write_text("offcuts: [{material: birch 18, length: 1200, width: 600}]\n", encoding="utf-8")
    assert [(o.name, o.length) for o in built(project).inputs.offcuts] == [("offcut 1", 1200)]
    rack.write_text("offcuts: [{material: beech, length: 1200, width: 600}]\n", encoding="utf-8")
    with pytest.raises(ConfigError, match=r"rack.yaml:1:\d+: no 'beech' in stock"):
        built(project)


def test_the_rack_of_the_demos_is_of_their_stock() -> None:
    said = read(CONFIGS / "stock" / "birch-metric.yaml", Stock).value
    rack = read_offcuts(CONFIGS / "stock" / "offcuts.yaml", said)
    assert [(o.name, o.count) for o in rack] == [("R1", 1), ("R2", 1), ("offcut 3", 3)]
