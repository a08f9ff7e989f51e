"""The workbook read back: by openpyxl, and as the zipped XML that it is, its formulas worked out anew."""

import csv
import io
import posixpath
import re
import xml.etree.ElementTree as ET
import zipfile
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import shop

from exporters.lists import tables, write
from exporters.lists.table import Table, csv_text
from exporters.workbook import workbook
from model.finishes import Finishing

D = Decimal
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELATIONS = "{http://schemas.openxmlformats.org/package/2006/relationships}"
CHILDREN = (
    "sheetPr", "dimension", "sheetViews", "sheetFormatPr", "cols", "sheetData", "sheetCalcPr", "sheetProtection",
    "protectedRanges", "scenarios", "autoFilter", "sortState", "dataConsolidate", "customSheetViews", "mergeCells",
    "phoneticPr", "conditionalFormatting", "dataValidations", "hyperlinks", "printOptions", "pageMargins", "pageSetup",
    "headerFooter",
)  # fmt: skip
"""What a worksheet may hold, in the order it must stand in: ISO/IEC 29500-1, CT_Worksheet (18.3.1.99)."""
HOSTILE = (
    "=cmd|' /C calc'!A0",
    "+1",
    "-1+2",
    "@SUM(A1)",
    "#N/A",
    "a\tb\r\n=1",
    "\uff1d1",
    "<b>&amp;",
    "nul\x00\x1b\ufffe\ud800",
)


def built(name: str = "press", part_name: str = "") -> Any:
    finishing = Finishing(cases="paint", frames="paint")
    return shop.build(shop.plan(name=name, part_name=part_name), shop.stock(), finishing)


def lists(lengths: Any = "mm", name: str = "press", part_name: str = "") -> tuple[Table, ...]:
    return tables(built(name, part_name), lengths)


def made(lengths: Any = "mm", name: str = "press", part_name: str = "") -> bytes:
    return workbook(lists(lengths, name, part_name), name, lengths)


def opened(data: bytes, values: bool = False) -> Any:
    return openpyxl.load_workbook(io.BytesIO(data), data_only=values)


