"""From a file to nodes: YAML 1.2 values, every node marked, and nothing a file can do to the machine that reads it."""

import math
import os
import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, NoReturn

import yaml

from model.config.nodes import ListNode, MapNode, Node, ScalarNode
from model.errors import ConfigError, Mark
from model.lengths import LengthUnit

LARGEST = 1 << 20
"""Bytes. The longest plan a person writes is a hundredth of this."""
MOST_NODES = 100_000
"""Once aliases are written out."""
DEEPEST = 64

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_UNPRINTABLE = re.compile(r"[^\t\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")
_NULL = re.compile(r"null|Null|NULL|~|")
_BOOL = re.compile(r"(true|True|TRUE)|false|False|FALSE")
_INT = re.compile(r"[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_NOT_FINITE = re.compile(r"[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)")
_HALF_CHARACTER = re.compile("[\ud800-\udfff]")
_LONGEST_NUMBER = 60
_TAGS = "tag:yaml.org,2002:"


def shown_path(path: Path) -> str:
    """The path on one printable line."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in str(path))


def read_tree(path: Path, asked_by: Mark | None = None) -> Node:
    """The nodes of one YAML file. Raises ConfigError.

    `asked_by` is where another file names this one: a file that cannot be read is reported there.
    """
    name = shown_path(path)
    return parse_tree(_text_of(path, name, asked_by), name)


def _text_of(path: Path, name: str, asked_by: Mark | None) -> str:
    def refuse(problem: str, mark: Mark | None = None) -> NoReturn:
        at = mark or asked_by or Mark(name, 1, 1)
        raise ConfigError.at(at, f"{name}: {problem}" if asked_by and not mark else problem)

    try:
        if path.is_dir():
            refuse("is a folder, name a YAML file")
        if not path.exists():
            refuse("there is no such file, check the name and the folder")
        if not path.is_file():
            refuse("is not a plain file, name a YAML file")
        size = os.stat(path).st_size
        if size > LARGEST:
            refuse(f"{size / LARGEST:.1f} MiB is too large for a plan, the most is 1 MiB")
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror.lower() if isinstance(error, OSError) and error.strerror else "the name is not usable"
        refuse(f"cannot be read ({reason}), check the name and its permissions")
    if len(data) > LARGEST:
        refuse("too large for a plan, the most is 1 MiB")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8", "replace")
        refuse("not UTF-8 text, save the file as UTF-8", _mark_at(name, before, len(before)))


def _mark_at(name: str, text: str, index: int) -> Mark:
    before = text[:index].replace("\r\n", "\n").replace("\r", "\n")
    return Mark(name, before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1)


def parse_tree(text: str, name: str) -> Node:
    """The nodes of YAML text; `name` is what its marks call the file. Raises ConfigError."""
    bad = _UNPRINTABLE.search(text)
    if bad:
        raise ConfigError.at(
            _mark_at(name, text, bad.start()), f"the control character U+{ord(bad[0]):04X}, take it out"
        )
    try:
        tree = _Composer(text, name).document()
    except yaml.MarkedYAMLError as error:
        raise _yaml_error(error, text, name) from None
    except yaml.YAMLError:
        raise ConfigError.at(Mark(name, 1, 1), "not YAML, write lines such as title: my wall") from None
    unit = _unit_of(tree)
    return tree if unit == "mm" else _with_unit(tree, unit)


def _unit_of(tree: Node) -> LengthUnit:
    named = tree.entries.get("lengths") if isinstance(tree, MapNode) else None
    return "in" if isinstance(named, ScalarNode) and named.value == "in" else "mm"


def _with_unit(node: Node, unit: LengthUnit) -> Node:
    if isinstance(node, ScalarNode):
        return replace(node, unit=unit)
    if isinstance(node, ListNode):
        return replace(node, items=tuple(_with_unit(n, unit) for n in node.items))
    return replace(node, entries={k: _with_unit(n, unit) for k, n in node.entries.items()})


@dataclass(frozen=True, slots=True)
class _Measured:
    """A finished node, how many nodes it is and how deep, aliases written out."""

    node: Node
    count: int
    depth: int


class _Composer:
    """Nodes out of the events of a parser, one document."""

    def __init__(self, text: str, name: str) -> None:
        self._name = name
        self._parser = _LOADER(text)
        self._anchors: dict[str, _Measured | None] = {}
        self._total = 0

    def document(self) -> Node:
        try:
            self._parser.get_event()
            if self._parser.check_event(yaml.StreamEndEvent):
                raise ConfigError.at(Mark(self._name, 1, 1), "the file is empty, write lines such as title: my wall")
            self._parser.get_event()
            tree = self._compose(1, None)
            self._parser.get_event()
            if not self._parser.check_event(yaml.StreamEndEvent):
                raise self._error(self._parser.peek_event(), "a second document, keep one document in a file")
            return tree.node
        finally:
            self._parser.dispose()

    def _mark(self, event: Any) -> Mark:
        return Mark(self._name, event.start_mark.line + 1, event.start_mark.column + 1)

    def _error(self, event: Any, message: str) -> ConfigError:
        return ConfigError.at(self._mark(event), message)

    def _count(self, event: Any, nodes: int, depth: int) -> None:
        self._total += nodes
        if self._total > MOST_NODES:
            raise self._error(event, f"more than {MOST_NODES} values once aliases are written out, use fewer")
        if depth > DEEPEST:
            raise self._error(event, f"nested deeper than {DEEPEST} levels, write it flatter")

    def _compose(self, depth: int, key: Mark | None) -> _Measured:
        event = self._parser.get_event()
        if isinstance(event, yaml.AliasEvent):
            return self._alias(event, depth)
        self._count(event, 1, depth)
        if event.tag is not None:
            raise self._error(
                event, f"the tag {_short(event.tag.replace(_TAGS, '!!'))} has no meaning here, leave it out"
            )
        if event.anchor is not None:
            self._anchors[event.anchor] = None
        start = self._mark(event)
        mark = key if key and start.line != key.line and not isinstance(event, yaml.ScalarEvent) else start
        if isinstance(event, yaml.ScalarEvent):
            made = _Measured(ScalarNode(mark, self._value(event)), 1, 1)
        elif isinstance(event, yaml.SequenceStartEvent):
            made = self._list(mark, depth)
        else:
            made = self._mapping(mark, depth)
        if event.anchor is not None:
            self._anchors[event.anchor] = made
        return made

    def _alias(self, event: Any, depth: int) -> _Measured:
        if event.anchor not in self._anchors:
            raise self._error(
                event, f"the alias *{_short(event.anchor)} stands for nothing, set &{_short(event.anchor)} first"
            )
        meant = self._anchors[event.anchor]
        if meant is None:
            raise self._error(event, f"the alias *{_short(event.anchor)} contains itself, write the value out")
        self._count(event, meant.count, depth + meant.depth - 1)
        return meant

    def _list(self, mark: Mark, depth: int) -> _Measured:
        items: list[_Measured] = []
        while not self._parser.check_event(yaml.SequenceEndEvent):
            items.append(self._compose(depth + 1, None))
        self._parser.get_event()
        return _measured(ListNode(mark, tuple(i.node for i in items)), items)

    def _mapping(self, mark: Mark, depth: int) -> _Measured:
        entries: dict[str, Node] = {}
        keys: dict[str, Mark] = {}
        values: list[_Measured] = []
        while not self._parser.check_event(yaml.MappingEndEvent):
            key, at = self._key()
            if key in entries:
                raise ConfigError.at(at, f"the key {_short(key)} is on line {keys[key].line} already, keep one of them")
            made = self._compose(depth + 1, at)
            entries[key], keys[key] = made.node, at
            values.append(made)
        self._parser.get_event()
        return _measured(MapNode(mark, entries, keys), values)

    def _key(self) -> tuple[str, Mark]:
        event = self._parser.get_event()
        if not isinstance(event, yaml.ScalarEvent) or event.tag is not None or event.anchor is not None:
            raise self._error(event, "a key must be a word, write key: value")
        self._count(event, 0, 0)
        value = self._value(event)
        if not isinstance(value, str):
            written = _short(event.value) if event.value else "an empty key"
            raise self._error(
                event, f'a key must be text, not {written}: put it in quotes, as in "{_short(event.value)}"'
            )
        return value, self._mark(event)

    def _value(self, event: Any) -> str | int | float | bool | None:
        """What a scalar means: YAML 1.2 core schema for plain ones, text for quoted ones."""
        text: str = event.value
        if event.style in ("'", '"', "|", ">"):
            if _HALF_CHARACTER.search(text):
                raise self._error(event, "half a character behind \\u, write the character itself")
            return text
        if _NULL.fullmatch(text):
            return None
        truth = _BOOL.fullmatch(text)
        if truth:
            return truth[1] is not None
        if _NOT_FINITE.fullmatch(text):
            raise self._error(event, f"{text} is not a size, write a number")
        if not (_INT.fullmatch(text) or _FLOAT.fullmatch(text)):
            return text
        if len(text) > _LONGEST_NUMBER:
            raise self._error(event, f"a number of {len(text)} characters, write it shorter")
        if _INT.fullmatch(text):
            return int(text, {"0x": 16, "0o": 8}.get(text[:2], 10))
        number = float(text)
        if not math.isfinite(number):
            raise self._error(event, f"{_short(text)} is too large for a number, write a smaller one")
        return number


def _measured(node: Node, below: list[_Measured]) -> _Measured:
    return _Measured(node, 1 + sum(b.count for b in below), 1 + max((b.depth for b in below), default=0))


def _short(text: str) -> str:
    shown = text if text.isprintable() else repr(text)[1:-1]
    return shown if len(shown) <= 40 else shown[:37] + "..."


_SAID: tuple[tuple[str, str], ...] = (
    ("nesting depth", f"nested deeper than {DEEPEST} levels, write it flatter"),
    ("mapping values are not allowed", "a colon where none is expected, put the value in quotes or start a new line"),
    ("could not find expected ':'", "no colon after a key, write key: value"),
    ("found duplicate anchor", "an anchor set twice, use another name"),
    ("undefined alias", "an alias that stands for nothing, set its anchor first"),
    ("undefined tag handle", "a tag has no meaning here, leave it out or put the value in quotes"),
    ("unknown escape character", "an unknown \\ escape, use single quotes or double the \\"),
    ("expected escape sequence", "an unfinished \\ escape, use single quotes or double the \\"),
    ("flow sequence", "a list opened with [ that is not closed as expected, check commas and ]"),
    ("flow mapping", "a mapping opened with { that is not closed as expected, check commas and }"),
    ("sequence entries are not allowed", "a list begins in the middle of a line, start it on a new line"),
    ("block", "indentation that does not line up, indent the lines of one mapping or list alike"),
    ("quoted scalar", "a quote that is never closed, close it on the same line"),
    ("document start", "text after the end of the document, check the indentation"),
)
_STARTS = {
    "\t": "a tab, indent with spaces",
    "@": "a value cannot begin with @, put it in quotes",
    "`": "a value cannot begin with `, put it in quotes",
    "%": "a value cannot begin with %, put it in quotes",
}


def _yaml_error(error: yaml.MarkedYAMLError, text: str, name: str) -> ConfigError:
    """A parser's complaint in words for the person who wrote the file."""
    problem, context = str(error.problem or ""), str(error.context or "")
    opened = "unexpected end of stream" in problem or "flow" in context or "anchor" in problem
    at = (error.context_mark if opened else None) or error.problem_mark or error.context_mark
    mark = Mark(name, at.line + 1, at.column + 1) if at else Mark(name, 1, 1)
    lines = re.split(r"\r\n|\r|\n", text)
    line = lines[mark.line - 1] if mark.line <= len(lines) else ""
    if "cannot start any token" in problem:
        said = _STARTS.get(line[mark.column - 1 : mark.column])
        if said:
            return ConfigError.at(mark, said)
    if "\t" in line[: len(line) - len(line.lstrip())]:
        return ConfigError.at(Mark(name, mark.line, line.index("\t") + 1), _STARTS["\t"])
    for found in (problem, context):
        for part, said in _SAID:
            if part in found:
                return ConfigError.at(mark, said)
    return ConfigError.at(mark, f"not YAML ({_short(problem) or 'unreadable'}), check indentation, colons and quotes")
