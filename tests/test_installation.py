"""The work in the room: what stands before what, and what is said with it."""

from pathlib import Path

from conftest import CONFIGS
from projects import base, write_project

from model.assembly.installation import assembly, in_order
from model.build import build
from model.lengths import show_length


def place(steps, unit: str, stage: str) -> int:
    return next(s.number for s in steps if s.unit == unit and s.stage == stage and s.where == "site")


def test_bases_then_tops_then_uppers_then_what_hangs_between_then_drawers() -> None:
    steps = assembly(build(CONFIGS / "herbarium" / "project.yaml")).steps
    order = [
        ("press base", "place"),
        ("bench top", "place"),
        ("book upper", "place"),
        ("lamp shelves", "place"),
        ("press base", "drawers"),
        ("press base", "fronts"),
        ("jar base", "doors"),
    ]
    numbers = [place(steps, *one) for one in order]
    assert numbers == sorted(numbers)
    ledges = place(steps, "lamp shelves", "wall")
    assert ledges < place(steps, "lamp shelves", "place")


def test_all_of_the_bench_is_done_before_the_room(herbarium) -> None:
    where = [s.where for s in assembly(herbarium).steps]
    assert where == sorted(where)


def test_a_wall_is_begun_at_its_corner(trains) -> None:
    names = [u.name for u in in_order(trains) if u.kind in ("base", "corner", "kneehole")]
    bases = [n for n in names if n in ("tool base", "stock base", "paint base")]
    assert bases == ["paint base", "stock base", "tool base"]


def test_the_setting_begins_at_the_highest_floor_and_says_the_shims(tmp_path: Path) -> None:
    floor = [{"x": 0, "z": 0}, {"x": 2400, "z": 12}]
    room = {
        "height": 2500,
        "walls": {"north": {"width": 2400, "floor": floor, "studs": {"spacing": 400, "first": 100}}},
    }
    built = build(write_project(tmp_path, dict.fromkeys("abc", base(height=800)), room=room))
    assert [u.name for u in in_order(built)] == ["c", "b", "a"]
    said = next(s.text for s in assembly(built).steps if s.unit == "a" and s.stage == "place")
    assert "Shims of up to 12 mm" in said
    assert "100 mm, 500 mm" in said


def test_a_bed_is_last_and_its_cabinet_is_fast_before_its_springs() -> None:
    steps = assembly(build(CONFIGS / "guest-study" / "project.yaml")).steps
    bed, springs = place(steps, "guest bed", "bed"), place(steps, "guest bed", "springs")
    assert place(steps, "guest bed", "place") < bed < springs
    assert all(s.number < bed for s in steps if s.unit != "guest bed")
    hung = next(s for s in steps if s.stage == "bed" and s.where == "site")
    assert "studs" in " ".join(hung.cautions)
    assert hung.people == 2
    assert "high pressure" in " ".join(next(s for s in steps if s.stage == "springs").cautions)


def test_inches_are_told_in_inches(trains) -> None:
    said = next(s.text for s in assembly(trains).steps if s.unit == "paint base" and s.stage == "place")
    assert " in from the left end" in said
    assert " mm" not in said


def test_only_a_neighbour_that_stands_is_screwed_to(herbarium) -> None:
    said = {s.unit: s.text for s in assembly(herbarium).steps if s.stage == "place"}
    assert "neighbour" not in said["press base"]
    assert "neighbour" in said["drawing place"]


def test_ledges_go_on_the_uppers_and_cleats_on_the_wall(herbarium, trains) -> None:
    """Their lower edges above the floor are those of the parts."""
    for made, role, words in ((herbarium, "ledge", "to the sides of the uppers"), (trains, "wall cleat", "studs")):
        (step,) = (s for s in assembly(made).steps if s.stage == "wall")
        low = {round(made.plan.by_path[p].bounds().lo[2], 3) for p in step.new}
        assert {made.plan.by_path[p].role for p in step.new} == {role}
        assert words in step.text
        for z in low:
            assert show_length(z, made.plan.lengths) in step.text
