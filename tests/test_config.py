"""Configs as typed values: every mistake gives one clear line at the right place."""

import json
import re
from typing import Annotated, Any, Literal

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import Field

from model.config.schema import json_schema
from model.config.tree import merge, parse_tree, validate
from model.config.types import (
    Angle,
    FieldError,
    Length,
    Lengths,
    Mass,
    Money,
    Name,
    NonNegativeLength,
    PositiveLength,
    Ratio,
    Strict,
    check_name,
)
from model.errors import ConfigError, Mark
from model.stock.tables import Stock

LINE = re.compile(r"[^:]+:[0-9]+:[0-9]+: .+")


class Fill(Strict):
    """A share of what is left."""

    fill: float
    min: PositiveLength | None = None


class Between(Strict):
    min: PositiveLength
    max: PositiveLength


class Door(Strict):
    kind: Literal["door"]
    leaves: int = 1


class Drawers(Strict):
    kind: Literal["drawers"]
    rows: int | tuple[PositiveLength, ...] = 3


class Wall(Strict):
    title: Name
    lengths: Lengths = "mm"
    width: PositiveLength | Fill | Between | Literal["rest"] = "rest"
    tagged: Annotated[Door | Drawers, Field(discriminator="kind")] | None = None
    either: Door | Drawers | None = None
    inner: Drawers | None = None
    open: bool = False
    drop: Length | None = None
    gap: NonNegativeLength = 3.0
    angle: Angle = 90.0
    share: Literal["full"] | Ratio = "full"
    load: Mass = 0.0
    price: Money = 0.0
    count: Annotated[int, Field(ge=1, le=5)] = 1
    loads: Annotated[tuple[Mass, ...], Field(min_length=1)] = (1.0,)
    named: dict[Name, Length] = Field(default_factory=dict)
    items: list[Between] = Field(default_factory=list)


def refused(text: str, kind: Any = Wall) -> tuple[str, ...]:
    with pytest.raises(ConfigError) as error:
        validate(parse_tree(text, "f.yaml"), kind)
    for line in error.value.lines:
        assert LINE.fullmatch(line), line
        assert line.isprintable(), line
    return error.value.lines


