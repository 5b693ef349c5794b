"""The page to read first: the verdict, what to do first, two charts, the cautions."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence

from sheetcheck.model import Audit, CellContent, Chart, Finding, Link, NewSheet, Signal, Styled
from sheetcheck.reference import cautions, sources
from sheetcheck.report.findings_sheet import who
from sheetcheck.report.fitting import TITLE_HEIGHT, heights
from sheetcheck.report.json_report import in_danger, summary
from sheetcheck.report.places import CAUTIONS, READING, SUMMARY
from sheetcheck.report.words import (
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
    checked_on,
    more_on,
    recipes_in_words,
    sentence_case,
    suggested,
    verdict_sentence,
)

FIRST_THINGS = 5
WIDTHS = (14, 18, 46, 60, 26)
LAST = "E"
CHART_ROWS = 18  # of the usual height, that the charts take up
LINE_PIXELS = 20
Row = list[CellContent]


def summary_sheet(
    audit: Audit, findings: Sequence[Finding], charts: Sequence[Chart], *, day: str, live: bool
) -> NewSheet:
    """Return the page; `findings` come worst first."""
    page = _Page()
    counts = summary(audit)
    page.across(Styled(TITLES["summary"], "title"))
    page.across(Styled(checked_on(audit.book.name, day), "sentence"))
    page.across(Styled(verdict_sentence(counts, in_danger(audit)), "verdict"))
    page.free()
    page.add(*_first_things(audit, findings))
    page.free()
    page.add(*_counts(counts))
    page.free()
    placed = page.charts(charts)
    if not charts and len(audit.recipes) > FIRST_THINGS:
        page.across(Styled(NO_CHARTS, "sentence"))
    page.across(Styled(CAUTIONS_HEADING, "heading"))
    for sentence in _cautions():
        page.across(Styled(sentence, "sentence"))
    page.across(Styled(more_on(CAUTIONS), "sentence"))
    page.free()
    for sentence in (LIVE if live else NOT_LIVE, CAVEAT, *audit.book.notices):
        page.across(Styled(sentence, "sentence"))
    return page.sheet(placed, findings)


class _Page:
    """Rows as they come, some of them across all columns."""

    def __init__(self) -> None:
        self.rows: list[Row] = []
        self.wide: dict[int, float] = {}

    def add(self, *rows: Row) -> None:
        self.rows.extend(rows)

    def across(self, content: CellContent) -> None:
        self.rows.append([content])
        self.wide[len(self.rows)] = float(sum(WIDTHS))

    def free(self) -> None:
        self.rows.append([])

    def charts(self, charts: Sequence[Chart]) -> tuple[Chart, ...]:
        """Leave room for charts side by side and return them in their places."""
        if not charts:
            return ()
        row = len(self.rows) + 1
        self.rows += [[] for _ in range(CHART_ROWS)]
        return tuple(dataclasses.replace(c, cell=f"{column}{row}") for c, column in zip(charts, "AD", strict=False))

    def sheet(self, charts: tuple[Chart, ...], findings: Sequence[Finding]) -> NewSheet:
        verdict = {3: max(22.0, heights(self.rows, WIDTHS, self.wide).get(3, 0.0))}
        return NewSheet(
            SUMMARY,
            self.rows,
            widths=WIDTHS,
            merges=tuple(f"A{row}:{LAST}{row}" for row in self.wide),
            heights=heights(self.rows, WIDTHS, self.wide) | TITLE_HEIGHT | verdict,
            one_page=True,
            landscape=True,
            tab=findings[0].signal if findings else None,
            charts=charts,
        )


def _first_things(audit: Audit, findings: Sequence[Finding]) -> list[Row]:
    worst = [f for f in findings if f.signal is not Signal.NOTICE][:FIRST_THINGS]
    if not worst:
        return [[Styled(NOTHING_TO_PUT_RIGHT, "strong")]]
    return [[Styled(h, "heading") for h in FIRST_HEADINGS], *(_first_thing(f, audit) for f in worst)]


def _first_thing(finding: Finding, audit: Audit) -> Row:
    return [
        Styled(finding.signal.value, finding.signal.value),
        Link(finding.sheet, finding.cell, f"{finding.sheet}!{finding.cell}"),
        Styled(who(finding, audit), "wrap"),
        Styled(finding.message, "wrap"),
        Styled(suggested(finding), "wrap"),
    ]


def _counts(counts: Mapping[str, int]) -> list[Row]:
    """Return how many findings each signal word has, and beside them how the recipes stand."""
    beside = recipes_in_words(counts, READING)
    rows: list[Row] = [
        [
            Styled(signal.value, signal.value),
            Styled(counts[signal.value], "number"),
            Styled(sentence_case(SIGNAL_MEANING[signal]), "wrap"),
            Styled(sentence, "wrap"),
        ]
        for signal, sentence in zip(Signal, beside, strict=True)
    ]
    return [[Styled(h, "heading") for h in SIGNAL_HEADINGS], *rows]


def _cautions() -> list[str]:
    """Return the first sentence of each group that the summary shows, with the source."""
    found = []
    for group in SUMMARY_CAUTIONS:
        first = next(c for c in cautions() if c.group == group)
        found.append(f"{first.sentence} ({sources()[first.source].title})")
    return found
