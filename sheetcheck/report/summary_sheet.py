"""The page to read first: the verdict, what to do first, two charts, the cautions."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping, Sequence

from sheetcheck.faults import otherwise
from sheetcheck.model import Audit, CellContent, Chart, Finding, Link, NewSheet, Signal, Styled
from sheetcheck.reference import cautions, sources
from sheetcheck.report.finding_words import suggested
from sheetcheck.report.findings_sheet import place, who
from sheetcheck.report.fitting import TITLE_HEIGHT, heights, wide_enough
from sheetcheck.report.json_report import in_danger, summary
from sheetcheck.report.places import CAUTIONS, READING, SUMMARY
from sheetcheck.report.words import (
    CAUTION_OF_PRACTICE,
    CAUTION_WITH_SOURCE,
    CAUTIONS_HEADING,
    CAVEAT,
    FIRST_HEADINGS,
    LIVE,
    NO_CHARTS,
    NOT_LIVE,
    NOTHING_TO_PUT_RIGHT,
    SIGNAL_HEADINGS,
    SIGNAL_MEANING,
    SUMMARY_CAUTIONS,
    TITLES,
    WHAT_FINE_MEANS,
    amounts_read,
    checked_on,
    more_on,
    signal_word,
    verdict_sentence,
)
from sheetcheck.words import later, tr
from sheetcheck.workbook.tabs import tab_name

FIRST_THINGS = 5
WIDTHS = (14, 18, 26, 76, 30)
LINKS, LAST = 1, "E"
CHART_ROWS = 17  # of the usual height, that the charts take up
BETWEEN_CHARTS = 15  # pixels
Row = list[CellContent]


@otherwise(None, later("The summary of the check is left out of the copy."))
def summary_sheet(
    audit: Audit, findings: Sequence[Finding], charts: Sequence[Chart], *, day: str, live: bool
) -> NewSheet:
    """Return the page; `findings` come worst first."""
    page = _Page(findings)
    counts = summary(audit)
    page.across(Styled(tr(TITLES["summary"]), "title"))
    page.across(Styled(checked_on(audit.book.name, day, tab_name(SUMMARY)), "sentence"))
    page.across(Styled(verdict_sentence(counts, in_danger(audit)), "verdict"))
    page.free()
    page.add(*_first_things(audit, findings))
    page.free()
    page.add(*_counts(counts))
    for sentence in (amounts_read(counts, tab_name(READING)), tr(WHAT_FINE_MEANS)):
        page.across(Styled(sentence, "sentence"))
    page.free()
    placed = page.charts(charts)
    if not charts and len(audit.recipes) > FIRST_THINGS:
        page.across(Styled(tr(NO_CHARTS), "sentence"))
    page.across(Styled(tr(CAUTIONS_HEADING), "heading"))
    for sentence in _cautions():
        page.across(Styled(sentence, "sentence"))
    page.across(Styled(Link(CAUTIONS, "A1", more_on(tab_name(CAUTIONS))), "leads on"))
    page.free()
    for sentence in (tr(LIVE if live else NOT_LIVE), tr(CAVEAT), *audit.book.notices):
        page.across(Styled(sentence, "sentence"))
    return page.sheet(placed, findings)


class _Page:
    """Rows as they come, some of them across all columns."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        self.widths: list[float] = [*WIDTHS]
        self.widths[LINKS] = wide_enough(WIDTHS[LINKS], map(place, findings[:FIRST_THINGS]))
        self.rows: list[Row] = []
        self.wide: dict[int, float] = {}

    def add(self, *rows: Row) -> None:
        self.rows.extend(rows)

    def across(self, content: CellContent) -> None:
        self.rows.append([content])
        self.wide[len(self.rows)] = float(sum(self.widths))

    def free(self) -> None:
        self.rows.append([])

    def charts(self, charts: Sequence[Chart]) -> tuple[Chart, ...]:
        """Leave room for charts side by side and return them in their places."""
        if not charts:
            return ()
        row = len(self.rows) + 1
        self.rows += [[] for _ in range(CHART_ROWS)]
        placed, right = [], 0
        for chart in charts:
            placed.append(dataclasses.replace(chart, cell=f"A{row}", right=right))
            right += chart.size[0] + BETWEEN_CHARTS
        return tuple(placed)

    def sheet(self, charts: tuple[Chart, ...], findings: Sequence[Finding]) -> NewSheet:
        found = heights(self.rows, self.widths, self.wide)
        return NewSheet(
            SUMMARY,
            self.rows,
            widths=self.widths,
            merges=tuple(f"A{row}:{LAST}{row}" for row in self.wide),
            heights=found | TITLE_HEIGHT | {3: max(22.0, found.get(3, 0.0))},
            one_page=True,
            landscape=True,
            tab=findings[0].signal if findings else None,
            charts=charts,
            grid=False,
        )


def _first_things(audit: Audit, findings: Sequence[Finding]) -> list[Row]:
    worst = [f for f in findings if f.signal is not Signal.NOTICE][:FIRST_THINGS]
    if not worst:
        return [[Styled(tr(NOTHING_TO_PUT_RIGHT), "strong")]]
    return [[Styled(tr(h), "heading") for h in FIRST_HEADINGS], *(_first_thing(f, audit) for f in worst)]


def _first_thing(finding: Finding, audit: Audit) -> Row:
    return [
        Styled(signal_word(finding.signal), finding.signal.value),
        Link(finding.sheet, finding.cell, place(finding)),
        Styled(who(finding, audit), "wrap"),
        Styled(finding.message, "wrap"),
        Styled(suggested(finding), "wrap"),
    ]


def _counts(counts: Mapping[str, int]) -> list[Row]:
    """Return how many findings each signal word has, and what it means here."""
    rows: list[Row] = [
        [
            Styled(signal_word(signal), signal.value),
            Styled(counts[signal.value], "count"),
            Styled(tr(SIGNAL_MEANING[signal]), "text"),
        ]
        for signal in Signal
    ]
    return [[Styled(tr(h), "heading") for h in SIGNAL_HEADINGS], *rows]


def _cautions() -> Iterator[str]:
    """Yield the first sentence of each group that the summary shows, with the source."""
    for group in SUMMARY_CAUTIONS:
        first = next(c for c in cautions() if c.group == group)
        source = sources()[first.source]
        said = CAUTION_OF_PRACTICE if source.status == "practice" else CAUTION_WITH_SOURCE
        yield tr(said, caution=tr(first.sentence), source=tr(str(source)))
