"""Plans what is to be added to a copy, as data: marks on cells, result columns beside tables, sheets at the end."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING, Any

from sheetcheck import faults
from sheetcheck.faults import otherwise
from sheetcheck.model import (
    ACROSS_A_PAGE,
    Audit,
    CellContent,
    CellMark,
    Finding,
    Link,
    Mark,
    NewSheet,
    ResultColumns,
    Signal,
    Styled,
    address,
)
from sheetcheck.reading.answers import beside_questions
from sheetcheck.report.amounts import BESIDE_THE_TABLE
from sheetcheck.report.batch_sheet import batch_sheet
from sheetcheck.report.cautions_sheet import cautions_sheet
from sheetcheck.report.cells import TWO_ALKALIS_WIDTH, unit_of
from sheetcheck.report.finding_words import decided, most_likely, repair_sentence, suggested_changes
from sheetcheck.report.findings_sheet import findings_sheet, first_row_of_findings, worst_first
from sheetcheck.report.fitting import on_one_line, verdict_width, wide_enough
from sheetcheck.report.places import FINDINGS
from sheetcheck.report.reading_sheet import reading_sheet
from sheetcheck.report.results import Results
from sheetcheck.report.results_sheet import result_sheet, verdicts_beside
from sheetcheck.report.strip import strip_and_data
from sheetcheck.report.summary_sheet import summary_sheet
from sheetcheck.report.values_sheet import values_sheet
from sheetcheck.report.words import NOT_CHECKED, result_headings, signal_word
from sheetcheck.report.workings import LYE, NAME, RANGE, REASON, VERDICT, WHICH_LYE
from sheetcheck.report.workings_sheet import workings_sheet
from sheetcheck.words import later, speaking, tr
from sheetcheck.workbook.tabs import tab_name

if TYPE_CHECKING:
    import pandas as pd

LONGEST_NOTE = 600  # characters; what goes past it stands in the list of findings
NAME_WIDTH, VERDICT_WIDTH, REASON_WIDTH, WHICH_WIDTH = 16.0, 22.0, 46.0, 30.0
REASON_LEAST = 40.0
RANGE_WIDTH, NUMBER_WIDTH = 12.0, 10.0


def plan(audit: Audit, on: dt.date | None = None, *, alone: bool = False) -> list[Mark]:
    """Return all marks for a copy of the audited workbook.

    Parameters
    ----------
    on
        The day that verdicts carry; today where None.
    alone
        For a workbook of findings beside a book that cannot be edited: nothing refers to the book's own sheets.
    """
    day = (on or dt.datetime.now().astimezone().date()).isoformat()
    with speaking(audit.book.manner.voice()):
        return _plan(audit, day, alone=alone)


def _plan(audit: Audit, day: str, *, alone: bool) -> list[Mark]:
    findings = worst_first(beside_questions(audit.findings, audit.book))
    results = Results.of(audit, findings, first_row_of_findings(audit), live=not alone)
    in_rows = audit.recipes["layout"] == BESIDE_THE_TABLE
    beside = audit.recipes[in_rows & (not alone)]
    others = audit.recipes[~in_rows | alone]
    marks: list[Mark] = [] if alone else list(_cell_marks(audit))
    marks.extend(_columns(audit, beside, results, day))
    if not alone and not others.empty:
        marks.extend(verdicts_beside(others, results))
    strip = strip_and_data(audit)
    sheets = [
        summary_sheet(audit, findings, day=day, live=results.live, strip=bool(strip)),
        findings_sheet(audit, findings),
        *strip[:1],
        None if others.empty else result_sheet(others, results, day),
        batch_sheet(audit),
        reading_sheet(audit),
        values_sheet(results.values),
        workings_sheet(results),
        cautions_sheet(audit),
        *strip[1:],
    ]
    wanted = [dataclasses.replace(sheet, paper=audit.paper) for sheet in sheets if sheet is not None]
    marks.extend(_without_links(wanted) if alone else wanted)
    return marks


def _without_links(sheets: Sequence[NewSheet]) -> Iterable[NewSheet]:
    """Return sheets whose links to the book's own are plain texts."""
    ours = {sheet.name for sheet in sheets}

    def plain(content: CellContent) -> CellContent:
        value = content.value if isinstance(content, Styled) else content
        return Styled(value.text, "wrap") if isinstance(value, Link) and value.sheet not in ours else content

    for sheet in sheets:
        yield dataclasses.replace(sheet, rows=[[plain(content) for content in row] for row in sheet.rows])


# --------------------------------------------------------------------------- cells


def _cell_marks(audit: Audit) -> Iterable[CellMark]:
    """One mark for each cell with a finding or a suggestion, and one on the title of each card or list to look at."""
    by_cell: dict[tuple[str, str], list[Finding]] = defaultdict(list)
    for finding in audit.findings:
        by_cell[finding.sheet, finding.cell].append(finding)
    suggested: dict[tuple[str, str], Finding] = {}
    for finding in worst_first(audit.findings):
        for change in suggested_changes(finding):
            if (change.sheet, change.cell) not in by_cell:
                suggested.setdefault((change.sheet, change.cell), finding)
    for (sheet, cell), findings in by_cell.items():
        findings.sort(key=lambda f: -f.signal.rank)
        yield CellMark(sheet, cell, findings[0].signal, note(findings))
    for (sheet, cell), finding in suggested.items():
        yield CellMark(sheet, cell, finding.signal, _of_suggestion(finding))
    yield from _title_marks(audit, {*by_cell, *suggested})


