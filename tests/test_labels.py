"""Labels read back: their text and places out of the PDF, their codes out of a picture of the page."""

import io
import json
import re
from collections import Counter
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pypdf
import pytest
import shop
import typst
import zxingcpp
from PIL import Image
from projects import base, write_project

from exporters.labels import TEMPLATE, label_data, pdf, write
from model.build import Build, build
from model.errors import ConfigError
from model.labels import GRIDS, PAPERS, LabelGrid, LabelOptions
from model.plan import Plan

POINT = 25.4 / 72
"""mm in a point: the unit of a PDF (ISO 32000-1, 8.3.2.3)."""


def pages(data: bytes) -> list[pypdf.PageObject]:
    return list(pypdf.PdfReader(io.BytesIO(data)).pages)


def words(page: pypdf.PageObject) -> list[tuple[str, float, float]]:
    """Every piece of text of a page, with where it starts: mm from the left and the upper edge."""
    found: list[tuple[str, float, float]] = []
    height = float(page.mediabox.height)

    def visit(text: str, cm: list[float], tm: list[float], *_: Any) -> None:
        x, y = tm[4] * cm[0] + tm[5] * cm[2] + cm[4], tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
        found.extend((line, x * POINT, (height - y) * POINT) for line in text.split("\n") if line.strip())

    page.extract_text(visitor_text=visit)
    return found


def text_of(data: bytes) -> str:
    return "\n".join(page.extract_text() for page in pages(data))


def wooden(plan: Plan) -> Counter[str]:
    return Counter(plan.marks[p.part] for p in plan.walk() if p.part.kind in ("sheet", "board"))


@pytest.fixture(scope="module")
def metric(herbarium: Build) -> bytes:
    return pdf(label_data(herbarium.plan, LabelOptions()))


