"""A file that appears whole or not at all."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from sheetcheck.errors import CopyNotWritableError


@contextmanager
def replacing(target: Path) -> Iterator[tuple[BinaryIO, Path]]:
    """Give a file beside `target` to write to; it takes the target's place when the block ends without an error.

    Raises
    ------
    CopyNotWritableError
        The folder is missing or full, or the target may not be written; what stood there stands as before.
    """
    if target.is_dir():
        raise CopyNotWritableError(target, "there is a folder of this name")
    draft = target.with_name(f".{target.name[:80]}.{secrets.token_hex(4)}.part")
    try:
        file = draft.open("x+b")
    except OSError as error:
        raise CopyNotWritableError(target, error.strerror or str(error)) from error
    try:
        with file:
            yield file, draft
        draft.replace(target)
    except OSError as error:
        raise CopyNotWritableError(target, error.strerror or str(error)) from error
    finally:
        draft.unlink(missing_ok=True)


def store(file: BinaryIO) -> None:
    """Make sure that what was written to a file is on the disk."""
    file.flush()
    os.fsync(file.fileno())
