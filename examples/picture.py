"""Makes the pictures of the shore book's annotated copy: `python -m examples.picture`.

LibreOffice draws the copy as a PDF, pdftoppm (Poppler) turns a page into pixels, and the white edges are cut off.
"""

from __future__ import annotations

import datetime as dt
import shutil
import struct
import subprocess
import tempfile
import zlib
from pathlib import Path

import numpy as np
import openpyxl
from numpy.typing import NDArray
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties

import sheetcheck
from sheetcheck.report.marks import plan
from sheetcheck.report.words import TITLES
from sheetcheck.workbook import write_copy

HERE = Path(__file__).parent / "shore_book"
CHECKED_ON = dt.date(2026, 1, 1)
ROWS, SHOWN = (
    "A3:X16",
    {"A": 14, "B": 7, "C": 9, "D": 7, "E": 7, "L": 7, "M": 8, "R": 15, "S": 16, "T": 46, "U": 10, "W": 12, "X": 14},
)
Pixels = NDArray[np.uint8]


def main() -> None:
    """Write both pictures beside the book."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy.xlsx"
        book = HERE / "shore_book.xlsx"
        write_copy(book, copy, plan(sheetcheck.audit(book), CHECKED_ON))
        (HERE / "annotated.png").write_bytes(png(drawn(rows_alone(copy), 1, 82)))
        pdf = to_pdf(copy)
        (HERE / "summary.png").write_bytes(png(cut(pixels(pdf, page_of(pdf, TITLES["summary"]), 120))))


def rows_alone(copy: Path) -> Path:
    """Return a workbook of which only some rows and columns of the first sheet are drawn, on one wide page."""
    workbook = openpyxl.load_workbook(copy)
    first, *others = workbook.worksheets
    for sheet in others:
        sheet.sheet_state = "hidden"
    first.column_dimensions.clear()
    for letter in map(get_column_letter, range(1, first.max_column + 1)):
        first.column_dimensions[letter].hidden = letter not in SHOWN
        first.column_dimensions[letter].width = SHOWN.get(letter, 0)
    first.row_dimensions[3].height = 30
    first.print_area = ROWS
    first.page_setup.orientation, first.page_setup.paperSize = "landscape", 8
    first.page_setup.fitToWidth, first.page_setup.fitToHeight = 1, 0
    first.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    first.print_options.headings = first.print_options.gridLines = True
    target = copy.with_name("rows.xlsx")
    workbook.save(target)
    return target


def drawn(workbook: Path, page: int, dots: int) -> Pixels:
    """Return a page of a workbook as pixels without white edges."""
    return cut(pixels(to_pdf(workbook), page, dots))


def to_pdf(workbook: Path) -> Path:
    """Let LibreOffice print a workbook to a PDF beside it."""
    folder = workbook.parent
    profile = f"-env:UserInstallation=file://{folder}/profile"
    run("soffice", profile, "--headless", "--convert-to", "pdf", "--outdir", str(folder), str(workbook))
    return workbook.with_suffix(".pdf")


def run(program: str, *arguments: str) -> bytes:
    """Run a program and return what it prints."""
    command = [shutil.which(program) or program, *arguments]
    return subprocess.run(command, check=True, capture_output=True, timeout=180).stdout  # noqa: S603 - named above


def page_of(pdf: Path, words: str) -> int:
    """Return the number of the first page whose text begins with these words."""
    text = run("pdftotext", "-layout", str(pdf), "-").decode()
    return next(number for number, page in enumerate(text.split("\f"), 1) if page.strip().startswith(words))


def pixels(pdf: Path, page: int, dots: int) -> Pixels:
    """Return a page as pixels, rows by columns by red, green, blue."""
    data = run("pdftoppm", "-r", str(dots), "-f", str(page), "-l", str(page), str(pdf))
    _, size, _, body = data.split(b"\n", 3)
    width, height = map(int, size.split())
    return np.frombuffer(body, dtype=np.uint8).reshape(height, width, 3)


def cut(page: Pixels, margin: int = 8) -> Pixels:
    """Cut off white edges, and a footer that stands far below the rest."""
    inked = (page < 250).any(axis=2)
    rows = np.flatnonzero(inked[: int(len(page) * 0.94)].any(axis=1))
    columns = np.flatnonzero(inked[: rows[-1] + 1].any(axis=0))
    top, left = max(rows[0] - margin, 0), max(columns[0] - margin, 0)
    return page[top : rows[-1] + margin, left : columns[-1] + margin]


def png(page: Pixels) -> bytes:
    """Return pixels as a PNG file (ISO/IEC 15948): colours rounded to 16 steps a channel, which keeps it small."""
    small = (page >> 4) * 17
    lines = b"".join(b"\x00" + line.tobytes() for line in small)
    head = struct.pack(">IIBBBBB", page.shape[1], page.shape[0], 8, 2, 0, 0, 0)
    parts = ((b"IHDR", head), (b"IDAT", zlib.compress(lines, 9)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data)) for kind, data in parts
    )


if __name__ == "__main__":
    main()
