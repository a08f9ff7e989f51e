"""Demos with faults put into them, for the tests of what shows faults."""

from dataclasses import replace

from model.build import Build, with_units
from model.part import PlacedPart
from model.placement import Placement
from model.plan import BuiltUnit

BAR, POST = "paper base/bar", "paper base/post"


def changed(built: Build, name: str, change) -> Build:
    """The build with one of its units changed."""
    return with_units(built, tuple(change(u) if u.name == name else u for u in built.plan.units))


def thicker(path: str, by: float):
    """A part grown in thickness."""

    def change(unit: BuiltUnit) -> BuiltUnit:
        grown = (
            replace(p, part=replace(p.part, thickness=p.part.thickness + by)) if p.path == path else p
            for p in unit.parts
        )
        return replace(unit, parts=tuple(grown))

    return change


def with_part(path: str, like: PlacedPart, at: tuple[float, float, float]):
    """One more part, such as another but elsewhere."""

    def change(unit: BuiltUnit) -> BuiltUnit:
        return replace(
            unit, parts=(*unit.parts, PlacedPart(path, like.part, Placement(at, like.placement.rotation), "bar"))
        )

    return change


def moved(by: tuple[float, float, float]):
    return lambda unit: replace(unit, parts=tuple(p.moved(Placement(by)) for p in unit.parts), motions=())


def broken_herbarium(herbarium: Build) -> Build:
    """The herbarium with a slide too thick, a bar before a drawer, a post before a door, an upper in the air."""
    parts = herbarium.plan.by_path
    front, rail = parts["paper base/drawer 1/front"].bounds(), parts["paper base/top rail"]
    door = parts["jar base/left door/door"].bounds()
    built = changed(herbarium, "paper base", thicker("paper base/drawer 2/slide, left, drawer member", 2.0))
    at = (front.lo[0], front.lo[1] - 100 - rail.part.thickness, front.center[2])
    built = changed(built, "paper base", with_part(BAR, rail, at))
    built = changed(built, "paper base", with_part(POST, rail, (door.center[0], door.lo[1] - 250, 200.0)))
    return changed(built, "jar upper", moved((0.0, 0.0, 4.0)))


def pushed_trains(trains: Build) -> Build:
    """The trains in inches, one base pushed into its neighbour."""
    return changed(trains, "stock base", moved((-5.0, 0.0, 0.0)))
