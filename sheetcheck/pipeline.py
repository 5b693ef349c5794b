"""The whole way of the data: from a workbook to findings, and from findings to the annotated copy."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from sheetcheck import faults, repairs, rules
from sheetcheck.chemistry.batch import compute
from sheetcheck.chemistry.by_volume import with_lye_weighed
from sheetcheck.chemistry.stated_strength import with_all_strengths
from sheetcheck.errors import CopyNotWritableError, NoRecipeError, SettingError, UneditableBookError
from sheetcheck.judging import in_order, judged, with_names, withheld
from sheetcheck.model import Audit, Book, CopyReport, Finding, SheetCells
from sheetcheck.reading.amounts.decimal_mark import decimal_mark
from sheetcheck.reading.answers import Answers, earlier_copies, read_answers, since_last
from sheetcheck.reading.book import Gathered, gather
from sheetcheck.reading.own_superfat import with_superfats_answered
from sheetcheck.reading.settings_check import check_settings
from sheetcheck.reading.settings_sheet import with_own_settings
from sheetcheck.repairs.own_superfat import superfats_to_ask
from sheetcheck.report.json_report import check_report_place, write_report
from sheetcheck.report.marks import plan
from sheetcheck.rules.not_checked import why_not_checked
from sheetcheck.settings import Settings
from sheetcheck.settling import settle
from sheetcheck.words import Manner, later, speaking, tr
from sheetcheck.work import FINDING, bounded, work
from sheetcheck.workbook.held import cells_held
from sheetcheck.workbook.limits import file_limits
from sheetcheck.workbook.marked import open_unmarked, write_findings_alone, write_marked_copy
from sheetcheck.workbook.memory import give_back_freed
from sheetcheck.workbook.replacing import replacing, store
from sheetcheck.workbook.target import choose_target

if TYPE_CHECKING:
    from sheetcheck.rescaling.scaling import Rescaled

Progress = Callable[[str], None]


def _silent(_stage: str) -> None:
    """Take no notice of the progress."""


def understand(path: str | Path, settings: Settings | None = None, *, progress: Progress = _silent) -> Book:
    """Read a workbook into frames; nothing is computed or judged. Raises BookError, SettingError."""
    looked = _looked_through(path, settings, {}, progress)
    with speaking(looked.manner.voice()):
        return looked.book()


@dataclass
class _Looked:
    """A workbook gone through; of a large one, its cells are let go of."""

    gathered: Gathered
    cells: Mapping[str, SheetCells]
    manner: Manner

    def book(self) -> Book:
        """Make frames of what was found; it can be done once."""
        return replace(self.gathered.book(), manner=self.manner, cells=self.cells)


def _looked_through(
    path: str | Path,
    settings: Settings | None,
    meanings: Mapping[str, str],
    progress: Progress,
    *,
    weighed: bool = True,
) -> _Looked:
    """Open a workbook and gather what it says: of a large one, its cells are let go of before all else is made."""
    progress(later("opening the workbook"))
    with speaking(Manner((settings or Settings()).language).voice()):
        workbook = open_unmarked(Path(path), file_limits(settings))
        settings = with_own_settings(workbook, settings)
        settings = replace(settings, names={**meanings, **settings.names})  # what she set wins over what she answered
        settings = with_superfats_answered(settings)
        workbook = replace(workbook, notices=(*workbook.notices, *check_settings(workbook, settings)))
    work().allow_for(sum(len(grid.row) for grid in workbook.grids), len(workbook.grids))
    manner = Manner(settings.language, decimal_mark(workbook.grids))
    progress(later("reading the recipes"))
    with speaking(manner.voice()):
        return _Looked(gather(workbook, settings, weighed=weighed), cells_held(workbook), manner)


def audit(
    path: str | Path,
    settings: Settings | None = None,
    *,
    answers: Answers | None = None,
    progress: Progress = _silent,
    weighed: bool = True,
) -> Audit:
    """Audit a workbook; nothing is written.

    Parameters
    ----------
    path
        An Open XML workbook, or `.xls`, `.ods`, `.csv`, `.tsv`. It is opened for reading only.
    settings
        Defaults where None; settings on a sheet of the workbook lie below these.
    answers
        What was answered in earlier copies (`reading.answers`); None reads what the workbook itself has, as a copy.
    progress
        Called with the name of each stage as it begins.
    weighed
        Whether all ways of reading a sheet are tried and its doubtful words weighed; else the first way is taken.

    Returns
    -------
    Audit
        `.book.components`, `.recipes` and `.book.statements` are pandas frames (columns: `sheetcheck.model`; masses in
        grams, shares in percent), `.findings` the things to look at.

    Raises
    ------
    BookError
        With one sentence that says what is wrong with the file and what to do.
    SettingError
        With one that names the setting.
    """
    answers = read_answers([Path(path)]) if answers is None else answers
    quiet = np.errstate(all="ignore")  # amounts may be anything; what comes of them is judged, not warned of
    with bounded(file_limits(settings).seconds) as budget, faults.gathering() as met, quiet:
        looked = _looked_through(path, settings, answers.meanings, progress, weighed=weighed)
        with speaking(looked.manner.voice()):
            book, settings = looked.book(), looked.gathered.settings
            del looked  # a large book must not stand in memory twice
            if book.recipes.empty:
                lost = *budget.undone, *faults.told(met)
                lost = lost or tuple(f"{s.sheet}: {tr(s.layout)}" for s in book.sheets)
                raise NoRecipeError(path, "; ".join(lost[:5]))
            give_back_freed()
            done = _audited(book, settings, answers, progress)
            return _with_what_is_missing(done, budget.undone, met)


def _with_what_is_missing(done: Audit, undone: Sequence[str], met: Sequence[faults.Fault]) -> Audit:
    """Say of an audit what there was no work left for, and what failed."""
    unread = (
        tr("“{sheet}”, {cell}: it looks like part of a recipe, and was not read.", sheet=n.sheet, cell=n.cell)
        for n in done.book.not_understood
        if n.like_recipe
    )
    missing = tuple(dict.fromkeys((*undone, *faults.told(met), *unread)))
    if not missing:
        return done
    book = replace(done.book, notices=(*done.book.notices, *missing))
    return replace(done, book=book, missing=missing, faults=tuple(met))


def _audited(book: Book, settings: Settings, answers: Answers, progress: Progress) -> Audit:
    """Compute a book, and judge it."""
    progress(later("computing lye and liquid"))
    book = with_lye_weighed(replace(book, components=with_all_strengths(book)))
    recipes = _computed(book, settings)
    give_back_freed()
    evidence = rules.Evidence(book=book, recipes=recipes, settings=settings)
    progress(later("looking for what does not fit"))
    ruled = rules.run(evidence)
    work().set_aside(FINDING * len(ruled.findings))
    settled, found = _settled(evidence, ruled.findings, answers)
    give_back_freed()
    findings = with_names(in_order(settled), book.components, book.cells)
    book = replace(book, questions=(*book.questions, *superfats_to_ask(evidence, findings)))
    recipes = withheld(recipes, book.components, findings, found)
    recipes = judged(recipes, findings, why_not_checked(evidence, ruled.failed))
    return Audit(
        book=book,
        recipes=recipes,
        findings=tuple(findings),
        settings=settings,
        meanings=answers.meanings,
        since_last=since_last(answers, findings, book),
    )


def _settled(
    evidence: rules.Evidence, ruled: Sequence[Finding], answers: Answers
) -> tuple[list[Finding], repairs.RepairResult]:
    """Search for wrong cells and hear the maker's answers; where that fails, what the rules found stands."""
    with faults.part("settling", tr("Nothing is suggested, and no answer is taken up; the verdicts stand.")):
        return settle(evidence, ruled, answers)
    return list(ruled), repairs.nothing_suggested(ruled)


