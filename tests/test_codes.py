"""What is said of every code: each one that a check can report is explained, and names config values that exist."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
from pydantic import BaseModel

from model import checks
from model.findings import Code
from model.project import Project
from model.room.room import Room
from model.units import kinds

CODES = checks.codes()
MODULES = sorted(Path(checks.__path__[0]).glob("*.py"))


def reported(path: Path) -> Iterator[str]:
    """The code of every finding made in a module; of one put together, how it ends."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.keyword) and node.arg == "code":
            yield from texts(node.value)


def texts(value: ast.expr) -> Iterator[str]:
    if isinstance(value, ast.IfExp):
        yield from (*texts(value.body), *texts(value.orelse))
    elif isinstance(value, ast.JoinedStr):
        yield from texts(value.values[-1])
    elif isinstance(value, ast.Constant) and isinstance(value.value, str):
        yield value.value


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.stem)
def test_every_code_is_explained(path: Path) -> None:
    for code in reported(path):
        assert any(name == code or (code.startswith("-") and name.endswith(code)) for name in CODES)


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """The option classes in a type, whatever it is wrapped in."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        yield from models_in(inner)


def leads_somewhere(options: type[BaseModel], keys: list[str]) -> bool:
    if not keys:
        return True
    field = options.model_fields.get(keys[0])
    if field is None:
        return False
    return len(keys) == 1 or any(leads_somewhere(inner, keys[1:]) for inner in models_in(field.annotation))


@pytest.mark.parametrize("code", CODES.values(), ids=lambda c: c.name)
def test_what_moves_it_can_be_written(code: Code) -> None:
    roots = {"project": [Project], "room": [Room], "unit": [kind.options for kind in kinds().values()]}
    assert code.means.endswith(".")
    assert code.causes
    for entry in code.moved_by:
        file, key = entry.split(": ")
        assert any(leads_somewhere(root, key.split(".")) for root in roots[file]), entry


def test_codes_are_told_apart() -> None:
    assert len(CODES) >= 22
    assert len({c.means for c in CODES.values()}) == len(CODES)
