"""Options that once made an unsound unit, found by random tests and kept: each must be sound now."""

from typing import Any

import pytest
from conftest import MakeUnit, plan_of

from model.checks.interference import interference

Kept = tuple[str, str, float, float, str, dict[str, Any]]
KEPT: list[Kept] = [
    # the cleats under a low bottom reached through the top the upper stands on
    (
        "low cleats",
        "upper",
        300,
        450,
        "mm",
        {"joinery": "cleated", "frame": None, "fronts": {"gap": 2}, "depth": 200.0},
    ),
    # strips under the sub-top stood in the way of an inset door
    (
        "cleats behind inset doors",
        "upper",
        702,
        1183,
        "mm",
        {"joinery": "cleated", "frame": None, "fronts": {"mount": "inset"}, "depth": 371.5, "doors": {"leaves": 2}},
    ),
    # shelves lay where an inset door closes
    (
        "shelves behind inset doors",
        "base",
        455,
        511,
        "mm",
        {"frame": None, "fronts": {"mount": "inset"}, "doors": {"leaves": 2}, "shelves": {"count": 1}},
    ),
    # two hinges of a low door were moved onto one place
    (
        "hinges of a low door",
        "base",
        767,
        412,
        "mm",
        {"frame": None, "depth": 437.8, "toe_kick": None, "drawers": {"heights": [130.0]}, "doors": {"leaves": 1}},
    ),
    # the tongue of a fixed shelf ran into the band before its partition
    (
        "banded partition",
        "base",
        400,
        600,
        "mm",
        {
            "frame": None,
            "edge_band": "birch band 22x1",
            "toe_kick": None,
            "back": None,
            "columns": [{"doors": {"leaves": 1}}, {"shelves": {"count": 0, "fixed": 1}}],
        },
    ),
    # a pilot bore in the end of a fixed shelf could not follow when its front was trimmed for a band
    (
        "banded fixed shelf",
        "base",
        400,
        600,
        "mm",
        {"joinery": "butt", "frame": None, "edge_band": "birch band 22x1", "shelves": {"count": 0, "fixed": 1}},
    ),
    # packing to one side moved the drawers out from behind their fronts
    (
        "packed kneehole",
        "kneehole",
        530,
        700,
        "in",
        {"framed": False, "depth": 400.0, "packing": {"left": 22.0}, "drawers": {"columns": 3, "pulls": 0}},
    ),
]


@pytest.mark.parametrize("kept", KEPT, ids=[k[0] for k in KEPT])
def test_what_was_unsound_stays_sound(make_unit: MakeUnit, kept: Kept) -> None:
    _, kind, width, height, lengths, options = kept
    unit = make_unit(kind, width, height, lengths, **options)
    assert [f.message for f in interference(plan_of(unit))] == []
