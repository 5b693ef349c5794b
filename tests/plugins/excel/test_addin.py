"""The add-in as it is built on the user's machine, and what the doctor says of it."""

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
import xlwings as xw
from lxml import etree

from sheetcheck.plugins.errors import InstallError
from sheetcheck.plugins.excel import addin, button, doctor, macro
from sheetcheck.workbook.read import read_workbook
from tests.plugins.excel.stand_in import StandIn

WINDOWS_PYTHON = r"C:\Users\A & B\python\python.exe"


@pytest.fixture
def on_mac(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(sys, "platform", "darwin")
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    return tmp_path


class TestPackage:
    def test_it_is_sound_and_little_differs_from_the_template(self, tmp_path: Path) -> None:
        made = addin.build(tmp_path / addin.FILE_NAME, WINDOWS_PYTHON)
        with zipfile.ZipFile(made) as package, zipfile.ZipFile(addin.template()) as template:
            assert package.testzip() is None
            assert package.namelist() == template.namelist()
            for name in package.namelist():
                if name.endswith((".xml", ".rels")):
                    etree.fromstring(package.read(name))
            same = {n for n in package.namelist() if package.read(n) == template.read(n)}
            ours = {"xl/workbook.xml", "xl/worksheets/sheet1.xml", "xl/styles.xml", addin.RIBBON, addin.MACRO}
            assert set(package.namelist()) - same <= ours
            assert b"RibbonMyAddin.RunMain" in package.read(addin.RIBBON)

    def test_settings(self, tmp_path: Path) -> None:
        grid = read_workbook(addin.build(tmp_path / addin.FILE_NAME, WINDOWS_PYTHON)).grids[0]
        assert grid.name == "myaddin.conf"
        settings = {
            name.text: value.text for row in grid.rows() if (name := grid.cell(row, 1)) and (value := grid.cell(row, 2))
        }
        assert settings["ADD_WORKBOOK_TO_PYTHONPATH"] == "False"
        assert WINDOWS_PYTHON in settings.values()
        assert not [name for name in settings if "LICENSE" in name.upper()]

    def test_its_file_name_is_the_module_of_the_button(self) -> None:
        assert addin.FILE_NAME.removesuffix(".xlam") == addin.MODULE == button.__name__
        assert callable(button.main)

    @pytest.mark.filterwarnings("ignore")  # of the library that reads macros
    def test_the_template_s_macro_does_what_we_rely_on(self) -> None:
        olevba = pytest.importorskip("oletools.olevba")
        macros = {name: text for _, _, name, text in olevba.VBA_Parser(str(addin.template())).extract_macros()}
        run = macros["RibbonMyAddin.bas"]
        assert "Sub RunMain(control As IRibbonControl)" in run
        assert 'mymodule = Left(ThisWorkbook.Name, (InStrRev(ThisWorkbook.Name, ".", -1, vbTextCompare) - 1))' in run
        assert 'RunPython "import " & mymodule & ";" & mymodule & ".main()"' in run
        assert 'PROJECT_NAME As String = "myaddin"' in macros["xlwings.bas"]
        assert 'GetConfig("ADD_WORKBOOK_TO_PYTHONPATH", "true")' in macros["xlwings.bas"]
        assert f'XLWINGS_VERSION As String = "{xw.__version__}"' in macros["xlwings.bas"]

    @pytest.mark.filterwarnings("ignore")  # of the library that reads macros
    def test_the_macro_takes_no_settings_from_the_workbook_in_front(self, tmp_path: Path) -> None:
        """The interpreter that the button runs is named by the add-in alone, never by a stranger's workbook."""
        olevba = pytest.importorskip("oletools.olevba")
        made = addin.build(tmp_path / addin.FILE_NAME, WINDOWS_PYTHON)
        before, after = (
            {name: text for _, _, name, text in olevba.VBA_Parser(str(file)).extract_macros()}
            for file in (addin.template(), made)
        )
        assert {name for name in before if before[name] != after[name]} == {"xlwings.bas"}
        lines = list(zip(before["xlwings.bas"].splitlines(), after["xlwings.bas"].splitlines(), strict=True))
        differ = [(old, new) for old, new in lines if old != new]
        assert len(differ) == len(macro.ASKING)
        for old, new in differ:
            assert len(old) == len(new)
            assert new.replace(" ", "") == old.replace("ActiveWorkbook", "ThisWorkbook").replace(" ", "")
        run = after["xlwings.bas"][: after["xlwings.bas"].index("Function GetConfig(")]
        told = [line for line in run.splitlines() if "ActiveWorkbook.Name" in line or "ActiveWorkbook.FullName" in line]
        assert [line for line in told if "PYTHONPATH = AddExcelDir" not in line] == [], "no shell sees her book's name"
        text = after["xlwings.bas"]
        config = text[text.index("Function GetConfig(") : text.index("Function GetConfigFromFile")]
        assert "ActiveWorkbook" not in config
        assert "ThisWorkbook" in config

    @pytest.mark.parametrize("text", [b"a", b"abcabcabcabcabcabc", bytes(range(256)) * 16, b"x" * 4096, b"If If If x"])
    def test_what_is_packed_is_unpacked(self, text: bytes) -> None:
        olevba = pytest.importorskip("oletools.olevba")
        packed = macro._packed(text) if text != bytes(range(256)) * 16 else macro._packed(text[:1000])
        text = text if text != bytes(range(256)) * 16 else text[:1000]
        assert macro._unpacked(packed) == text
        assert olevba.decompress_stream(bytearray(b"\x01" + packed)) == text  # another reader of the format

    def test_another_template_is_refused(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        other = Path(xw.__file__).with_name("quickstart.xlsm")
        monkeypatch.setattr(addin, "template", lambda: other)
        with pytest.raises(InstallError, match="Install another version"):
            addin.build(tmp_path / addin.FILE_NAME)


class TestInstall:
    def test_mac(self, on_mac: Path) -> None:
        target = addin.install()
        assert target.parent.name == "Excel"
        assert "Startup.localized" in str(target)
        text = addin.script().read_text(encoding="utf-8")
        assert "quoted form of PythonInterpreter" in text
        assert 'quoted form of ("--wb=" & WorkbookName)' in text
        theirs = Path(xw.__file__).with_name(addin.script().name).read_text(encoding="utf-8")
        assert text.replace("quoted form of ", "").count("\n") == theirs.count("\n"), "all else is xlwings' own"
        assert addin.uninstall() == target
        assert addin.uninstall() is None

    def test_windows(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(sys, "platform", "win32")
        monkeypatch.setenv("APPDATA", str(tmp_path))
        assert addin.startup_folder() == tmp_path / "Microsoft" / "Excel" / "XLSTART"
        assert addin.install().is_file()

    def test_elsewhere(self) -> None:
        with pytest.raises(InstallError, match="sheetcheck calc install"):
            addin.install()


class TestDoctor:
    def found(self) -> dict[str, tuple[str, str]]:
        return {check.what: (check.found, check.remedy) for check in doctor.examine()}

    def test_all_in_order(self, on_mac: Path, excel: StandIn, book_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        xw.books.open(str(book_file))
        monkeypatch.setattr(doctor, "_EXCEL_FOR_MAC", on_mac)
        addin.install()
        found = self.found()
        assert {what: remedy for what, (_, remedy) in found.items() if remedy} == {}
        assert found["open workbook"][0] == "recipes.xlsx"

    def test_nothing_in_order(self, on_mac: Path, excel: StandIn) -> None:
        found = self.found()
        assert found["button"] == ("not installed", "Run: sheetcheck excel install")
        assert found["script for macros"][1] == "Run: sheetcheck excel install"
        assert "No workbook is open" in found["open workbook"][1]

    def test_python_is_gone(self, tmp_path: Path) -> None:
        made = addin.build(tmp_path / addin.FILE_NAME, "/no/such/python")
        assert [(c.found, c.remedy) for c in doctor.of_addin(made) if c.remedy] == [
            ("/no/such/python is not there", "Run: sheetcheck excel install")
        ]

    def test_xlwings_was_updated(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        made = addin.build(tmp_path / addin.FILE_NAME)
        newer = tmp_path / "newer.xlam"
        with zipfile.ZipFile(addin.template()) as old, zipfile.ZipFile(newer, "w") as new:
            for name in old.namelist():
                new.writestr(name, old.read(name) + (b" " if name == addin.MACRO else b""))
        monkeypatch.setattr(addin, "template", lambda: newer)
        assert "of another version of xlwings" in next(c.found for c in doctor.of_addin(made) if c.remedy)

    def test_mac_forbids_automation(self, on_mac: Path, excel: StandIn, monkeypatch: pytest.MonkeyPatch) -> None:
        class CommandError(Exception):
            errornumber = -1743

        def forbidden(_: object) -> None:
            raise CommandError

        monkeypatch.setattr(type(excel.apps), "__len__", forbidden)
        assert "Privacy & Security, Automation" in self.found()["open workbook"][1]


def test_without_the_part_under_another_licence(tmp_path: Path, root: Path) -> None:
    """The tests of this folder again, with an xlwings from which `pro` was taken out."""
    if os.environ.get("SHEETCHECK_WITHOUT_PRO"):
        assert not Path(xw.__file__).with_name("pro").exists()
        assert xw.__pro__ is False
        return
    bare = tmp_path / "xlwings"
    shutil.copytree(Path(xw.__file__).parent, bare, ignore=shutil.ignore_patterns("pro", "__pycache__"))
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "tests/plugins/excel", "-q", "-p", "no:cacheprovider", "-k", "not over_uno"],
        cwd=root,
        env={**os.environ, "PYTHONPATH": str(tmp_path), "SHEETCHECK_WITHOUT_PRO": "yes"},
        capture_output=True,
        text=True,
        check=False,
        timeout=600,
    )
    assert done.returncode == 0, done.stdout[-3000:]
    assert " passed" in done.stdout


def test_no_licence_key_anywhere(root: Path) -> None:
    for path in [*(root / "sheetcheck").rglob("*.py"), root / ".ci" / "run"]:
        assert "LICENSE_KEY" not in path.read_text(encoding="utf-8"), path
        assert "xlwings.pro" not in path.read_text(encoding="utf-8"), path
