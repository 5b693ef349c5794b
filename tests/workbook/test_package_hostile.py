"""Files made to exhaust the machine end at once with a sentence, and limits can be set."""

import dataclasses
import os
import struct
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from raw_packages import MAIN, sheet, write_package

from sheetcheck.errors import BookError, DamagedBookError, HostileBookError
from sheetcheck.workbook import archive, read_workbook
from sheetcheck.workbook.budget import Budget
from sheetcheck.workbook.limits import DEFAULT_LIMITS, Limits
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.sheet_xml import count_cells_first

resource = pytest.importorskip("resource", reason="counts memory as Unix does")

SECONDS = 10.0
GROWTH_MB = 300


@pytest.fixture(autouse=True)
def bounded() -> Iterator[None]:
    """Each of these tests takes little time and memory."""
    memory, start = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, time.process_time()
    yield
    assert time.process_time() - start < SECONDS
    assert (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - memory) / 1024 < GROWTH_MB


def refused(path: Path, limits: Limits = DEFAULT_LIMITS) -> str:
    with pytest.raises(BookError) as caught:
        read_workbook(path, limits)
    assert isinstance(caught.value, HostileBookError)
    return str(caught.value)


def padded(inside: bytes, count: int) -> Iterator[bytes]:
    yield f'<worksheet xmlns="{MAIN}"><sheetData>'.encode()
    for _ in range(count):
        yield inside
    yield b"</sheetData></worksheet>"


def test_bomb_of_one_part(tmp_path: Path) -> None:
    path = write_package(tmp_path / "bomb.xlsx", padded(b" " * (1 << 20), 300))
    assert path.stat().st_size < 1 << 20
    assert "times its size" in refused(path)


def test_bomb_of_many_parts(tmp_path: Path) -> None:
    path = write_package(
        tmp_path / "bomb.xlsx", sheet(), parts={f"xl/media/{n}.png": bytes(6 << 20) for n in range(30)}
    )
    assert "times its size" in refused(path)


def test_sixteen_million_rows(tmp_path: Path) -> None:
    assert "times its size" in refused(write_package(tmp_path / "rows.xlsx", padded(b"<row/>" * 100_000, 160)))


def test_too_many_parts(tmp_path: Path) -> None:
    path = write_package(tmp_path / "parts.xlsx", sheet(), parts={f"x/{n}": "" for n in range(200)})
    assert "parts" in refused(path, Limits(parts=100))
    assert "list of parts" in refused(path, Limits(parts=20))
    assert read_workbook(path).grids


def declared(path: Path, *, size: int) -> None:
    """Let the directory state another size of the sheet's part than it has."""
    data = bytearray(path.read_bytes())
    name = b"xl/worksheets/sheet1.xml"
    local = data.find(name) - 30
    central = data.rfind(name) - 46
    struct.pack_into("<L", data, local + 22, size)
    struct.pack_into("<L", data, central + 24, size)
    path.write_bytes(data)


def test_size_that_the_directory_understates(tmp_path: Path) -> None:
    rows = "".join(f'<row r="{r}"><c r="A{r}"><v>{r}</v></c></row>' for r in range(1, 3000))
    path = write_package(tmp_path / "lie.xlsx", sheet(rows))
    declared(path, size=500)
    with pytest.raises(DamagedBookError, match=r"sheet1\.xml"):
        read_workbook(path)


def test_size_that_the_directory_overstates(tmp_path: Path) -> None:
    path = write_package(tmp_path / "lie.xlsx", sheet())
    declared(path, size=0xF0000000)
    assert "MB" in refused(path)


def test_entries_that_overlap(tmp_path: Path) -> None:
    """Many names for one block of compressed data, each of which would be inflated."""
    path = write_package(tmp_path / "overlap.xlsx", sheet(), parts={"xl/a.bin": os.urandom(1 << 16) * 16})
    data = path.read_bytes()
    end = data.rfind(b"PK\x05\x06")
    start = struct.unpack_from("<L", data, end + 16)[0]
    entry_at = data.rfind(b"xl/a.bin", start, end) - 46
    entry = data[entry_at : entry_at + 46 + len("xl/a.bin")]
    copies = b"".join(entry.replace(b"xl/a.bin", b"%08d" % n) for n in range(5000))
    record = bytearray(data[end:])
    struct.pack_into(
        "<HHL", record, 8, *(2 * [struct.unpack_from("<H", record, 8)[0] + 5000]), end - start + len(copies)
    )
    path.write_bytes(data[:end] + copies + record)
    assert "MB inside" in refused(path)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize(
    "part", ["xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/sharedStrings.xml", "xl/styles.xml"]
)
def test_document_types_are_refused_in_every_part_and_encoding(tmp_path: Path, part: str, encoding: str) -> None:
    lol = "".join(f'<!ENTITY l{n + 1} "' + f"&l{n};" * 10 + '">' for n in range(9))
    entities = f'<!ENTITY l0 "lol">{lol}<!ENTITY f SYSTEM "file:///etc/passwd">'
    xml = f'<!-- x --><!DOCTYPE a [{entities}]><a b="&l9;">&l9;&f;</a>'
    path = tmp_path / "dtd.xlsx"
    write_package(path, sheet(), strings="", styles="", parts={part: xml.encode(encoding)})
    assert "is not written as a spreadsheet program writes a workbook" in refused(path)
    assert "document type" in refused(path)


