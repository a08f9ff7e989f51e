"""The floor a wall bed takes: measured off the room, with a wall, a unit and nothing across from it."""

from pathlib import Path

import pytest
from rooms import room_project, unit

from model.build import Build, build
from model.checks.bed_floor import PASS, bed_floor
from model.findings import Finding

FITTINGS = {"frame": "pine 20x90", "gas_spring": "gas spring 250", "bed_pivot": "bed pivot 30"}
BED = {"kind": "wall-bed", "mattress": "90x200", "mattress_thickness": 180, "materials": FITTINGS}


def told(built: Build) -> Finding:
    (found,) = bed_floor(built)
    return found


def three_walls(folder: Path, deep: float, wide: float, x: float = 700.0) -> Build:
    """A bed on the middle wall of three, `x` from its left end, the side walls `deep` long."""
    walls = {"west": {"width": deep}, "north": {"width": wide}, "east": {"width": deep}}
    units = {"bed": BED}
    row = [unit("bed", "bed", 1060)]
    margins = {"north": {"left": x, "right": 0}}
    return build(room_project(folder, {"walls": walls}, {"north": row}, units, margins=margins))


def test_the_floor_it_takes_and_leaves(tmp_path: Path) -> None:
    """A wall runs on both sides; nothing is across."""
    built = three_walls(tmp_path, 4000, 3200)
    found = told(built)
    assert found.severity == "note"
    area = dict(found.details)["area_m2"]
    assert 0.9 * 1.3 < area < 1.3 * 2.2
    # a cabinet of 1060 from x = 700 holds a bed of 1018.4 in its middle
    assert "720.8 mm at its left and 1460.8 mm at its right" in found.message
    assert "no end of room is left before its foot" in found.message


def test_a_narrow_room_leaves_no_way_past(tmp_path: Path) -> None:
    """Between side walls 20 mm off the cabinet nobody gets in at a side: a warning, with the larger of the two."""
    found = told(three_walls(tmp_path, 4000, 1100, 20))
    assert found.severity == "warning"
    assert found.value is not None
    assert found.value < PASS


def test_a_wall_across_the_foot(tmp_path: Path) -> None:
    """The fourth wall closes the room 2600 from the bed's: what is left is that less where the foot ends."""
    sides = {"west": {"width": 2600}, "north": {"width": 3200}, "east": {"width": 2600}, "south": {"width": 3200}}
    row = [unit("bed", "bed", 1060)]
    path = room_project(tmp_path, {"walls": sides}, {"north": row}, {"bed": BED}, margins={"north": {"left": 700}})
    built = build(path)
    (bed,) = [u for u in built.plan.units if u.name == "bed"]
    (north,) = [w for w in built.walls if w.name == "north"]
    back, swing = north.frame.inverse(), bed.motions[0]
    highest = max(p.moved(back).bounds().hi[2] for p in bed.parts if p.path in swing.parts)
    # its highest point, upright, is its foot when down: as far before the pivot as it stands over it
    _, out, up = back.apply(swing.origin)
    found = told(built)
    assert found.value == pytest.approx(2600 - (-out + highest - up), abs=0.2)
    assert "to the wall south" in found.message