def _computed(book: Book, settings: Settings) -> pd.DataFrame:
    """Compute all recipes at once; where that fails, in parts, so that few are left without numbers."""
    recipes, components = book.recipes, book.components
    try:
        return compute(recipes, components, settings, book.own_values)
    except Exception as error:  # noqa: BLE001 - kept as a fault, or raised again
        faults.keep(error, "chemistry", tr("Of some recipes nothing could be computed; they are not checked."))

    def attempt(numbers: Sequence[int]) -> pd.DataFrame:
        lines = components[components["recipe"].isin(numbers)].reset_index(drop=True)
        return compute(recipes.loc[list(numbers)], lines, settings, book.own_values)

    parts, _ = faults.in_halves(recipes.index.tolist(), attempt)
    nothing = compute(recipes.iloc[:0], components.iloc[:0], settings, book.own_values)
    computed = pd.concat([part for part in parts if len(part)] or [nothing]).reindex(recipes.index)
    computed[recipes.columns] = recipes  # whole numbers stay whole where nothing was computed
    return computed


@dataclass(frozen=True)
class Checked:
    """What `check` has done."""

    audit: Audit
    copy: Path
    copy_report: CopyReport
    editable: bool = True  # False: the book cannot be edited without loss, `copy` holds the findings alone


def check(  # noqa: PLR0913 - what the command offers
    path: str | Path,
    out: str | Path | None = None,
    settings: Settings | None = None,
    *,
    meanings: Mapping[str, str] | None = None,
    report: str | None = None,
    overwrite: bool = False,
    progress: Progress = _silent,
) -> Checked:
    """Audit a workbook and write the annotated copy beside it (or at `out`), and the report where one is asked for.

    The book itself is never written to. A file at the copy's place that this package did not make, or that was changed
    since, is left alone unless `overwrite` is true: a numbered copy is written instead.

    Parameters
    ----------
    meanings
        What words mean, as answers to questions: over those of an earlier copy, and kept in this one.
    report
        Path of the JSON report, "-" for standard output, None for none.

    Raises
    ------
    BookError, CopyError, SettingError
    """
    path = Path(path)
    target = choose_target(path, Path(out) if out is not None else None, overwrite=overwrite)
    check_report_place(report, path, target, overwrite=overwrite)
    answers = read_answers(earlier_copies(path, target)).with_meanings(meanings)  # before any copy is replaced
    with bounded(file_limits(settings).seconds):
        result = audit(path, settings, answers=answers, progress=progress)
        progress(later("writing the checked copy"))
        done = annotate(result, path, target, overwrite=overwrite)
    if report is not None:
        write_report(done.audit, report)
    return done


