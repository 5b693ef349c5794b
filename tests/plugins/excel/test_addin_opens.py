"""The add-in as it is built on the user's machine, opened in a real spreadsheet program."""

from pathlib import Path

from sheetcheck.plugins.excel import addin
from tests.plugins.office import Office, property_


def test_a_real_spreadsheet_program_opens_it(tmp_path: Path) -> None:
    made = addin.build(tmp_path / addin.FILE_NAME, "/opt/python/bin/python")
    with Office(tmp_path / "profile") as office:
        document = office.desktop.loadComponentFromURL(
            office.uno.systemPathToFileUrl(str(made)),
            "_blank",
            0,
            (property_("Hidden", True), property_("FilterName", "Calc MS Excel 2007 VBA XML")),
        )
        sheet = document.Sheets.getByIndex(0)
        assert sheet.Name == "myaddin.conf"
        assert sheet.getCellRangeByName("A2").String.startswith("Interpreter")
        libraries = document.BasicLibraries
        modules = {m for name in libraries.ElementNames for m in libraries.getByName(name).ElementNames}
        assert "RibbonMyAddin" in modules
        document.close(True)
