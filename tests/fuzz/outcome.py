"""What comes of an audit of a changed book, in a process of its own: fine, or what is wrong with it."""

from __future__ import annotations

import os
import resource
import signal
import sys
import tempfile
import zipfile
from pathlib import Path

from lxml import etree

from sheetcheck.errors import SheetcheckError
from sheetcheck.faults import place_of
from sheetcheck.pipeline import check

FINE = ""
MOST_SECONDS, MOST_MEMORY = 30, 3 << 30
PYTHON = (
    "Traceback",
    "Error:",
    "Error(",
    "NoneType",
    "math domain",
    "numpy",
    "pandas",
    "object at 0x",
    "errno",
    "Errno",
)


def outcome(book: bytes) -> str:
    """Return "" where a book is audited or refused as it should be, else in a line what is not as it should be."""
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reads)
        _in_child(book, writes)
    os.close(writes)
    with os.fdopen(reads, "rb") as told:
        said = told.read().decode()
    _, status = os.waitpid(child, 0)
    code = os.waitstatus_to_exitcode(status)
    if code == 0:
        return said
    return f"ended by {signal.Signals(-code).name}" if code < 0 else said or f"ended with status {code}"


def _in_child(book: bytes, writes: int) -> None:
    """Audit a book and tell of it; this process then ends."""
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS + 1))
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    silent = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silent, 1)
    os.dup2(silent, 2)
    try:
        said = audited(book)
    except BaseException as error:  # noqa: BLE001 - whatever it is, it is told
        said = f"{type(error).__name__} in {place_of(error)}: {error}"[:500]
    os.write(writes, said.encode("utf-8", "replace")[:4000])
    os._exit(0)


def audited(book: bytes) -> str:
    """Audit a book with its copy and its report; raise what an audit must never raise."""
    with tempfile.TemporaryDirectory() as folder:
        source, copy = Path(folder) / "book.xlsx", Path(folder) / "copy.xlsx"
        source.write_bytes(book)
        try:
            done = check(source, copy, report=str(Path(folder) / "report.json"))
        except SheetcheckError as error:
            told = str(error)
            left = sorted(path.name for path in Path(folder).iterdir())
            if left != ["book.xlsx"]:
                return f"refused, and left behind: {', '.join(left)}"
        else:
            told = "\n".join(done.audit.missing)
            if done.audit.faults:
                return f"fault: {done.audit.faults[0].where}"
            if unsound := _unsound(done.copy):
                return f"the copy is not sound: {unsound}"
        if source.read_bytes() != book:
            return "the book itself was changed"
        words = [word for word in PYTHON if word in told]
        return f"a word of Python is said: {words[0]}: {told[:200]}" if words else FINE


def _unsound(copy: Path) -> str:
    """Return what is wrong with the zip file of a copy or the XML that we write; "" where nothing is."""
    with zipfile.ZipFile(copy) as package:
        if broken := package.testzip():
            return f"{broken} is damaged"
        for name in package.namelist():
            if name.startswith("xl/worksheets/") and name.endswith(".xml"):
                try:
                    etree.fromstring(package.read(name), etree.XMLParser(huge_tree=True))
                except etree.XMLSyntaxError as error:
                    return f"{name}: {error}"
    return ""


def signature(said: str) -> str:
    """Return what two outcomes of one cause have in common: what was raised and where, without what it says."""
    return said.partition(": ")[0] if " in " in said.partition(": ")[0] else said[:60]


if __name__ == "__main__":
    sys.stdout.write(outcome(Path(sys.argv[1]).read_bytes()) or "as it should be")
    sys.stdout.write("\n")
