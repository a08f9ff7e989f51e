"""Uppers for tests: looking into one that is built, and the options that properties are tried on."""

from collections.abc import Callable

from hypothesis import strategies as st

from model.part import PlacedPart
from model.plan import BuiltUnit

Upper = Callable[..., BuiltUnit]
T = 17.8
"""mm. The carcass sheet of the metric stock."""


def part(unit: BuiltUnit, path: str) -> PlacedPart:
    return next(p for p in unit.parts if p.path == path)


def span(unit: BuiltUnit, path: str, axis: str) -> tuple[float, float]:
    return part(unit, path).bounds().span(axis)


BACKS = st.none() | st.sampled_from(["applied", "rabbet", "between", "groove"]).map(lambda f: {"fixing": f})
HANG = st.fixed_dictionaries(
    {
        "cleat": st.fixed_dictionaries(
            {
                "height": st.sampled_from([60, 80, 100]),
                "angle": st.sampled_from([30, 45, 50]),
                "screws": st.sampled_from([1, 2]),
                "into": st.sampled_from(["studs", "masonry"]),
            }
        ),
        "spacer": st.sampled_from([40, 60]),
    }
)
FIXED = st.integers(0, 3) | st.lists(st.floats(100, 700).map(round), min_size=1, max_size=2).map(sorted).map(
    lambda zs: [float(z) for z in zs]
)
SHELVES = st.none() | st.fixed_dictionaries({"count": st.integers(0, 4), "fixed": FIXED})
DOORS = st.none() | st.fixed_dictionaries({"leaves": st.sampled_from([1, 2])})
COLUMNS = st.lists(st.fixed_dictionaries({"shelves": SHELVES, "doors": DOORS}), min_size=2, max_size=3)
CONTENTS = st.one_of(
    st.fixed_dictionaries({"shelves": SHELVES, "doors": DOORS}),
    st.fixed_dictionaries({"shelves": SHELVES, "doors": DOORS}),
    st.fixed_dictionaries({"columns": COLUMNS}),
)
PLAIN = st.fixed_dictionaries(
    {
        "joinery": st.sampled_from(["butt", "housed", "cleated", "pocket", "dowelled"]),
        "back": BACKS,
        "frame": st.sampled_from([None, {}]),
        "fronts": st.fixed_dictionaries({"mount": st.sampled_from(["overlay", "inset"])}),
        "depth": st.floats(220, 420).map(lambda x: round(x, 1)),
    }
)
OPTIONS = st.builds(lambda plain, contents: {**plain, **contents}, PLAIN, CONTENTS)