def annotate(result: Audit, path: Path, target: Path, *, overwrite: bool = False) -> Checked:
    """Write the annotated copy of a workbook that was audited.

    A book that cannot be edited without loss gets its findings in a workbook of their own, beside `target`.

    Raises
    ------
    BookError, CopyError
    """
    with speaking(result.book.manner.voice()), faults.gathering() as met:
        done = _annotated(result, path, target, overwrite=overwrite)
        left_out = faults.told(met)
        if not left_out:
            return done
        copied = replace(done.copy_report, warnings=(*done.copy_report.warnings, *left_out))
        audited = replace(result, missing=(*result.missing, *left_out), faults=(*result.faults, *met))
        return replace(done, audit=audited, copy_report=copied)


def _annotated(result: Audit, path: Path, target: Path, *, overwrite: bool) -> Checked:
    marks = plan(result)
    give_back_freed()
    try:
        return Checked(result, target, write_marked_copy(path, target, marks))
    except UneditableBookError as error:
        target = choose_target(path, target.with_name(f"{path.stem}.findings.xlsx"), overwrite=overwrite)
        alone = plan(result, alone=True)
        return Checked(result, target, write_findings_alone(target, alone, str(error)), editable=False)


def recipe_pages(  # noqa: PLR0913 - what the command offers
    path: str | Path,
    out: str | Path,
    settings: Settings | None = None,
    *,
    meanings: Mapping[str, str] | None = None,
    only: Sequence[str] = (),
    overwrite: bool = False,
    progress: Progress = _silent,
) -> Audit:
    """Audit a workbook and write a page for each recipe, as one HTML file or, by the ending of `out`, as a PDF.

    Parameters
    ----------
    meanings
        What words mean, as answers to questions: over those of an earlier copy.
    only
        Names of recipes; all of them where there are none.
    overwrite
        Whether a file that stands at `out` is replaced.

    Raises
    ------
    BookError, CopyError, SettingError, BrowserError
    """
    path, target = Path(path), Path(out)
    if target.suffix.lower() not in (".html", ".htm", ".pdf"):
        raise SettingError(f"--out {target.name}", tr("should end in .html or .pdf"))
    if target.exists() and not overwrite:
        raise CopyNotWritableError(target, tr("there is a file of this name"))
    answers = read_answers(earlier_copies(path, path)).with_meanings(meanings)
    audited = audit(path, settings, answers=answers, progress=progress)
    known = {str(name).casefold() for name in audited.recipes["name"]}
    for name in only:
        if name.casefold() not in known:
            raise SettingError(f"--recipe {name}", tr("there is no recipe of this name in the book"))
    progress(later("writing the pages"))
    write_pages(audited, target, only)
    return audited


