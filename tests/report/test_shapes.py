"""Copies of unlike books: a word beside every recipe in every shape, lye as it is weighed, verdicts that notice."""

import zipfile
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

import sheetcheck
from sheetcheck.model import Audit, ResultColumns
from sheetcheck.pipeline import annotate
from sheetcheck.report.finding_words import suggested
from sheetcheck.report.marks import plan
from sheetcheck.report.places import RESULTS
from sheetcheck.report.words import CHANGED
from sheetcheck.workbook import remove_marks, write_copy
from tests.books import write_book
from tests.report.office import recalculated

_ = None
LIST = [
    ["Soap", "What goes in", "How much", "Unit"],
    ["Jib", "Olive oil", 20, "oz"],
    [_, "Coconut oil", 10, "oz"],
    [_, "Palm oil", 10, "oz"],
    [_, "Water", 12.5, "oz"],
    [_, "Lye", 161, "oz"],
    [],
    ["Shop lye", "Lard", 1000, "g"],
    [_, "Soda lye 36 °Bé", 500, "g"],
    [_, "Water", 50, "g"],
    [],
    ["Sound shop lye", "Lard", 1000, "g"],
    [_, "Soda lye 36 °Bé", 430, "g"],
    [_, "Water", 50, "g"],
]
CARDS = [
    ["Elder"], ["Olive oil", "24 oz"], ["Coconut oil", "8 oz"], ["Water", "11 oz"], ["Lye", "46 oz"], ["superfat 5 %"],
    [],
    ["Rowan"], ["Olive oil", "20 oz"], ["Coconut oil", "10 oz"], ["Lye", "4.3 oz"], ["Water", "10 oz"],
    [],
    ["Hazel"], ["Tallow", "32 oz"], ["Can of lye", "1"], ["Water", "10 oz"],
]  # fmt: skip
ACROSS = [
    ["Grams", "Ash", "Beech", "Cedar", "Dogwood"],
    ["Olive oil", 500, 600, 700, 1000],
    ["Coconut oil", 250, 250, 300, 500],
    ["Palm oil", 250, 150, _, 500],
    ["Lye", 142, 14.1, 141, 283],
    ["Water", 315, 315, 300, 630],
]
CSV = "Soap,Lard (g),Olive oil (g),Lye (g),Water (g)\nMoor,800,200,136,320\nFen,1000,,210,310\nHeath,700,300,136,330\n"


def checked(folder: Path, rows: object) -> tuple[Path, Path, Audit]:
    """Write a book and its copy."""
    book = folder / ("book.csv" if isinstance(rows, str) else "book.xlsx")
    if isinstance(rows, str):
        book.write_text(rows, encoding="utf-8")
    else:
        write_book(book, {"Soaps": rows})  # type: ignore[dict-item]  # rows
    audit = sheetcheck.audit(book)
    return book, annotate(audit, book, folder / "book.checked.xlsx").copy, audit


@pytest.mark.parametrize("rows", [LIST, CARDS, ACROSS, CSV], ids=["list", "cards", "across", "csv"])
def test_name_verdict_and_reason_stand_beside_the_recipes(rows: object, tmp_path: Path) -> None:
    _, copy, audit = checked(tmp_path, rows)
    sheet = openpyxl.load_workbook(copy, data_only=True).worksheets[0]
    lines = {}
    for row in sheet.iter_rows():
        for cell in row[:-2]:
            verdict, why = (str(sheet.cell(cell.row, cell.column + i).value or "") for i in (1, 2))
            if verdict.startswith(("◆ ", "▲ ", "■ ", "○ ", "fine")):
                lines[str(cell.value)] = (verdict, why)
    assert set(lines) == set(audit.recipes["name"].astype(str))
    assert any(verdict == "◆ DANGER" or verdict == "▲ WARNING" for verdict, _ in lines.values())  # noqa: PLR1714 - plain
    assert all(why for verdict, why in lines.values() if not verdict.startswith("fine"))


NAMES_ALIKE_BUT_AT_THE_END = [
    ["Soap", "Coconut Cloud with milk, loaf", "Coconut Cloud with milk, bars"],
    ["Olive oil (g)", 700, 1400],
    ["Coconut oil (g)", 300, 600],
    ["Lye (g)", 141, 282],
    ["Water (g)", 300, 600],
]


def test_names_beside_the_recipes_are_not_cut_off(tmp_path: Path) -> None:
    audit = sheetcheck.audit(write_book(tmp_path / "book.xlsx", {"Soaps": NAMES_ALIKE_BUT_AT_THE_END}))
    (beside,) = [m for m in plan(audit) if isinstance(m, ResultColumns)]
    assert [cells[0].value for cells in beside.values.values()] == NAMES_ALIKE_BUT_AT_THE_END[0][1:]  # type: ignore[union-attr]
    assert beside.widths[0] >= 26  # the 29 letters of these names, most of them narrower than a digit


