"""Drawings as other programs read them: GDAL's reader of DXF, and LibreCAD where it is installed.

Both are written by people who have nothing to do with the library that writes the files.
"""

import math
import os
import shutil
import struct
import subprocess
from collections import Counter
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import pyogrio
import pypdf
import pytest
from drawn import Demo, demo_drawings
from pyogrio.raw import read

from exporters.drawings.display import Dimension, Hatch, Round, Sheet, Solid, Text, rect_of, simple
from exporters.drawings.display import Path as Run
from exporters.drawings.dxf import dxf

Point = tuple[float, float]
READ = {"DXF_MERGE_BLOCK_GEOMETRIES": "FALSE"}
"""A piece of a dimension's block is a feature of its own (GDAL's documentation of its DXF driver)."""


@dataclass(frozen=True)
class Feature:
    """A thing as GDAL reads it: its layer, its text, and runs of points (one point for a text)."""

    layer: str
    text: str
    runs: tuple[tuple[Point, ...], ...]

    @property
    def length(self) -> float:
        return sum(math.dist(a, b) for run in self.runs for a, b in pairwise(run))


def features(path: Path) -> list[Feature]:
    """Everything in model space."""
    pyogrio.set_gdal_config_options(READ)
    meta, _, shapes, columns = read(path)
    names = list(meta["fields"])
    layers, texts = columns[names.index("Layer")], columns[names.index("Text")]
    found = []
    for layer, text, shape in zip(layers, texts, shapes, strict=True):
        runs = tuple(_runs(shape))
        is_text = len(runs) == len(runs[0]) == 1  # a hatching has the name of its pattern there
        found.append(Feature(str(layer), str(text) if is_text else "", runs))
    return found


def _runs(shape: bytes) -> list[tuple[Point, ...]]:
    """The points of a shape in well-known binary (OGC 06-103r4, 8.2; z is passed over)."""
    return _shape(shape, 0)[0]


def _shape(raw: bytes, at: int) -> tuple[list[tuple[Point, ...]], int]:
    order = "<" if raw[at] else ">"
    (code,) = struct.unpack_from(f"{order}I", raw, at + 1)
    kind = (code & 0x0FFFFFFF) % 1000
    step = 24 if code >= 1000 else 16  # with z: 1000 more, or the uppermost bit set
    at += 5
    if kind == 1:
        return [(struct.unpack_from(f"{order}2d", raw, at),)], at + step
    (count,) = struct.unpack_from(f"{order}I", raw, at)
    at += 4
    if kind == 2:
        run = tuple(struct.unpack_from(f"{order}2d", raw, at + step * i) for i in range(count))
        return [run], at + step * count
    found: list[tuple[Point, ...]] = []
    for _ in range(count):
        if kind == 3:  # the rings of a polygon
            (corners,) = struct.unpack_from(f"{order}I", raw, at)
            found.append(tuple(struct.unpack_from(f"{order}2d", raw, at + 4 + step * i) for i in range(corners)))
            at += 4 + step * corners
        else:
            more, at = _shape(raw, at)
            found += more
    return found, at


@pytest.fixture(params=["herbarium", "trains"])
def demo(request: pytest.FixtureRequest) -> Demo:
    return demo_drawings(request.param)


def _factor(sheet: Sheet) -> float:
    """A length in the file for one on paper."""
    return sheet.scale / (1.0 if sheet.lengths == "mm" else 25.4)


def test_gdal_reads_the_lines_and_texts_of_every_sheet(demo: Demo, tmp_path: Path) -> None:
    """Each text once, on each layer as much line as on the sheet, and the same box round all of it."""
    assert len(demo.files) > 40
    for name, content in demo.files.items():
        sheet = demo.sheets[name]
        (path := tmp_path / f"{name}.dxf").write_bytes(content)
        found = features(path)
        said = Counter(f.text for f in found if f.text)
        assert said == Counter(i.text for i in simple(sheet.items) if isinstance(i, Text)), name
        factor = _factor(sheet)
        measured: Counter[str] = Counter()
        for feature in found:
            if not feature.text:
                measured[feature.layer] += feature.length  # pyright: ignore[reportArgumentType]
        for layer, length in _lengths(sheet).items():
            if layer not in ("HATCH", "MARKS"):  # hatchings and arrow heads are read as areas
                assert measured[layer] == pytest.approx(length * factor, rel=2e-3), (name, layer)
        points = [p for f in found if not f.text for run in f.runs for p in run]
        drawn = rect_of(i for i in simple(sheet.items) if not isinstance(i, Text))
        box = [f(p[k] for p in points) for f in (min, max) for k in (0, 1)]
        assert box == pytest.approx([v * factor for v in drawn], abs=0.02 * factor), name


