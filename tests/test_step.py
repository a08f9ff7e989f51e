"""STEP files read again by the kernel's own reader, by the importer of another library and as text."""

import hashlib
import os
import re
import subprocess
import sys
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import cadquery as cq
import pytest
from OCP.IFSelect import IFSelect_ReturnStatus  # pyright: ignore[reportAttributeAccessIssue]
from OCP.Interface import Interface_Static  # pyright: ignore[reportAttributeAccessIssue]
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor  # pyright: ignore[reportAttributeAccessIssue]
from OCP.STEPCAFControl import STEPCAFControl_Reader  # pyright: ignore[reportAttributeAccessIssue]
from OCP.TCollection import TCollection_ExtendedString  # pyright: ignore[reportAttributeAccessIssue]
from OCP.TDataStd import TDataStd_Name  # pyright: ignore[reportAttributeAccessIssue]
from OCP.TDF import TDF_Label, TDF_LabelSequence  # pyright: ignore[reportAttributeAccessIssue]
from OCP.TDocStd import TDocStd_Document  # pyright: ignore[reportAttributeAccessIssue]
from OCP.XCAFApp import XCAFApp_Application  # pyright: ignore[reportAttributeAccessIssue]
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool  # pyright: ignore[reportAttributeAccessIssue]

from exporters import step
from model.errors import ExportError
from model.part import PlacedPart
from model.plan import Plan
from tests.small_plan import BACK, BOTTOM, BUILD, COLOURS, FRONT, PINS, PLAN, SIDE, SLIDE, VOLUMES

ROOT = Path(__file__).parent.parent


def export(out: Path, plan: Plan = PLAN) -> list[Path]:
    return step.write(cast(Any, SimpleNamespace(plan=plan, stock=BUILD.stock)), out)


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    return export(tmp_path_factory.mktemp("step"))


@pytest.fixture(scope="module")
def text(files: list[Path]) -> str:
    return files[0].read_text(encoding="ascii")


# Reading a file into a tree by the kernel's reader


@dataclass(frozen=True)
class Leaf:
    """One part as a reader sees it: the names of the occurrences down to it, its product, colour and solid."""

    names: tuple[str, ...]
    product: str
    colour: tuple[float, float, float]
    shape: cq.Shape


class Read:
    """A file in the kernel's document: the name of its root and its leaves."""

    def __init__(self, path: Path) -> None:
        self._document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
        XCAFApp_Application.GetApplication_s().InitDocument(self._document)
        reader = STEPCAFControl_Reader()
        reader.SetNameMode(True)
        reader.SetColorMode(True)
        assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
        assert reader.Transfer(self._document)
        self._shapes = XCAFDoc_DocumentTool.ShapeTool_s(self._document.Main())
        self._colours = XCAFDoc_DocumentTool.ColorTool_s(self._document.Main())
        roots = TDF_LabelSequence()
        self._shapes.GetFreeShapes(roots)
        assert roots.Length() == 1
        self.root = self._name(roots.Value(1))
        self.leaves = self._below(roots.Value(1), cq.Location(), ())

    def _below(self, label: TDF_Label, at: cq.Location, names: tuple[str, ...]) -> list[Leaf]:
        inner = TDF_LabelSequence()
        self._shapes.GetComponents_s(label, inner, False)
        found: list[Leaf] = []
        for i in range(1, inner.Length() + 1):
            occurrence, product = inner.Value(i), TDF_Label()
            assert self._shapes.GetReferredShape_s(occurrence, product)
            place = at * cq.Location(self._shapes.GetLocation_s(occurrence))
            below = (*names, self._name(occurrence))
            if self._shapes.IsAssembly_s(product):
                assert self._name(product) == self._name(occurrence)
                found += self._below(product, place, below)
            else:
                shape = cq.Shape.cast(self._shapes.GetShape_s(product)).moved(place)
                found.append(Leaf(below, self._name(product), self._colour(product), shape))
        return found

    def _name(self, label: TDF_Label) -> str:
        name = TDataStd_Name()
        assert label.FindAttribute(TDataStd_Name.GetID_s(), name)
        return name.Get().ToExtString()

    def _colour(self, product: TDF_Label) -> tuple[float, float, float]:
        colour = Quantity_Color()
        solids = cq.Shape.cast(self._shapes.GetShape_s(product)).Solids()
        for solid in solids:
            assert self._colours.GetColor(solid.wrapped, XCAFDoc_ColorType.XCAFDoc_ColorSurf, colour) or (
                self._colours.GetColor_s(product, XCAFDoc_ColorType.XCAFDoc_ColorSurf, colour)
            )
        return colour.Values(Quantity_TypeOfColor.Quantity_TOC_sRGB)


