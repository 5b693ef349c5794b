"""What the check says of each row of the examples: in three lines, and just as the shore book's README has it."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

import sheetcheck
from sheetcheck.model import Audit, Finding

_ROW = re.compile(r"^\*\*(?P<name>.+?)\*\* – (?P<what>.+) \((?P<head>[^()]+)\)\n\n(?P<said>(?:>.*\n?)+)", re.MULTILINE)


@pytest.fixture(scope="module")
def farm(root: Path) -> Audit:
    return sheetcheck.audit(root / "examples/shore_book/shore_book.xlsx")


def explained(audit: Audit, name: str) -> Finding:
    """Return the finding that explains a recipe: the one with repairs, else the worst."""
    (number,) = audit.recipes.index[audit.recipes["name"] == name]
    findings = sorted((f for f in audit.findings if number in f.about()), key=lambda f: -f.signal.rank)
    return next((f for f in findings if f.repairs), findings[0])


def test_readme_has_every_row_as_the_check_says_it(root: Path, farm: Audit) -> None:
    folder = root / "examples/shore_book"
    rows = {found["name"]: found for found in _ROW.finditer((folder / "README.md").read_text(encoding="utf-8"))}
    with (folder / "expected.csv").open(encoding="utf-8") as file:
        expected = {row["recipe"]: row["what"] for row in csv.DictReader(file)}
    assert {name: found["what"] for name, found in rows.items()} == expected
    for name, found in rows.items():
        finding = explained(farm, name)
        sure = f", {finding.certainty}" if finding.certainty else ""
        assert found["head"] == f"{finding.sheet}!{finding.cell}, {finding.signal}{sure}"
        said = finding.repairs[0].why if finding.repairs else finding.message
        assert [line.strip("> ") for line in found["said"].splitlines() if line != ">"] == said.split("\n")


def test_every_repair_of_the_examples_explains_itself_in_three_lines(root: Path) -> None:
    books = sorted((root / "examples").rglob("*_book.xlsx"))
    assert books
    for book in books:
        for finding in sheetcheck.audit(book).findings:
            for place, repair in enumerate(finding.repairs):
                says, needs, slip = repair.why.split("\n")
                assert all(change.cell in says for change in repair.changes), repair.why
                assert re.search(r"\d", needs), repair.why
                assert repair.superfat_percent is None or "Superfat would then be" in slip or "total" in slip
                first = place == 0 and repair.probability > 0.2  # else a fat left out of a list may come before it
                assert not first or " to 1 against " in slip, repair.why


def test_no_repair_of_the_examples_leaves_lye_free(root: Path) -> None:
    shown = 0
    for book in sorted((root / "examples").glob("*/*.xlsx")):
        audit = sheetcheck.audit(book)
        for finding in audit.findings:
            stated_so = finding.recipe is not None and bool(audit.recipes.at[finding.recipe, "no_margin_stated"])
            for repair in finding.repairs:
                shown += 1
                wrong_total = "the total seems mistyped" in repair.why  # it changes no amount
                assert repair.superfat_percent is None or stated_so or wrong_total or repair.superfat_percent >= 0
    assert shown
