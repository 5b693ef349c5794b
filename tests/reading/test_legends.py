"""What counts as the maker's own short form, and what does not."""

import pytest
from book_files import parse

from sheetcheck.model import ShortForm
from sheetcheck.reading.names.legends import find_legend


def short_forms(*lines: str) -> dict[str, str]:
    legend = find_legend(parse("== Sheet\n" + "\n".join(lines)).workbook.grids)
    return {form.short: form.meaning for form in legend.forms}


@pytest.mark.parametrize(
    ("line", "forms"),
    [
        ("OO = olive oil, CO = coconut oil", {"OO": "olive oil", "CO": "coconut oil"}),
        ("OO = olive oil CO = coconut oil", {"OO": "olive oil", "CO": "coconut oil"}),
        ("Abkürzungen: OÖ = Olivenöl; KÖ = Kokosöl", {"OÖ": "Olivenöl", "KÖ": "Kokosöl"}),
        ("olive oil = OO", {"OO": "olive oil"}),
        ("PO: palm oil", {"PO": "palm oil"}),
        ("HO = huile d'olive", {"HO": "huile d'olive"}),
        ("L = lye, W = water", {"L": "lye", "W": "water"}),
        ("SF = sunflower oil", {"SF": "sunflower oil"}),
        ("SF: 5 %", {}),
        ("SF = superfat", {}),
        ("Oil: olive", {}),
        ("Fat = lard", {}),
        ("Lye: NaOH", {}),
        ("EO: lavender", {}),
        ("OO: olive oil 500 g", {}),
        ("C - Coconut", {}),
        ("Bob: olive oil", {}),
        ("g = water", {}),
        ("oz = water", {}),
        ("Notes: fine, made 12 bars", {}),
    ],
)
def test_a_line_explains(line: str, forms: dict[str, str]) -> None:
    assert short_forms(line) == forms


def test_a_table_explains_where_no_number_stands_beside() -> None:
    assert short_forms("OO | olive oil", "CO | coconut oil") == {"OO": "olive oil", "CO": "coconut oil"}
    assert short_forms("OO | olive oil | 500", "CO | coconut oil | 300") == {}
    assert short_forms("Code | What | kg", "OO | olive oil | 5", "CO | coconut oil | 3") == {
        "OO": "olive oil",
        "CO": "coconut oil",
    }


def test_a_row_of_headings_explains_nothing() -> None:
    assert short_forms("Recipe | CA | Lye | Water", "One | 50 | 141 | 300") == {}


def test_a_note_explains_the_text_of_its_cell() -> None:
    assert short_forms("Soap | OO (g) ^[olive oil] | Lye") == {"OO": "olive oil"}


def test_two_meanings_leave_it_in_doubt() -> None:
    assert short_forms("CO = coconut oil", "CO = castor oil") == {}
    assert short_forms("CO = coconut oil", "CO = coco") == {"CO": "coconut oil"}


def test_says_where() -> None:
    legend = find_legend(parse("== Key\nsome words\nOO = olive oil").workbook.grids)
    assert legend.forms == (ShortForm("OO", "olive oil", "Key", "A2"),)
    assert legend.cells == {"Key": frozenset({(2, 1)})}
