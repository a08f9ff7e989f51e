"""The published schema against an independent validator (the jsonschema library) of JSON Schema draft 2020-12."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from model.config.schema import json_schema
from model.stock.tables import Stock

FOLDER = Path(__file__).parent.parent / "configs" / "stock"
FILES = sorted(f for f in FOLDER.glob("*.yaml") if f.stem != "offcuts")


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    schema = json_schema(Stock)
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


@pytest.mark.parametrize("file", FILES, ids=lambda f: f.stem)
def test_stock_files_are_valid_to_an_editor(file: Path, validator: Draft202012Validator) -> None:
    assert list(validator.iter_errors(yaml.safe_load(file.read_text(encoding="utf-8")))) == []


def _sheet(raw: dict[str, Any]) -> dict[str, Any]:
    return next(iter(raw["sheets"].values()))


@pytest.mark.parametrize(
    "spoil",
    [
        lambda raw: _sheet(raw).update(thicknes=18),
        lambda raw: _sheet(raw).update(thickness=True),
        lambda raw: _sheet(raw).update(density=0),
        lambda raw: _sheet(raw).update(sizes=[]),
        lambda raw: _sheet(raw).update(colour="red"),
        lambda raw: _sheet(raw).pop("density"),
        lambda raw: raw["sheets"].update({"a/b": _sheet(raw)}),
        lambda raw: raw.update(lengths="cm"),
    ],
)
def test_an_editor_sees_what_the_reader_refuses(
    spoil: Callable[[dict[str, Any]], Any], validator: Draft202012Validator
) -> None:
    raw = yaml.safe_load(FILES[0].read_text(encoding="utf-8"))
    spoil(raw)
    assert len(list(validator.iter_errors(raw))) == 1
