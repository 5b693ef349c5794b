"""Tables kept as text (.csv, .tsv): encoding and delimiter worked out from the file.

A cell is a number only where its whole text is one in an unambiguous style; all else stays text for reading/ to judge.
"""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from itertools import islice
from pathlib import Path
from typing import BinaryIO

from sheetcheck.errors import DamagedBookError, HostileBookError, NotAWorkbookError
from sheetcheck.words import number, tr
from sheetcheck.workbook.budget import Budget
from sheetcheck.workbook.grid import Grid, Kind
from sheetcheck.workbook.grid_builder import GridBuilder
from sheetcheck.workbook.limits import Limits

_DELIMITERS = "\t;,|"
_LOOKED_AT = 200  # rows
_STATED = re.compile(r"sep=(.)\r?\n", re.IGNORECASE)  # a first line that spreadsheet programs understand
_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")
_THOUSANDS = re.compile(r"-?[1-9][0-9]{0,2}\.[0-9]{3}")  # 1.250 is 1250 where a comma is the decimal point
_NOT_TEXT = re.compile("[\x00-\x08\x0e-\x1a\x1c-\x1f]")


def read_delimited(path: Path, file: BinaryIO, limits: Limits) -> tuple[tuple[Grid, ...], tuple[str, ...]]:
    """Return the one grid of a text file, and nothing to say of it.

    Raises
    ------
    NotAWorkbookError, DamagedBookError, HostileBookError
        Where it is no text, cannot be split, or passes a limit.
    """
    if path.stat().st_size > limits.table_bytes:
        raise HostileBookError(path, tr("more than {size} MB of text", size=number(limits.table_bytes >> 20, 0)))
    text = _decoded(path, file.read())
    stated = _STATED.match(text)
    delimiter = stated[1] if stated else _delimiter(path, text)
    first = 2 if stated else 1
    body = text[stated.end() :] if stated else text
    builder = GridBuilder(path, path.stem, Budget(path, limits))
    try:
        for row, fields in enumerate(csv.reader(io.StringIO(body, newline=""), delimiter=delimiter), first):
            for column, field in enumerate(fields, 1):
                _add(builder, row, column, field, commas_decide=delimiter == ",")
    except csv.Error as error:
        raise DamagedBookError(path, str(error)) from error
    return (builder.grid(),), ()


def _add(builder: GridBuilder, row: int, column: int, field: str, *, commas_decide: bool) -> None:
    text = field.strip()
    if not text:
        return
    if _NUMBER.fullmatch(text) and len(text) < 300 and (commas_decide or not _THOUSANDS.fullmatch(text)):
        builder.add(row, column, Kind.NUMBER, number=float(text))
    else:
        builder.add(row, column, Kind.TEXT, text=field)


def _decoded(path: Path, data: bytes) -> str:
    text = _text_of(data)
    if _NOT_TEXT.search(text):
        raise NotAWorkbookError(path, tr("it is not a table kept as text"))
    return text


def _text_of(data: bytes) -> str:
    """Decode by the mark at the start, else as UTF-16 where every other byte is zero, UTF-8, Windows Western."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", "replace")
    sample = data[:2048]
    if len(sample) > 3 and sample.count(0) > len(sample) // 4:
        return data.decode("utf-16-be" if sample[0] == 0 else "utf-16-le", "replace")
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    return data.decode("latin-1")


def _delimiter(path: Path, text: str) -> str:
    """Return the delimiter that splits most rows into the same number of fields; a comma where none splits any."""
    scores = {delimiter: _agreement(text, delimiter) for delimiter in _DELIMITERS}
    best = max(scores, key=scores.__getitem__)
    if scores[best] == (0, 0):
        return "\t" if path.suffix.lower() in (".tsv", ".tab") else ","
    return best


def _agreement(text: str, delimiter: str) -> tuple[float, int]:
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        counts = Counter(len(row) for row in islice(rows, _LOOKED_AT) if row)
    except csv.Error:
        return 0, 0
    fields, rows_alike = max(counts.items(), key=lambda item: (item[0] > 1, item[1], item[0]), default=(1, 0))
    return (rows_alike / counts.total(), fields) if fields > 1 else (0, 0)
