"""Where what the plugins write goes: the copy of an open workbook, and their own files."""

from __future__ import annotations

import os
from collections.abc import Collection
from datetime import datetime
from itertools import count
from pathlib import Path

import platformdirs

from sheetcheck.workbook.target import extension_of_copy


def folder_beside(book: Path | None) -> Path:
    """Return the folder of a workbook, the user's documents where it has none that may be written to."""
    if book is not None and book.parent.is_dir() and os.access(book.parent, os.W_OK):
        return book.parent
    documents = Path(platformdirs.user_documents_dir())
    documents.mkdir(parents=True, exist_ok=True)
    return documents


def time_stamped(name: str, folder: Path, open_names: Collection[str] = (), what: str = "checked") -> Path:
    """Return a free path for a copy: no program opens two workbooks of one name.

    Parameters
    ----------
    name
        The name of the workbook.
    open_names
        Names of the workbooks that are open now, whose names cannot be used.
    what
        The word between the name and the time.
    """
    taken = {name.lower() for name in open_names}
    base = f"{Path(name).stem}.{what} {datetime.now().astimezone():%Y-%m-%d %H%M%S}"
    extension = extension_of_copy(Path(name))
    for number in count(1):
        path = folder / (f"{base}{extension}" if number == 1 else f"{base} ({number}){extension}")
        if path.name.lower() not in taken and not path.exists():
            return path
    raise AssertionError  # count never ends


def own_folder() -> Path:
    """Return the folder that the plugins keep their own files in, making it where it is not there."""
    return Path(platformdirs.user_data_path("sheetcheck", appauthor=False, ensure_exists=True))