def wanted(placed: PlacedPart, below: int = 0) -> tuple[str, ...]:
    return (*placed.path.split("/")[below:-1], PLAN.marks[placed.part])


def corners(shape: cq.Shape) -> tuple[float, ...]:
    box = shape.BoundingBox(tolerance=1e-4)
    return (box.xmin, box.ymin, box.zmin, box.xmax, box.ymax, box.zmax)


def check(read: Read, parts: list[PlacedPart], below: int) -> None:
    """Every placed part is there: its name, its nesting, colour, volume and place."""
    assert Counter(leaf.names for leaf in read.leaves) == Counter(wanted(p, below) for p in parts)
    free = list(read.leaves)
    for placed in parts:
        middle = placed.placement.apply((placed.part.length / 2, placed.part.width / 2, placed.part.thickness / 2))
        leaf = min(
            (x for x in free if x.names == wanted(placed, below)),
            key=lambda x: (x.shape.CenterOfBoundBox() - cq.Vector(*middle)).Length,
        )
        free.remove(leaf)
        assert leaf.product == PLAN.marks[placed.part]
        assert leaf.colour == pytest.approx(COLOURS[placed.part.material], abs=1e-6)
        assert leaf.shape.isValid()
        assert leaf.shape.Volume() == pytest.approx(VOLUMES[placed.part], rel=1e-9)
        if placed.part in (BOTTOM, FRONT, BACK):  # all eight corners of the blank are still there
            assert corners(leaf.shape) == pytest.approx((*placed.bounds().lo, *placed.bounds().hi), abs=2e-3)


def test_the_kernels_reader_finds_the_plan(files: list[Path]):
    read = Read(files[0])
    assert read.root == PLAN.title
    check(read, list(PLAN.walk()), 0)


def test_each_unit_has_its_file_and_stands_at_its_place(files: list[Path]):
    assert [f.relative_to(files[0].parent).as_posix() for f in files] == [
        "model.step",
        "units/press-base.step",
        "units/press-base-2.step",
        "units/pins.step",
    ]
    for path, unit in zip(files[1:], PLAN.units, strict=True):
        read = Read(path)
        assert read.root == unit.name
        check(read, list(unit.parts), 1)


def test_another_importer_finds_every_solid(files: list[Path]):
    solids = cq.importers.importStep(str(files[0])).solids().vals()
    pieces = {PINS: 2}
    expected = sorted(
        VOLUMES[p.part] / pieces.get(p.part, 1) for p in PLAN.walk() for _ in range(pieces.get(p.part, 1))
    )
    assert sorted(cast(cq.Solid, s).Volume() for s in solids) == pytest.approx(expected, rel=1e-9)


# The text


def test_equal_parts_are_stored_once(text: str):
    parts = set(PLAN.marks)
    assert parts == {SIDE, BOTTOM, FRONT, BACK, SLIDE, PINS}
    assert text.count("= MANIFOLD_SOLID_BREP(") == len(parts) + 1  # the pins are two solids
    names = re.findall(r"= PRODUCT\('([^']*)','([^']*)','([^']*)'", text)
    assert sorted(name for name in names if name[0] in PLAN.marks.values()) == sorted(
        (mark, mark, part.material) for part, mark in PLAN.marks.items()
    )
    assert sorted(re.findall(r"MANIFOLD_SOLID_BREP\('([^']*)'", text)) == sorted(
        [*PLAN.marks.values(), PLAN.marks[PINS]]
    )


def test_header_schema_and_units(text: str):
    """Header and schema as ISO 10303-21 and 10303-214 spell them; SI_UNIT of ISO 10303-41."""
    assert text.splitlines()[:7] == [
        "ISO-10303-21;",
        "HEADER;",
        "FILE_DESCRIPTION((''),'2;1');",
        "FILE_NAME('model.step','',(''),(''),'wallwork','wallwork','');",
        "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));",
        "ENDSEC;",
        "DATA;",
    ]
    assert text.endswith("ENDSEC;\nEND-ISO-10303-21;\n")
    assert set(re.findall(r"LENGTH_UNIT\(\) NAMED_UNIT\(\*\) (SI_UNIT\(.*?\))", text)) == {"SI_UNIT(.MILLI.,.METRE.)"}
    assert "CONVERSION_BASED_UNIT" not in text


