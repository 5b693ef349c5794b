"""The package: parts, types, relationships, sheets; and what is refused when it is opened."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
import xlsxwriter
from raw_packages import LINKS, STRICT_LINKS, STRICT_MAIN, sheet, write_package

from sheetcheck.errors import (
    BookError,
    BookLockedError,
    BookNotFoundError,
    DamagedBookError,
    EncryptedBookError,
    NotAWorkbookError,
)
from sheetcheck.workbook import read_workbook
from sheetcheck.workbook.package import STRICT, TRANSITIONAL, Package, Relationship

WORKSHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
ENCRYPTED = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600) + "EncryptedPackage".encode("utf-16-le") + bytes(600)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "book.xlsx"
    with xlsxwriter.Workbook(path) as written:
        written.add_worksheet("Recipes").write_comment("A1", "a note")
        written.add_worksheet("Old").hide()
    return path


def test_parts_types_and_relationships(book: Path) -> None:
    with Package.open(book) as package:
        assert package.workbook_part == "xl/workbook.xml"
        assert package.names == tuple(zipfile.ZipFile(book).namelist())
        assert package.read("xl/workbook.xml") == zipfile.ZipFile(book).read("xl/workbook.xml")
        assert package.read("/XL/Workbook.xml") == package.read("xl/workbook.xml")
        assert "xl/worksheets/sheet1.xml" in package
        assert "xl/worksheets/sheet3.xml" not in package
        assert package.part_type("xl/worksheets/sheet1.xml") == WORKSHEET
        assert (
            package.part_type("xl/drawings/vmlDrawing1.vml")
            == "application/vnd.openxmlformats-officedocument.vmlDrawing"
        )
        assert package.part_type("nothing.known") == ""
        assert package.related("xl/worksheets/sheet1.xml", "comments") == "xl/comments1.xml"
        assert package.related("xl/worksheets/sheet2.xml", "comments") is None
        assert [(s.name, s.part, s.state, s.sheet_id, s.kind) for s in package.sheets] == [
            ("Recipes", "xl/worksheets/sheet1.xml", "visible", 1, "worksheet"),
            ("Old", "xl/worksheets/sheet2.xml", "hidden", 2, "worksheet"),
        ]
        assert (package.namespace, package.is_strict) == (TRANSITIONAL, False)


def test_strict_package(tmp_path: Path) -> None:
    path = write_package(tmp_path / "b.xlsx", sheet(), main=STRICT_MAIN, relationships=STRICT_LINKS)
    with Package.open(path) as package:
        assert (package.namespace, package.is_strict) == (STRICT, True)
        assert package.relationships_namespace == STRICT_LINKS
        assert [s.part for s in package.sheets] == ["xl/worksheets/sheet1.xml"]


def test_targets_of_relationships(tmp_path: Path) -> None:
    links = (
        f'<Relationship Id="a" Type="{LINKS}/drawing" Target="../drawings/d.xml"/>'
        f'<Relationship Id="b" Type="{LINKS}/comments" Target="/xl/comments.xml"/>'
        f'<Relationship Id="c" Type="{LINKS}/hyperlink" Target="https://example.org/a/../b" TargetMode="External"/>'
        f'<Relationship Id="d" Type="{LINKS}/image" Target="..\\..\\..\\..\\etc\\x.png"/>'
    )
    with Package.open(write_package(tmp_path / "b.xlsx", sheet(), sheet_links=links)) as package:
        assert package.relationships("xl/worksheets/sheet1.xml") == (
            Relationship("a", f"{LINKS}/drawing", "xl/drawings/d.xml"),
            Relationship("b", f"{LINKS}/comments", "xl/comments.xml"),
            Relationship("c", f"{LINKS}/hyperlink", "https://example.org/a/../b", external=True),
            Relationship("d", f"{LINKS}/image", "etc/x.png"),
        )


def test_workbook_part_without_a_relationship_to_it(tmp_path: Path) -> None:
    path = write_package(tmp_path / "b.xlsx", sheet(), parts={"_rels/.rels": "<Relationships/>"})
    with Package.open(path) as package:
        assert package.workbook_part == "xl/workbook.xml"


def test_importing_the_folder_is_cheap() -> None:
    program = "import sys, sheetcheck.workbook as w; print({'lxml', 'numpy', 'xlrd'} & {*sys.modules}, w.read_workbook)"
    said = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert said.startswith("set() <function read_workbook")


def zip_of(path: Path, **parts: str) -> Path:
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name.replace("__", "/").replace("_", "."), content)
    return path


def text_document(path: Path) -> Path:
    kind = "application/vnd.openxmlformats-officedocument.wordprocessingml.document.main+xml"
    types = (
        '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{kind}"/></Types>'
    )
    return write_package(path, parts={"[Content_Types].xml": types})


REFUSED = {
    "missing": (lambda p: p, BookNotFoundError, "no such file"),
    "folder": (lambda p: p.mkdir(), BookNotFoundError, "this is a folder"),
    "empty": (lambda p: p.touch(), NotAWorkbookError, "the file is empty"),
    "text": (lambda p: p.write_text("lard 80 oz"), NotAWorkbookError, "is not a workbook"),
    "web page": (lambda p: p.write_text("\n <HTML><table>"), NotAWorkbookError, "it holds a web page"),
    "picture": (lambda p: p.write_bytes(b"\x89PNG\r\n\x1a\n"), NotAWorkbookError, "it holds a picture"),
    "other zip": (lambda p: zip_of(p, notes_txt="x"), NotAWorkbookError, "a zip archive of something else"),
    "zip with nothing in it": (zip_of, NotAWorkbookError, "an empty archive"),
    "text document": (text_document, NotAWorkbookError, "a text document"),
    "encrypted": (lambda p: p.write_bytes(ENCRYPTED), EncryptedBookError, "without the password"),
    "cut off": (lambda p: p.write_bytes(write_package(p, sheet()).read_bytes()[:-300]), DamagedBookError, "damaged"),
    "two parts of one name": (
        lambda p: write_package(p, sheet(), parts={"XL/workbook.xml": "<a/>"}),
        DamagedBookError,
        "two parts named",
    ),
    "workbook part broken": (
        lambda p: write_package(p, sheet(), after_sheets="<oops>"),
        DamagedBookError,
        "xl/workbook.xml",
    ),
    "sheet part broken": (lambda p: write_package(p, sheet("<row><c>")), DamagedBookError, "xl/worksheets/sheet1.xml"),
    "sheet part cut off": (lambda p: write_package(p, sheet()[:90]), DamagedBookError, "xl/worksheets/sheet1.xml"),
    "no sheets": (lambda p: write_package(p, sheet(), sheets=""), DamagedBookError, "lists no sheets"),
    "one part for two sheets": (
        lambda p: write_package(
            p, sheet(), sheets='<sheet name="A" sheetId="1" r:id="s1"/><sheet name="B" sheetId="2" r:id="s1"/>'
        ),
        DamagedBookError,
        "the same part",
    ),
    "cell in row 0": (
        lambda p: write_package(p, sheet('<row r="0"><c r="A0"><v>1</v></c></row>')),
        DamagedBookError,
        "row 0",
    ),
    "cell in no place": (
        lambda p: write_package(p, sheet('<row r="1"><c r="here"><v>1</v></c></row>')),
        DamagedBookError,
        "speaks of cell 'here'",
    ),
    "merge of no range": (
        lambda p: write_package(p, sheet(tail='<mergeCells><mergeCell ref="A1:?"/></mergeCells>')),
        DamagedBookError,
        "merges cell '?'",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_refused_with_a_sentence(tmp_path: Path, case: str) -> None:
    make, error, words = REFUSED[case]
    path = tmp_path / "book.xlsx"
    make(path)
    before = path.read_bytes() if path.is_file() else None
    with pytest.raises(error) as caught:
        read_workbook(path)
    assert words in str(caught.value)
    assert str(caught.value).startswith("book.xlsx: ")
    assert str(caught.value).endswith((".", "settings."))
    assert (path.read_bytes() if path.is_file() else None) == before


def test_what_lies_beside_an_open_book(tmp_path: Path) -> None:
    path = tmp_path / "~$book.xlsx"
    path.write_bytes(b"\x05Maker" + bytes(160))
    with pytest.raises(NotAWorkbookError, match="keeps beside a book that is open"):
        read_workbook(path)


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="permissions do not bind here")
def test_file_that_may_not_be_read(book: Path) -> None:
    book.chmod(0)
    with pytest.raises(BookLockedError, match="may read it"):
        read_workbook(book)


def test_file_held_by_another_program(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def held(*_: object) -> None:
        raise PermissionError(13, "The process cannot access the file")

    monkeypatch.setattr(Path, "open", held)
    with pytest.raises(BookLockedError, match=r"cannot access the file.*Close it in the spreadsheet program"):
        read_workbook(book)


def test_a_device_is_not_read(tmp_path: Path) -> None:
    if not hasattr(os, "mkfifo"):
        pytest.skip("no pipes in this system's file tree")
    os.mkfifo(tmp_path / "pipe.xlsx")
    with pytest.raises(NotAWorkbookError, match="not an ordinary file"):
        read_workbook(tmp_path / "pipe.xlsx")


def test_every_byte_that_may_be_wrong_is_read_or_refused(tmp_path: Path) -> None:
    good = write_package(tmp_path / "book.xlsx", sheet('<row r="1"><c r="A1"><v>1</v></c></row>')).read_bytes()
    path = tmp_path / "damaged.xlsx"
    read = 0
    for place in range(0, len(good), 7):
        path.write_bytes(good[:place] + bytes([good[place] ^ 0xFF]) + good[place + 1 :])
        try:
            read += bool(read_workbook(path).grids)
        except BookError:
            continue
    assert 0 < read < len(good) // 7
