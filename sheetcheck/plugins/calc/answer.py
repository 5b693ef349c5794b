"""What the user's own Python does for the menu in LibreOffice Calc: reads a request, answers what to say and open."""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sheetcheck.errors import BookError, EncryptedBookError, SheetcheckError, UneditableBookError
from sheetcheck.pipeline import annotate, audit, rescale
from sheetcheck.plugins.places import folder_beside, time_stamped
from sheetcheck.plugins.verdict import one_line, spoken
from sheetcheck.rescaling.drift import too_coarse
from sheetcheck.rescaling.in_a_sentence import summary_sentence
from sheetcheck.rescaling.not_taken_over import not_read
from sheetcheck.rescaling.rows import job_rows
from sheetcheck.words import Manner, languages, later, speaking, tr
from sheetcheck.workbook import remove_marks
from sheetcheck.workbook.grid import Kind
from sheetcheck.workbook.overlay import lay_over
from sheetcheck.workbook.read import read_workbook
from sheetcheck.workbook.sheet_overlay import ScreenCell

BUILT_ANEW = later(
    "The copy was built anew from what stands on the screen: values, formulas and number formats are kept, fonts and "
    "colours are not. Save the workbook first for a copy that keeps everything."
)
LEFT_OUT_SHOWN = 5  # in a box
_OUR_STAMP = re.compile(r"\.checked(?: \d{4}-\d\d-\d\d \d{6}(?: \(\d+\))?|-\d+)?$")


def answer(request: Path) -> dict[str, Any]:
    """Return what to say, and the file to open where there is one; an error becomes a sentence.

    Spoken is the language of the settings on a sheet of the workbook, else that of LibreOffice's menus.
    """
    asked = json.loads(request.read_text(encoding="utf-8"))
    language = asked.get("language", "en")
    with speaking(Manner(language if language in languages() else "en").voice()):
        return _answer(asked)


def _answer(asked: Mapping[str, Any]) -> dict[str, Any]:
    try:
        with tempfile.TemporaryDirectory(prefix="sheetcheck-") as folder:
            screen = _screen(asked, Path(folder))
            if asked["action"] == "rescale":
                return _rescale(screen, [size.strip() for size in str(asked["to"]).split(";") if size.strip()])
            return _ACTIONS[asked["action"]](screen)
    except SheetcheckError as error:
        return {"say": str(error)}


@dataclass(frozen=True)
class Screen:
    """A file equal to what stands on the screen."""

    name: str
    file: Path | None  # where the workbook itself lies
    path: Path
    built_anew: bool = False

    def target(self, what: str) -> Path:
        """Return the place of a new file beside the workbook."""
        return time_stamped(self.name, folder_beside(self.file), what=what)


def _screen(asked: Mapping[str, Any], folder: Path) -> Screen:
    """Return the file on the disk with the cells laid over it that differ on the screen; else a snapshot of the whole.

    A copy of an Open XML file is never based on what LibreOffice would export (7.4 writes XLOOKUP wrongly).
    """
    file = None if asked["file"] is None else Path(asked["file"])
    snapshot = None if asked["snapshot"] is None else Path(asked["snapshot"])
    cells = list(_cells(file, asked["cells"])) if file is not None and asked["cells"] is not None else []
    if file is not None and snapshot is None and not cells:
        return Screen(asked["name"], file, file)
    if file is not None and cells:
        try:
            lay_over(file, folder / file.name, cells)
            return Screen(asked["name"], file, folder / file.name)
        except UneditableBookError:
            pass  # the whole of the screen is there still
    _refuse_password(file)
    if snapshot is None:
        raise BookError(asked["name"], tr("neither its file nor its contents were handed over"))
    return Screen(asked["name"], file, snapshot, built_anew=True)


def _refuse_password(file: Path | None) -> None:
    """Of a workbook with a password no copy without one is made."""
    try:
        if file is not None:
            read_workbook(file)
    except EncryptedBookError:
        raise
    except BookError:
        pass  # the snapshot can be read


def _cells(file: Path, cells: Sequence[Mapping[str, Any]]) -> Iterator[ScreenCell]:
    """Yield the cells that differ, and the results that the file does not hold of its formulas."""
    if any(cell.get("if_missing") for cell in cells):
        grids = {grid.name: grid for grid in read_workbook(file).grids}
        missing = {
            (name, row, column)
            for name, grid in grids.items()
            for row, column in grid.formulas
            if (known := grid.cell(row, column)) is None or known.kind is Kind.EMPTY_FORMULA
        }
    for cell in cells:
        if not cell.get("if_missing") or (cell["sheet"], cell["row"], cell["column"]) in missing:
            yield ScreenCell(
                cell["sheet"],
                cell["row"],
                cell["column"],
                cell["value"],
                cell.get("formula"),
                cell.get("number_format"),
                is_error=cell.get("error", False),
                only_result=cell.get("only_result", False),
            )


def _audit(screen: Screen) -> dict[str, Any]:
    result = audit(screen.path)
    with speaking(result.book.manner.voice()):
        return {"say": spoken(result)}


def _copy(screen: Screen) -> dict[str, Any]:
    result = audit(screen.path)
    done = annotate(result, screen.path, screen.target("checked"))
    with speaking(result.book.manner.voice()):
        said = [one_line(result), tr("Checked copy: {copy}", copy=done.copy), *done.copy_report.warnings[:3]]
        if screen.built_anew:
            said[2:] = [tr(BUILT_ANEW)]
    return {"say": "\n\n".join(said), "open": str(done.copy)}


def _rescale(screen: Screen, to: Sequence[str]) -> dict[str, Any]:
    target = screen.target("rescaled").with_suffix(".xlsx")
    done, written = rescale(screen.path, to, target)
    coarse = [job.name for job in job_rows(done.jobs) if too_coarse(job, done)]
    unread = not_read(done, among_recipes=True)
    with speaking(done.audit.book.manner.voice()):
        left_out = [
            tr("Not rescaled: {recipe}, {sheet}: {reason}", recipe=left.name, sheet=left.sheet, reason=left.why)
            for left in done.left_out[:LEFT_OUT_SHOWN]
        ]
        said = [
            summary_sentence(done, len(coarse), len(unread)),
            "\n".join(left_out),
            tr("Rescaled book: {book}", book=written),
        ]
    return {"say": "\n\n".join(filter(None, said)), "open": str(written)}


def _unmark(screen: Screen) -> dict[str, Any]:
    name = Path(screen.name)
    own = Screen(f"{_OUR_STAMP.sub('', name.stem)}{name.suffix}", screen.file, screen.path)
    target = own.target("unmarked")
    remove_marks(screen.path, target)
    return {
        "say": tr("Your workbook without the marks, with all that was edited in the copy: {book}", book=target),
        "open": str(target),
    }


_ACTIONS = {"audit": _audit, "copy": _copy, "unmark": _unmark}