def write_pages(audited: Audit, target: Path, only: Sequence[str] = ()) -> None:
    """Write the pages of a book that was audited; a file that stands there is replaced. Raises BrowserError."""
    from sheetcheck.pages import to_html, to_pdf  # noqa: PLC0415 - an audit starts sooner without the templates

    page = to_html(audited, dt.datetime.now().astimezone().date().isoformat(), tuple(only))
    with replacing(target) as (file, _):
        file.write(to_pdf(page) if target.suffix.lower() == ".pdf" else page.encode())
        store(file)


def rescaled(  # noqa: PLR0913 - what a maker may say
    path: str | Path,
    to: str | Sequence[str],
    settings: Settings | None = None,
    *,
    bench: Mapping[str, str] | None = None,
    moulds: str | Path | None = None,
    also: Sequence[str] = (),
    only: Sequence[str] = (),
    keep_lye: bool = False,
    date: dt.date | None = None,
    progress: Progress = _silent,
) -> Rescaled:
    """Audit a workbook and rescale its sound recipes; nothing is written. This is `sheetcheck.rescale`.

    Parameters
    ----------
    to
        One size or several, as the command takes them: "x2", "fats=5kg", "batch=9lb", "bars=40x110g", "moulds=NAME",
        "mould=2 box 24x8x7 cm".
    bench
        What the maker says of her scale and pot, as the command takes it: see `rescaling.bench.read_bench`.
    moulds
        A workbook with the list of moulds, where the book itself has none.
    also, only, keep_lye
        See `rescaling.scaling.rescale`.
    date
        On which the batches are to be made.

    Returns
    -------
    Rescaled
        `.recipes` is a pandas frame, a line for each recipe and size, `.amounts` one with a line for each weight, and
        `.left_out` says what was not rescaled, and why.

    Raises
    ------
    BookError, SettingError
    """
    from sheetcheck.rescaling.bench import read_bench  # noqa: PLC0415 - an audit starts sooner without all of these
    from sheetcheck.rescaling.mould_sheet import mould_sets  # noqa: PLC0415 - only this needs it
    from sheetcheck.rescaling.prices import prices_of  # noqa: PLC0415 - only this needs it
    from sheetcheck.rescaling.scaling import rescale as scale_recipes  # noqa: PLC0415 - only this needs it
    from sheetcheck.rescaling.targets import names_sets, read_targets  # noqa: PLC0415 - only this needs it

    path, sizes = Path(path), (to,) if isinstance(to, str) else to
    limits = file_limits(settings or Settings())
    read_bench(bench or {})  # a slip in an option is told of before the book is read
    listed = mould_sets(open_unmarked(Path(moulds or path), limits)) if names_sets(sizes) else {}
    wanted = read_targets(sizes, listed)
    audited = audit(path, settings, progress=progress)
    progress(later("rescaling"))
    with speaking(audited.book.manner.voice()):
        on_bench = read_bench({**audited.settings.bench, **(bench or {})})
        done = scale_recipes(audited, wanted, on_bench, also=also, only=only, keep_lye=keep_lye)
        return replace(done, prices=prices_of(open_unmarked(path, limits)), date=date)


def rescale(  # noqa: PLR0913 - what the command offers
    path: str | Path,
    to: str | Sequence[str],
    out: str | Path | None = None,
    settings: Settings | None = None,
    *,
    bench: Mapping[str, str] | None = None,
    moulds: str | Path | None = None,
    also: Sequence[str] = (),
    only: Sequence[str] = (),
    keep_lye: bool = False,
    date: dt.date | None = None,
    overwrite: bool = False,
    progress: Progress = _silent,
) -> tuple[Rescaled, Path]:
    """Audit a workbook and write its sound recipes, rescaled, with weigh sheets, into a workbook of their own.

    Parameters
    ----------
    to, bench, moulds, also, only, keep_lye, date
        See `rescaled`.
    out
        `<name>.rescaled.xlsx` beside the book where None. A file that stands there is replaced only with `overwrite`:
        weights may have been written into it.

    Raises
    ------
    BookError, CopyError, SettingError
    """
    from sheetcheck.rescaling.book import choose_place, write_rescaled  # noqa: PLC0415 - only this needs it

    path = Path(path)
    target = choose_place(
        path, Path(out) if out is not None else None, overwrite=overwrite, moulds=Path(moulds) if moulds else None
    )
    done = rescaled(
        path, to, settings, bench=bench, moulds=moulds, also=also, only=only, keep_lye=keep_lye, date=date,
        progress=progress,
    )  # fmt: skip
    with speaking(done.audit.book.manner.voice()):
        write_rescaled(done, target, progress=progress)
    return done, target
