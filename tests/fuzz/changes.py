"""Ways to change a workbook at random: bytes of the file and of its parts, the XML in them, what its cells hold.

Each takes the bytes of a book and a source of chance, and gives the bytes of another: the same chance, the same bytes.
"""

from __future__ import annotations

import io
import random
import warnings
import zipfile
from collections.abc import Callable, Sequence

import openpyxl
from lxml import etree
from openpyxl.worksheet.worksheet import Worksheet

Change = Callable[[bytes, random.Random], bytes]

TEXTS = (
    "", " ", "0", "-1", "1e300", "1e400", "NaN", "INF", "true", "4294967296", "99999999999999999999", "A1",
    "ZZZ9999999", "XFD1048576", "A1:XFD1048576", "#REF!", "_x0000_", "_xD800_", "\u202e", "\U0001f9fc",
    "é" * 300, "x" * 40_000,
)  # fmt: skip
AMOUNTS: tuple[object, ...] = (
    None, "", 0, -1, 0.1, 7, 28.35, 1e-300, 1e300, -1e300, True, "500 g", "1,5", "1.250,5 g", "2 lb 3 oz", "½", "1/0",
    "???", "12 - 14 oz", "=1/0", "=A1", "=SUM(A:A)", "x" * 32_767, "NaN", "-3 g", "1e309 oz", "\x0b", "'",
    "2026-11-29", "33 %",
)  # fmt: skip
WORDS = (
    "Recipe", "Olive oil", "Lard (oz)", "Lye", "Water g", "NaOH 50 %", "KOH", "Superfat %", "Total", "Milk (ml)",
    "Notes", "fats in % of the whole", "Beeswax", "citric acid", "Moulds", "lye concentration", "OO = olive oil",
    "Olive oil 500 g",
)  # fmt: skip


def bytes_of_the_file(book: bytes, chance: random.Random) -> bytes:
    """Change some bytes of the file as it lies on the disk, or cut it short."""
    if chance.random() < 0.1:
        return book[: chance.randrange(len(book))]
    return _flipped(book, chance)


def bytes_of_a_part(book: bytes, chance: random.Random) -> bytes:
    """Change some bytes of a part, repeat a piece of it, or leave one out."""

    def changed(part: bytes) -> bytes:
        start, length = chance.randrange(len(part) + 1), chance.randrange(200)
        piece = part[start : start + length]
        return chance.choice(
            (
                _flipped(part, chance),
                part[:start] + piece * 2 + part[start + length :],
                part[:start] + part[start + length :],
            )
        )

    return _with_part(book, chance, changed)


def xml_of_a_part(book: bytes, chance: random.Random) -> bytes:
    """Change elements and attributes of a part, so that it is well-formed and says something odd."""

    def changed(part: bytes) -> bytes:
        try:
            root = etree.fromstring(part)
        except etree.XMLSyntaxError:
            return part
        for _ in range(chance.randint(1, 6)):
            elements = [e for e in root.iter() if isinstance(e.tag, str)]
            _change_element(chance.choice(elements), chance)
        return etree.tostring(root, xml_declaration=True, encoding=chance.choice(("UTF-8", "UTF-8", "UTF-16")))

    return _with_part(book, chance, changed)


def _change_element(element: etree._Element, chance: random.Random) -> None:
    parent = element.getparent()
    match chance.randrange(7):
        case 0 if parent is not None:
            parent.remove(element)
        case 1 if parent is not None:
            copy = etree.fromstring(etree.tostring(element, with_tail=False))
            for _ in range(chance.choice((1, 1, 2, 40))):
                parent.insert(chance.randrange(len(parent) + 1), etree.fromstring(etree.tostring(copy)))
        case 2 if element.attrib:
            element.set(chance.choice([*map(str, element.attrib)]), chance.choice(TEXTS[:-6]))
        case 3 if element.attrib:
            del element.attrib[chance.choice([*map(str, element.attrib)])]
        case 4:
            element.text = chance.choice(TEXTS[:-6])
        case 5:
            element.insert(0, chance.choice((etree.Comment("x"), etree.ProcessingInstruction("x", "y"))))
        case _:
            namespace = etree.QName(element).namespace
            other = chance.choice(
                ("c", "row", "f", "v", "is", "t", "r", "col", "xf", "sheet", "mergeCell", "unheardOf")
            )
            element.tag = f"{{{namespace}}}{other}" if namespace else other


def cells(book: bytes, chance: random.Random) -> bytes:
    """Let some cells hold something else, and move rows and columns about."""
    with warnings.catch_warnings(action="ignore"):
        opened = openpyxl.load_workbook(io.BytesIO(book))
    sheet = chance.choice(opened.worksheets)
    for _ in range(chance.randint(1, 12)):
        _change_cells(sheet, chance)
    out = io.BytesIO()
    opened.save(out)
    return out.getvalue()


def _change_cells(sheet: Worksheet, chance: random.Random) -> None:
    row, column = chance.randint(1, sheet.max_row + 2), chance.randint(1, sheet.max_column + 2)
    match chance.randrange(8):
        case 0:
            sheet.delete_rows(row, chance.randint(1, 3))
        case 1:
            sheet.insert_rows(row, chance.randint(1, 3))
        case 2:
            sheet.delete_cols(column)
        case 3:
            sheet.insert_cols(column)
        case 4 | 5:
            _put(sheet, row, column, chance.choice(WORDS))
        case _:
            _put(sheet, row, column, chance.choice(AMOUNTS))


def _put(sheet: Worksheet, row: int, column: int, value: object) -> None:
    cell = sheet.cell(row, column)
    if not isinstance(cell, openpyxl.cell.MergedCell):
        try:
            cell.value = value
        except ValueError:  # a character that this writer refuses
            cell.value = "?"


def _flipped(data: bytes, chance: random.Random) -> bytes:
    changed = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 8))):
        if changed:
            changed[chance.randrange(len(changed))] = chance.randrange(256)
    return bytes(changed)


def _with_part(book: bytes, chance: random.Random, change: Callable[[bytes], bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        chosen = chance.choice(old.infolist()).filename
        for info in old.infolist():
            part = old.read(info)
            new.writestr(zipfile.ZipInfo(info.filename), change(part) if info.filename == chosen else part)
    return out.getvalue()


CHANGES: Sequence[Change] = (bytes_of_the_file, bytes_of_a_part, xml_of_a_part, xml_of_a_part, cells, cells)


def changed(book: bytes, chance: random.Random) -> bytes:
    """Change a book in one way, seldom in two."""
    for _ in range(chance.choice((1, 1, 1, 2))):
        try:
            book = chance.choice(CHANGES)(book, chance)
        except Exception:  # noqa: BLE001 - another library cannot open what the first change has left
            return book
    return book