def test_every_panel_and_board_has_one_label(herbarium: Build, metric: bytes) -> None:
    wanted = wooden(herbarium.plan)
    assert Counter(re.findall(r"\b[A-Z]+\d*-\d\d\b", text_of(metric))) == wanted
    assert len(pages(metric)) == -(-wanted.total() // 21)


def test_a_label_says_what_the_part_is(herbarium: Build, metric: bytes) -> None:
    text = " ".join(text_of(metric).split())
    for placed in herbarium.plan.walk():
        if placed.part.kind in ("sheet", "board"):
            sizes = " x ".join(f"{v:.1f}".removesuffix(".0") for v in placed.part.size)
            unit, _, name = placed.path.partition("/")
            assert f"{name} {unit} {sizes} mm {placed.part.material}" in text, placed.path


@pytest.mark.parametrize("name", sorted(GRIDS))
def test_labels_lie_on_their_grid(name: str, herbarium: Build) -> None:
    """Each mark in its own cell, worked out here from the size of a label and how many there are."""
    size = [float(x) for x in re.findall(r"[0-9.]+", name)] if name.endswith("mm") else None
    grid = GRIDS[name]
    width, height = (
        size or {"2 5/8 x 1 in": (66.675, 25.4), "4 x 2 in": (101.6, 50.8), "4 x 3 1/3 in": (101.6, 84.667)}[name]
    )
    assert (grid.width, grid.height) == pytest.approx((width, height), abs=1e-3)
    page_size = (210.0, 297.0) if name.endswith("mm") else (215.9, 279.4)
    left = (page_size[0] - grid.across * width - (grid.across - 1) * grid.gap) / 2
    top = (page_size[1] - grid.down * height) / 2
    plan = Plan("three units", herbarium.plan.units[:3])
    data = pdf(label_data(plan, LabelOptions.model_validate({"grid": name})))
    marks = [plan.marks[p.part] for p in plan.walk() if p.part.kind in ("sheet", "board")]
    per_page = grid.across * grid.down
    for n, page in enumerate(pages(data)):
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(
            [v / POINT for v in page_size], abs=0.1
        )
        found = [(t, x, y) for t, x, y in words(page) if re.fullmatch(r"[A-Z]+\d*-\d\d", t.strip())]
        here = marks[n * per_page : (n + 1) * per_page]
        assert [t.strip() for t, _, _ in found] == here
        for i, (_, x, y) in enumerate(found):
            assert 0 < x - left - (i % grid.across) * (width + grid.gap) < width
            assert 0 < y - top - (i // grid.across) * height < height


def test_codes_are_read_from_a_picture_of_the_page(trains: Build) -> None:
    """By another program than the one that made them."""
    data = label_data(trains.plan, LabelOptions())
    data["parts"] = data["parts"][:10]
    made: Any = typst.compile(
        TEMPLATE.read_bytes(), format="png", ppi=150, ignore_system_fonts=True, sys_inputs={"data": json.dumps(data)}
    )
    found = zxingcpp.read_barcodes(Image.open(io.BytesIO(made)))
    assert Counter(code.text for code in found) == Counter(part["mark"] for part in data["parts"])
    assert {code.format for code in found} == {zxingcpp.BarcodeFormat.QRCode}


def test_inches_are_shown_as_on_a_tape(trains: Build) -> None:
    text = text_of(pdf(label_data(Plan("one unit", trains.plan.units[:1], "in"), LabelOptions())))
    assert re.search(r"\b29 9/32 x 22 17/32 x 23/32 in\b", text)
    assert " mm" not in text


def test_bands_and_grain_are_those_of_the_part(tmp_path: Path) -> None:
    options = base(height=800, frame=None, edge_band="birch band 22x1", drawers={"rows": 1})
    built = build(write_project(tmp_path, {"press": options}))
    labels = {part["name"]: part for part in label_data(built.plan, LabelOptions())["parts"]}
    assert labels["drawer 1/front"]["bands"] == ["x0", "x1", "y0", "y1"]
    assert labels["drawer 1/front"]["banded"] == "end x0, end x1, edge y0, edge y1: birch band 22x1"
    assert labels["back"]["bands"] == []
    assert labels["left side"]["grain"]
    assert not any(" band, " in name for name in labels)  # the strips are told on their panels
    fronts = [p for p in built.plan.walk() if p.name.startswith("left side band")]
    side = built.plan.by_path["press/left side"]
    (edge,) = labels["left side"]["bands"]
    middle = fronts[0].bounds().center
    x, y, _ = side.placement.inverse().apply(middle)
    beyond = {"x0": x < 0, "x1": x > side.part.length, "y0": y < 0, "y1": y > side.part.width}
    assert [e for e, is_beyond in beyond.items() if is_beyond] == [edge]


def test_labels_that_are_gone_are_left_out(herbarium: Build) -> None:
    plan = herbarium.plan
    first = pages(pdf(label_data(Plan("one unit", plan.units[:1]), LabelOptions(skip=20))))[0]
    assert len([t for t, _, _ in words(first) if re.fullmatch(r"[A-Z]+\d*-\d\d", t.strip())]) == 1
    assert label_data(plan, LabelOptions(skip=42))["skip"] == 0  # two whole sheets are gone: begin a new one


HOSTILE = (
    '#panic("x")',
    "*bold* _it_ $x$",
    '"); #read("/etc/passwd")',
    "\\u{41} <b> @a //",
    "nul\x00\x1b\ud800",
    "[x](y)",
)


@pytest.mark.parametrize("name", HOSTILE)
def test_names_are_never_markup(name: str) -> None:
    data = label_data(shop.plan(0, name=name, part_name=name), LabelOptions())
    text = text_of(pdf(data))
    shown = re.sub(r"[\x00-\x1f\ud800]+", " ", name)
    assert re.sub(r"\s", "", shown) in re.sub(r"\s", "", text)


def test_the_same_bytes_each_time_and_no_clock(tmp_path: Path, metric: bytes, herbarium: Build) -> None:
    said = SimpleNamespace(value=SimpleNamespace(labels=LabelOptions()))
    built: Any = SimpleNamespace(plan=herbarium.plan, inputs=SimpleNamespace(project=said))
    (path,) = write(built, tmp_path)
    assert path == tmp_path / "labels.pdf"
    assert path.read_bytes() == metric
    assert b"CreationDate" not in metric
    empty: Any = SimpleNamespace(plan=Plan("nothing", ()), inputs=built.inputs)
    assert write(empty, tmp_path) == []


def test_grids_are_on_their_paper() -> None:
    for grid in GRIDS.values():
        page = PAPERS[grid.paper]
        assert all(v >= -1e-9 for v in grid.start)
        assert all(e <= p + 1e-6 for e, p in zip(grid.ends, page, strict=True))


@pytest.mark.parametrize(
    ("grid", "message"),
    [
        ({"width": 70, "height": 37, "across": 4, "down": 8}, "the labels reach"),
        ({"width": 70, "height": 37, "across": 3, "down": 8, "top": 5}, "past the edge of the paper"),
        ({"width": 30, "height": 20, "across": 3, "down": 8}, "a label is at least"),
        ("60 x 30 mm", "grid"),
    ],
)
def test_a_grid_that_cannot_be(tmp_path: Path, grid: Any, message: str) -> None:
    path = write_project(tmp_path, {"press": base(height=800)}, labels={"grid": grid})
    with pytest.raises(ConfigError, match=message):
        build(path)


def test_a_grid_of_ones_own() -> None:
    mine = LabelGrid(width=90, height=50, across=2, down=5, gap=4, left=12, top=20)
    assert mine.start == (12, 20)
    assert mine.ends == (12 + 2 * 90 + 4, 20 + 5 * 50)
    assert LabelOptions(grid=mine).sheet("in") is mine