def parts(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


def test_a_sheet_for_each_list() -> None:
    book = opened(made())
    assert book.sheetnames == [
        "Parts", "By unit", "By material", "Hardware", "Fasteners", "Edge band", "Lighting", "Finishes",
        "Painted faces", "Buying",
    ]  # fmt: skip


def test_every_value_is_that_of_the_csv_file(tmp_path: Path) -> None:
    """Cell by cell against the files, each read with another reader."""
    build = built()
    write(build, tmp_path)
    book = openpyxl.load_workbook(tmp_path / "lists" / "lists.xlsx", data_only=True)
    for sheet, table in zip(book.worksheets, tables(build, "mm"), strict=True):
        with (tmp_path / "lists" / f"{table.name}.csv").open(encoding="utf-8", newline="") as file:
            rows = list(csv.reader(file))[1:]
        assert len(rows) == len(table.rows) + len(table.foot)
        for n, row in enumerate(rows, 4):
            for i, text in enumerate(row, 1):
                value = sheet.cell(n, i).value
                if isinstance(value, int | float):
                    assert value == pytest.approx(float(text), abs=5.1e-4), (sheet.title, n, i)
                else:
                    assert (value or "") == text, (sheet.title, n, i)


def worked_out(sheet: Any, cell: str) -> Decimal:
    """A formula of sums, products and roundings, worked out in decimals from the numbers of the sheet."""
    value = sheet[cell].value
    if value is None:
        return D(0)
    if not (isinstance(value, str) and value.startswith("=")):
        return D(repr(value))
    body = value[1:]
    if over := re.fullmatch(r"SUM\(([A-Z]+)(\d+):([A-Z]+)(\d+)\)", body):
        assert over[1] == over[3]
        return sum((worked_out(sheet, f"{over[1]}{n}") for n in range(int(over[2]), int(over[4]) + 1)), D(0))
    if product := re.fullmatch(r"ROUND\(([A-Z]+\d+)\*([A-Z]+\d+|[0-9.]+),2\)", body):
        by = D(product[2]) if product[2][0].isdigit() else worked_out(sheet, product[2])
        return (worked_out(sheet, product[1]) * by).quantize(D("0.01"), ROUND_HALF_UP)
    if total := re.fullmatch(r"([A-Z]+\d+)\+([A-Z]+\d+)", body):
        return worked_out(sheet, total[1]) + worked_out(sheet, total[2])
    raise AssertionError(f"a formula of another kind: {value}")


@pytest.mark.parametrize("lengths", ["mm", "in"])
def test_formulas_are_formulas_and_give_the_values_beside_them(lengths: str) -> None:
    data = made(lengths)
    told = opened(data, values=True)
    count = 0
    for sheet in opened(data).worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    count += 1
                    value = told[sheet.title][cell.coordinate].value
                    assert value is not None, (sheet.title, cell.coordinate)
                    assert float(worked_out(sheet, cell.coordinate)) == pytest.approx(value, abs=1e-9)
    assert count > 20
    buying = told["Buying"]
    assert [c.value for c in buying["A"][-3:]] == ["sum", "tax, 19 %", "total"]


def test_the_total_is_that_of_the_csv_file() -> None:
    rows = list(csv.reader(io.StringIO(csv_text(lists()[-1]), newline="")))
    sheet = opened(made())["Buying"]
    assert worked_out(sheet, f"I{sheet.max_row}") == D(rows[-1][-1])
    assert sheet[f"I{sheet.max_row}"].value == f"=I{sheet.max_row - 2}+I{sheet.max_row - 1}"


@pytest.mark.parametrize("name", HOSTILE)
def test_text_stays_text(name: str) -> None:
    """No formula but our own, no error value, no control character; XML 1.0 production 2 names what may stand."""
    plain = opened(made())
    kinds = {
        s.title: [c.coordinate for row in s.iter_rows() for c in row if c.data_type == "f"] for s in plain.worksheets
    }
    data = made(name=name, part_name=name)
    for sheet in opened(data).worksheets:
        found = [c for row in sheet.iter_rows() for c in row]
        assert [c.coordinate for c in found if c.data_type == "f"] == kinds[sheet.title]
        assert not any(c.data_type == "e" for c in found)
        for cell in found:
            if cell.data_type == "s":
                assert not re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]", cell.value)
                if re.match(r"\s*[=+\-@\uff1d]", cell.value):
                    assert cell.quotePrefix, cell.coordinate  # stays text when it is edited


@pytest.mark.parametrize("name", ["press", *HOSTILE])
def test_the_archive_is_whole(name: str) -> None:
    """Open Packaging Conventions (ISO/IEC 29500-2): every part has a type and every relation a target."""
    files = parts(made(name=name, part_name=name))
    roots = {path: ET.fromstring(data) for path, data in files.items()}
    types = roots["[Content_Types].xml"]
    endings = {e.get("Extension") for e in types if e.tag.endswith("Default")}
    named = {(e.get("PartName") or "").lstrip("/") for e in types if e.tag.endswith("Override")}
    assert named <= set(files)
    for path in files:
        assert path == "[Content_Types].xml" or path in named or path.rsplit(".", 1)[-1] in endings
        if path.endswith(".rels"):
            folder = posixpath.dirname(posixpath.dirname(path))
            for relation in roots[path].iter(f"{RELATIONS}Relationship"):
                target = relation.get("Target") or ""
                assert relation.get("TargetMode") != "External"
                assert posixpath.normpath(posixpath.join(folder, target) if target[0] != "/" else target[1:]) in files


