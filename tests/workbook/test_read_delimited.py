"""Tables kept as text: .csv and .tsv."""

from pathlib import Path

import pytest
from test_read_cells import holds

from sheetcheck.errors import DamagedBookError, HostileBookError, NotAWorkbookError
from sheetcheck.workbook import read_workbook
from sheetcheck.workbook.grid import CellStyle
from sheetcheck.workbook.limits import Limits


def table(path: Path, data: str | bytes) -> dict[str, object]:
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return holds(read_workbook(path).grids[0])


PLAIN = {"A1": "Name", "B1": "Lard (oz)", "A2": "Plain", "B2": 80.5, "A3": "Hard", "B3": -3.0}
TEXT = "Name,Lard (oz)\nPlain,80.5\nHard,-3\n"


@pytest.mark.parametrize(
    "data",
    [
        TEXT,
        TEXT.replace(",", ";"),
        TEXT.replace(",", "\t"),
        TEXT.replace(",", "|"),
        TEXT.replace("\n", "\r\n"),
        TEXT.replace("\n", "\r"),
        "sep=|\n" + TEXT.replace(",", "|"),
        TEXT.encode("utf-8-sig"),
        TEXT.encode("utf-16"),
        TEXT.encode("utf-16-le"),
        TEXT.encode("utf-16-be"),
        TEXT.encode("cp1252"),
    ],
)
def test_delimiters_and_encodings(tmp_path: Path, data: str | bytes) -> None:
    found = table(tmp_path / "book.csv", data)
    if isinstance(data, str) and data.startswith("sep="):
        expected = {f"{a[0]}{int(a[1]) + 1}": value for a, value in PLAIN.items()}  # rows count as in the file
        assert found == expected
    else:
        assert found == PLAIN


def test_letters_of_other_languages(tmp_path: Path) -> None:
    for encoding in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        data = "Öl;Menge\nOlivenöl – extra;½ €\n".encode(encoding)
        assert table(tmp_path / "book.csv", data)["A2"] == "Olivenöl – extra"
    assert table(tmp_path / "book.csv", b"a;\x81\n") == {"A1": "a", "B1": "\x81"}  # in no code page, and kept


def test_a_cell_is_a_number_only_where_its_text_can_be_nothing_else(tmp_path: Path) -> None:
    numbers = {"80": 80.0, "80.5": 80.5, "0.125": 0.125, "-3": -3.0, " 7 ": 7.0}
    texts = [
        "80,5",
        "1,250",
        "1.250,5",
        "007",
        "1e5",
        "+5",
        ".5",
        "5.",
        "5%",
        "80 oz",
        "1 250",
        "٣",
        "nan",
        "2024-03-01",
    ]
    for field, number in numbers.items():
        assert table(tmp_path / "b.csv", f"a;{field}\nb;x\n")["B1"] == number
    for field in texts:
        assert table(tmp_path / "b.csv", f"a;{field}\nb;x\n")["B1"] == field


def test_a_point_before_three_digits_is_left_to_the_reader_unless_commas_delimit(tmp_path: Path) -> None:
    assert table(tmp_path / "b.csv", "a;1.250\nb;c\n")["B1"] == "1.250"
    assert table(tmp_path / "b.tsv", "a\t1.250\nb\tc\n")["B1"] == "1.250"
    assert table(tmp_path / "b.csv", "a,1.250\nb,c\n")["B1"] == 1.25


def test_decimal_commas_do_not_delimit(tmp_path: Path) -> None:
    found = table(tmp_path / "b.csv", "Name;Schmalz;Lauge\nWeiß;80,5;10,86\nGrün;40;5,43\n")
    assert (found["B2"], found["C2"], found["B3"], found["C3"]) == ("80,5", "10,86", 40.0, "5,43")


def test_quoted_fields(tmp_path: Path) -> None:
    found = table(tmp_path / "b.csv", 'Name,Notes\n"Plain, old","line one\nline ""two"""\n')
    assert found == {"A1": "Name", "B1": "Notes", "A2": "Plain, old", "B2": 'line one\nline "two"'}


def test_one_column(tmp_path: Path) -> None:
    assert table(tmp_path / "b.csv", "Plain\n80 oz lard\n\n10.86 oz lye\n") == {
        "A1": "Plain",
        "A2": "80 oz lard",
        "A4": "10.86 oz lye",
    }


def test_the_name_of_the_file_names_the_sheet(tmp_path: Path) -> None:
    (tmp_path / "old book.csv").write_text(TEXT)
    grid = read_workbook(tmp_path / "old book.csv").grids[0]
    assert (grid.name, grid.styles) == ("old book", (CellStyle(),))


def test_texts_that_are_no_table(tmp_path: Path) -> None:
    (tmp_path / "b.csv").write_bytes(b"\x01\x02\x03 binary \xff")
    with pytest.raises(NotAWorkbookError, match="not a table kept as text"):
        read_workbook(tmp_path / "b.csv")
    (tmp_path / "b.csv").write_text("a," + "x" * 200_000)
    with pytest.raises(DamagedBookError, match="field"):
        read_workbook(tmp_path / "b.csv")
    (tmp_path / "b.csv").write_text("a," * 16_384 + "a")
    with pytest.raises(HostileBookError, match="column 16,385"):
        read_workbook(tmp_path / "b.csv")
    with pytest.raises(HostileBookError, match="of text"):
        read_workbook(tmp_path / "b.csv", Limits(table_bytes=100))
