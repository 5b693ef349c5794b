"""Mark every workbook of a folder, compare, take the marks off again, compare: `python -m tests.corpus FOLDER`.

Cells are coloured, notes, result columns and a sheet added; the copy must hold everything of the book, unmarking must
give the book's parts to the last byte, and the book itself must be untouched. Ends with status 1 where one does not.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import subprocess
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from python_calamine import CalamineWorkbook

from sheetcheck.errors import BookError, CopyError
from sheetcheck.model import CellMark, Choice, Formula, Link, Mark, NewSheet, ResultColumns, Styled, address
from sheetcheck.workbook.copy import is_checked_copy, our_sheets, remove_marks, was_edited_since, write_copy
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.sheet_facts import look
from tests.packages import CellKey, Parts, cells_of, differences

SUFFIXES = {".xlsx", ".xlsm", ".xltx", ".xltm"}
WORDS = ("DANGER", "WARNING", "CAUTION", "NOTICE")
MOST_SHEETS, MOST_CELLS = 3, 6


def marks_for(path: Path) -> list[Mark]:
    """Some marks of every kind: on cells that hold something, on a blank one, beside the first rows, a new sheet."""
    marks: list[Mark] = []
    with Package.open(path) as book:
        for sheet in [s for s in book.sheets if s.is_worksheet][:MOST_SHEETS]:
            used = {row: last for row, last in look(book, sheet).used.items() if last}
            rows = list(used)[:MOST_CELLS]
            cells = [address(row, used[row]) for row in rows] + [address((rows or [1])[-1] + 1, 2)]
            marks += [
                CellMark(sheet.name, cell, WORDS[i % 4], f"Note on {cell}\nits second line")
                for i, cell in enumerate(cells)
            ]
            heading, *following = (*rows, *range((rows or [0])[-1] + 1, (rows or [0])[-1] + 4))
            results = {
                row: [
                    Styled(Link("Findings of the check", "A1", "DANGER"), "DANGER"),
                    Styled(Formula("{{3}}*2", row * 2.0), "percent"),
                    row,
                    "=1+1",
                ]
                for row in following
            }
            marks.append(ResultColumns(sheet.name, heading, ("Verdict", "Superfat %", "Lye", "Says"), results))
    rows = [[Styled("Findings", "title")], ["cell", "says"], ["A1", Styled("DANGER", "DANGER")]]
    marks.append(
        NewSheet(
            "Findings of the check",
            rows,
            widths=(12, 30),
            freeze="A3",
            filter="A2:B3",
            repeat_rows=(1, 2),
            choices=(Choice("C3:C9", ("yes", "no")),),
        )
    )
    return marks


def check(path: Path, folder: Path, *, office: bool = False) -> tuple[str, str]:
    """Return an outcome ("clean", "refused", "lost", "crash") and what is to be said of it."""
    copy, again = folder / f"copy{path.suffix}", folder / f"again{path.suffix}"
    before = hashlib.sha256(path.read_bytes()).digest()
    try:
        marks = marks_for(path)
        report = write_copy(path, copy, marks)
    except (BookError, CopyError) as error:
        leftovers = [p.name for p in folder.iterdir()]
        return (
            ("refused", f"{type(error).__name__}: {error.detail or error.meaning}")
            if not leftovers
            else ("lost", f"left behind: {leftovers}")
        )
    found = list(_faults(path, copy, marks))
    if not found:
        remove_marks(copy, again)
        found = [f"unmarked: {name} differs" for name in _unequal_parts(path, again)]
    if not found and office:
        found = list(_saved_by_office(path, copy, folder / "saved"))
    if hashlib.sha256(path.read_bytes()).digest() != before:
        found.append("the book itself was changed")
    if found:
        return "lost", "; ".join(found[:4])
    return "clean", f"{report.marked} marked, {len(report.skipped)} skipped, {len(report.warnings)} warnings"


def _faults(path: Path, copy: Path, marks: list[Mark]) -> Iterator[str]:
    marked: dict[str, set[CellKey]] = {}
    added: dict[str, set[CellKey]] = {}
    before, after = Parts(path), Parts(copy)
    after_sheets = after.sheets()
    for name, part in before.sheets().items():
        if any(isinstance(m, CellMark | ResultColumns) and m.sheet == name for m in marks):
            old, new = cells_of(before.tree(part)), cells_of(after.tree(after_sheets[name]))
            asked = {parsed for m in marks if isinstance(m, CellMark) and m.sheet == name for parsed in [_key(m.cell)]}
            anchors = {k for k in new if k in old and old[k][0] != new[k][0] and old[k][1:] == new[k][1:]}
            marked[name] = {k for k in asked if k in new} | (anchors if len(anchors) <= len(asked) else set())
            results = [m for m in marks if isinstance(m, ResultColumns) and m.sheet == name]
            rows = {row for m in results for row in (m.heading_row, *m.values)}
            added[name] = {k for k in new if k[0] in rows and (k not in old or not old[k][1]) and new[k][1]}
    yield from differences(path, copy, marked, added)
    yield from _read_elsewhere(path, copy)
    if not is_checked_copy(copy) or was_edited_since(copy) or "Findings of the check" not in our_sheets(copy):
        yield "the copy does not know itself"


def _read_elsewhere(path: Path, copy: Path) -> Iterator[str]:
    """A reader that is not ours sees the same values in the book and in the copy."""
    try:
        book = CalamineWorkbook.from_path(str(path))
        names = list(book.sheet_names)
    except Exception:  # noqa: BLE001 - that reader cannot open the book itself
        return
    marked = CalamineWorkbook.from_path(str(copy))
    for name in names:
        old = _values(book, name)
        new = marked.get_sheet_by_name(name).to_python(skip_empty_area=False)
        if any(
            value not in ("", other)
            for row, row_after in zip(old, new, strict=False)
            for value, other in zip(row, row_after, strict=False)
        ):
            yield f"{name}: another reader sees other values"


def _saved_by_office(path: Path, copy: Path, folder: Path) -> Iterator[str]:
    """LibreOffice opens and saves the copy where it does so with the book, and the marks still come off."""
    profile = Path(tempfile.gettempdir()) / "sheetcheck-corpus-office"
    command = [
        "soffice",
        f"-env:UserInstallation={profile.as_uri()}",
        "--headless",
        "--convert-to",
        "xlsx",
        "--outdir",
        str(folder),
    ]
    for source in (path, copy):
        with contextlib.suppress(subprocess.TimeoutExpired):
            subprocess.run([*command, str(source)], check=False, capture_output=True, timeout=120)
    saved = folder / f"{copy.stem}.xlsx"
    if not (folder / f"{path.stem}.xlsx").exists():
        return
    if not saved.exists() or "Findings of the check" not in our_sheets(saved):
        yield "LibreOffice does not keep the copy"
        return
    remove_marks(saved, folder / "again.xlsx")
    if is_checked_copy(folder / "again.xlsx"):
        yield "marks are left after a save by LibreOffice"


def _values(book: CalamineWorkbook, name: str) -> list[list[object]]:
    try:
        return book.get_sheet_by_name(name).to_python(skip_empty_area=False)
    except Exception:  # noqa: BLE001 - that reader cannot read this sheet of the book itself
        return []


def _unequal_parts(path: Path, again: Path) -> list[str]:
    book, result = Parts(path), Parts(again)
    names = [n for n in book.infos if n not in result.infos or book.packed(n) != result.packed(n)]
    return names + [n for n in result.infos if n not in book.infos]


def _key(cell: str) -> CellKey:
    letters = cell.rstrip("0123456789")
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - 64
    return int(cell[len(letters) :]), column


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def main() -> int:
    """Go through a folder and print a table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--only", default="", help="only files whose path has this in it")
    parser.add_argument(
        "--office", type=int, default=0, help="have LibreOffice save every n-th copy, and unmark that too"
    )
    parser.add_argument("--most-bytes", type=int, default=8 << 20, help="larger files are left out")
    arguments = parser.parse_args()
    outcomes: Counter[str] = Counter()
    reasons: Counter[str] = Counter()
    files = sorted(p for p in arguments.folder.rglob("*") if p.suffix.lower() in SUFFIXES and arguments.only in str(p))
    for number, path in enumerate(files, 1):
        if path.stat().st_size > arguments.most_bytes:
            outcomes["left out"] += 1
            continue
        start = time.perf_counter()
        with tempfile.TemporaryDirectory() as folder:
            try:
                outcome, said = check(
                    path, Path(folder), office=arguments.office > 0 and number % arguments.office == 0
                )
            except Exception:  # noqa: BLE001 - one workbook must not stop the others
                outcome, said = "crash", traceback.format_exc(limit=-3).replace("\n", " | ")
        seconds = time.perf_counter() - start
        outcomes[outcome] += 1
        if outcome == "refused":
            reasons[said.partition(":")[0]] += 1
        if outcome != "clean" or seconds > 5:
            _say(f"{outcome:8} {seconds:5.1f} s  {path.relative_to(arguments.folder)}: {said}")
    _say(f"\n{len(files)} files: " + ", ".join(f"{count} {word}" for word, count in sorted(outcomes.items())))
    for reason, count in reasons.most_common():
        _say(f"  refused, {reason}: {count}")
    return 1 if outcomes["lost"] or outcomes["crash"] else 0


if __name__ == "__main__":
    sys.exit(main())
