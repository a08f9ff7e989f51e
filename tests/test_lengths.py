"""Lengths: every way a maker writes them, against exact fractions; and what is refused."""

import re
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.lengths import parse_length, show_length, show_number

INCH = Fraction(254, 10)
"""mm, exact: the international inch (1 in = 25.4 mm, the yard and pound agreement of 1959)."""


@pytest.mark.parametrize(
    ("text", "bare", "inches"),
    [
        ("29 1/4 in", "mm", Fraction(117, 4)),
        ('29-1/4"', "mm", Fraction(117, 4)),
        ("29 - 1/4 inches", "mm", Fraction(117, 4)),
        ("29\u00bc in", "mm", Fraction(117, 4)),
        ("11 ft 2 in", "mm", 134),
        ("11' 2\"", "mm", 134),
        ("11'2\"", "mm", 134),
        ("11\u2032 2\u2033", "mm", 134),
        ("11' 2 1/2\"", "mm", Fraction(269, 2)),
        ("6 feet", "mm", 72),
        ("1 1/2 ft", "mm", 18),
        ('7/16"', "mm", Fraction(7, 16)),
        ("29 1/4", "in", Fraction(117, 4)),
        ("-1/4 in", "mm", Fraction(-1, 4)),
        (".5 in", "mm", Fraction(1, 2)),
        (29.25, "in", Fraction(117, 4)),
        (12, "in", 12),
    ],
)
def test_inches(text: str | float, bare: str, inches: Fraction) -> None:
    assert parse_length(text, bare) == round(float(inches * INCH), 3)  # pyright: ignore[reportArgumentType]


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("743 mm", 743),
        ("743mm", 743),
        ("743", 743),
        (743, 743),
        ("0.9 m", 900),
        ("12.5 cm", 125),
        (" 12.5 CM ", 125),
        ("-3 mm", -3),
        ("\u22123 mm", -3),
        (-3, -3),
        (0, 0),
        ("0.0004 mm", 0),
    ],
)
def test_metric(text: str | float, mm: float) -> None:
    assert parse_length(text, "mm") == mm


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "an empty length: write a length such as"),
        ("  ", "an empty length"),
        ("-", "an empty length"),
        ("5 kg", "kg is not a unit of length, use mm, cm, m, in or ft"),
        ("nan", "'nan' is not a length: write"),
        ("inf", "'inf' is not a length: write"),
        (float("nan"), "nan is not a length: write"),
        (float("inf"), "inf is not a length: write"),
        (True, "True is not a length: write"),
        (None, "None is not a length: write"),
        ("1/0 in", "divides by zero"),
        ("1,5 m", "'1,5 m' is not a length"),
        ("--3 mm", "is not a length"),
        ("+3 mm", "is not a length"),
        ("3 4 mm", "is not one length"),
        ("1 ft 2 ft", "is not one length"),
        ("2 in 1 ft", "is not one length"),
        ("11 ft -2 in", "is not a length"),
        ("29 1/4", "is a fraction of mm: write the unit, as in 29 1/4 in"),
        ("1/2 m", "is a fraction of m"),
        ("=1+1", "is not a length"),
        ("1e3 mm", "e is not a unit of length"),
        ("9" * 500, "is not one length"),
        ("\u0663 mm", "is not a length"),
        (10**400, "is far too large"),
    ],
)
def test_refused_with_what_would_be_right(text: object, says: str) -> None:
    with pytest.raises(ValueError, match=re.escape(says)) as refused:
        parse_length(text, "mm")  # pyright: ignore[reportArgumentType]
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 200


@pytest.mark.parametrize(
    ("mm", "unit", "shown"),
    [
        (743, "mm", "743 mm"),
        (22.225, "mm", "22.2 mm"),
        (0, "mm", "0 mm"),
        (-0.04, "mm", "0 mm"),
        (-3.26, "mm", "-3.3 mm"),
        (742.95, "in", "29 1/4 in"),
        (11.1125, "in", "7/16 in"),
        (0, "in", "0 in"),
        (0.3, "in", "0 in"),
        (25.4, "in", "1 in"),
        (-6.35, "in", "-1/4 in"),
        (-31.75, "in", "-1 1/4 in"),
        (3403.6, "in", "134 in"),
        (0.79375, "in", "1/32 in"),
        (25.2, "in", "1 in"),
    ],
)
def test_shown(mm: float, unit: str, shown: str) -> None:
    assert show_length(mm, unit) == shown  # pyright: ignore[reportArgumentType]
    assert f"{show_number(mm, unit)} {unit}" == shown  # pyright: ignore[reportArgumentType]


def test_what_is_no_length_is_not_shown() -> None:
    with pytest.raises(ValueError, match="nan is not a length"):
        show_length(float("nan"), "mm")


whole = st.integers(0, 2000)
parts = st.integers(1, 63)


@settings(deadline=None)
@given(whole, parts, st.sampled_from([2, 4, 8, 16, 32, 64]), st.sampled_from([" ", "-"]), st.booleans())
def test_fractions_are_exact(whole: int, part: int, under: int, between: str, negative: bool) -> None:
    exact = (whole + Fraction(part, under)) * INCH
    read = parse_length(f'{"-" * negative}{whole}{between}{part}/{under}"', "mm")
    assert abs(Fraction(read) - (-exact if negative else exact)) <= Fraction(51, 100_000)


@settings(deadline=None)
@given(st.integers(-200_000, 200_000), st.sampled_from(["mm", "in"]))
def test_what_is_shown_reads_back(tenths: int, unit: str) -> None:
    mm = tenths / 10
    shown = show_length(mm, unit)  # pyright: ignore[reportArgumentType]
    back = parse_length(shown, "mm")
    assert abs(back - mm) <= {"mm": 0.0501, "in": 25.4 / 64 + 0.001}[unit]
    assert show_length(back, unit) == shown  # pyright: ignore[reportArgumentType]
    assert not shown.startswith("-0 ")


@settings(deadline=None)
@given(st.one_of(st.text(max_size=30), st.floats(), st.integers()), st.sampled_from(["mm", "in"]))
def test_anything_else_is_a_value_error(text: str | float, bare: str) -> None:
    said, mm = "", 0.0
    try:
        mm = parse_length(text, bare)  # pyright: ignore[reportArgumentType]
    except ValueError as refused:
        said = str(refused)
    assert said.isprintable()
    assert mm == round(mm, 3)
