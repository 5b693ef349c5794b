"""The menu in a real LibreOffice Calc: each entry pressed on an open workbook with unsaved edits."""

import json
import sys
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from sheetcheck.errors import EncryptedBookError
from sheetcheck.pipeline import check
from sheetcheck.plugins.calc import doctor, install
from sheetcheck.plugins.errors import InstallError
from sheetcheck.workbook.read import read_workbook
from tests.plugins.office import Office, property_


def copies(folder: Path, what: str = "checked") -> list[Path]:
    return sorted(folder.glob(f"*.{what} *.xlsx"))


def cell(document: Any, address: str, sheet: str = "Batches") -> Any:
    return document.Sheets.getByName(sheet).getCellRangeByName(address)


def values(path: Path, sheet: str = "Batches") -> Any:
    return openpyxl.load_workbook(path, data_only=True)[sheet]


class TestInstall:
    def test_doctor_is_content_after_an_install(self, profile: Path) -> None:
        checks = {check.what: check for check in doctor.examine(profile)}
        assert not [c for c in checks.values() if c.remedy]
        assert checks["Python of the menu"].found == sys.executable

    def test_it_can_be_taken_out(self, unprivileged: Path) -> None:
        other = unprivileged / "other-profile"
        assert [c.remedy for c in doctor.examine(other) if c.what == "menu"] == ["Run: sheetcheck calc install"]
        install.install(other)
        install.install(other)  # over itself
        assert install.is_registered(other)
        assert install.uninstall(other)
        assert not install.is_registered(other)
        assert not install.uninstall(other)

    def test_root_is_told(self, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
        monkeypatch.setattr(install.os, "geteuid", lambda: 0)
        with pytest.raises(InstallError, match="as the user who opens the workbooks"):
            install.install(tmp_path)

    def test_doctor_sees_that_the_python_is_gone(self, profile: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(doctor, "installed_command", lambda _: ["/no/such/python"])
        found = doctor.examine(profile)[-1]
        assert "/no/such/python is not there" in found.found
        assert found.remedy == "Run: sheetcheck calc install"

    def test_the_extension_holds_the_full_path_and_no_library(self, tmp_path: Path) -> None:
        made = install.build(tmp_path / "made.oxt", "/opt/my python/bin/python")
        with zipfile.ZipFile(made) as package:
            command = json.loads(package.read("command.json"))["command"]
            assert command == ["/opt/my python/bin/python", "-m", "sheetcheck.plugins.calc"]
            assert {n for n in package.namelist() if n.endswith(".py")} == {
                "component.py",
                "pythonpath/sheetcheck_screen.py",
            }


class TestCopy:
    def test_unsaved_edits_are_in_the_copy_and_nothing_else_changes(self, office: Office, book_file: Path) -> None:
        before = book_file.read_bytes()
        document = office.open(book_file)
        cell(document, "D2").Value = 13
        for address, value in {"A9": "Milky", "B9": 10, "C9": 3, "D9": 1.3}.items():
            typed = cell(document, address)
            if isinstance(value, str):
                typed.String = value
            else:
                typed.Value = value
        cell(document, "E9").Formula = '=IF(TRUE();CONCAT(A9;"!";Prices.B1);1)'
        cell(document, "F2").String = ""
        office.press(document, "copy")
        assert document.isModified()
        assert document.URL.endswith("/recipes.xlsx")
        assert book_file.read_bytes() == before
        (copy,) = copies(book_file.parent)
        assert copy.name in [d.Title for d in office.documents()]
        shown, typed = values(copy), openpyxl.load_workbook(copy)["Batches"]
        assert [shown[f"{c}9"].value for c in "ABCDE"] == ["Milky", 10, 3, 1.3, "Milky!2.5"]
        assert typed["E9"].value == '=IF(TRUE(),_xlfn.CONCAT(A9,"!",Prices!B1),1)'
        assert shown["E2"].value == pytest.approx(13 / (13 + 24.29))  # a result that changed with the edit
        assert shown["F2"].value is None
        assert typed["D2"].comment.text.startswith("DANGER: Free lye: do not make it.")
        assert typed["B3"].comment.text == "rendered at home"
        assert typed["B9"].number_format == "General"

    def test_all_that_was_not_edited_is_the_file_s(self, office: Office, book_file: Path, tmp_path: Path) -> None:
        """The copy of the open workbook is the copy of its file, but for the one cell."""
        document = office.open(book_file)
        cell(document, "A4").String = "Window sill"
        office.press(document, "copy")
        (open_copy,) = copies(book_file.parent)
        file_copy = check(book_file, tmp_path / "closed.xlsx").copy
        with zipfile.ZipFile(open_copy) as one, zipfile.ZipFile(file_copy) as other:
            assert one.namelist() == other.namelist()
            differing = {n for n in one.namelist() if one.read(n) != other.read(n)}
        assert "xl/worksheets/sheet1.xml" in differing
        assert not {n for n in differing if n.startswith(("xl/theme", "xl/sharedStrings", "xl/worksheets/sheet2"))}

    def test_a_formula_that_calc_does_not_know_stays_as_it_is(self, office: Office, tmp_path: Path) -> None:
        book = tmp_path / "lookup.xlsx"
        workbook = openpyxl.Workbook()
        sheet = workbook.active
        assert sheet is not None
        sheet.append(["Recipe", "Lard (oz)", "Water (oz)", "Lye (oz)"])
        sheet.append(["Plain", 80, 24.29, 10.86])
        sheet["F2"] = "=_xlfn.XLOOKUP(A2,A1:A9,B1:B9)"
        workbook.save(book)
        document = office.open(book)
        cell(document, "D2", "Sheet").Value = 13
        office.press(document, "copy")
        (copy,) = copies(tmp_path)
        written = openpyxl.load_workbook(copy).worksheets[0]
        assert written["F2"].value == "=_xlfn.XLOOKUP(A2,A1:A9,B1:B9)"
        assert written["D2"].value == 13

    def test_a_new_sheet_is_seen_and_the_copy_says_that_it_was_built_anew(
        self, office: Office, book_file: Path
    ) -> None:
        document = office.open(book_file)
        document.Sheets.insertNewByName("More", 1)
        for column, (heading, value) in enumerate([("Recipe", "Late"), ("Lard (oz)", 64), ("Lye (oz)", 13)]):
            sheet = document.Sheets.getByName("More")
            sheet.getCellByPosition(column, 0).String = heading
            if isinstance(value, str):
                sheet.getCellByPosition(column, 1).String = value
            else:
                sheet.getCellByPosition(column, 1).Value = value
        office.press(document, "copy")
        (copy,) = copies(book_file.parent)
        assert values(copy, "More")["C2"].value == 13
        assert values(copy)["D3"].value == 13

    def test_a_workbook_never_saved_goes_beside_the_documents(self, office: Office, unprivileged: Path) -> None:
        document = office.desktop.loadComponentFromURL("private:factory/scalc", "_blank", 0, ())
        sheet = document.Sheets.getByIndex(0)
        for column, heading in enumerate(["Recipe", "Lard (oz)", "Water (oz)", "Lye (oz)"]):
            sheet.getCellByPosition(column, 0).String = heading
        sheet.getCellByPosition(0, 1).String = "Heavy"
        for column, value in enumerate([64, 24, 13], 1):
            sheet.getCellByPosition(column, 1).Value = value
        office.press(document, "copy")
        assert not document.URL
        (copy,) = copies(unprivileged / "Documents")
        assert "DANGER" in openpyxl.load_workbook(copy).worksheets[0]["D2"].comment.text

    @pytest.mark.parametrize("filter_name", ["calc8", "MS Excel 97"])
    def test_other_formats(self, office: Office, book_file: Path, filter_name: str) -> None:
        other = book_file.with_name("other.ods" if filter_name == "calc8" else "other.xls")
        made = office.open(book_file, hidden=True)
        made.storeToURL(office.uno.systemPathToFileUrl(str(other)), (property_("FilterName", filter_name),))
        made.close(True)
        document = office.open(other)
        cell(document, "D2").Value = 13
        office.press(document, "copy")
        (copy,) = copies(other.parent)
        assert values(copy)["D2"].value == 13

    def test_results_that_the_file_does_not_hold_are_those_on_the_screen(self, office: Office, tmp_path: Path) -> None:
        book = tmp_path / "no-results.xlsx"
        workbook = openpyxl.Workbook()
        sheet = workbook.active
        assert sheet is not None
        sheet.append(["Recipe", "Lard (oz)", "Water (oz)", "Lye (oz)"])
        sheet.append(["Plain", 80, 24.29, "=10+3"])
        workbook.save(book)
        office.press(office.open(book), "copy")
        (copy,) = copies(tmp_path)
        assert values(copy, "Sheet")["D2"].value == 13
        assert openpyxl.load_workbook(copy)["Sheet"]["D2"].value == "=10+3"
        assert "DANGER" in openpyxl.load_workbook(copy)["Sheet"]["D2"].comment.text

    @pytest.mark.parametrize("kind", ["xlsx", "ods"])
    def test_of_a_book_with_a_password_no_copy_without_one_is_made(
        self, office: Office, book_file: Path, kind: str
    ) -> None:
        locked = book_file.with_name(f"locked.{kind}")
        url = office.uno.systemPathToFileUrl(str(locked))
        password = property_("Password", "lye")
        how = [property_("FilterName", "calc8"), password]
        if kind == "xlsx":
            how = [
                property_("FilterName", "Calc MS Excel 2007 XML"),
                property_("EncryptionData", office.encryption("lye")),
            ]
        made = office.open(book_file, hidden=True)
        made.storeToURL(url, tuple(how))
        made.close(True)
        with pytest.raises(EncryptedBookError):
            read_workbook(locked)
        document = office.desktop.loadComponentFromURL(url, "_blank", 0, (password,))
        cell(document, "D2").Value = 13
        office.press(document, "copy")
        assert copies(book_file.parent) == []
        assert document.isModified()


def test_rescaled_with_what_is_not_saved_yet(office: Office, book_file: Path) -> None:
    document = office.open(book_file)
    cell(document, "D2").Value = 13  # free lye, on the screen alone
    office.press(document, "rescale/x2")
    (rescaled,) = copies(book_file.parent, "rescaled")
    said = {str(c.value) for sheet in openpyxl.load_workbook(rescaled) for row in sheet.iter_rows() for c in row}
    assert any("Plain" in text for text in said), "what is left out is told"
    assert document.isModified()


class TestUnmark:
    def test_marks_come_off_and_a_correction_stays(self, office: Office, book_file: Path) -> None:
        copy = check(book_file).copy
        document = office.open(copy)
        cell(document, "D3").Value = 8.69  # corrected in the copy, not saved
        office.press(document, "unmark")
        (back,) = copies(book_file.parent, "unmarked")
        assert back.name.startswith("recipes.unmarked ")
        written = openpyxl.load_workbook(back)
        assert written.sheetnames == ["Batches", "Prices", "Blank"]
        assert written["Batches"]["D3"].value == 8.69
        assert written["Batches"]["D3"].comment is None
        assert written["Batches"]["D3"].fill.fill_type is None
        assert written["Batches"]["B3"].comment.text == "rendered at home"

    def test_a_workbook_without_marks_is_left_alone(self, office: Office, book_file: Path) -> None:
        office.press(office.open(book_file), "unmark")
        assert [p.name for p in book_file.parent.glob("*.xlsx")] == ["recipes.xlsx"]


def test_audit_writes_nothing(office: Office, book_file: Path) -> None:
    before = book_file.read_bytes()
    document = office.open(book_file)
    cell(document, "D2").Value = 13
    office.press(document, "audit")
    assert [p.name for p in book_file.parent.glob("*.xlsx")] == ["recipes.xlsx"]
    assert book_file.read_bytes() == before
    assert document.isModified()
