"""Validation errors in words: one line for each mistake, with its place and what would be right."""

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from model.config.fields import choices_at, describe, either, keys_at, literals
from model.config.nodes import Loc, MapNode, Node, Places, child, nearest
from model.config.types import WrongKind, shown
from model.errors import Mark

MOST_LINES = 50
"""What a person reads at once."""
MOST_ERRORS = 5_000
"""A broken file of a hundred thousand values is told from its first errors alone."""

_WRONG_KIND = re.compile(
    r"(int|float|bool|string|tuple|list|dict|mapping|set|frozen_set|model|model_attributes)_type|(int|float|bool)_parsing"
    r"|int_from_float|literal_error|enum|none_required|finite_number|string_sub_type"
)
_LIMITS = {
    "greater_than": "must be more than {gt}",
    "greater_than_equal": "must be {ge} or more",
    "less_than": "must be less than {lt}",
    "less_than_equal": "must be {le} or less",
    "multiple_of": "must be a multiple of {multiple_of}",
    "too_short": "must have {min_length} or more",
    "too_long": "must have {max_length} or fewer",
    "string_too_short": "must have {min_length} characters or more",
    "string_too_long": "must have {max_length} characters or fewer",
    "string_pattern_mismatch": "must match {pattern}",
}


@dataclass(frozen=True)
class _Mistake:
    """One error of pydantic: `loc` as it says it, `path` where that is in the file, `labels` those taken out of loc."""

    error: Any
    loc: Loc
    path: Loc
    labels: tuple[str, ...] = ()

    @property
    def type(self) -> str:
        return self.error["type"]

    @property
    def cause(self) -> BaseException | None:
        return self.error.get("ctx", {}).get("error")

    @property
    def wrong_kind(self) -> bool:
        """Whether the value is nothing the type could make sense of."""
        return bool(_WRONG_KIND.fullmatch(self.type)) or isinstance(self.cause, WrongKind)

    def label_at(self) -> int | None:
        """Where `loc` first holds the name of a branch of a union instead of a key."""
        left = len(self.path)
        first: int | None = None
        for i in range(len(self.loc) - 1, -1, -1):
            if left and self.loc[i] == self.path[left - 1]:
                left -= 1
            else:
                first = i
        return first


def lines(error: ValidationError, kind: Any, tree: Node, places: Places) -> tuple[str, ...]:
    """What is wrong with `tree` as a `kind`: complete lines `file:line:column: message`, in the order of the file."""
    errors = error.errors(include_url=False)
    mistakes = _one_each([_located(e, tree, places) for e in errors[:MOST_ERRORS]])
    found = sorted({(_mark(m, tree), _message(m, kind, tree)) for m in _without_echoes(mistakes, kind, tree)})
    said = [f"{mark}: {_one_line(text)}" for mark, text in found]
    if len(said) > MOST_LINES:
        said[MOST_LINES:] = [f"{found[MOST_LINES][0]}: and more mistakes of this kind, mend these first"]
    return tuple(said)


def _one_line(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)


def _located(error: Any, tree: Node, places: Places) -> _Mistake:
    loc: Loc = error["loc"]
    if loc and loc[-1] == "[key]":
        loc = loc[:-1]
    known = places.get(id(error["input"]))
    if error["type"] == "missing":
        above = known[0] if known else _walked(loc[:-1], tree)
        return _Mistake(error, loc, (*above, loc[-1]))
    path = known[0] if known else _walked(loc, tree)
    return _Mistake(error, loc, path)


def _walked(loc: Loc, tree: Node) -> Loc:
    """The key path in `loc`, the names of union branches left out."""
    path: list[str | int] = []
    node = tree
    for step in loc:
        below = child(node, step)
        if below is not None:
            node = below
            path.append(step)
    return tuple(path)


def _one_each(mistakes: Sequence[_Mistake]) -> list[_Mistake]:
    """The mistakes without those of union branches that were never meant."""
    kept: list[_Mistake] = []
    unions: dict[Loc, dict[str, list[_Mistake]]] = {}
    for mistake in mistakes:
        at = mistake.label_at()
        if at is None:
            kept.append(mistake)
            continue
        label = str(mistake.loc[at])
        shorter = replace(mistake, loc=mistake.loc[:at] + mistake.loc[at + 1 :], labels=(*mistake.labels, label))
        unions.setdefault(mistake.loc[:at], {}).setdefault(label, []).append(shorter)
    for path, branches in unions.items():
        kept += _meant(path, [_one_each(branch) for branch in branches.values()])
    return kept


def _meant(path: Loc, branches: list[list[_Mistake]]) -> list[_Mistake]:
    """The mistakes of the branch a person most likely meant; where the value fits none, one for all."""
    understood = [b for b in branches if not any(m.wrong_kind and m.path == path for m in b)]
    if understood:
        return min(understood, key=lambda b: sum(10 if m.type == "literal_error" else 1 for m in b))
    first = branches[0][0]
    if len(branches) == 1:
        return branches[0]
    return [replace(first, error={**first.error, "type": "none_of_these", "ctx": {}})]


