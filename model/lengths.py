"""Lengths as people write and read them: millimetres inside, fractional inches or metric outside."""

import math
import re
from fractions import Fraction
from typing import Literal

from model.tolerances import rounded

LengthUnit = Literal["mm", "in"]

MM_PER_INCH = 25.4
"""Exact (international inch, 1959)."""

SHOWN_FRACTION = 32
"""Inches are shown to the nearest 1/32: the finest mark of a common tape."""

_MM_PER: dict[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction("25.4"),
    "ft": Fraction("304.8"),
}
_SPELLINGS = {'"': "in", "inch": "in", "inches": "in", "'": "ft", "foot": "ft", "feet": "ft", **{u: u for u in _MM_PER}}
_TYPOGRAPHIC = str.maketrans({"\u2212": "-", "\u2032": "'", "\u2019": "'", "\u2033": '"', "\u201d": '"', "\u2044": "/"})
_VULGAR = {
    "\u00bd": "1/2",
    "\u00bc": "1/4",
    "\u00be": "3/4",
    "\u215b": "1/8",
    "\u215c": "3/8",
    "\u215d": "5/8",
    "\u215e": "7/8",
}
_NUMBER = r"[0-9]{1,12}(?:\.[0-9]{0,12})?|\.[0-9]{1,12}"
_TERM = re.compile(
    rf"""\s*(?:(?P<whole>[0-9]{{1,12}})(?:\s+|\s*-\s*))?(?P<top>[0-9]{{1,6}})\s*/\s*(?P<under>[0-9]{{1,6}})\s*(?P<unit>[a-z]+|["'])?
      |\s*(?P<number>{_NUMBER})\s*(?P<of>[a-z]+|["'])?""",
    re.VERBOSE,
)
_RIGHT = "write a length such as 743 mm, 0.9 m, 29 1/4 in or 11 ft 2 in"


def parse_length(text: str | float | int, bare_unit: LengthUnit) -> float:
    """The length in mm, to 0.001; a number without a unit is in `bare_unit`.

    Raises ValueError, its message saying what would be right. A fraction belongs to inches and feet: `29 1/4`
    without a unit is refused where bare numbers are millimetres.
    """
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise ValueError(f"{text!r} is not a length: {_RIGHT}")
    if not isinstance(text, str):
        if isinstance(text, float) and not math.isfinite(text):
            raise ValueError(f"{text} is not a length: {_RIGHT}")
        return _as_float(Fraction(text) * _MM_PER[bare_unit], str(text))
    body = text.translate(_TYPOGRAPHIC).strip().lower()
    for sign, spelled in _VULGAR.items():
        body = body.replace(sign, f" {spelled}")
    negative = body.startswith("-")
    total = _sum_of_terms(body.strip().removeprefix("-").strip(), text, bare_unit)
    return _as_float(-total if negative else total, text)


def _sum_of_terms(body: str, text: str, bare_unit: LengthUnit) -> Fraction:
    terms = _terms(body, text)
    if not terms:
        raise ValueError(f"an empty length: {_RIGHT}")
    units = [unit for _, unit, _ in terms]
    if len(terms) > 1 and units != ["ft", "in"]:
        raise ValueError(f"{_quoted(text)} is not one length: {_RIGHT}")
    total = Fraction(0)
    for value, unit, is_fraction in terms:
        actual = unit or bare_unit
        if is_fraction and actual not in ("in", "ft"):
            raise ValueError(
                f"{_quoted(text)} is a fraction of {actual}: write the unit, as in 29 1/4 in, or a decimal"
            )
        total += value * _MM_PER[actual]
    return total


def _terms(body: str, text: str) -> list[tuple[Fraction, str | None, bool]]:
    """(number, unit or None, written as a fraction) for each term of the text, in order."""
    terms: list[tuple[Fraction, str | None, bool]] = []
    at = 0
    while at < len(body):
        found = _TERM.match(body, at)
        if not found:
            raise ValueError(f"{_quoted(text)} is not a length: {_RIGHT}")
        word = found["unit"] or found["of"]
        unit = _SPELLINGS.get(word) if word else None
        if word and unit is None:
            raise ValueError(f"{_quoted(text)}: {word} is not a unit of length, use mm, cm, m, in or ft")
        if found["top"]:
            if int(found["under"]) == 0:
                raise ValueError(f"{_quoted(text)} divides by zero: {_RIGHT}")
            value = int(found["whole"] or 0) + Fraction(int(found["top"]), int(found["under"]))
        else:
            value = Fraction("0" + found["number"] if found["number"].startswith(".") else found["number"].rstrip("."))
        terms.append((value, unit, bool(found["top"])))
        at = found.end()
    return terms


def _quoted(text: str) -> str:
    """The text on one line, cut to a readable length, in quotes."""
    shown = text if len(text) <= 40 else text[:37] + "..."
    return repr(shown)


def _as_float(mm: Fraction, text: str) -> float:
    try:
        return rounded(float(mm))
    except OverflowError:
        raise ValueError(f"{_quoted(text)} is far too large for a length: {_RIGHT}") from None


def show_number(mm: float, unit: LengthUnit) -> str:
    """The length without its unit: to the nearest 0.1 mm (`743`, `22.2`) or the nearest 1/32 in (`29 1/4`)."""
    if not math.isfinite(mm):
        raise ValueError(f"{mm} is not a length")
    if unit == "mm":
        return f"{round(mm, 1) + 0.0:.1f}".removesuffix(".0")
    parts = round(mm / MM_PER_INCH * SHOWN_FRACTION)
    whole, rest = divmod(abs(parts), SHOWN_FRACTION)
    fraction = Fraction(rest, SHOWN_FRACTION)
    shown = " ".join([str(whole)] * (whole > 0 or rest == 0) + [str(fraction)] * (rest > 0))
    return f"-{shown}" if parts < 0 else shown


def show_length(mm: float, unit: LengthUnit) -> str:
    """The length as a person reads it: `743 mm`, `22.2 mm`, `29 1/4 in`, `0 in`."""
    return f"{show_number(mm, unit)} {unit}"
