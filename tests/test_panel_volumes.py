"""Random panels: what the layers of their files take away leaves the volume of the part."""

import tempfile
from pathlib import Path
from typing import Any

from dxf_verifier import by_group_codes, volume
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from exporters.cnc.panel import sides
from exporters.panels import dxf_bytes, panel
from model.cnc import Cnc
from model.cuts import Bore, Cut, Cutout, Groove, Notch, Rabbet
from model.errors import ProjectError
from model.meshes import volume as true_volume
from model.part import Part

LENGTH, WIDTH, THICKNESS = 400, 240, 18


def spans(whole: int, least: int = 8, most: int = 60) -> st.SearchStrategy[tuple[int, int]]:
    return st.tuples(st.integers(0, whole - least), st.integers(least, most)).map(lambda s: (s[0], min(sum(s), whole)))


@st.composite
def cuts(draw: st.DrawFn) -> Cut:
    (u0, u1), (v0, v1) = draw(spans(LENGTH)), draw(spans(WIDTH))
    face: Any = draw(st.sampled_from("AB"))
    depth = draw(st.integers(1, THICKNESS))
    kind = draw(st.sampled_from(["bore", "groove", "rabbet", "notch", "cutout"]))
    if kind == "bore":
        sunk = draw(st.sampled_from([None, 12]))
        deep = draw(st.sampled_from([None, float(depth)]))
        return Bore(face=face, u=40 + u0 * 0.8, v=40 + v0 * 0.6, diameter=5, depth=deep, countersink=sunk)
    if kind == "groove":
        return Groove(face=face, u0=u0, v0=v0, u1=u1, v1=v1, depth=depth)
    if kind == "rabbet":
        return Rabbet(face=face, u0=u0, v0=0, u1=u1, v1=v1 - v0, depth=depth)
    if kind == "notch":
        return Notch(u0=u0, v0=0, u1=u1, v1=min(v1 - v0, 40))
    return Cutout(u0=u0, v0=v0, u1=u1, v1=v1, radius=draw(st.sampled_from([0, 3])))


@settings(max_examples=40)
@given(st.lists(cuts(), max_size=6), st.sampled_from(["R2010", "R12"]))
def test_both_files_leave_the_volume_of_the_part(cut: list[Cut], version: Any) -> None:
    part = Part(kind="sheet", material="m", length=LENGTH, width=WIDTH, thickness=THICKNESS, cuts=tuple(cut))
    read = {}
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "panel.dxf"
        for side in sides(part):
            try:
                path.write_bytes(dxf_bytes(panel(part, "B1-01", "side", side, Cnc(version=version))))
            except ProjectError:
                assume(False)
            read[side] = by_group_codes(path)
    assert abs(volume(THICKNESS, read["A"], read.get("B", ())) - true_volume(part)) <= 1e-3 * true_volume(part)