def value_of(text: str) -> Wall:
    return validate(parse_tree(text, "f.yaml"), Wall).value


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("titel: x", "1:1: unknown key 'titel', did you mean title?"),
        ("open: true", "1:1: the key title is missing, add it with a name"),
        ("title: x\nzzz: 1", "2:1: unknown key 'zzz', the keys are title, lengths, width, "),
        ("title: x\n? 'a\nb'\n: 1", "2:3: unknown key 'a b', "),
        ("title:", "1:7: title is empty, write a name"),
        ("title: 12", '1:8: title is 12, write a name in quotes, as in "12"'),
        ("title: '=x'", "1:8: title: the name '=x' begins with =, begin with a letter or a digit"),
        ("- 1", "1:1: the file is a list, write a mapping such as {title: ...}"),
        ("words", "1:1: the file is 'words', write a mapping such as {title: ...}"),
        ("title: x\nlengths: inches", "2:10: lengths is 'inches', write 'mm' or 'in'"),
        ("title: x\nwidth: 5 kg", "2:8: width: '5 kg': kg is not a unit of length, use mm, cm, m, in or ft"),
        ("title: x\nwidth: -3", "2:8: width: -3 mm is too small, it must be above 0"),
        ("title: x\nwidth: 0", "2:8: width: 0 mm is too small, it must be above 0"),
        ("title: x\nwidth: 101 m", "2:8: width: 101000 mm is longer than any room, the most is 100 m"),
        ("title: x\nwidth: rst", "2:8: width is 'rst', did you mean 'rest'?"),
        ("title: x\nwidth: true", "2:8: width is true, write a length such as 743 mm or 29 1/4 in, a mapping such as"),
        ("title: x\nwidth: [3]", "2:8: width is a list, write a length such as 743 mm or 29 1/4 in, a mapping such as"),
        ("title: x\nwidth:\n  fil: 2", "3:3: unknown key 'fil' in width, did you mean fill?"),
        ("title: x\nwidth: {fill: two}", "2:15: width.fill is 'two', write a number"),
        ("title: x\nwidth: {min: 3 kg, max: 4}", "2:14: width.min: '3 kg': kg is not a unit of length"),
        ("title: x\ntagged: {kind: dor}", "2:16: kind in tagged is 'dor', did you mean 'door'?"),
        ("title: x\ntagged: {leaves: 2}", "2:9: the key kind is missing in tagged, add it"),
        ("title: x\ntagged: {kind: door, leafs: 2}", "2:22: unknown key 'leafs' in tagged, did you mean leaves?"),
        ("title: x\ntagged: {kind: door, rows: 2}", "2:22: unknown key 'rows' in tagged, the keys are kind, leaves"),
        ("title: x\neither: {kind: drawers, rows: six}", "2:31: either.rows is 'six', write a whole number or a list"),
        ("title: x\neither: {kind: drwers}", "2:16: either.kind is 'drwers', did you mean 'drawers'?"),
        ("title: x\ninner: {kind: drawers, rows: six}", "2:30: inner.rows is 'six', write a whole number or a list of"),
        ("title: x\ninner: {kind: drawers, rows: 2.5}", "2:30: inner.rows is 2.5, write a whole number or a list of"),
        ("title: x\ninner: {kind: drawers, rows: [3, 4 kg]}", "2:34: inner.rows[2]: '4 kg': kg is not a unit"),
        ("title: x\ninner:\n  rows: 3", "2:1: the key kind is missing in inner, add it with 'drawers'"),
        ("title: x\nopen: yes", "2:7: open is 'yes', write true or false"),
        ("title: x\nopen: 1", "2:7: open is 1, write true or false"),
        ("title: x\ndrop: nan", "2:7: drop: 'nan' is not a length: write a length such as"),
        ("title: x\ndrop: 12:30", "2:7: drop: '12:30' is not a length: write a length such as"),
        ("title: x\ngap: -1 mm", "2:6: gap: -1 mm is too small, it must be 0 or more"),
        ("title: x\nangle: 400", "2:8: angle: 400 is out of range, an angle in degrees lies between -360 and 360"),
        ("title: x\nangle: 3 rad", "2:8: angle: '3 rad' is not an angle in degrees, write 90 or 90 deg"),
        ("title: x\nshare: ful", "2:8: share is 'ful', did you mean 'full'?"),
        ("title: x\nshare: most", "2:8: share is 'most', write 'full' or a number from 0 to 1 such as 0.75"),
        ("title: x\nshare: 1.5", "2:8: share: 1.5 is out of range, a ratio is 0 or more and at most 1"),
        ("title: x\nload: 5 mm", "2:7: load: '5 mm' is not a mass in kg, write 12 kg or 26 lb"),
        ("title: x\nprice: cheap", "2:8: price: 'cheap' is not a price, write a number such as 42.50"),
        ("title: x\nprice: -1", "2:8: price: -1 is out of range, a price is 0 or more"),
        ("title: x\ncount: 9", "2:8: count is 9, it must be 5 or less"),
        ("title: x\ncount: '3'", "2:8: count is '3', write a whole number"),
        ("title: x\ncount: true", "2:8: count is true, write a whole number"),
        ("title: x\ncount: 3.0", "2:8: count is 3.0, write a whole number"),
        ("title: x\nloads: []", "2:8: loads has no entries, it must have 1 or more"),
        ("title: x\nloads: [2 lx]", "2:9: loads[1]: '2 lx' is not a mass in kg, write 12 kg or 26 lb"),
        ("title: x\nloads: 3", "2:8: loads is 3, write a list of masses"),
        ("title: x\nnamed:\n  a/b: 3", "3:3: named.a/b: the name 'a/b' contains /, leave out"),
        ("title: x\nnamed:\n  a: {}", "3:6: named.a: a mapping is not a length: write"),
        (
            "title: x\nitems:\n- {min: 1, max: 2}\n- min: 1",
            "4:3: the key max is missing in items[2], add it with a length",
        ),
    ],
)
def test_one_clear_line_at_the_right_place(text: str, line: str) -> None:
    said = refused(text)
    assert len(said) == 1, said
    assert said[0].startswith(f"f.yaml:{line}"), said


