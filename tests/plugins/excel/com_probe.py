"""Run by a test in a process of its own: the plugin on xlwings' code for Windows, over stand-ins for COM objects."""

import tempfile
from pathlib import Path

import openpyxl
import platformdirs
import xlwings as xw

from sheetcheck.pipeline import audit
from sheetcheck.plugins.errors import ProgramBusyError
from sheetcheck.plugins.excel import attach, button, snapshot
from sheetcheck.plugins.excel.auditing import audited
from sheetcheck.plugins.excel.differences import differences
from sheetcheck.plugins.excel.marking import mark, unmark
from sheetcheck.plugins.excel.screen import read_screen
from sheetcheck.report.marks import plan
from sheetcheck.workbook.read import read_workbook
from tests.plugins.excel import platforms
from tests.plugins.excel.com_stand_in import Application
from tests.plugins.recipe_book import make_book

CALL_REJECTED = -2147418111


def main(folder: Path) -> None:
    engine = platforms.windows()
    import pywintypes

    excel = Application(pywintypes.TimeType)
    texts: list[str] = []
    engine.get_xl_apps = lambda: iter([excel])
    engine.get_excel_hwnds = lambda: iter([excel.Hwnd])
    engine.get_xl_app_from_hwnd = lambda _: excel
    engine.win32process.GetWindowThreadProcessId = lambda _: (1, 999)
    engine.win32api.MessageBox = lambda _, text, *__: texts.append(text) or 6  # the answer is yes
    xw.engines.add(xw.Engine(impl=engine.engine))
    xw.engines["excel"].activate()
    platformdirs.user_data_path = lambda *_, **__: folder

    file = make_book(folder / "recipes.xlsx")
    before = file.read_bytes()
    book = xw.books.open(str(file))
    assert type(book.impl).__module__ == "xlwings._xlwindows"
    assert differences(read_workbook(file), read_screen(book)) == []
    book.sheets["Batches"]["D2"].value = 13
    with audited(book) as done:
        assert done.snapshot.how == "Excel's own copy"
        assert {f.cell for f in done.audit.findings if f.signal == "DANGER"} == {"D2", "D3"}
        copied = done.write_copy()
        marked = mark(book, plan(done.audit))
    assert openpyxl.load_workbook(copied.copy)["Batches"]["D2"].value == 13
    assert excel.ActiveWorkbook is not None
    assert excel.ActiveWorkbook.Name == copied.copy.name
    sheet = book.sheets["Batches"]
    assert marked.cells == 2
    assert (sheet["D3"].color, sheet["D3"].note.text[:6]) == ((0xF2, 0x95, 0x8B), "DANGER")
    assert unmark(book).left == ()
    assert (sheet["D3"].color, sheet["D3"].note) == (None, None)

    snapshot._own_copy = lambda *_: None  # as where Excel cannot write a copy
    with audited(book) as done:
        assert done.snapshot.how == "the file with unsaved edits"
        assert done.audit.findings != audit(file).findings

    book.set_mock_caller()
    button.main()
    assert "hold too much lye" in texts[-1]
    assert file.read_bytes() == before
    assert book.impl.xl.saved == []

    class Typing:
        """Excel while somebody types in a cell: every call is rejected."""

        def __getattr__(self, name: str) -> object:
            error = pywintypes.com_error()
            error.hresult = CALL_REJECTED
            raise error

    attach.WAIT_SECONDS = 1.0
    engine.get_xl_app_from_hwnd = lambda _: engine.COMRetryObjectWrapper(Typing())
    try:
        attach.open_book()
    except ProgramBusyError:
        print("all is well")  # noqa: T201 - the test reads it
    assert engine.N_COM_ATTEMPTS == 0


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as temporary:
        main(Path(temporary))
