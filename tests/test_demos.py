"""The demo projects as written files, read by other readers: STEP by the CAD kernel, STL by trimesh, DXF by ezdxf."""

# The bindings of the kernel come without type stubs.
# pyright: reportAttributeAccessIssue=false

import csv
from collections import Counter
from pathlib import Path

import cadquery as cq
import ezdxf
import ezdxf.bbox
import pytest
import trimesh
from conftest import CONFIGS
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFDoc import XCAFDoc_DocumentTool

from exporters.outputs import write_all
from model.build import Build, build

DEMOS = ("herbarium", "trains", "guest-study")
READ = ["step", "stl", "panels", "lists"]
"""The exporters whose files are read here; the others have tests of their own."""
Leaf = tuple[str, cq.Shape]
Corners = tuple[float, float, float, float, float, float]


@pytest.fixture(scope="module", params=DEMOS)
def demo(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Build, Path]:
    """A demo, built, and the folder with what is written of it."""
    built = build(CONFIGS / request.param / "project.yaml")
    out = tmp_path_factory.mktemp(request.param)
    write_all(built, out, READ, lambda _: None)
    return built, out


def rows(out: Path) -> list[dict[str, str]]:
    with (out / "lists" / "parts.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def leaves(path: Path) -> list[Leaf]:
    """Every leaf of a STEP assembly: its name and its solid in the room."""
    document = TDocStd_Document(TCollection_ExtendedString("read"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.ReadFile(str(path))
    reader.Transfer(document)
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    found: list[Leaf] = []

    def name(label: TDF_Label) -> str:
        attribute = TDataStd_Name()
        label.FindAttribute(TDataStd_Name.GetID_s(), attribute)
        return attribute.Get().ToExtString()

    def visit(label: TDF_Label, at: TopLoc_Location) -> None:
        parts = TDF_LabelSequence()
        tool.GetComponents_s(label, parts)
        if not parts.Length():
            found.append((name(label), cq.Shape.cast(tool.GetShape_s(label).Moved(at))))
        for i in range(1, parts.Length() + 1):
            target = TDF_Label()
            tool.GetReferredShape_s(parts.Value(i), target)
            visit(target, at.Multiplied(tool.GetLocation_s(parts.Value(i))))

    roots = TDF_LabelSequence()
    tool.GetFreeShapes(roots)
    for i in range(1, roots.Length() + 1):
        visit(roots.Value(i), TopLoc_Location())
    return found


def test_the_step_file_holds_the_parts_of_the_cut_list(demo: tuple[Build, Path]) -> None:
    built, out = demo
    listed = {r["mark"]: r for r in rows(out)}
    found = leaves(out / "model.step")
    assert Counter(mark for mark, _ in found) == {mark: int(r["quantity"]) for mark, r in listed.items()}
    boxes: dict[str, list[Corners]] = {}
    for mark, shape in found:
        box = shape.BoundingBox()
        boxes.setdefault(mark, []).append((box.xmin, box.ymin, box.zmin, box.xmax, box.ymax, box.zmax))
        density = getattr(built.stock.material(listed[mark]["material"]), "density", None)
        if density is not None:
            assert shape.Volume() * density / 1e9 == pytest.approx(float(listed[mark]["weight_kg"]), abs=6e-4)
    for placed in built.plan.walk():
        if placed.part.kind == "hardware":
            continue
        want = (*placed.bounds().lo, *placed.bounds().hi)
        there = boxes[built.plan.marks[placed.part]]
        at = min(there, key=lambda box: max(abs(a - b) for a, b in zip(box, want, strict=True)))
        assert at == pytest.approx(want, abs=0.01), placed.path
        there.remove(at)


def test_the_mesh_has_the_volume_of_the_solids(demo: tuple[Build, Path]) -> None:
    _, out = demo
    mesh = trimesh.load_mesh(out / "model.stl", process=False)
    solids = sum(shape.Volume() for _, shape in leaves(out / "model.step"))
    assert mesh.volume == pytest.approx(solids, rel=1e-4)


def test_panel_outlines_are_as_large_as_their_blanks(demo: tuple[Build, Path]) -> None:
    built, out = demo
    sheets = {r["mark"]: r for r in rows(out) if r["material"] in built.stock.sheets}
    drawn = {p.stem.removesuffix("-a"): p for p in (out / "panels").glob("*.dxf") if not p.stem.endswith("-b")}
    assert set(drawn) == set(sheets)
    for mark, row in sheets.items():
        document = ezdxf.readfile(drawn[mark])  # pyright: ignore[reportPrivateImportUsage]
        assert not document.audit().errors
        assert document.header["$INSUNITS"] == 4  # millimetres (DXF reference)
        outline = document.modelspace().query('LWPOLYLINE[layer ? "outline.*"]')
        extents = ezdxf.bbox.extents(outline)
        assert tuple(extents.extmin)[:2] == pytest.approx((0, 0), abs=1e-6)
        assert tuple(extents.extmax)[:2] == pytest.approx((float(row["length_mm"]), float(row["width_mm"])), abs=0.06)


def test_the_top_is_longer_than_any_sheet_and_seamed_over_a_carcass(herbarium: Build) -> None:
    longest = max(size.length for size in herbarium.stock.sheet("birch 18").sizes)
    pieces = sorted(
        (p for u in herbarium.plan.units if u.kind == "top" for p in u.parts), key=lambda p: p.bounds().lo[0]
    )
    span = pieces[-1].bounds().hi[0] - pieces[0].bounds().lo[0]
    assert span > longest
    seam = pieces[0].bounds().hi[0]
    sides = {p.path: p.bounds() for p in herbarium.plan.walk() if p.role == "side" and p.bounds().lo[2] == 0}
    over = [
        unit
        for unit in ("press base", "paper base", "jar base")
        if sides[f"{unit}/left side"].hi[0] < seam < sides[f"{unit}/right side"].lo[0]
    ]
    assert len(over) == 1
    assert f"{over[0]}/sub-top" in herbarium.plan.by_path
