"""YAML as it is read: what a file may hold, what it may not, and nothing in it that does harm."""

import json
import os
import re
import time
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from model.config import source
from model.config.nodes import nearest, plain
from model.config.tree import parse_tree, read_tree
from model.errors import ConfigError, Mark

LINE = re.compile(r"[^:]+:[0-9]+:[0-9]+: .+")


def refused(text: str) -> str:
    """The one line a text is refused with."""
    with pytest.raises(ConfigError) as error:
        parse_tree(text, "f.yaml")
    (line,) = error.value.lines
    assert LINE.fullmatch(line), line
    assert line.isprintable(), line
    return line


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("a: 1\na: 2", "2:1: the key a is on line 1 already, keep one of them"),
        ("a:\n\tb: 1", "2:1: a tab, indent with spaces"),
        ("a:\n  b: 1\n\tc: 2", "3:1: a tab, indent with spaces"),
        ("a: b: c", "1:5: a colon where none is expected, put the value in quotes or start a new line"),
        ("a: [1, 2", "1:4: a list opened with [ that is not closed as expected, check commas and ]"),
        ("a: {b: 1", "1:4: a mapping opened with { that is not closed as expected, check commas and }"),
        ("a: 'x", "1:4: a quote that is never closed, close it on the same line"),
        ("a: @x", "1:4: a value cannot begin with @, put it in quotes"),
        ("a:\n  b: 1\n c: 2", "3:2: indentation that does not line up, indent the lines of one mapping or list alike"),
        ("a: - b", "1:4: a list begins in the middle of a line, start it on a new line"),
        ("? [a]\n: 1", "1:3: a key must be a word, write key: value"),
        ("450: 3", '1:1: a key must be text, not 450: put it in quotes, as in "450"'),
        ("true: 3", '1:1: a key must be text, not true: put it in quotes, as in "true"'),
        ("a: &x [*x]", "1:8: the alias *x contains itself, write the value out"),
        ("a: *y", "1:4: the alias *y stands for nothing, set &y first"),
        ("a: !!python/name:os.system x", "1:4: the tag !!python/name:os.system has no meaning here, leave it out"),
        ("a: !mine x", "1:4: the tag !mine has no meaning here, leave it out"),
        ("a: .nan", "1:4: .nan is not a size, write a number"),
        ("a: -.inf", "1:4: -.inf is not a size, write a number"),
        ("a: 1e999", "1:4: 1e999 is too large for a number, write a smaller one"),
        ("a: " + "9" * 5000, "1:4: a number of 5000 characters, write it shorter"),
        ("a: 1\n---\nb: 2", "2:1: a second document, keep one document in a file"),
        ("", "1:1: the file is empty, write lines such as title: my wall"),
        ("# only a remark", "1:1: the file is empty, write lines such as title: my wall"),
        ("a: 1\nb\x00: 1", "2:2: the control character U+0000, take it out"),
        ("a: 1\nb: x\u2028y", "2:5: the control character U+2028, take it out"),
        ("[" * 200, "1:65: nested deeper than 64 levels, write it flatter"),
    ],
)
@pytest.mark.parametrize("loader", ["CSafeLoader", "SafeLoader"])
def test_yaml_that_cannot_be_read(text: str, line: str, loader: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(source, "_LOADER", getattr(yaml, loader))
    assert refused(text) == f"f.yaml:{line}"


def test_words_stay_words_and_numbers_numbers() -> None:
    """YAML 1.2.2, 10.3 (core schema): only true and false are booleans, 12:30 and 1_000 are text, 012 is twelve."""
    tree = parse_tree(
        "a: [NO, yes, on, off, 12:30, 1_000, 2026-11-25, =, <<]\n"
        "b: [true, False, ~, 012, 0o17, 0xFF, 1e3, -.5, +7, 3.]\nc: ['1', \"true\", null]\nNO: y",
        "f",
    )
    assert plain(tree)[0] == {
        "a": ["NO", "yes", "on", "off", "12:30", "1_000", "2026-11-25", "=", "<<"],
        "b": [True, False, None, 12, 15, 255, 1000.0, -0.5, 7, 3.0],
        "c": ["1", "true", None],
        "NO": "y",
    }


@pytest.mark.parametrize("loader", ["CSafeLoader", "SafeLoader"])
def test_a_tower_of_brackets_is_refused_at_once(loader: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(source, "_LOADER", getattr(yaml, loader))
    start = time.perf_counter()
    line = refused("[" * 100_000)
    assert line.endswith(": nested deeper than 64 levels, write it flatter")
    assert time.perf_counter() - start < 2


json_values = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(-(2**60), 2**60), st.floats(allow_nan=False, allow_infinity=False))
    | st.text(
        st.characters(exclude_categories=("Cs", "Cc", "Cn", "Zl", "Zp"), exclude_characters="\ufeff"), max_size=20
    ),
    lambda below: (
        st.lists(below, max_size=4) | st.dictionaries(st.from_regex("[a-zN][a-z ]{0,8}", fullmatch=True), below)
    ),
    max_leaves=20,
)