def _title_marks(audit: Audit, marked: Collection[tuple[str, str]]) -> Iterable[CellMark]:
    """Mark the titles of cards and lists that are not marked yet, where there is something to say of them."""
    titles = audit.recipes[audit.recipes["layout"] != BESIDE_THE_TABLE]
    for r in titles.to_dict("records"):
        cell = address(r["row"], r["column"])
        if (r["sheet"], cell) in marked:
            continue
        if r["signal"] in (Signal.DANGER, Signal.WARNING, Signal.CAUTION):
            yield CellMark(r["sheet"], cell, r["signal"], _see_findings(Signal(r["signal"])))
        elif r["verdict"] == NOT_CHECKED:
            yield CellMark(r["sheet"], cell, NOT_CHECKED, tr("Not checked: {reason}.", reason=r["why_not_checked"]))


def _of_suggestion(finding: Finding) -> str:
    """Word the note on a cell that is to be changed with another one, where the finding stands."""
    return tr(
        "{signal}: see the note on {cell}. {repair}.",
        signal=signal_word(finding.signal),
        cell=finding.cell,
        repair=repair_sentence(finding.repairs[0]),
    )


@otherwise(None, later("A note on a cell is left out; its findings stand in the list."))
def note(findings: Sequence[Finding]) -> str:
    """Word the note for one cell: what is written, what was expected, why, what to look at."""
    parts = []
    for finding in findings:
        lines = [tr("{signal}: {message}", signal=signal_word(finding.signal), message=finding.message)]
        lines += filter(None, (most_likely(finding), decided(finding)))
        if finding.look_at:
            lines.append(tr("Look at: {places}", places=finding.look_at))
        parts.append("\n".join(lines))
    text = "\n\n".join(parts)
    if len(text) <= LONGEST_NOTE:
        return text
    return tr("{text} … (see the findings)", text=text[: LONGEST_NOTE - 40].rsplit(" ", 1)[0])


def _see_findings(signal: Signal) -> str:
    return tr("{signal}: see the sheet “{sheet}”.", signal=signal_word(signal), sheet=tab_name(FINDINGS))


# --------------------------------------------------------------------------- result columns


def _columns(audit: Audit, recipes: pd.DataFrame, results: Results, day: str) -> Iterable[ResultColumns]:
    if recipes.empty:
        return
    above = _heading_rows(audit.book.components, recipes)
    for key, group in recipes.groupby(["sheet", "table"], sort=True):
        sheet, table = _key(key)
        units = set(group["unit"].dropna())
        unit = unit_of(units.pop()) if len(units) == 1 else None
        first = int(group["row"].min())
        titles = result_headings(day, unit, solution=results.has_solution(group))
        columns = None
        with faults.part("result columns", tr("The results beside the rows of {sheet} are left out.", sheet=sheet)):
            columns = ResultColumns(
                sheet=sheet,
                heading_row=max(1, min(above.get((sheet, table), first - 1), first - 1)),
                headings=titles,
                values=results.rows(group, group["row"].tolist(), sheet, unit),
                widths=widths(titles, group["name"].astype(str), two_alkalis=bool((group["alkali"] == "mixed").any())),
                new_page=True,
            )
        if columns is not None:
            yield columns


def _key(key: Any) -> tuple[str, int]:  # noqa: ANN401 - a pair, whatever pandas calls it
    """Return the sheet and the table that a group of recipes stands in."""
    return str(key[0]), int(key[1])


def widths(titles: Sequence[str], names: Iterable[str], *, two_alkalis: bool = False) -> tuple[float, ...]:
    """Return widths in which headings, and what is to be weighed of two alkalis, stand on one line.

    Verdict and reason fit a page of A4 or Letter, and so do the figures.
    """
    found = [on_one_line(NUMBER_WIDTH, title) for title in titles]
    found[NAME - 1] = wide_enough(NAME_WIDTH, names)
    found[VERDICT - 1] = max(found[VERDICT - 1], verdict_width(VERDICT_WIDTH))
    found[REASON - 1] = max(REASON_LEAST, min(REASON_WIDTH, ACROSS_A_PAGE - found[NAME - 1] - found[VERDICT - 1]))
    found[RANGE - 1] = max(found[RANGE - 1], RANGE_WIDTH)
    if two_alkalis:
        found[LYE - 1] = max(found[LYE - 1], TWO_ALKALIS_WIDTH)
    if len(found) >= WHICH_LYE:
        found[WHICH_LYE - 1] = max(found[WHICH_LYE - 1], WHICH_WIDTH)
    return tuple(found)


def _heading_rows(components: pd.DataFrame, recipes: pd.DataFrame) -> dict[tuple[str, int], int]:
    """Return, by sheet and table, the first row whose cells name the ingredients."""
    named = components.loc[components["name_row"] > 0, ["recipe", "sheet", "name_row"]]
    least = named.groupby(["sheet", named["recipe"].map(recipes["table"])])["name_row"].min()
    return {_key(key): int(row) for key, row in least.items()}
