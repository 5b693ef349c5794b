"""A workbook read into grids, in whichever of the known formats it is. The file is opened for reading only."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import BinaryIO

from sheetcheck.workbook.archive import Archive
from sheetcheck.workbook.file_kind import FileKind, file_kind, is_opendocument
from sheetcheck.workbook.grid import Grid, Workbook
from sheetcheck.workbook.limits import DEFAULT_LIMITS, Limits
from sheetcheck.workbook.memory import give_back_large_arrays
from sheetcheck.workbook.package import Package, open_file, sha256_of
from sheetcheck.workbook.xlsx import read_package


def read_workbook(
    path: str | Path, limits: Limits = DEFAULT_LIMITS, *, only: Collection[str] | None = None
) -> Workbook:
    """Read a workbook into grids.

    Parameters
    ----------
    path
        An .xlsx, .xlsm, .xltx, .xltm, .xls, .ods, .csv or .tsv file, known by what it holds.
    limits
        How large it may be.
    only
        Names of the sheets that are wanted, in whatever case, None for all; the others are not even looked at.

    Raises
    ------
    BookError
        One of its kinds: the file is missing, locked, no workbook, encrypted, damaged or too large inside.
    """
    path = Path(path)
    only = None if only is None else {name.casefold() for name in only}
    give_back_large_arrays()
    with open_file(path, limits) as file:
        kind, sha256 = file_kind(path, file), sha256_of(file)
        match kind:
            case FileKind.PACKAGE:
                grids, notices = _read_zip(path, file, limits, only)
            case FileKind.XLS:
                from sheetcheck.workbook.xls import read_xls  # noqa: PLC0415 - few books need it

                grids, notices = read_xls(path, file, limits)
            case FileKind.DELIMITED:
                from sheetcheck.workbook.delimited import read_delimited  # noqa: PLC0415 - few books need it

                grids, notices = read_delimited(path, file, limits)
    wanted = grids if only is None else tuple(grid for grid in grids if grid.name.casefold() in only)
    return Workbook(path.name, sha256, wanted, notices)


def _read_zip(
    path: Path, file: BinaryIO, limits: Limits, only: Collection[str] | None
) -> tuple[tuple[Grid, ...], tuple[str, ...]]:
    archive = Archive(path, file, limits)
    if is_opendocument(archive):
        from sheetcheck.workbook.ods import read_ods  # noqa: PLC0415 - few books need it

        return read_ods(archive)
    return read_package(Package(path, archive), only)