@settings(deadline=None)
@given(json_values)
def test_json_is_read_as_json_reads_it(value: Any) -> None:
    """YAML 1.2 is a superset of JSON (YAML 1.2.2, section 1.2), so Python's json module is an independent reader."""
    text = json.dumps(value, ensure_ascii=False)
    assert plain(parse_tree(text, "f"))[0] == json.loads(text)


def test_aliases_may_be_used_but_not_to_blow_up() -> None:
    assert plain(parse_tree("loads: [&a 3, *a, *a]", "f"))[0] == {"loads": [3, 3, 3]}
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 10)}]" for i in range(1, 40)]
    start = time.perf_counter()
    said = refused("\n".join(lines))
    assert time.perf_counter() - start < 1
    assert said == "f.yaml:5:45: more than 100000 values once aliases are written out, use fewer"


def test_aliases_cannot_nest_too_deep() -> None:
    lines = ["a0: &a0 [x]"] + [f"a{i}: &a{i} [*a{i - 1}]" for i in range(1, 80)]
    assert "nested deeper than 64 levels" in refused("\n".join(lines))


def test_a_huge_file_is_refused_before_it_is_read(tmp_path: Path) -> None:
    huge = tmp_path / "huge.yaml"
    with huge.open("wb") as stream:
        os.truncate(stream.fileno(), 100_000_000)
    start = time.perf_counter()
    with pytest.raises(ConfigError, match=r"huge\.yaml:1:1: 95\.4 MiB is too large for a plan, the most is 1 MiB"):
        read_tree(huge)
    assert time.perf_counter() - start < 0.05


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("none.yaml", None, ":1:1: there is no such file, check the name and the folder"),
        ("latin.yaml", b"a: 1\nb: caf\xe9", ":2:7: not UTF-8 text, save the file as UTF-8"),
        ("wide.yaml", "a: 1".encode("utf-16"), ":1:1: not UTF-8 text, save the file as UTF-8"),
        ("empty.yaml", b"", ":1:1: the file is empty, write lines such as title: my wall"),
        ("fat.yaml", b"#" * ((1 << 20) + 1), ":1:1: 1.0 MiB is too large for a plan, the most is 1 MiB"),
        ("a\x00b", None, ":1:1: there is no such file, check the name and the folder"),
        ("n" * 300, None, ":1:1: cannot be read (file name too long), check the name and its permissions"),
    ],
)
def test_files_that_cannot_be_read(tmp_path: Path, name: str, content: bytes | None, says: str) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    with pytest.raises(ConfigError) as error:
        read_tree(tmp_path / name)
    (line,) = error.value.lines
    assert line.endswith(says)
    assert line.isprintable()


def test_folders_and_pipes_are_no_files(tmp_path: Path) -> None:
    with pytest.raises(ConfigError, match=r":1:1: is a folder, name a YAML file"):
        read_tree(tmp_path)
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(ConfigError, match=r":1:1: is not a plain file, name a YAML file"):
        read_tree(tmp_path / "pipe")


def test_a_missing_file_is_reported_where_it_is_named(tmp_path: Path) -> None:
    with pytest.raises(ConfigError) as error:
        read_tree(tmp_path / "stock.yaml", asked_by=Mark("project.yaml", 4, 8))
    (line,) = error.value.lines
    assert line.startswith("project.yaml:4:8: ")
    assert line.endswith("stock.yaml: there is no such file, check the name and the folder")


def test_a_byte_order_mark_is_no_mistake(tmp_path: Path) -> None:
    (tmp_path / "f.yaml").write_bytes(b"\xef\xbb\xbftitle: x\r\ngap: 4\r\n")
    tree = read_tree(tmp_path / "f.yaml")
    assert plain(tree)[0] == {"title": "x", "gap": 4}
    assert nearest(tree, ("gap",)).mark == Mark(str(tmp_path / "f.yaml"), 2, 6)


@settings(max_examples=300, deadline=None)
@given(
    st.text(max_size=60) | st.text("ab:-[]{},'\"#&*!|>?%@` \n\t\r~0.1<\\ud8", max_size=60),
    st.sampled_from(["CSafeLoader", "SafeLoader"]),
)
def test_any_text_gives_a_config_error_or_a_value(text: str, loader: str) -> None:
    said: tuple[str, ...] = ()
    try:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(source, "_LOADER", getattr(yaml, loader))
            parse_tree(text, "f.yaml")
    except ConfigError as error:
        said = error.lines or ("an error that says nothing",)
    for line in said:
        assert LINE.fullmatch(line), line
        assert line.isprintable(), line
        assert len(line) < 400, line
