"""The field types configs are made of: strict models, lengths, angles, masses, money, names.

A validator raises ValueError with a message for the person who wrote the file: what is wrong, what would be right.
"""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, GetCoreSchemaHandler, WithJsonSchema
from pydantic_core import CoreSchema

from model.lengths import LengthUnit, parse_length, show_length

LONGEST = 100_000.0
"""mm. No length in a room is longer than 100 m: above it a unit was mistaken."""
HEAVIEST = 100_000.0
"""kg."""
DEAREST = 10_000_000.0
NAME_LENGTH = 60


class TaggedInt(int):
    """A whole number read from a file, with the unit of that file's bare numbers."""

    unit: LengthUnit = "mm"


class TaggedFloat(float):
    """A number read from a file, with the unit of that file's bare numbers."""

    unit: LengthUnit = "mm"


class TaggedStr(str):
    """A text read from a file, with the unit of that file's bare numbers."""

    unit: LengthUnit = "mm"


class FieldError(ValueError):
    """A ValueError of a validator that lies at a key path below the value being validated."""

    def __init__(self, message: str, *loc: str | int) -> None:
        super().__init__(message)
        self.loc = loc


def _lists_for_tuples(schema: Any) -> Any:
    """The schema with every list or tuple open to either: YAML knows one sequence, and strict would refuse it."""
    if isinstance(schema, dict):
        changed = {k: _lists_for_tuples(v) if k not in ("metadata", "cls") else v for k, v in schema.items()}
        return {**changed, "strict": False} if changed.get("type") in ("tuple", "list") else changed
    if isinstance(schema, list):
        return [_lists_for_tuples(s) for s in schema]
    return schema


class WrongKind(ValueError):
    """A ValueError of a validator that could make nothing of the value at all, so another choice may be meant."""


@dataclass(frozen=True)
class Wants:
    """What a field type is called in a message: one of it (`a length such as 743 mm`) and many (`lengths`)."""

    one: str
    many: str


class Strict(BaseModel):
    """A config model: frozen, no unknown keys, no text where a number is due. Field docstrings become descriptions.

    Use `tuple[X, ...]` for lists, so that a value stays frozen.
    """

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        strict=True,
        use_attribute_docstrings=True,
        allow_inf_nan=False,
        hide_input_in_errors=True,
    )

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return _lists_for_tuples(handler(source))


def _bare_unit(value: object) -> LengthUnit:
    return getattr(value, "unit", "mm")


