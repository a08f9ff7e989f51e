"""Reading configs: a YAML file or a merged tree as a typed value that knows where each of its keys is written."""

import functools
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from model.config.messages import lines
from model.config.nodes import Node, merge, nearest, plain
from model.config.source import parse_tree, read_tree
from model.errors import ConfigError, Mark

__all__ = ["Loaded", "Node", "merge", "parse_tree", "read", "read_tree", "validate"]


@dataclass(frozen=True)
class Loaded[T]:
    """A value read from configs, and the tree it came from."""

    value: T
    tree: Node

    def mark(self, *loc: str | int) -> Mark:
        """Where a key path is written: keys of mappings and places in lists (from 0).

        A path that is not in the file (a default) gives the place of the last part of it that is.
        """
        return nearest(self.tree, loc).mark

    def error(self, message: str, *loc: str | int) -> ConfigError:
        """An error to raise about a key path."""
        return ConfigError.at(self.mark(*loc), message)


def read[T](path: Path, kind: type[T], asked_by: Mark | None = None) -> Loaded[T]:
    """The value of a YAML file. `asked_by` is where another file names it. Raises ConfigError."""
    return validate(read_tree(path, asked_by), kind)


def validate[T](tree: Node, kind: type[T]) -> Loaded[T]:
    """The tree as a value of `kind`. Raises ConfigError with one line for each mistake."""
    raw, places = plain(tree)
    try:
        return Loaded(_adapter(kind).validate_python(raw), tree)
    except ValidationError as error:
        said = lines(error, kind, tree, places)
    raise ConfigError(*said)


@functools.cache
def _adapter(kind: Any) -> TypeAdapter[Any]:
    return TypeAdapter(kind)
