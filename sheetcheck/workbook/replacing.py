"""A file that appears whole or not at all, and leaves nothing behind when the program is killed while writing it."""

from __future__ import annotations

import os
import secrets
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from sheetcheck.errors import CopyNotWritableError
from sheetcheck.words import tr

_LONGEST_WRITE = 3600  # seconds: an older draft is what a killed process has left


@contextmanager
def replacing(target: Path) -> Iterator[tuple[BinaryIO, Path]]:
    """Give a file to write to, and a path to read it by; it takes the target's place when the block ends well.

    Where the system can (Linux), the file has no name before it is whole: it is gone when the process is killed.
    Elsewhere it stands beside the target under a hidden name; what a killed process left is removed at a later run.

    Raises
    ------
    CopyNotWritableError
        The folder is missing or full, or the target may not be written; what stood there stands as before.
    """
    if target.is_dir():
        raise CopyNotWritableError(target, tr("there is a folder of this name"))
    _remove_leftovers(target)
    draft = target.with_name(f"{_start_of_drafts(target)}{secrets.token_hex(4)}.part")
    try:
        nameless = _open_nameless(target.parent)
        file = nameless or draft.open("x+b")
    except OSError as error:
        raise CopyNotWritableError(target, error.strerror or str(error)) from error
    try:
        with file:
            yield file, _path_of(file) if nameless else draft
            if nameless:
                _name(file, draft)
        draft.replace(target)
    except OSError as error:
        raise CopyNotWritableError(target, error.strerror or str(error)) from error
    finally:
        draft.unlink(missing_ok=True)


def store(file: BinaryIO) -> None:
    """Make sure that what was written to a file is on the disk."""
    file.flush()
    os.fsync(file.fileno())


# --------------------------------------------------------------------------- a file without a name


def _open_nameless(folder: Path) -> BinaryIO | None:
    """Open a file that no folder lists (open(2), O_TMPFILE); None where the system or the disk cannot."""
    flag = getattr(os, "O_TMPFILE", None)
    if flag is None:
        return None
    try:
        file = os.fdopen(os.open(folder, flag | os.O_RDWR, 0o666), "w+b")
    except OSError:
        return None
    if _path_of(file).exists():
        return file
    file.close()
    return None


def _path_of(file: BinaryIO) -> Path:
    return Path(f"/proc/self/fd/{file.fileno()}")


def _name(file: BinaryIO, path: Path) -> None:
    """Give a file without a name its name (linkat(2), AT_SYMLINK_FOLLOW); a disk that cannot gets a second file."""
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.link(_path_of(file), path.name, src_dir_fd=folder, dst_dir_fd=folder, follow_symlinks=True)
    except OSError:
        shutil.copyfile(_path_of(file), path)
    finally:
        os.close(folder)


# --------------------------------------------------------------------------- a file with a hidden name


def _start_of_drafts(target: Path) -> str:
    return f".{target.name[:80]}."


def _remove_leftovers(target: Path) -> None:
    """Remove drafts of the same target that nobody can still be writing."""
    with suppress(OSError):
        for path in target.parent.iterdir():
            if path.name.startswith(_start_of_drafts(target)) and path.suffix == ".part":
                with suppress(OSError):
                    if time.time() - path.stat().st_mtime > _LONGEST_WRITE:
                        path.unlink()