def test_instances_are_numbered_once_and_every_reference_is_met(text: str):
    data = text.split("DATA;\n")[1].split("ENDSEC;")[0].splitlines()
    numbers = [int(line.split(" = ")[0][1:]) for line in data]
    assert numbers == list(range(1, len(data) + 1))
    assert {int(n) for line in data for n in re.findall(r"#(\d+)", re.sub(r"'[^']*'", "", line))} <= set(numbers)
    assert all(line.endswith(";") for line in data)


def test_identifiers_are_unique_and_occurrences_tell_their_path(text: str):
    occurrences = re.findall(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('(.*?)','(.*?)','',", text)
    assert len(occurrences) == len({identifier for identifier, _ in occurrences}) == text.count("NEXT_ASSEMBLY_USAGE")
    parts = {p.path: PLAN.marks[p.part] for p in PLAN.walk() if p.path.isascii()}
    assert parts.items() <= dict(occurrences).items()
    assert dict(occurrences)["press base/drawer 2/slides"] == "slides"
    products = re.findall(r"= PRODUCT\('(.*?)',", text)
    assert len(products) == len(set(products))
    assert "press base/drawer 2/slides" in products


def test_strings_are_coded_as_the_standard_says(text: str):
    r"""ISO 10303-21: apostrophe and reverse solidus doubled, others as \X2\ or (beyond U+FFFF) \X4\ in hexadecimal."""
    assert r"PRODUCT('N\X2\00E4\X0\h''s wall \\ north'," in text
    assert r"'pins \X2\6728\X0\'" in text
    assert step._text("a\n\U0001f600") == r"'a\X2\000A\X0\\X4\0001F600\X0\'"


# The same bytes every time

DIGEST = """
import hashlib, pathlib, sys
from exporters import step
from tests.small_plan import BUILD
print(hashlib.sha256(b"".join(p.read_bytes() for p in step.write(BUILD, pathlib.Path(sys.argv[1])))).hexdigest())
"""


def digest(files: list[Path]) -> str:
    return hashlib.sha256(b"".join(f.read_bytes() for f in files)).hexdigest()


def test_equal_bytes_in_one_process_whatever_was_set_before(files: list[Path], tmp_path: Path):
    cq.Assembly(cq.Solid.makeBox(1, 2, 3), name="other").export(str(tmp_path / "other.step"), unit="INCH")
    Interface_Static.SetCVal_s("write.step.schema", "AP242DIS")
    Interface_Static.SetIVal_s("write.step.assembly", 0)
    assert digest(export(tmp_path)) == digest(files)


def test_equal_bytes_in_another_process(files: list[Path], tmp_path: Path):
    env = {**os.environ, "PYTHONHASHSEED": "1", "PYTHONPATH": str(ROOT)}
    run = subprocess.run(
        [sys.executable, "-c", DIGEST, str(tmp_path)], env=env, cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert run.stdout.strip() == digest(files)


def test_the_time_is_the_one_given(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """1767225600 s after 1970-01-01 is 2026-01-01T00:00:00 UTC: 56 years with 14 leap days, 20454 days."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(20454 * 86400))
    assert "FILE_NAME('model.step','2026-01-01T00:00:00'," in export(tmp_path)[0].read_text(encoding="ascii")


# Failures


def test_what_cannot_be_written_says_so(tmp_path: Path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(ExportError, match=r"model\.step: could not be written"):
        export(tmp_path / "file")
    with pytest.raises(ExportError, match=r"model\.step: the plan has no parts"):
        export(tmp_path, Plan("empty", ()))


@pytest.mark.parametrize(
    ("lost", "message"),
    [("MANIFOLD_SOLID_BREP", "has 0 solids; must be 1"), ("NEXT_ASSEMBLY_USAGE", "occurrences; must be")],
)
def test_a_kernel_that_drops_something_is_noticed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lost: str, message: str
):
    honest = step._written

    def dropping(*args: Any) -> list[str]:
        lines = honest(*args)
        lines.remove(next(line for line in lines if lost in line))
        return lines

    monkeypatch.setattr(step, "_written", dropping)
    with pytest.raises(ExportError, match=message):
        export(tmp_path)