def _number(value: object, what: str, example: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise WrongKind(f"{shown(value)} is not {what}, write {example}")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise WrongKind(f"{shown(value)} is not {what}, write {example}")
    return number


def shown(value: object) -> str:
    """A value in a message: short, on one line."""
    if isinstance(value, dict | list | tuple) or value is None:
        return {dict: "a mapping", list: "a list", tuple: "a list"}.get(type(value), "nothing")
    if isinstance(value, bool):
        return str(value).lower()
    try:
        text = repr(str(value)) if isinstance(value, str) else str(value)
    except ValueError:  # an integer of thousands of digits
        return "a number of thousands of digits"
    return text if len(text) <= 40 else text[:37] + "..."


_LENGTH = Wants("a length such as 743 mm or 29 1/4 in", "lengths")


def _length(value: object, low: float, low_included: bool) -> float:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise WrongKind(f"{shown(value)} is not a length: write {_LENGTH.one}")
    unit = _bare_unit(value)
    try:
        mm = parse_length(value, unit)
    except ValueError as error:
        if isinstance(value, str) and not any(c.isdigit() for c in value):
            raise WrongKind(str(error)) from None
        raise
    if abs(mm) > LONGEST:
        raise ValueError(f"{show_length(mm, unit)} is longer than any room, the most is 100 m")
    if mm < low or (mm == low and not low_included):
        raise ValueError(
            f"{show_length(mm, unit)} is too small, it must be {'0 or more' if low_included else 'above 0'}"
        )
    return mm


LENGTH_FORMAT = "length"
"""What a JSON Schema calls a length: an annotation of our own, which other readers pass over."""


def _length_schema(description: str) -> dict[str, Any]:
    return {
        "anyOf": [{"type": "number"}, {"type": "string"}],
        "format": LENGTH_FORMAT,
        "description": description,
        "examples": [743, "743 mm", "0.9 m", "29 1/4 in", "11 ft 2 in"],
    }


_WRITTEN = "a bare number counts in the unit the file names in `lengths` (mm unless it says in)"

Length = Annotated[
    float,
    BeforeValidator(lambda v: _length(v, -math.inf, True)),
    WithJsonSchema(_length_schema(f"A length; {_WRITTEN}.")),
    _LENGTH,
]
"""mm; may be negative."""
PositiveLength = Annotated[
    float,
    BeforeValidator(lambda v: _length(v, 0.0, False)),
    WithJsonSchema(_length_schema(f"A length above 0; {_WRITTEN}.")),
    _LENGTH,
]
"""mm, above 0."""
NonNegativeLength = Annotated[
    float,
    BeforeValidator(lambda v: _length(v, 0.0, True)),
    WithJsonSchema(_length_schema(f"A length, 0 or more; {_WRITTEN}.")),
    _LENGTH,
]
"""mm, 0 or more."""


def _label(value: object) -> str:
    """A length kept as it is written, for what is only ever shown."""
    mm = _length(value, 0.0, False)
    return str(value) if isinstance(value, str) else show_length(mm, _bare_unit(value))


LengthLabel = Annotated[
    str, BeforeValidator(_label), WithJsonSchema(_length_schema("A length that is only shown.")), _LENGTH
]
"""A length above 0 as text: the nominal size on a rack (`3/4 in`)."""


def _measured(units: dict[str, float], what: str, example: str, low: float, high: float) -> Callable[[object], float]:
    """A validator of a number with an optional unit, `units` giving each unit's size; the bare number counts as 1."""
    form = re.compile(
        rf"(-?(?:[0-9]{{1,12}}(?:\.[0-9]{{0,12}})?|\.[0-9]{{1,12}}))\s*({'|'.join(map(re.escape, units))})?",
        re.IGNORECASE,
    )

    def read(value: object) -> float:
        if isinstance(value, str):
            found = form.fullmatch(value.strip().replace("\u2212", "-"))
            if not found:
                raise WrongKind(f"{shown(value)} is not {what}, write {example}")
            number = float(found[1]) * units.get((found[2] or "").lower(), 1.0)
        else:
            number = _number(value, what, example)
        if not low <= number <= high:
            raise ValueError(f"{shown(value)} is out of range, {what} lies between {low:g} and {high:g}")
        return round(number, 9) + 0.0

    return read


Angle = Annotated[
    float,
    BeforeValidator(_measured({"degrees": 1, "deg": 1, "°": 1}, "an angle in degrees", "90 or 90 deg", -360, 360)),
    WithJsonSchema(
        {"anyOf": [{"type": "number"}, {"type": "string"}], "description": "Degrees.", "examples": [90, "90 deg"]}
    ),
    Wants("an angle in degrees such as 90", "angles"),
]
"""Degrees, -360 to 360."""

KG_PER_POUND = 0.45359237
"""Exact (international pound)."""

Mass = Annotated[
    float,
    BeforeValidator(
        _measured(
            {"kg": 1, "g": 0.001, "lbs": KG_PER_POUND, "lb": KG_PER_POUND, "oz": KG_PER_POUND / 16},
            "a mass in kg",
            "12 kg or 26 lb",
            0,
            HEAVIEST,
        )
    ),
    WithJsonSchema(
        {
            "anyOf": [{"type": "number", "minimum": 0}, {"type": "string"}],
            "description": "A mass; a bare number counts in kg.",
            "examples": [12, "12 kg", "26 lb"],
        }
    ),
    Wants("a mass such as 12 kg or 26 lb", "masses"),
]
"""kg, 0 or more."""


LITRES_PER_GALLON = 3.785411784
"""Exact (United States gallon, 231 cubic inches)."""
M2_PER_FT2 = 0.09290304
"""Exact."""
_GALLON_COVERS = M2_PER_FT2 / LITRES_PER_GALLON

Volume = Annotated[
    float,
    BeforeValidator(
        _measured(
            {"ml": 0.001, "l": 1, "gal": LITRES_PER_GALLON, "qt": LITRES_PER_GALLON / 4, "pt": LITRES_PER_GALLON / 8},
            "a volume in litres",
            "2.5, 750 ml or 1 gal",
            0.001,
            10_000,
        )
    ),
    WithJsonSchema(
        {
            "anyOf": [{"type": "number", "exclusiveMinimum": 0}, {"type": "string"}],
            "description": "A volume; a bare number counts in litres, gallons are of the United States.",
            "examples": [2.5, "750 ml", "1 gal", "1 qt"],
        }
    ),
    Wants("a volume such as 2.5 l or 1 gal", "volumes"),
]
"""Litres, above 0."""
Coverage = Annotated[
    float,
    BeforeValidator(
        _measured(
            {"m2/l": 1, "ft2/gal": _GALLON_COVERS},
            "a coverage in m2 for each litre",
            "10, 10 m2/l or 400 ft2/gal",
            0.1,
            100,
        )
    ),
    WithJsonSchema(
        {
            "anyOf": [{"type": "number", "exclusiveMinimum": 0}, {"type": "string"}],
            "description": "What a volume covers once; a bare number counts in m2 for each litre.",
            "examples": [10, "10 m2/l", "400 ft2/gal"],
        }
    ),
    Wants("a coverage such as 10 m2/l or 400 ft2/gal", "coverages"),
]
"""m2 for each litre and coat, above 0."""


AreaLoad = Annotated[
    float,
    BeforeValidator(
        _measured(
            {"kg/m2": 1, "kg/m²": 1, "lb/ft2": 4.8824276, "lb/ft²": 4.8824276, "psf": 4.8824276, "kpa": 101.9716},
            "a load in kg/m2",
            "73 kg/m2 or 15 lb/ft2",
            0,
            10_000,
        )
    ),
    WithJsonSchema(
        {
            "anyOf": [{"type": "number", "minimum": 0}, {"type": "string"}],
            "description": "A load spread over an area; a bare number counts in kg/m2.",
            "examples": [73, "73 kg/m2", "15 lb/ft2"],
        }
    ),
    Wants("a load such as 73 kg/m2 or 15 lb/ft2", "loads"),
]
"""kg/m2, 0 or more."""
LineLoad = Annotated[
    float,
    BeforeValidator(_measured({"kg/m": 1, "lb/ft": 1.4881639}, "a load in kg/m", "30 kg/m or 20 lb/ft", 0, 10_000)),
    WithJsonSchema(
        {
            "anyOf": [{"type": "number", "minimum": 0}, {"type": "string"}],
            "description": "A load spread along a length; a bare number counts in kg/m.",
            "examples": [30, "30 kg/m", "20 lb/ft"],
        }
    ),
    Wants("a load such as 30 kg/m or 20 lb/ft", "loads"),
]
"""kg/m, 0 or more."""


def _plain(what: str, example: str, low: float, high: float, above: bool = False) -> tuple[Any, ...]:
    """Validator and schema of a bare number from `low` (or only above it) to `high`."""

    def read(value: object) -> float:
        number = _number(value, what, example)
        if number > high or number < low or (above and number == low):
            least = f"above {low:g}" if above else f"{low:g} or more"
            raise ValueError(f"{shown(value)} is out of range, {what} is {least} and at most {high:g}")
        return number

    bound = "exclusiveMinimum" if above else "minimum"
    schema = {"type": "number", bound: low, "maximum": high, "description": what[0].upper() + what[1:] + "."}
    return BeforeValidator(read), WithJsonSchema(schema), Wants(example, "numbers")


Money = Annotated[float, *_plain("a price", "a number such as 42.50", 0, DEAREST)]
"""A price in the stock file's currency, 0 or more."""
Ratio = Annotated[float, *_plain("a ratio", "a number from 0 to 1 such as 0.75", 0, 1)]
"""0 to 1."""
Density = Annotated[float, *_plain("a density in kg/m3", "a number such as 680", 0, 25_000, above=True)]
"""kg/m3, above 0."""
Modulus = Annotated[float, *_plain("a modulus of elasticity in MPa", "a number such as 9000", 0, 500_000, above=True)]
"""MPa, above 0."""
Strength = Annotated[float, *_plain("a strength in MPa", "a number such as 40", 0, 5_000, above=True)]
"""MPa, above 0."""

_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


def _colour(value: str) -> str:
    if not _COLOUR.fullmatch(value):
        raise ValueError(f'{shown(value)} is not a colour, write six hex digits in quotes such as "#d9b98a"')
    return value.lower()


Colour = Annotated[
    str,
    AfterValidator(_colour),
    WithJsonSchema({"type": "string", "pattern": "^#[0-9a-fA-F]{6}$", "examples": ["#d9b98a"]}),
    Wants('a colour such as "#d9b98a"', "colours"),
]
"""An sRGB colour, `#d9b98a`, lower case."""

_FORBIDDEN = '/\\:*?"<>|{}^'
"""Separators of paths, wild cards, and what HTML and drawing text take for control codes."""
_FIRST = "=+-@"
_DEVICES = {"CON", "PRN", "AUX", "NUL", *(f"{d}{n}" for d in ("COM", "LPT") for n in range(10))}


def check_name(value: str) -> str:
    """The name, if it is safe as a file name, a spreadsheet cell, HTML and drawing text. Raises ValueError."""
    if not value.strip():
        raise ValueError("an empty name, write a word or two")
    if len(value) > NAME_LENGTH:
        raise ValueError(f"a name of {len(value)} characters, the most is {NAME_LENGTH}")
    if not value.isprintable():
        raise ValueError("a name with a control character or line break, use printable characters on one line")
    for bad in (*_FORBIDDEN, "%%"):
        if bad in value:
            raise ValueError(f"the name {shown(value)} contains {bad}, leave out {' '.join(_FORBIDDEN)} and %%")
    if value[0] in _FIRST:
        raise ValueError(f"the name {shown(value)} begins with {value[0]}, begin with a letter or a digit")
    if value[0] in " ." or value[-1] in " .":
        raise ValueError(f"the name {shown(value)} begins or ends with a space or a dot, leave it out")
    if value.partition(".")[0].strip().upper() in _DEVICES:
        raise ValueError(f"the name {shown(value)} means a device to some systems, choose another")
    return str(value)


Name = Annotated[
    str,
    AfterValidator(check_name),
    WithJsonSchema(
        {
            "type": "string",
            "minLength": 1,
            "maxLength": NAME_LENGTH,
            "pattern": r'^(?!.*%%)[^=+\-@ ./\\:*?"<>|{}^]([^/\\:*?"<>|{}^]*[^ ./\\:*?"<>|{}^])?$',
            "description": "A name on one line, without characters that mean something to files or spreadsheets.",
        }
    ),
    Wants("a name", "names"),
]
"""A printable one-line name that is safe wherever it is written."""


def _text(value: str) -> str:
    if len(value) > 2000 or not all(c.isprintable() or c == "\n" for c in value):
        raise ValueError("a note with control characters or over 2000 characters, use plain text")
    return str(value)


Note = Annotated[str, AfterValidator(_text)]
"""Plain text of up to 2000 characters, line breaks allowed."""
Lengths = Literal["mm", "in"]
"""The unit of a file's bare numbers."""
