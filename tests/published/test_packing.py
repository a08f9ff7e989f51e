"""Cutting plans held against worked examples of books, the optimum of each published with it."""

import pytest
from cut_plans import plan, stock

from model.cutting.plans import cutting_plan

CHVATAL = [(45, 97), (36, 610), (31, 395), (14, 211)]
"""Finals cut from raws 100 in wide: width and how many (Chvatal, Linear Programming, 1983, chapter 13)."""
PAPER = [
    (1380, 22), (1520, 25), (1560, 12), (1710, 14), (1820, 18), (1880, 18), (1930, 20),
    (2000, 10), (2050, 12), (2100, 14), (2140, 16), (2150, 18), (2200, 20),
]  # fmt: skip
"""Widths from rolls of 5600 mm and how many (the illustration of "Cutting stock problem", Wikipedia)."""


@pytest.mark.parametrize(
    ("orders", "raw", "least", "waste"),
    [
        # the linear relaxation is 452.25 raws: 48.5, 105.5, 100.75 and 197.5 of four patterns
        (CHVATAL, 100, 453, None),
        # "requires 73 master rolls and has 0.401% waste"
        (PAPER, 5600, 73, 0.00401),
    ],
)
def test_worked_examples_of_one_dimension(
    orders: list[tuple[int, int]], raw: int, least: int, waste: float | None
) -> None:
    scale = 10 if raw == 100 else 1
    said = stock(
        kerf=0,
        boards={"pine": {"thickness": 20, "width": 40, "lengths": [raw * scale], "density": 450}},
    )
    made = plan([(width * scale, 40, n) for width, n in orders], "pine", "board")
    found = cutting_plan(made, said)
    assert len(found.boards) == least
    assert sum(len(b.pieces) for b in found.boards) == sum(n for _, n in orders)
    if waste is not None:
        cut = sum(width * n for width, n in orders)
        assert 1 - cut / (raw * least) == pytest.approx(waste, abs=5e-6)
