"""Formulas: their text, and shared ones in the cells that share them, against openpyxl's own translation."""

from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from openpyxl.formula.translate import Translator
from raw_packages import sheet, write_package

from sheetcheck.workbook import read_workbook
from sheetcheck.workbook.formulas import Formulas, SharedFormula
from sheetcheck.workbook.grid import Kind
from sheetcheck.workbook.places import place_key


@pytest.mark.parametrize(
    "formula",
    [
        "B5*2",
        "$B5+B$5+$B$5",
        "SUM(B5:D9)/COUNT($B$1:B5)",
        "SUM(B:B)+SUM($C:D)",
        "SUM(5:5)+SUM($5:7)",
        'IF(B5="B5 oz","C5",B5&"""A1""")',
        "Recipes!B5+'Old book'!C5+'B5''s'!D5",
        "LOG10(B5)+ATAN2(B5,C5)",
        "lye_total*B5+x1y",
        "Fats[Lard]+Fats[[#This Row],[B5]]+B5",
        "[1]Prices!B5",
        "B5%",
        "-B5^2",
        "1E5+B5",
        "TRUE+B5",
    ],
)
@pytest.mark.parametrize("to", [(6, 3), (6, 4), (9, 7), (5, 3)])
def test_shared_formula_moves_as_openpyxl_moves_it(formula: str, to: tuple[int, int]) -> None:
    origin, target = "C5", openpyxl.utils.get_column_letter(to[1]) + str(to[0])
    expected = Translator(f"={formula}", origin=origin).translate_formula(target)
    assert f"={SharedFormula(formula, 5, 3).at(*to)}" == expected


def test_reference_that_moves_off_the_sheet_is_no_reference() -> None:
    shared = SharedFormula("A1+$A$1+SUM(A:B)+SUM(1:2)", 5, 5)
    assert shared.at(4, 5) == "#REF!+$A$1+SUM(A:B)+SUM(#REF!)"
    assert shared.at(5, 4) == "#REF!+$A$1+SUM(#REF!)+SUM(1:2)"


def test_range_whose_end_is_worked_out_moves_too() -> None:
    assert SharedFormula("SUM(B5:INDEX($B:$B,9))", 5, 3).at(6, 3) == "SUM(B6:INDEX($B:$B,9))"  # openpyxl leaves B5


def test_formulas_as_a_mapping() -> None:
    shared = SharedFormula("A2", 2, 2)
    formulas = Formulas([place_key(9, 1), place_key(2, 2), place_key(3, 2)], ["1+1", shared, shared])
    assert dict(formulas) == {(2, 2): "A2", (3, 2): "A3", (9, 1): "1+1"}
    assert len(formulas) == 3
    assert (3, 2) in formulas
    assert (3, 3) not in formulas
    assert formulas.get((1, 1)) is None
    assert dict(Formulas([], [])) == {}


def test_formulas_of_a_sheet(tmp_path: Path) -> None:
    rows = (
        '<row r="1"><c r="A1"><v>2</v></c><c r="B1"><f t="shared" ref="B1:B3" si="0">A1*2&amp;""</f><v>4</v></c></row>'
        '<row r="2"><c r="A2"><v>3</v></c><c r="B2"><f t="shared" si="0"/><v>6</v></c></row>'
        '<row r="3"><c r="A3"><v>4</v></c><c r="B3"><f t="shared" si="0"></f></c>'
        '<c r="C3"><f t="array" ref="C3:C4">A1:A2*1</f><v>2</v></c>'
        '<c r="D3"><f t="dataTable" ref="D3:D4" r1="A1"/><v>2</v></c><c r="E3"><f t="shared" si="7"/><v>2</v></c></row>'
    )
    grid = read_workbook(write_package(tmp_path / "book.xlsx", sheet(rows))).grids[0]
    assert dict(grid.formulas) == {
        (1, 2): 'A1*2&""',
        (2, 2): 'A2*2&""',
        (3, 2): 'A3*2&""',
        (3, 3): "A1:A2*1",
        (3, 4): "TABLE(A1)",
        (3, 5): "",
    }
    unset = grid.cell(3, 2)
    assert unset is not None
    assert (unset.kind, unset.formula) == (Kind.EMPTY_FORMULA, 'A3*2&""')


def test_children_before_their_shared_formula(tmp_path: Path) -> None:
    rows = (
        '<row r="2"><c r="B2"><f t="shared" si="3"/><v>6</v></c></row>'
        '<row r="1"><c r="B1"><f t="shared" ref="B1:B2" si="3">A1</f><v>4</v></c></row>'
    )
    grid = read_workbook(write_package(tmp_path / "book.xlsx", sheet(rows))).grids[0]
    assert dict(grid.formulas) == {(1, 2): "A1", (2, 2): "A2"}


def test_formulas_written_by_openpyxl_have_no_value_and_by_xlsxwriter_have_theirs(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active["B2"] = "=SUM(A1:A9)"
    book.save(tmp_path / "unset.xlsx")
    cell = read_workbook(tmp_path / "unset.xlsx").grids[0].cell(2, 2)
    assert cell is not None
    assert (cell.kind, cell.formula) == (Kind.EMPTY_FORMULA, "SUM(A1:A9)")

    with xlsxwriter.Workbook(tmp_path / "set.xlsx") as written:
        written.add_worksheet().write_formula("B2", "=SUM(A1:A9)", None, 10.86)
    cell = read_workbook(tmp_path / "set.xlsx").grids[0].cell(2, 2)
    assert cell is not None
    assert (cell.kind, cell.formula, cell.number) == (Kind.NUMBER, "SUM(A1:A9)", 10.86)