def test_every_mistake_has_its_line_in_order_of_the_file() -> None:
    said = refused("count: 9\ntitle: =\nzzz: 1\nopen: no")
    assert [line.split(": ")[0] for line in said] == ["f.yaml:1:8", "f.yaml:2:8", "f.yaml:3:1", "f.yaml:4:7"]


def test_thousands_of_mistakes_stay_readable() -> None:
    said = refused("title: x\nloads: [" + ", ".join(["a"] * 3000) + "]")
    assert len(said) == 51
    assert said[-1].endswith("and more mistakes of this kind, mend these first")


def test_bare_numbers_count_in_the_unit_of_their_own_file() -> None:
    unit = parse_tree("width: 24\ngap: 1/8\nlengths: in\ntitle: base\nnamed: {a: 1, b: 30 mm}", "unit.yaml")
    change = parse_tree("width: 620\nnamed: {c: 5}", "project.yaml")
    assert validate(unit, Wall).value.width == 609.6
    both = validate(merge(unit, change), Wall)
    assert both.value.width == 620
    assert both.value.gap == 3.175
    assert both.value.named == {"a": 25.4, "b": 30, "c": 5}
    assert both.mark("width") == Mark("project.yaml", 1, 8)
    assert both.mark("gap") == Mark("unit.yaml", 2, 6)
    assert both.mark("named", "c") == Mark("project.yaml", 2, 12)


def test_a_change_replaces_lists_and_keeps_the_base_as_it_was() -> None:
    base = parse_tree("title: x\nloads: [1, 2]\ngap: 9\ninner: {kind: drawers, rows: 5}", "base.yaml")
    change = parse_tree("loads: [3]\ninner: {rows: 2}\nnamed: {a: 1}", "change.yaml")
    merged = validate(merge(base, change), Wall).value
    assert merged.loads == (3,)
    assert merged.gap == 9.0
    assert merged.inner == Drawers(kind="drawers", rows=2)
    assert merged.named == {"a": 1}
    assert validate(base, Wall).value.loads == (1, 2), "the base must not change"


def test_a_change_to_null_means_none_of_it() -> None:
    """Where there can be none; where there cannot, it is a mistake in the file that says so."""
    base = parse_tree("title: x\ngap: 9", "base.yaml")
    with pytest.raises(ConfigError) as error:
        validate(merge(base, parse_tree("gap: null", "change.yaml")), Wall)
    assert len(error.value.lines) == 1
    assert error.value.lines[0].startswith("change.yaml:1:")


def test_a_mistake_in_a_change_is_reported_in_the_file_that_made_it() -> None:
    base = parse_tree("title: x\ninner: {kind: drawers, rows: 5}", "base.yaml")
    change = parse_tree("\n\ninner: {rowz: 2}", "change.yaml")
    with pytest.raises(ConfigError) as error:
        validate(merge(base, change), Wall)
    assert error.value.lines == ("change.yaml:3:9: unknown key 'rowz' in inner, did you mean rows?",)


def test_a_key_lies_where_it_was_last_written() -> None:
    both = merge(parse_tree("title: x\nzzz: 1", "base.yaml"), parse_tree("zzz: 2", "change.yaml"))
    with pytest.raises(ConfigError, match=r"^change\.yaml:1:1: unknown key 'zzz'"):
        validate(both, Wall)


def test_a_kind_that_is_named_is_the_kind_that_was_meant() -> None:
    said = refused("title: x\neither: {kind: drawers, leaves: 2, zzz: 1}")
    assert [line.split(", ")[0] for line in said] == [
        "f.yaml:2:25: unknown key 'leaves' in either",
        "f.yaml:2:36: unknown key 'zzz' in either",
    ]
    assert all(line.endswith("the keys are kind, rows") for line in said)


def test_a_place_can_be_asked_for_later() -> None:
    loaded = validate(parse_tree("title: x\ninner:\n  kind: drawers\n  rows: [20, 30]", "f"), Wall)
    assert loaded.mark("inner", "rows", 1) == Mark("f", 4, 14)
    assert loaded.mark("inner") == Mark("f", 2, 1), "a block is where its key is"
    assert loaded.mark("inner", "rows", 7) == Mark("f", 4, 9), "the nearest ancestor that exists"
    assert loaded.mark("gap") == loaded.mark() == Mark("f", 1, 1)
    assert str(loaded.error("too high", "inner", "rows", 0)) == "f:4:10: too high"


