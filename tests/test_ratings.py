"""What hardware carries against its rating, and wood that moves: numbers by hand, and silence where all is well."""

import math
from pathlib import Path
from typing import Any

import pytest
from conftest import METRIC
from hypothesis import given
from hypothesis import strategies as st
from projects import base, write_project

from model.bill import weight
from model.build import Build, build
from model.checks.ratings import ratings, spread, standing_on
from model.checks.wood_movement import wood_movement
from model.findings import Finding
from model.statics.fasteners import MPA_PER_PSI, pin_load
from model.statics.masses import GRAVITY, Lump, together


def one(
    folder: Path,
    width: float = 600,
    materials: dict[str, str] | None = None,
    more: dict[str, Any] | None = None,
    **said,
) -> Build:
    """A base 850 high on its own, `said` its options."""
    options = {"height": 850, **said}
    stock = {**METRIC.model_dump(exclude_none=True), **(materials or {})}
    return build(
        write_project(folder, {"a": base(**options)}, widths={"a": width}, **{"materials": stock, **(more or {})})
    )


def found(built: Build, code: str) -> Finding | None:
    some = [f for f in ratings(built) if f.code == code]
    assert len(some) <= 1
    return some[0] if some else None


def mass(built: Build, *words: str) -> float:
    """All parts whose path holds every word, kg."""
    (u,) = built.plan.units
    return sum(weight(p.part, built.stock) for p in u.parts if all(w in p.path for w in words))


LIGHT = {"slide": "ball-bearing 35"}


def test_a_wide_drawer_at_the_load_drawers_are_tried_with(tmp_path: Path) -> None:
    """Its own weight and 73 kg/m2 over its bottom against 25 kg; what it is said to carry is within: a note."""
    built = one(tmp_path, 1000, LIGHT, drawers={"rows": 3, "load": 24})
    told = found(built, "slide-rating")
    bottom = next(p.bounds() for u in built.plan.units for p in u.parts if p.path == "a/drawer 3/bottom")
    tried = 73 * bottom.size[0] * bottom.size[1] / 1e6
    assert told is not None
    assert (told.severity, told.limit) == ("note", 25)
    own = max(mass(built, f"a/drawer {i}/") for i in (1, 2, 3))
    assert told.value == pytest.approx(own + tried, abs=0.01)


def test_a_tray_on_slides_weighs_besides_what_it_carries(tmp_path: Path) -> None:
    """24 kg are within the 25 of its slides, the board itself is not."""
    built = one(tmp_path, 800, LIGHT, tray={"runners": "slides", "load": 24})
    told = found(built, "slide-rating")
    assert told is not None
    assert told.severity == "warning"
    assert told.value == pytest.approx(24 + mass(built, "a/tray/"), abs=0.01)


def test_a_drawer_that_is_its_whole_load(tmp_path: Path) -> None:
    built = one(tmp_path, 600, drawers={"rows": 3, "load": 3})
    told = found(built, "slide-rating")
    assert told is not None
    assert "alone weighs" in told.message


def test_drawers_within_their_rating_say_nothing(tmp_path: Path) -> None:
    assert list(ratings(one(tmp_path, 500, drawers={"rows": 3, "load": 20}))) == []


def test_a_door_too_heavy_for_its_hinges(tmp_path: Path) -> None:
    """One MDF door over a cupboard 900 wide and 2200 high: five hinges carry 9 kg for two, 22.5 kg."""
    built = one(tmp_path, 900, {"front": "mdf 18"}, height=2200, doors={"leaves": 1})
    told = found(built, "hinge-rating")
    assert told is not None
    assert (told.severity, told.limit) == ("fault", 22.5)
    assert told.value == pytest.approx(mass(built, "a/door/"), abs=0.01)


def test_a_pair_of_doors_is_light_enough(tmp_path: Path) -> None:
    assert found(one(tmp_path, 900, {"front": "mdf 18"}, height=2200, doors={"leaves": 2}), "hinge-rating") is None


def test_a_door_wider_than_high(tmp_path: Path) -> None:
    """Weight x half its width over the distance of its hinges is what pulls at the upper one."""
    built = one(tmp_path, 700, height=600, doors={"leaves": 1})
    told = found(built, "hinge-rating")
    assert told is not None
    assert told.severity == "note"
    (u,) = built.plan.units
    door = next(p.bounds() for p in u.parts if p.role == "door")
    cups = [p.bounds().center[2] for p in u.parts if p.path.startswith("a/door/") and p.role == "hinge"]
    pull = mass(built, "a/door/") * GRAVITY * door.size[0] / 2 / (max(cups) - min(cups))
    assert f"pull {pull:.0f} N at the upper one" in told.message


def test_what_a_pin_bears_by_hand() -> None:
    """9 mm deep, 3.5 mm before the face, 5 mm thick: forces q x0 up and q (9 - x0) down balance P and its moment."""
    q = 20.0 * 5
    load = pin_load(20.0, 5.0, 9.0, 3.5)
    x0 = (load / q + 9) / 2  # P = q (2 x0 - L)
    moment = q * x0 * (3.5 + x0 / 2) - q * (9 - x0) * (3.5 + (x0 + 9) / 2)
    assert moment == pytest.approx(0.0, abs=1e-6)
    assert 0 < load < q * 9


