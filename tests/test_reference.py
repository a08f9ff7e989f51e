"""configs/README.md lists every key of every kind of file, as the types have them.

Run this file as a program to write the tables anew.
"""

import re
import sys
from collections.abc import Callable

import pytest
from conftest import CONFIGS

from model.config.reference import keys, markdown
from model.config.schema import json_schema
from model.schemas import schema_types

README = CONFIGS / "README.md"
SECTION = re.compile(r"(<!-- keys: (\S+) -->\n)(.*?)(<!-- end -->)", re.S)


def renewed(text: str) -> str:
    make: Callable[[re.Match[str]], str] = lambda m: m[1] + markdown(json_schema(schema_types()[m[2]])) + m[4]  # noqa: E731
    return SECTION.sub(make, text)


def test_the_tables_are_those_of_the_types() -> None:
    text = README.read_text(encoding="utf-8")
    assert renewed(text) == text, "run: python tests/test_reference.py"


def test_every_kind_of_file_has_its_table() -> None:
    named = {m[2] for m in SECTION.finditer(README.read_text(encoding="utf-8"))}
    assert named == set(schema_types())


@pytest.mark.parametrize("kind", sorted(schema_types()))
def test_every_key_says_what_it_is(kind: str) -> None:
    assert [k.path for k in keys(json_schema(schema_types()[kind])) if not k.says] == []


if __name__ == "__main__":
    README.write_text(renewed(README.read_text(encoding="utf-8")), encoding="utf-8")
    sys.exit()