def test_the_xml_of_a_sheet_is_in_order() -> None:
    files = parts(made(name="a & b <c>"))
    styles = ET.fromstring(files["xl/styles.xml"]).find(f"{MAIN}cellXfs")
    assert styles is not None
    sheets = [path for path in files if path.startswith("xl/worksheets/")]
    assert len(sheets) == 10
    for path in sheets:
        root = ET.fromstring(files[path])
        order = [CHILDREN.index(child.tag.removeprefix(MAIN)) for child in root]
        assert order == sorted(set(order)), path
        rows = [int(row.get("r") or 0) for row in root.iter(f"{MAIN}row")]
        assert rows == sorted(set(rows))
        for cell in root.iter(f"{MAIN}c"):
            assert int(cell.get("s") or 0) < len(styles)
            formula, value = cell.find(f"{MAIN}f"), cell.find(f"{MAIN}v")
            if formula is not None:
                assert value is not None
                assert value.text
                float(value.text)


def test_headings_stay_in_sight_and_pages_print_well() -> None:
    for lengths, paper in (("mm", 9), ("in", 1)):  # A4 and Letter: ISO/IEC 29500-1, 18.3.1.63
        for sheet in opened(made(lengths)).worksheets:
            assert sheet.freeze_panes == "A4"
            assert sheet.print_title_rows in ("3:3", "$3:$3")
            assert (sheet.page_setup.orientation, sheet.page_setup.paperSize) == ("landscape", paper)
            assert sheet.sheet_properties.pageSetUpPr.fitToPage
            assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
            assert sheet.auto_filter.ref.startswith("A3:")
            for column in sheet.iter_cols(min_row=3, max_row=3):
                width = sheet.column_dimensions[column[0].column_letter].width
                assert 7 <= width <= 46
                below = sheet.iter_rows(min_row=4, max_row=sheet.max_row, min_col=column[0].column)
                texts = [row[0].value for row in below if isinstance(row[0].value, str) and row[0].data_type == "s"]
                assert width >= min(max(map(len, texts), default=0), 46) or "total" in texts


def test_numbers_have_formats() -> None:
    book = opened(made())
    buying, material = book["Buying"], book["By material"]
    assert buying["I4"].number_format == buying["H4"].number_format == "#,##0.00"
    assert material["E4"].number_format == "0.0"
    assert material["K4"].number_format == "0.000"
    assert book["Parts"]["B4"].number_format == "0"
    assert buying["A2"].value == "Prices in EUR of 2026-11, invented. Not in the total, no price: mattress."


def test_inches_are_fractions_of_a_tape() -> None:
    """700 mm is 27.559 in: 27 9/16 on a tape of 32nds; 1 m2 is 10.764 square feet and 1 kg 2.2046 lb."""
    inches = opened(made("in"), values=True)["By material"]
    metric = opened(made("mm"), values=True)["By material"]
    assert inches["E3"].value == "length (in)"
    assert inches["E4"].value == 27 + 9 / 16
    assert inches["E4"].number_format == "# ??/??"
    assert inches["K4"].value == pytest.approx(metric["K4"].value * 10.7639, rel=1e-5)
    assert inches["L4"].value == pytest.approx(metric["L4"].value * 2.20462, rel=1e-5)
    buying = {row[1].value: row for row in opened(made("in"), values=True)["Buying"].iter_rows(min_row=4)}
    assert [c.value for c in buying["band"][3:6]] == [pytest.approx(5.269), "ft", pytest.approx(3.281)]


def test_the_same_bytes_each_time_and_no_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    first = made()
    import time

    monkeypatch.setattr(time, "localtime", lambda *_: time.struct_time((2031, 5, 6, 7, 8, 10, 1, 126, 0)))
    assert made() == first
    with zipfile.ZipFile(io.BytesIO(first)) as archive:
        assert {info.date_time for info in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
    core = parts(first)["docProps/core.xml"].decode()
    assert not re.search(r"\d{4}-\d\d-\d\d", core)
    assert ET.fromstring(core).tag.endswith("coreProperties")
