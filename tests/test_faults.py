"""Faults put into a sound demo are found: the right pair, and as much as the CAD kernel finds on its own."""

from dataclasses import replace

import pytest
from projects import base, write_project

from model.build import Build, build, with_units
from model.checks.interference import interference, interference_of
from model.findings import Finding
from model.part import PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit
from model.solids import located


def common_volume(a: PlacedPart, b: PlacedPart) -> float:
    """What two parts share, mm^3, by the CAD kernel's boolean."""
    return located(a).intersect(located(b)).Volume()


def found(built: Build, code: str) -> list[Finding]:
    return [f for f in interference(built.plan) if f.code == code]


def agrees(built: Build, finding: Finding) -> None:
    a, b = (built.plan.by_path[path] for path in finding.parts)
    assert finding.value == pytest.approx(common_volume(a, b), rel=1e-3)


def pairs(findings: list[Finding]) -> set[frozenset[str]]:
    return {frozenset(f.parts) for f in findings}


def changed(built: Build, unit: str, change: dict[str, PlacedPart]) -> Build:
    """The build with parts of one unit replaced, by path."""
    units = tuple(
        replace(u, parts=tuple(change.get(p.path, p) for p in u.parts)) if u.name == unit else u
        for u in built.plan.units
    )
    return with_units(built, units)


def test_the_demos_are_sound(herbarium: Build, trains: Build) -> None:
    assert [f.message for f in interference_of(herbarium.plan)] == []
    assert [f.message for f in interference_of(trains.plan)] == []


def test_no_build_out_behind_the_frame(tmp_path) -> None:
    path = write_project(tmp_path, {"press": base(height=800, drawers={"rows": 2, "build_out": 0})})
    built = build(path)
    hits = found(built, "overlap")
    assert frozenset({"press/left stile", "press/drawer 1/left side"}) in pairs(hits)
    assert frozenset({"press/right stile", "press/drawer 2 slide, right, cabinet member"}) in pairs(hits)
    for hit in hits:
        agrees(built, hit)


def test_a_slide_two_millimetres_too_thick(herbarium: Build) -> None:
    path = "paper base/drawer 2/slide, left, drawer member"
    thin = herbarium.plan.by_path[path]
    size = thin.part.size
    thick = PlacedPart(path, replace(thin.part, thickness=size[2] + 2), thin.placement, thin.role)
    built = changed(herbarium, "paper base", {path: thick})
    hits = found(built, "overlap")
    assert pairs(hits) == {frozenset({path, "paper base/drawer 2/left side"})}
    agrees(built, hits[0])
    assert hits[0].value == pytest.approx(2 * size[0] * size[1] * _covered(herbarium, path), rel=1e-3)


def _covered(built: Build, path: str) -> float:
    """The part of a drawer member that lies along the box side: it stands the setback behind the box's front."""
    member = built.plan.by_path[path].bounds()
    side = built.plan.by_path[path.rsplit("/", 1)[0] + "/left side"].bounds()
    return (min(member.hi[1], side.hi[1]) - member.lo[1]) / (member.hi[1] - member.lo[1])


def test_a_front_ten_millimetres_too_wide(herbarium: Build) -> None:
    """A middle drawer's front of the kneehole, grown to the right into its neighbour's."""
    path = "drawing place/drawer 1/front"
    placed = herbarium.plan.by_path[path]
    wide = PlacedPart(path, replace(placed.part, length=placed.part.length + 10), placed.placement, placed.role)
    if wide.bounds().hi[0] < placed.bounds().hi[0] + 9:  # the front's own x runs to the left
        back = Placement((10.0, 0.0, 0.0)).compose(wide.placement)
        wide = replace(wide, placement=back)
    built = changed(herbarium, "drawing place", {path: wide})
    hits = found(built, "overlap")
    assert pairs(hits) == {frozenset({path, "drawing place/drawer 2/front"})}
    agrees(built, hits[0])
    gap, height, thickness = 3.0, placed.part.width, placed.part.thickness
    assert hits[0].value == pytest.approx((10 - gap) * height * thickness, rel=1e-3)


def test_two_units_pushed_into_each_other(herbarium: Build) -> None:
    units = tuple(_pushed(u, 5.0) if u.name == "jar base" else u for u in herbarium.plan.units)
    built = with_units(herbarium, units)
    hits = found(built, "overlap")
    sides = frozenset({"paper base/right side", "jar base/left side"})
    assert sides in pairs(hits)
    for hit in hits:
        agrees(built, hit)
    side = next(h for h in hits if frozenset(h.parts) == sides)
    assert dict(side.details)["depth_mm"] == pytest.approx(5.0, abs=0.01)


def _pushed(unit: BuiltUnit, by: float) -> BuiltUnit:
    at = Placement((-by, 0.0, 0.0))
    return replace(unit, parts=tuple(p.moved(at) for p in unit.parts))


def test_a_drawer_behind_a_stile_is_blocked_on_its_way(herbarium: Build) -> None:
    """A thin strip across the front of an opening: nothing at rest, in the way of the drawer."""
    front = herbarium.plan.by_path["paper base/drawer 1/front"].bounds()
    strip = herbarium.plan.by_path["paper base/top rail"]
    y = front.lo[1] - 100.0 - strip.part.thickness
    bar = PlacedPart(
        "paper base/bar", strip.part, Placement((front.lo[0], y, front.center[2]), strip.placement.rotation), "bar"
    )
    units = tuple(replace(u, parts=(*u.parts, bar)) if u.name == "paper base" else u for u in herbarium.plan.units)
    hits = found(with_units(herbarium, units), "blocked")
    assert hits
    free = min(h.value or 0.0 for h in hits if "front" in h.parts[0])
    gap = front.lo[1] - bar.bounds().hi[1]
    assert free == pytest.approx(gap, abs=0.1)


def test_solids_of_the_demo_agree_pair_by_pair(herbarium: Build) -> None:
    """All touching pairs of one base by the kernel: none shares more than 1 mm^3."""
    parts = [p for p in herbarium.plan.walk() if p.path.startswith("jar base/")]
    boxes = [p.bounds() for p in parts]
    tried = 0
    for i, a in enumerate(parts):
        for j in range(i + 1, len(parts)):
            shared = boxes[i].common(boxes[j])
            if shared is not None and min(shared.size) > 0.01:
                tried += 1
                assert common_volume(a, parts[j]) < 1.0, (a.path, parts[j].path)
    assert tried > 10
