"""What a config type expects at a key path, in words: for messages that say what would be right."""

import collections.abc
import types
from dataclasses import dataclass
from typing import Annotated, Any, Literal, TypeAliasType, Union, get_args, get_origin

from pydantic import BaseModel

from model.config.nodes import Loc, Node, ScalarNode, child
from model.config.types import Wants

_PLAIN: dict[Any, Wants] = {
    int: Wants("a whole number", "whole numbers"),
    float: Wants("a number", "numbers"),
    bool: Wants("true or false", "true or false"),
    str: Wants("text", "texts"),
}
_LISTS = (tuple, list, set, frozenset, collections.abc.Sequence)
_DICTS = (dict, collections.abc.Mapping)


@dataclass(frozen=True)
class Choice:
    """One type a value may have: a union is several, an alias what it stands for."""

    kind: Any
    wants: Wants | None = None

    @property
    def origin(self) -> Any:
        return get_origin(self.kind) or self.kind

    def below(self, step: str | int) -> Any:
        """The type one step down, or None."""
        args = get_args(self.kind)
        if isinstance(self.kind, type) and issubclass(self.kind, BaseModel):
            field = self.kind.model_fields.get(str(step))
            return Annotated[field.annotation, None, *field.metadata] if field else None
        if self.origin in _DICTS and len(args) == 2:
            return args[1]
        if self.origin in _LISTS and args and isinstance(step, int):
            fixed = self.origin is tuple and args[-1] is not Ellipsis
            return (args[step] if step < len(args) else None) if fixed else args[0]
        return None


def choices(kind: Any, wants: Wants | None = None) -> tuple[Choice, ...]:
    """The types a value of this type may have."""
    if isinstance(kind, TypeAliasType):
        return choices(kind.__value__, wants)
    if get_origin(kind) is Annotated:
        inner, *metadata = get_args(kind)
        return choices(inner, next((m for m in metadata if isinstance(m, Wants)), wants))
    if get_origin(kind) in (Union, types.UnionType):
        return tuple(c for arg in get_args(kind) if arg is not type(None) for c in choices(arg, wants))
    return (Choice(kind, wants),)


def choices_at(kind: Any, loc: Loc) -> tuple[Choice, ...]:
    """The types a value at a key path may have; none where the path leads nowhere."""
    found = choices(kind)
    for step in loc:
        found = tuple(c for choice in found for c in choices(choice.below(step)) if c.kind is not None)
    return found


def keys_at(kind: Any, loc: Loc, node: Node | None, labels: tuple[str, ...]) -> tuple[str, ...]:
    """The keys a mapping at a key path may have. Where several models could be meant, `labels` of pydantic (which
    hold a model's name) or the values in the node settle it."""
    models = [c.kind for c in choices_at(kind, loc) if isinstance(c.kind, type) and issubclass(c.kind, BaseModel)]
    named = [m for m in models if any(m.__name__ in label for label in labels)]
    fitting = [m for m in models if node is not None and _says(m, node)]
    return tuple(dict.fromkeys(key for m in named or fitting or models for key in m.model_fields))


def _says(model: type[BaseModel], node: Node) -> bool:
    """Whether the node has a value that the model fixes by a Literal, such as its kind."""
    for key, field in model.model_fields.items():
        value = child(node, key)
        if get_origin(field.annotation) is Literal and isinstance(value, ScalarNode):
            return value.value in get_args(field.annotation)
    return False


def describe(found: tuple[Choice, ...]) -> str:
    """`a whole number, a list of lengths or 'fill'`; empty where nothing is known."""
    words: list[str] = []
    for choice in found:
        words += [w for w in _words(choice) if w not in words]
    return either(words)


def literals(found: tuple[Choice, ...]) -> list[str]:
    """The words among the values that are named one by one."""
    return [w for c in found if c.origin is Literal for w in get_args(c.kind) if isinstance(w, str)]


def either(words: list[str]) -> str:
    return " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _words(choice: Choice) -> list[str]:
    if choice.wants:
        return [choice.wants.one]
    if choice.kind in _PLAIN:
        return [_PLAIN[choice.kind].one]
    if choice.origin is Literal:
        return [repr(value) if isinstance(value, str) else str(value) for value in get_args(choice.kind)]
    if choice.origin in _LISTS:
        inner = [many for c in choices(choice.below(0)) for many in _many(c)]
        return [f"a list of {' or '.join(dict.fromkeys(inner))}" if inner else "a list"]
    if choice.origin in _DICTS:
        return ["lines of key: value"]
    if isinstance(choice.kind, type) and issubclass(choice.kind, BaseModel):
        return [f"a mapping such as {_example(choice.kind)}"]
    return []


def _example(model: type[BaseModel]) -> str:
    fields = model.model_fields
    needed = [key for key, field in fields.items() if field.is_required()] or list(fields)[:2]
    return "{" + ", ".join(f"{key}: ..." for key in needed) + "}"


def _many(choice: Choice) -> list[str]:
    wants = choice.wants or _PLAIN.get(choice.kind)
    if wants:
        return [wants.many]
    return ["mappings"] if isinstance(choice.kind, type) and issubclass(choice.kind, BaseModel) else []
