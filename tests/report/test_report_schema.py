"""The report keeps to the schema that lies in the package (JSON Schema, draft 2020-12), read by a public validator."""

import json
from importlib.resources import files
from pathlib import Path
from typing import get_args

import pytest
from jsonschema import Draft202012Validator

from sheetcheck.model import RepairKind, Role, UnitFrom
from sheetcheck.pipeline import audit
from sheetcheck.report.json_report import build

BOOKS = sorted(p for p in (Path(__file__).parents[2] / "examples").rglob("*.xlsx") if "rescaled" not in p.name)


@pytest.fixture(scope="module")
def schema() -> dict[str, object]:
    read: dict[str, object] = json.loads(
        (files("sheetcheck.report") / "report.schema.json").read_text(encoding="utf-8")
    )
    return read


def test_the_schema_is_one(schema: dict[str, object]) -> None:
    Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize("book", BOOKS, ids=lambda path: path.stem)
def test_reports_keep_to_it(schema: dict[str, object], book: Path) -> None:
    report = json.loads(json.dumps(build(audit(book)), allow_nan=False))
    assert [f"{list(e.path)}: {e.message}" for e in Draft202012Validator(schema).iter_errors(report)] == []
    assert schema["required"] == list(report)  # every key of the report is promised


def test_its_words_are_those_of_the_program() -> None:
    text = (files("sheetcheck.report") / "report.schema.json").read_text(encoding="utf-8")
    definitions = json.loads(text)["$defs"]
    repair = definitions["finding"]["properties"]["repairs"]["items"]["properties"]
    component = definitions["recipe"]["properties"]["components"]["items"]["properties"]
    assert repair["kind"]["enum"] == list(get_args(RepairKind))
    assert component["role"]["enum"] == list(get_args(Role))
    assert set(component["unit_from"]["enum"]) == {*get_args(UnitFrom), None}


def test_what_breaks_the_contract_is_seen(schema: dict[str, object]) -> None:
    report = json.loads(json.dumps(build(audit(BOOKS[0]))))
    validator = Draft202012Validator(schema)
    for broken in (
        report | {"version": 2},
        report | {"summary": {}},
        report | {"recipes": [{**report["recipes"][0], "fat_g": "80 oz"}]},
        report | {"recipes": [{**report["recipes"][0], "verdict": "perhaps"}]},
        {key: value for key, value in report.items() if key != "findings"},
    ):
        assert not validator.is_valid(broken)
