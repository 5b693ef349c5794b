"""The open workbook audited and copied, by the stand-in with the habits of Windows and of macOS."""

import sys
import unicodedata
from pathlib import Path

import openpyxl
import pytest
import xlwings as xw

from sheetcheck.errors import EncryptedBookError
from sheetcheck.pipeline import audit
from sheetcheck.plugins.errors import NoOpenBookError, ProgramBusyError, SheetTooLargeError
from sheetcheck.plugins.excel import attach, button, screen
from sheetcheck.plugins.excel.auditing import audited
from sheetcheck.plugins.excel.differences import differences, file_spelling
from sheetcheck.plugins.excel.snapshot import take
from sheetcheck.workbook.grid import Kind
from sheetcheck.workbook.overlay import lay_over
from sheetcheck.workbook.read import read_workbook
from tests.plugins.excel.stand_in import StandIn


def dangers(book: xw.Book) -> list[str]:
    with audited(book) as done:
        return [f.cell for f in done.audit.findings if f.signal == "DANGER"]


class TestReading:
    def test_screen_is_the_file_where_nothing_was_edited(self, excel: StandIn, book_file: Path) -> None:
        book = xw.books.open(str(book_file))
        seen, filed = screen.read_screen(book), read_workbook(book_file)
        assert differences(filed, seen) == []
        for live, grid in zip(seen.grids, filed.grids, strict=True):
            assert (live.name, live.hidden) == (grid.name, grid.hidden)
            assert dict(live.formulas) == {k: v.replace("_xlfn.", "") for k, v in grid.formulas.items()}
            cells = [
                (c.row, c.column, c.kind, c.text, c.style.number_format) for c in map(live.at, range(len(live.row)))
            ]
            assert cells == [
                (c.row, c.column, c.kind, c.text, c.style.number_format) for c in map(grid.at, range(len(grid.row)))
            ]

    def test_number_formats_are_asked_in_few_questions(self, excel: StandIn, tmp_path: Path) -> None:
        workbook = openpyxl.Workbook()
        sheet = workbook.active
        assert sheet is not None
        for row in range(1, 2001):
            sheet.append([f"Recipe {row}", 80, 24, 10.86])
            sheet.cell(row, 2).number_format = '0.0" oz"'
        workbook.save(tmp_path / "long.xlsx")
        book = xw.books.open(str(tmp_path / "long.xlsx"))
        excel.range_reads = 0
        grid = screen.read_screen(book).grids[0]
        assert excel.range_reads < 20
        assert grid.styles[int(grid.style[1])].number_format == '0.0" oz"'
        assert grid.styles[int(grid.style[2])].number_format == "General"

    @pytest.mark.parametrize("cells", [{"A1": "=1+1"}, {"A1": "x", "B1": "=1+1"}, {"A1": "x", "A2": "=1+1"}, {}])
    def test_one_cell_one_row_one_column_and_none(self, excel: StandIn, tmp_path: Path, cells: dict[str, str]) -> None:
        workbook = openpyxl.Workbook()
        for address, value in cells.items():
            workbook.worksheets[0][address] = value
        workbook.save(tmp_path / "small.xlsx")
        grid = screen.read_screen(xw.books.open(str(tmp_path / "small.xlsx"))).grids[0]
        assert list(grid.formulas.values()) == (["1+1"] if cells else [])
        assert len(grid.row) == len(cells)

    def test_errors_keep_their_names(self, excel: StandIn, book_file: Path) -> None:
        """On macOS xlwings fails to tell them for more than one row, and is asked again row by row."""
        book = xw.books.open(str(book_file))
        book.impl._results["Batches", 4, 5] = "#VALUE!"
        cell = screen.read_screen(book).grids[0].cell(4, 5)
        assert cell is not None
        assert (cell.kind, cell.text, cell.formula) == (Kind.ERROR, "#VALUE!", "D4/(C4+D4)")

    def test_a_used_range_of_a_million_rows_is_cut_at_the_last_value(self, excel: StandIn, book_file: Path) -> None:
        book = xw.books.open(str(book_file))
        book.impl._tall = 1_048_576
        assert screen.read_screen(book).grids[0].last_row == 4

    def test_too_many_cells_are_refused_with_what_to_do(
        self, excel: StandIn, book_file: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(screen, "MOST_CELLS", 10)
        with pytest.raises(SheetTooLargeError, match="check the file instead"):
            screen.read_screen(xw.books.open(str(book_file)))


class TestAudit:
    def test_open_and_closed_agree(self, excel: StandIn, book_file: Path) -> None:
        book = xw.books.open(str(book_file))
        with audited(book) as done:
            assert done.audit.findings == audit(book_file).findings
        assert excel.saved == []

    def test_unsaved_edits_are_seen(self, excel: StandIn, book_file: Path) -> None:
        book = xw.books.open(str(book_file))
        assert dangers(book) == ["D3"]
        book.sheets["Batches"]["D2"].value = 13
        assert sorted(dangers(book)) == ["D2", "D3"]
        book.sheets["Batches"]["D3"].value = 8.5
        assert dangers(book) == ["D2"]

    def test_a_unit_that_was_changed_in_the_format_is_seen(self, excel: StandIn, book_file: Path) -> None:
        book = xw.books.open(str(book_file))
        book.impl._workbook["Batches"]["B2"].number_format = '0.00" g"'
        with audited(book) as done:
            lard = done.audit.book.components.query("row == 2 and column == 2")
            assert list(lard["unit"]) == ["g"]

    def test_book_by_name(self, excel: StandIn, book_file: Path) -> None:
        xw.books.open(str(book_file))
        xw.books.add()
        assert attach.open_book("recipes").name == "recipes.xlsx"
        assert attach.open_book().name == "Book2"
        with pytest.raises(NoOpenBookError, match=r"Open there: recipes\.xlsx, Book2"):
            attach.open_book("other.xlsx")

    def test_no_book_is_open(self, excel: StandIn) -> None:
        with pytest.raises(NoOpenBookError, match="No workbook is open"):
            attach.open_book()

    def test_somebody_is_typing(self, excel: StandIn, book_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(attach, "WAIT_SECONDS", 0.5)
        xw.books.open(str(book_file))
        app = next(iter(excel.apps))
        app._busy = 2
        assert attach.open_book().name == "recipes.xlsx"  # waited until it was over
        app._busy = 1000
        with pytest.raises(ProgramBusyError, match="press Enter or Escape"):
            attach.open_book()


class TestCopy:
    def test_edits_are_in_it_and_the_book_is_not_touched(self, excel: StandIn, book_file: Path) -> None:
        before = book_file.read_bytes()
        book = xw.books.open(str(book_file))
        sheet = book.sheets["Batches"]
        sheet["D2"].value = 13
        sheet["A9"].value = [["Milky", 10, 3, 1.3]]
        sheet["E9"].formula = "=D9/(C9+D9)"
        sheet["F2"].value = None
        with audited(book) as done:
            copied = done.write_copy()
            assert (
                done.snapshot.how
                == {"windows": "Excel's own copy", "mac": "the file with unsaved edits"}[excel.platform]
            )
        assert book_file.read_bytes() == before
        assert excel.saved == []
        assert excel.opened[-1] == str(copied.copy)
        assert copied.copy.parent == book_file.parent
        written = openpyxl.load_workbook(copied.copy)["Batches"]
        assert [written[f"{c}9"].value for c in "ABCDE"] == ["Milky", 10, 3, 1.3, "=D9/(C9+D9)"]
        assert written["F2"].value is None
        assert written["D2"].comment.text.startswith("DANGER")
        assert written["B3"].comment.text == "rendered at home"
        assert sheet["D2"].note is None

    def test_two_in_one_second_have_two_names(self, excel: StandIn, book_file: Path) -> None:
        book = xw.books.open(str(book_file))
        with audited(book) as done:
            names = {done.write_copy().copy.name for _ in range(3)}
        assert len(names) == 3
        assert all(name.startswith("recipes.checked 2") for name in names)

    def test_a_book_never_saved_goes_beside_the_documents(self, excel: StandIn, tmp_path: Path) -> None:
        book = xw.books.add()
        book.sheets[0]["A1"].value = [["Recipe", "Lard (oz)", "Water (oz)", "Lye (oz)"], ["Heavy", 64, 24, 13]]
        with audited(book) as done:
            copied = done.write_copy()
        assert copied.copy.parent == tmp_path / "documents"
        assert "DANGER" in openpyxl.load_workbook(copied.copy).worksheets[0]["D2"].comment.text

    def test_a_book_on_a_cloud_address_goes_beside_the_documents(
        self, excel: StandIn, book_file: Path, tmp_path: Path
    ) -> None:
        book = xw.books.open(str(book_file))
        book.impl._url = "https://example.org/kitchen/recipes.xlsx"
        with audited(book) as done:
            copied = done.write_copy()
        assert copied.copy.parent == tmp_path / "documents"
        assert bool(copied.copy_report.warnings) == (excel.platform == "mac")  # built anew there, and says so

    @pytest.mark.parametrize("full_name", ["https://example.org/kitchen/recipes.xlsx", "Book1", "", None])
    def test_where_a_book_lies_is_not_taken_on_trust(
        self, excel: StandIn, book_file: Path, monkeypatch: pytest.MonkeyPatch, full_name: str | None
    ) -> None:
        """A full name may be an address, a bare name, nothing, or raise (which it does here for None)."""
        book = xw.books.open(str(book_file))
        assert attach.local_path(book) == book_file
        book.impl._url = "https://example.org/kitchen/recipes.xlsx"
        if full_name is not None:
            monkeypatch.setattr(type(book.impl), "fullname", property(lambda _: full_name))
        assert attach.local_path(book) is None

    def test_of_a_book_with_a_password_no_copy_without_one_is_made(
        self, excel: StandIn, book_file: Path, tmp_path: Path
    ) -> None:
        book = xw.books.open(str(book_file))
        encrypted = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600 + "EncryptedPackage".encode("utf-16-le")
        book_file.write_bytes(encrypted)
        book.impl._workbook.save = lambda path: Path(path).write_bytes(encrypted)
        with pytest.raises(EncryptedBookError, match="password"), audited(book):
            pass

    def test_a_new_sheet_is_seen(self, excel: StandIn, book_file: Path) -> None:
        book = xw.books.open(str(book_file))
        more = book.impl._workbook.create_sheet("More")
        for row in [["Recipe", "Lard (oz)", "Lye (oz)"], ["Late", 64, 13]]:
            more.append(row)
        with audited(book) as done:
            assert ("More", "C2") in {(f.sheet, f.cell) for f in done.audit.findings if f.signal == "DANGER"}


def test_spelling_in_a_file() -> None:
    typed = ['XLOOKUP(A1,B1:B9,C1:C9)&"XLOOKUP("', "SUM(A1:A3)", "CONCAT(A1,IFS(A1>1,2))"]
    assert file_spelling(typed) == [
        '_xlfn.XLOOKUP(A1,B1:B9,C1:C9)&"XLOOKUP("', "SUM(A1:A3)", "_xlfn.CONCAT(A1,_xlfn.IFS(A1>1,2))",
    ]  # fmt: skip


def test_a_formula_with_another_spelling_on_the_screen_is_not_an_edit(book_file: Path, tmp_path: Path) -> None:
    filed = read_workbook(book_file)
    cells = differences(filed, filed)
    assert cells == []
    lay_over(book_file, tmp_path / "same.xlsx", cells)
    assert read_workbook(tmp_path / "same.xlsx").grids[0].formulas == filed.grids[0].formulas


class TestButton:
    def test_it_audits_the_book_it_was_pressed_in(self, excel: StandIn, book_file: Path) -> None:
        book = xw.books.open(str(book_file))
        book.set_mock_caller()
        xw.books.add()  # another one is active
        excel.answers = ["yes"]
        button.main()
        title, text, buttons = excel.alerts[0]
        assert (title, buttons) == ("Sheetcheck", "yes_no")
        assert "1 of 3 recipes holds too much lye: DO NOT MAKE IT. 2 fine." in text
        assert "Batches!D3" in text
        assert len(excel.alerts) == 1
        assert Path(excel.opened[-1]).name.startswith("recipes.checked ")

    def test_no_writes_nothing(self, excel: StandIn, book_file: Path) -> None:
        xw.books.open(str(book_file)).set_mock_caller()
        excel.answers = ["no"]
        button.main()
        assert [p.name for p in book_file.parent.iterdir()] == ["recipes.xlsx"]

    def test_no_answer_is_a_no(self, excel: StandIn, book_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        def timed_out(*_: object) -> str:
            error = OSError("AppleEvent timed out")
            error.errornumber = -1712  # type: ignore[attr-defined]  # as appscript sets it
            raise error

        xw.books.open(str(book_file)).set_mock_caller()
        monkeypatch.setattr(type(next(iter(excel.apps))), "alert", timed_out)
        button.main()
        assert [p.name for p in book_file.parent.iterdir()] == ["recipes.xlsx"]

    def test_an_error_is_told_in_excel(self, excel: StandIn) -> None:
        button.main()
        assert excel.alerts[-1][1].startswith("No workbook is open")

    def test_the_command_line_of_the_macro(
        self, excel: StandIn, book_file: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        from xlwings import utils

        xw.books.open(str(book_file))
        before = list(sys.path)
        utils.prepare_sys_path(f"False;{book_file};/x/{button.__name__}.xlam;;;;")
        assert {path for path in sys.path if path not in before} <= {""}  # nothing from the workbook's folder
        monkeypatch.setattr(sys, "argv", ["-c", "--wb=recipes.xlsx", "--from_xl=1", "--app=/x", "--hwnd=1"])
        assert attach.calling_book().name == "recipes.xlsx"

    def test_no_workbook_open_gets_our_sentence(self, excel: StandIn, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(sys, "argv", ["-c", "--wb=sheetcheck.plugins.excel.button.xlam", "--from_xl=1", "--hwnd=1"])
        button.main()
        assert excel.alerts[-1][1].startswith("No workbook is open")

    def test_the_status_bar_says_that_it_works_and_is_given_back(
        self, excel: StandIn, book_file: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        shown: list[object] = []
        book = xw.books.open(str(book_file))
        book.set_mock_caller()
        bar = property(lambda _: None, lambda _, text: shown.append(text))
        monkeypatch.setattr(type(book.app), "status_bar", bar)
        button.main()
        assert shown[0] == "Sheetcheck is checking this workbook …"
        assert shown[-1] is False

    @pytest.mark.parametrize("name", ["lye=5 %.xlsx", "$(touch x).xlsx", "oz|g.xlsx", "Séifen.xlsx"])
    def test_a_book_with_signs_in_its_name_is_the_one(
        self, excel: StandIn, book_file: Path, monkeypatch: pytest.MonkeyPatch, name: str
    ) -> None:
        odd = book_file.rename(book_file.with_name(name))
        xw.books.open(str(odd))
        xw.books.add()  # another one is active
        said = unicodedata.normalize("NFD", name)
        monkeypatch.setattr(sys, "argv", ["-c", f"--wb={said}", "--from_xl=1", "--app=/x", "--hwnd=1"])
        assert attach.calling_book().name == name


def test_take_leaves_nothing_behind(excel: StandIn, book_file: Path, tmp_path: Path) -> None:
    folder = tmp_path / "snapshots"
    folder.mkdir()
    snapshot = take(xw.books.open(str(book_file)), folder)
    assert snapshot.how == {"windows": "Excel's own copy", "mac": "the file"}[excel.platform]
    assert len(list(folder.iterdir())) == (excel.platform == "windows")