def test_a_validator_can_point_below_itself() -> None:
    stock = "pins: {x: {diameter: 5, bore_diameter: 4, bore_depth: 3, length: 9}}"
    assert refused(stock, Stock) == (
        "f.yaml:1:40: pins.x.bore_diameter: the bore is thinner than the pin, make it as wide or wider",
    )
    assert FieldError("m", "a", 1).loc == ("a", 1)


@pytest.mark.parametrize("name", ["drawer 1", "été", "4x40", "Bay (left), low", "O'Neil & co", "a.b", "x" * 60])
def test_good_names(name: str) -> None:
    assert check_name(name) == name


BAD_NAMES = (
    *("", " ", "..", "../x", "a/b", "a\\b", "C:x", ".x", "x.", " x", "x ", "nul", "COM1.x", "x" * 61),
    *("a*", "a?", 'a"', "<b>", "a|b", "=1+1", "+1", "-1", "@x", "50%%d", "{x}", "a^Jb"),
    *("a\nb", "a\tb", "\x1b[1m", "a\x00", "\u202eabc"),
)


@pytest.mark.parametrize("name", BAD_NAMES)
def test_bad_names(name: str) -> None:
    with pytest.raises(ValueError, match=r".+, .+"):
        check_name(name)


def test_masses_and_angles() -> None:
    """A pound is 0.45359237 kg exactly (international yard and pound agreement, 1959)."""
    wall = value_of("title: x\nload: 26 lb\nloads: [12, 12 kg, 500 g, 16 oz]\nangle: -45°")
    assert wall.load == pytest.approx(26 * 0.45359237, abs=1e-9)
    assert wall.loads == (12, 12, 0.5, pytest.approx(0.45359237, abs=1e-9))
    assert wall.angle == -45


def test_values_are_frozen_and_plain() -> None:
    wall = value_of("title: x\ncount: 2\ngap: 2\nshare: full")
    assert [type(v) for v in (wall.title, wall.count, wall.gap, wall.share)] == [str, int, float, str]
    with pytest.raises(ValueError, match="frozen"):
        wall.count = 3  # pyright: ignore[reportAttributeAccessIssue]


def test_schema_says_what_the_types_say() -> None:
    schema = json_schema(Wall)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert json.loads(json.dumps(schema)) == schema
    properties = schema["properties"]
    assert properties["gap"]["default"] == "3 mm", "a bare number would count in the unit of the file"
    assert {"type": "string"} in properties["gap"]["anyOf"]
    assert {"type": "number"} in properties["gap"]["anyOf"]
    assert schema["required"] == ["title"]
    assert schema["additionalProperties"] is False
    assert "title" in properties
    assert "title" not in properties["gap"]
    names = properties["named"]["propertyNames"]["pattern"]
    assert re.search(names, "drawer 1")
    assert not re.search(names, "a/b")
    assert schema["$defs"]["Fill"]["description"] == "A share of what is left."
    assert json_schema(Stock)["properties"]["kerf"]["description"] == "Width of a saw cut."


@settings(deadline=None)
@given(st.text(max_size=40))
def test_schema_and_reader_agree_on_names(name: str) -> None:
    """What the reader takes, an editor must not mark as wrong."""
    pattern = json_schema(Stock)["properties"]["sheets"]["propertyNames"]["pattern"]
    try:
        check_name(name)
    except ValueError:
        return
    assert re.search(pattern, name)


def _only_config_errors(text: str) -> None:
    said: tuple[str, ...] = ()
    try:
        validate(parse_tree(text, "f.yaml"), Stock)
    except ConfigError as error:
        said = error.lines or ("an error that says nothing",)
    for line in said:
        assert LINE.fullmatch(line), line
        assert line.isprintable(), line
        assert len(line) < 400, line


_keys = st.sampled_from(
    [*Stock.model_fields, "thickness", "width", "length", "sizes", "density", "price", "birch", "=x"]
)
_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(["3 in", "full", "in"]),
    lambda below: st.lists(below, max_size=3) | st.dictionaries(_keys, below, max_size=4),
    max_leaves=15,
)


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(_values)
def test_any_tree_gives_a_config_error_or_a_value(value: Any) -> None:
    _only_config_errors(yaml.safe_dump(value, allow_unicode=True))