def _lengths(sheet: Sheet) -> dict[str, float]:
    """mm of line on paper, by layer."""
    found: dict[str, float] = {}
    for item in simple(sheet.items):
        match item:
            case Run(layer, points, closed):
                ends = (*points, points[0]) if closed else points
                found[layer] = found.get(layer, 0.0) + sum(math.dist(a, b) for a, b in pairwise(ends))
            case Round(layer, _, radius, start, end):
                found[layer] = found.get(layer, 0.0) + radius * math.radians(end - start)
            case Text() | Solid() | Hatch():
                pass
    return found


def test_dimensions_are_read_as_they_are_drawn(demo: Demo, tmp_path: Path) -> None:
    """The block of each dimension holds its lines and its text, and they lie where the sheet has them."""
    for name in list(demo.files)[::5]:
        sheet = demo.sheets[name]
        (path := tmp_path / f"{name}.dxf").write_bytes(demo.files[name])
        texts = [f for f in features(path) if f.text and f.layer == "DIMENSIONS"]
        dimensions = [i for i in sheet.items if isinstance(i, Dimension)]
        assert len(texts) == len(dimensions), name
        places = sorted((f.text, *(round(v, 2) for v in f.runs[0][0])) for f in texts)
        factor = _factor(sheet)
        wanted = sorted((d.text, *(round(v * factor, 2) for v in d.middle)) for d in dimensions)
        for (a, *p), (b, *q) in zip(places, wanted, strict=True):
            assert a == b, name
            assert p == pytest.approx(q, abs=0.02), name


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("librecad") is None, reason="LibreCAD is not installed")
@pytest.mark.parametrize(("name", "most"), [("herbarium", 1000), ("trains", 14)])
def test_librecad_prints_every_sheet(name: str, most: int, tmp_path: Path) -> None:
    """`librecad dxf2pdf` makes one page of each file, as high for its width as the sheet, with all its lines on it."""
    demo = demo_drawings(name)
    sheets = list(demo.sheets.values())[:most]
    files = {s.name: dxf(s) for s in sheets}
    for stem, content in files.items():
        (tmp_path / f"{stem}.dxf").write_bytes(content)
    told = [str(p) for p in sorted(tmp_path.glob("*.dxf"))]
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(tmp_path)}
    command = ["librecad", "dxf2pdf", "-a", "-m", "-p", "420x297", "-t", str(tmp_path), *told]
    subprocess.run(command, check=True, env=environment, capture_output=True, timeout=600)
    for sheet in sheets:
        (page,) = pypdf.PdfReader(tmp_path / f"{sheet.name}.pdf").pages
        runs = _printed(page)
        xs, ys = [p[0] for run in runs for p in run], [p[1] for run in runs for p in run]
        ratio = (max(xs) - min(xs)) / (max(ys) - min(ys))
        wide, high = sheet.paper
        assert ratio == pytest.approx(wide / high, rel=0.01), sheet.name
        lines = sum(len(i.points) - 1 for i in simple(sheet.items) if isinstance(i, Run))
        assert sum(len(run) - 1 for run in runs) >= lines * 0.9, sheet.name


def _printed(page: pypdf.PageObject) -> list[list[Point]]:
    """The stroked paths of a page of straight lines (ISO 32000-1, 8.5.2 and 8.5.3); what clips is left out."""
    contents = page.get_contents()
    assert contents is not None
    runs: list[list[Point]] = []
    fresh: list[list[Point]] = []
    for line in contents.get_data().decode("latin-1").splitlines():
        words = line.split()
        if words[-1:] == ["m"]:
            fresh.append([(float(words[0]), float(words[1]))])
        elif words[-1:] == ["l"] and fresh:
            fresh[-1].append((float(words[0]), float(words[1])))
        elif words[-1:] in (["S"], ["s"]):
            runs += fresh
            fresh = []
        elif words[-1:] in (["n"], ["f"], ["f*"], ["W*"], ["W"], ["B"]):
            fresh = []
    return runs