def _without_echoes(mistakes: list[_Mistake], kind: Any, tree: Node) -> list[_Mistake]:
    """Without a missing key that is there, only misspelled, and without a short list whose items are wrong."""
    misspelled = {(*m.path[:-1], _closest_key(m, kind, tree)) for m in mistakes if m.type == "extra_forbidden"}
    above = {m.path[:i] for m in mistakes for i in range(len(m.path))}
    return [
        m
        for m in mistakes
        if not (m.type == "missing" and m.path in misspelled) and not (m.type == "too_short" and m.path in above)
    ]


def _closest_key(mistake: _Mistake, kind: Any, tree: Node) -> str | None:
    keys = _keys(mistake, kind, tree)
    return next(iter(difflib.get_close_matches(str(mistake.path[-1]), keys, n=1)), None)


def _keys(mistake: _Mistake, kind: Any, tree: Node) -> tuple[str, ...]:
    above = mistake.path[:-1]
    return keys_at(kind, above, nearest(tree, above), mistake.labels)


def _mark(mistake: _Mistake, tree: Node) -> Mark:
    cause = mistake.cause
    path = mistake.path + tuple(getattr(cause, "loc", ()))
    if mistake.type in ("union_tag_invalid", "union_tag_not_found"):
        path = (*path, mistake.error["ctx"]["discriminator"].strip("'"))
    above = nearest(tree, path[:-1])
    if (mistake.type == "extra_forbidden" or mistake.error["loc"][-1:] == ("[key]",)) and isinstance(above, MapNode):
        return above.keys[str(path[-1])]
    return nearest(tree, path).mark


def name_of(path: Loc) -> str:
    """A key path for a person: `sheets.birch 18.sizes[2]`, list items counted from 1."""
    name = ""
    for step in path:
        if isinstance(step, int):
            name += f"[{step + 1}]"
        else:
            name += ("." if name else "") + (step if step.isprintable() and len(step) <= 60 else shown(step))
    return name or "the file"


def _message(mistake: _Mistake, kind: Any, tree: Node) -> str:
    path, context = mistake.path, mistake.error.get("ctx", {})
    name, value = name_of(path), shown(mistake.error["input"])
    if mistake.type == "extra_forbidden":
        return _unknown_key(mistake, kind, tree)
    if mistake.type == "missing":
        wanted = describe(choices_at(kind, path))
        within = f" in {name_of(path[:-1])}" if path[:-1] else ""
        return f"the key {path[-1]} is missing{within}, add it" + (f" with {wanted}" if wanted else "")
    if mistake.type.startswith("union_tag"):
        return _tag(mistake, name)
    if mistake.cause is not None:
        full = path + tuple(getattr(mistake.cause, "loc", ()))
        return f"{name_of(full)}: {mistake.cause}" if full else str(mistake.cause)
    if mistake.type in ("too_short", "too_long"):
        return f"{name} has {context['actual_length'] or 'no'} entries, it {_LIMITS[mistake.type].format(**context)}"
    if mistake.type in _LIMITS:
        return f"{name} is {value}, it {_LIMITS[mistake.type].format(**context)}"
    if mistake.type == "none_of_these" or mistake.wrong_kind:
        return _wrong_kind(mistake, kind, name, value)
    return f"{name}: {mistake.error['msg']}"


def _unknown_key(mistake: _Mistake, kind: Any, tree: Node) -> str:
    key, above = mistake.path[-1], mistake.path[:-1]
    within = f" in {name_of(above)}" if above else ""
    closest = _closest_key(mistake, kind, tree)
    if closest:
        return f"unknown key {shown(key)}{within}, did you mean {closest}?"
    keys = _keys(mistake, kind, tree)
    return f"unknown key {shown(key)}{within}, " + (f"the keys are {', '.join(keys)}" if keys else "take it out")


def _tag(mistake: _Mistake, name: str) -> str:
    context = mistake.error["ctx"]
    key = context["discriminator"].strip("'")
    within = f" in {name}" if mistake.path else ""
    if mistake.type == "union_tag_not_found":
        return f"the key {key} is missing{within}, add it"
    tags = re.findall(r"'([^']*)'", context["expected_tags"])
    return f"{key}{within} is {shown(context['tag'])}, {_one_of(context['tag'], tags)}"


def _one_of(value: object, allowed: list[str]) -> str:
    closest = difflib.get_close_matches(str(value), allowed, n=1)
    return f"did you mean {closest[0]!r}?" if closest else f"write {either([repr(a) for a in allowed])}"


def _wrong_kind(mistake: _Mistake, kind: Any, name: str, value: str) -> str:
    found, given = choices_at(kind, mistake.path), mistake.error["input"]
    said = f"{name} is {'empty' if given is None else value}, "
    words = literals(found)
    if isinstance(given, str) and difflib.get_close_matches(given, words, n=1):
        return said + _one_of(given, words)
    wanted = describe(found)
    if mistake.type == "string_type" and isinstance(given, int | float):
        wanted = f'{wanted or "text"} in quotes, as in "{value}"'
    return said + (f"write {wanted}" if wanted else mistake.error["msg"].replace("Input should be", "it must be"))