def test_a_shelf_of_stone_on_four_pins(tmp_path: Path) -> None:
    """600 kg/m2: the shelf and its load over four pins; a pin's hole in birch by the formula of the standard."""
    built = one(tmp_path, 600, shelves={"count": 1}, more={"loads": {"shelf": 900}})
    told = found(built, "pin-rating")
    assert told is not None
    (u,) = built.plan.units
    shelf = next(p for p in u.parts if p.role == "shelf")
    area = shelf.bounds().size[0] * shelf.bounds().size[1] / 1e6
    assert told.value == pytest.approx((weight(shelf.part, built.stock) + 900 * area) / 4, abs=0.01)
    bearing = 16_600 * (680 / 1120) ** 1.84 * MPA_PER_PSI / 2.2
    assert told.limit == pytest.approx(pin_load(bearing, 5, 9, 3.5) / GRAVITY, abs=0.01)


def test_a_shelf_of_books_rests_well(tmp_path: Path) -> None:
    assert found(one(tmp_path, 600, shelves={"count": 1}), "pin-rating") is None


def test_feet_under_too_much(tmp_path: Path) -> None:
    """Shelves of 900 kg/m2 on four feet of 150 kg; the sum of what stands on them is the unit and its load."""
    built = one(
        tmp_path,
        700,
        shelves={"count": 1, "fixed": 1},
        feet={"height": 100},
        toe_kick=None,
        more={"loads": {"shelf": 900}},
    )
    told = found(built, "foot-rating")
    assert told is not None
    assert told.limit == 150
    (u,) = built.plan.units
    areas = [
        p.bounds().size[0] * p.bounds().size[1] / 1e6 for p in u.parts if p.role in ("shelf", "fixed shelf", "bottom")
    ]
    assert together(standing_on(built, u)).mass == pytest.approx(mass(built, "a/") + 900 * sum(areas))


SQUARE = [(0.0, 0.0), (500.0, 0.0), (0.0, 400.0), (500.0, 400.0)]


@given(x=st.floats(0, 500), y=st.floats(0, 400), kg=st.floats(1, 500))
def test_a_load_spread_over_feet_is_in_balance(x: float, y: float, kg: float) -> None:
    shares = spread(Lump(kg, (x, y, 900.0)), SQUARE)
    assert sum(shares) == pytest.approx(kg)
    assert sum(s * p[0] for s, p in zip(shares, SQUARE, strict=True)) == pytest.approx(kg * x, abs=1e-5)
    assert sum(s * p[1] for s, p in zip(shares, SQUARE, strict=True)) == pytest.approx(kg * y, abs=1e-5)


def test_a_load_in_the_middle_is_a_quarter_each() -> None:
    assert spread(Lump(100, (250, 200, 0)), SQUARE) == pytest.approx([25] * 4)


def test_what_lies_over_a_unit_stands_on_its_feet(herbarium: Build) -> None:
    """The top and the upper over it: more than the unit and what its drawers hold."""
    u = next(u for u in herbarium.plan.units if u.name == "press base")
    own = sum(weight(p.part, herbarium.stock) for p in u.parts)
    assert together(standing_on(herbarium, u)).mass > own + 100  # six drawers of 25 kg, the top, books


# wood

WIDE = {"frame": "pine 20x140"}


def moves(built: Build) -> list[Finding]:
    return list(wood_movement(built))


def inset(folder: Path, gap: float, safety: dict[str, Any] | None = None) -> Build:
    """An inset door under a top rail 140 mm high, with so much gap."""
    return one(
        folder,
        700,
        WIDE,
        {"safety": safety or {}},
        frame={"stile": 40, "rail": 140},
        fronts={"mount": "inset", "gap": gap},
        doors={"leaves": 1},
    )


def test_a_wide_rail_grows_into_an_inset_door(tmp_path: Path) -> None:
    """140 mm of flat-sawn ponderosa pine from 6 to 10 %: 140 x 0.00216 x 4 = 1.21 mm, the gap is 1."""
    (told,) = moves(inset(tmp_path, 1.0))
    assert told.severity == "warning"
    assert told.value == pytest.approx(140 * 0.00216 * 4, abs=1e-3)
    assert told.limit == pytest.approx(1.0)


def test_a_gap_that_takes_it(tmp_path: Path) -> None:
    assert moves(inset(tmp_path, 2.0)) == []


def test_livelier_wood_and_damper_air_need_more(tmp_path: Path) -> None:
    """Beech moves 0.00431: 2.41 mm from 6 to 10 %; and pine 2.42 mm from 6 to 14 %."""
    (told,) = moves(inset(tmp_path, 2.0, {"woods": {"pine 20x140": "beech"}}))
    assert told.value == pytest.approx(140 * 0.00431 * 4, abs=1e-3)
    (told,) = moves(inset(tmp_path, 2.0, {"moisture": {"dry": 6, "damp": 14}}))
    assert told.value == pytest.approx(140 * 0.00216 * 8, abs=1e-3)
    assert moves(inset(tmp_path, 1.0, {"moisture": {"dry": 8, "damp": 8}})) == []


def test_a_wide_skirt_screwed_fast(tmp_path: Path) -> None:
    """140 mm of beech on a sheet behind it that does not move: slotted holes, a note."""
    safety = {"safety": {"woods": {"pine 20x140": "beech"}}}
    kick = {"style": "skirt", "height": 140}
    (told,) = moves(one(tmp_path, 700, None, safety, toe_kick=kick, doors={"leaves": 1}))
    assert (told.severity, told.limit) == ("note", 1.5)
    assert "slotted holes" in told.message


def test_demos_move_no_more_than_they_may(herbarium: Build, trains: Build) -> None:
    assert [*moves(herbarium), *moves(trains)] == []
    assert math.isfinite(sum(f.value or 0 for f in ratings(trains)))