@pytest.mark.parametrize(("columns", "breaks"), [(1, 0), (8, 1)])
def test_results_begin_a_page_where_they_would_not_fit_beside(columns: int, breaks: int, tmp_path: Path) -> None:
    rows = [["Olive oil", 700.0, *[1.0] * columns], ["Lye", 90.0, *[1.0] * columns]]
    copy = tmp_path / "copy.xlsx"
    block = ResultColumns("Sheet", 1, ("Recipe", "Verdict"), {2: ["Plain", "fine"]}, (16.0, 20.0), new_page=True)
    write_copy(write_book(tmp_path / "book.xlsx", {"Sheet": rows}), copy, [block])
    with zipfile.ZipFile(copy) as package:
        assert package.read("xl/worksheets/sheet1.xml").count(b"<colBreaks") == breaks


def test_it_opens_on_the_summary_and_no_sheet_of_hers_is_selected_with_it(tmp_path: Path) -> None:
    book, copy, _ = checked(tmp_path, CARDS)
    workbook = openpyxl.load_workbook(copy)
    assert workbook.active.title == "Check summary"
    assert [s.title for s in workbook if s.sheet_view.tabSelected and s.title != "Check summary"] == []
    remove_marks(copy, tmp_path / "own.xlsx")
    assert (tmp_path / "own.xlsx").read_bytes()[:2] == book.read_bytes()[:2]
    assert openpyxl.load_workbook(tmp_path / "own.xlsx").active.title == "Soaps"


def test_lye_is_given_as_she_weighs_it_with_the_pure_lye_beside_and_named(tmp_path: Path) -> None:
    """36 degrees Baumé is 30.2 % sodium hydroxide by the table of the 1908 handbook (reference/lye_solutions.csv)."""
    _, copy, audit = checked(tmp_path, LIST)
    sheet = openpyxl.load_workbook(copy, data_only=True)[RESULTS]
    headings = [c.value for c in sheet[1]]
    row = next(r for r in sheet.iter_rows(values_only=True) if r[0] == "Sound shop lye")
    line = dict(zip(headings, row, strict=True))
    assert line["Lye on your sheet"] == pytest.approx(430)
    assert line["That is lye of"] == "Soda lye 36 °Bé: 30.2 % lye"
    pure = audit.recipes.query("name == 'Sound shop lye'")["needed_typical_g"].item() * (1 - line["Aim at, %"] / 100)
    assert line["Pure lye in it"] == pytest.approx(pure)
    assert line["Lye for that"] == pytest.approx(pure / 0.302, rel=2e-3)
    message = next(f.message for f in audit.findings if f.rule == "free-lye" and "Soda lye" in f.message)
    assert "500 g of Soda lye 36 °Bé (C9) holds 151.1 g of pure lye (30.2 %); these fats can take 139.7 g" in message


CHANGES = {
    "a line more in a card": (CARDS, {"A13": "Lard", "B13": "8 oz"}, "Rowan"),
    "another amount in a card": (CARDS, {"B11": "5 oz"}, "Rowan"),
    "the superfat that a card states": (CARDS, {"A6": "superfat 8 %"}, "Elder"),
    "an amount in a column": (ACROSS, {"D4": 40}, "Cedar"),
    "an amount as text in a column": (ACROSS, {"D4": "40 g"}, "Cedar"),
    "a line more in a list": (LIST, {"B11": "Tallow", "C11": 100}, "Shop lye"),
}


@pytest.mark.parametrize(("rows", "change", "recipe"), CHANGES.values(), ids=CHANGES)
def test_a_verdict_does_not_stay_after_a_change(
    rows: object, change: dict[str, object], recipe: str, soffice: str, tmp_path: Path
) -> None:
    _, copy, audit = checked(tmp_path, rows)
    workbook = openpyxl.load_workbook(copy)
    for cell, value in change.items():
        workbook.worksheets[0][cell] = value
    workbook.save(tmp_path / "edited.xlsx")
    sheet = openpyxl.load_workbook(recalculated(soffice, tmp_path / "edited.xlsx", tmp_path), data_only=True)[RESULTS]
    said = {str(r[0]): r[1] for r in sheet.iter_rows(min_row=2, values_only=True)}
    assert said[recipe] == CHANGED
    assert set(said) == set(audit.recipes["name"].astype(str))
    assert sum(verdict == CHANGED for verdict in said.values()) <= 2, "the others stand as they were"


def test_a_suggestion_on_a_formula_names_what_it_reads(tmp_path: Path) -> None:
    book = tmp_path / "book.xlsx"
    with xlsxwriter.Workbook(str(book)) as made:
        sheet = made.add_worksheet("Soaps")
        sheet.write_row(0, 0, ["Soap", "Lard (g)", "Lye (g)", "Water (g)", "Superfat %", "Remarks"])
        sheet.write_row(1, 0, ["One", 1000])
        sheet.write_formula(1, 2, "=Stock!F2", None, 13.3)
        sheet.write_row(1, 3, [300, 5])
        made.add_worksheet("Stock").write_row(1, 5, [13.3])
    audit = sheetcheck.audit(book)
    change = next(c for f in audit.findings for r in f.repairs for c in r.changes if c.cell == "C2")
    assert (change.name, change.reads_from) == ("Lye", ("Stock!F2",))
    said = next(suggested(f) for f in audit.findings if f.repairs)
    assert "C2 Lye: 13.3 g →" in said
    assert "C2 holds a formula: look at Stock!F2, which it reads." in said
