"""Plans what is to be added to a copy, as data: marks on cells, result columns beside tables, sheets at the end."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from sheetcheck import faults
from sheetcheck.faults import otherwise
from sheetcheck.model import (
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
from sheetcheck.report.amounts import BESIDE_THE_TABLE
from sheetcheck.report.batch_sheet import batch_sheet
from sheetcheck.report.cautions_sheet import cautions_sheet
from sheetcheck.report.cells import TWO_ALKALIS_WIDTH, unit_of
from sheetcheck.report.charts import charts_and_data
from sheetcheck.report.finding_words import most_likely
from sheetcheck.report.findings_sheet import findings_sheet, worst_first
from sheetcheck.report.places import FINDINGS
from sheetcheck.report.reading_sheet import reading_sheet
from sheetcheck.report.results import Results
from sheetcheck.report.results_sheet import result_sheet
from sheetcheck.report.summary_sheet import summary_sheet
from sheetcheck.report.values_sheet import values_sheet
from sheetcheck.report.words import result_headings, signal_word
from sheetcheck.report.workings_sheet import workings_sheet
from sheetcheck.words import later, speaking, tr
from sheetcheck.workbook.tabs import tab_name

if TYPE_CHECKING:
    import pandas as pd

LONGEST_NOTE = 600  # characters; what goes past it stands in the list of findings
REASON_WIDTH = 64.0
ROOM = 2.5  # characters beside a heading


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
    findings = worst_first(audit.findings)
    results = Results.of(audit, findings, live=not alone)
    in_rows = audit.recipes["layout"] == BESIDE_THE_TABLE
    beside = audit.recipes[in_rows & (not alone)]
    others = audit.recipes[~in_rows | alone]
    marks: list[Mark] = [] if alone else list(_cell_marks(audit))
    marks.extend(_columns(audit, beside, results, day))
    charts, data = charts_and_data(audit)
    sheets = [
        summary_sheet(audit, findings, charts, day=day, live=results.live),
        findings_sheet(audit, findings),
        None if others.empty else result_sheet(others, results, day),
        batch_sheet(audit),
        reading_sheet(audit),
        values_sheet(results.values),
        workings_sheet(results),
        cautions_sheet(audit),
        data,
    ]
    wanted = [sheet for sheet in sheets if sheet is not None]
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
    """One mark for each cell with a finding, and one on the title of each flagged recipe that is not a row."""
    by_cell: dict[tuple[str, str], list[Finding]] = defaultdict(list)
    for finding in audit.findings:
        by_cell[finding.sheet, finding.cell].append(finding)
    titles = audit.recipes[(audit.recipes["layout"] != BESIDE_THE_TABLE) & audit.recipes["signal"].notna()]
    for (sheet, cell), findings in by_cell.items():
        findings.sort(key=lambda f: -f.signal.rank)
        yield CellMark(sheet, cell, findings[0].signal, note(findings))
    for r in titles.to_dict("records"):
        cell = address(r["row"], r["column"])
        if (r["sheet"], cell) not in by_cell and Signal(r["signal"]).rank >= Signal.CAUTION.rank:
            yield CellMark(r["sheet"], cell, r["signal"], _see_findings(Signal(r["signal"])))


@otherwise(None, later("A note on a cell is left out; its findings stand in the list."))
def note(findings: Sequence[Finding]) -> str:
    """Word the note for one cell: what is written, what was expected, why, what to look at."""
    parts = []
    for finding in findings:
        lines = [tr("{signal}: {message}", signal=signal_word(finding.signal), message=finding.message)]
        likely = most_likely(finding)
        if likely:
            lines.append(likely)
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
        titles = result_headings(day, unit)
        columns = None
        with faults.part("result columns", tr("The results beside the rows of {sheet} are left out.", sheet=sheet)):
            columns = ResultColumns(
                sheet=sheet,
                heading_row=max(1, min(above.get((sheet, table), first - 1), first - 1)),
                headings=titles,
                values=results.rows(group, group["row"].tolist(), sheet, unit),
                widths=widths(titles, two_alkalis=bool((group["alkali"] == "mixed").any())),
            )
        if columns is not None:
            yield columns


def _key(key: Any) -> tuple[str, int]:  # noqa: ANN401 - a pair, whatever pandas calls it
    """Return the sheet and the table that a group of recipes stands in."""
    return str(key[0]), int(key[1])


def widths(titles: Sequence[str], *, two_alkalis: bool = False) -> tuple[float, ...]:
    """Return widths in which headings, and what is to be weighed of two alkalis, stand on one line."""
    lye, *rest = (max(len(title), 9) + ROOM for title in titles[:-1])
    return (max(lye, TWO_ALKALIS_WIDTH) if two_alkalis else lye, *rest, REASON_WIDTH)


def _heading_rows(components: pd.DataFrame, recipes: pd.DataFrame) -> dict[tuple[str, int], int]:
    """Return, by sheet and table, the first row whose cells name the ingredients."""
    named = components.loc[components["name_row"] > 0, ["recipe", "sheet", "name_row"]]
    least = named.groupby(["sheet", named["recipe"].map(recipes["table"])])["name_row"].min()
    return {_key(key): int(row) for key, row in least.items()}