def test_entity_that_is_not_declared(tmp_path: Path) -> None:
    path = write_package(tmp_path / "b.xlsx", sheet('<row r="1"><c r="A1" t="str"><v>&lye;</v></c></row>'))
    with pytest.raises(DamagedBookError, match="entity"):
        read_workbook(path)


def test_encoding_that_hides_what_it_holds(tmp_path: Path) -> None:
    data = b'<?xml version="1.0" encoding="utf-7"?>+ADwAIQ-DOCTYPE a+AD4APA-a/+AD4-'
    with pytest.raises(BookError):
        read_workbook(write_package(tmp_path / "b.xlsx", data))


def test_corners_of_the_sheet_cost_nothing(tmp_path: Path) -> None:
    rows = '<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c r="XFD1048576"><v>2</v></c></row>'
    path = write_package(tmp_path / "b.xlsx", sheet(rows, head='<dimension ref="A1:XFD1048576"/>'))
    grid = read_workbook(path).grids[0]
    assert (len(grid.row), grid.last_row, grid.last_column) == (2, 1048576, 16384)
    assert grid.rows() == [1, 1048576]


@pytest.mark.parametrize("place", ["A1048577", "XFE1", "A9999999", "ZZZ1", "A99999999999", "ZZZZZZ1"])
@pytest.mark.parametrize("quote", ['"', "'"])
def test_cells_past_the_sheet(tmp_path: Path, place: str, quote: str) -> None:
    path = write_package(tmp_path / "b.xlsx", sheet(f"<row><c r={quote}{place}{quote}><v>1</v></c></row>"))
    assert "xl/worksheets/sheet1.xml has a cell in row" in refused(path)


def test_row_that_does_not_end(tmp_path: Path) -> None:
    cell = b'<c r="A1" t="inlineStr"><is><t>' + os.urandom(500_000).hex().encode() + b"</t></is></c>"
    path = write_package(tmp_path / "row.xlsx", padded(b'<row r="1">' + cell, 75))
    with pytest.raises(DamagedBookError):
        read_workbook(path)


def test_elements_nested_without_end(tmp_path: Path) -> None:
    deep = "<a>" * 100_000 + "</a>" * 100_000
    with pytest.raises(DamagedBookError):
        read_workbook(write_package(tmp_path / "head.xlsx", sheet(head=deep)))
    inside = f'<row r="1"><c r="A1" t="inlineStr"><is>{deep}</is></c></row>'
    assert not len(read_workbook(write_package(tmp_path / "cell.xlsx", sheet(inside))).grids[0].row)


def test_limits_can_be_set(tmp_path: Path) -> None:
    rows = "".join(f'<row r="{r}"><c r="A{r}" t="s"><v>0</v></c><c r="B{r}"><v>1</v></c></row>' for r in range(1, 11))
    tail = "<mergeCells>" + '<mergeCell ref="D1:E1"/>' * 5 + "</mergeCells>"
    path = write_package(
        tmp_path / "b.xlsx",
        sheet(rows, tail=tail),
        strings="<si><t>abc</t></si>" * 5,
        styles=f"<cellXfs>{'<xf/>' * 5}</cellXfs>",
    )
    size = path.stat().st_size
    for limits in (
        {"cells": 19},
        {"shared_strings": 4},
        {"text_characters": 14},
        {"styles": 4},
        {"merges": 4},
        {"sheets": 0},
        {"tree_bytes": 100},
        {"part_bytes": 400},
        {"package_bytes": 1000},
        {"file_bytes": size - 1},
    ):
        refused(path, dataclasses.replace(DEFAULT_LIMITS, **limits))
    at_the_limit = Limits(cells=20, shared_strings=5, text_characters=15, styles=5, merges=5, sheets=1, file_bytes=size)
    assert len(read_workbook(path, at_the_limit).grids[0].row) == 20


@pytest.mark.parametrize("prefix", ["", "x:"])
@pytest.mark.parametrize("piece", [7, 1 << 16])
def test_too_many_cells_are_told_of_before_any_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, prefix: str, piece: int
) -> None:
    cells = "".join(f'<{prefix}c r="A{r}"><{prefix}v>1</{prefix}v></{prefix}c>' for r in range(1, 21))
    path = write_package(tmp_path / "b.xlsx", sheet(cells))
    monkeypatch.setattr(archive, "CHUNK", piece)
    assert count_of_cells_refused(path, 19)
    assert not count_of_cells_refused(path, 20)


def count_of_cells_refused(path: Path, most: int) -> bool:
    with Package.open(path, dataclasses.replace(DEFAULT_LIMITS, cells=most)) as package:
        try:
            count_cells_first(package, (entry.part for entry in package.sheets), Budget(path, package.limits))
        except HostileBookError:
            return True
    return False


def test_names_with_path_tricks_are_only_names(tmp_path: Path) -> None:
    path = write_package(tmp_path / "b.xlsx", sheet(), parts={"../../evil.txt": "x", "/etc/evil": "x", "C:\\evil": "x"})
    assert read_workbook(path).grids
    assert sorted(p.name for p in tmp_path.iterdir()) == ["b.xlsx"]


def test_part_packed_in_another_way(tmp_path: Path) -> None:
    path = write_package(tmp_path / "b.xlsx", sheet(), strings="")
    with zipfile.ZipFile(path) as good, zipfile.ZipFile(tmp_path / "d.xlsx", "w", zipfile.ZIP_BZIP2) as packed:
        for name in good.namelist():
            packed.writestr(name, good.read(name))
    with pytest.raises(DamagedBookError, match="packed in a way that workbooks are not"):
        read_workbook(tmp_path / "d.xlsx")
