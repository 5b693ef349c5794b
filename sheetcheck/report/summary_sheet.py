"""The page that a copy opens on: the verdict, what to answer, all there is to look at, worst first, the cautions."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from sheetcheck.faults import otherwise
from sheetcheck.model import Audit, CellContent, Finding, Link, NewSheet, Question, Signal, Styled
from sheetcheck.reference import cautions, sources
from sheetcheck.report.cells import amount_cell, percent_cell, unit_of
from sheetcheck.report.finding_words import Companions, decided_in_short, decided_sentence, in_short
from sheetcheck.report.findings_sheet import first_row_of_findings, names_of, place, suggestion_style, who
from sheetcheck.report.fitting import TITLE_HEIGHT, heights, signal_width, wide_enough
from sheetcheck.report.json_report import in_danger, summary
from sheetcheck.report.places import CAUTIONS, FINDINGS, READING, RESULTS, STRIP, SUMMARY
from sheetcheck.report.weighed import alkali_weighed, as_weighed
from sheetcheck.report.words import (
    ASK_HEADINGS,
    CAUTION_OF_PRACTICE,
    CAUTION_WITH_SOURCE,
    CAUTIONS_HEADING,
    CAVEAT,
    FIRST_HEADINGS,
    LIVE,
    NOT_LIVE,
    NOTHING_TO_PUT_RIGHT,
    QUESTION,
    SIGNAL_HEADINGS,
    SIGNAL_MEANING,
    SUMMARY_CAUTIONS,
    TITLES,
    WHAT_FINE_MEANS,
    amounts_read,
    checked_on,
    do_not_weigh_yet,
    in_unit,
    more_on,
    questions_sentence,
    signal_with_shape,
    since_last_sentence,
    verdict_sentence,
)
from sheetcheck.rules.support.wording import joined
from sheetcheck.words import later, of_the_translation, tr, tr_count
from sheetcheck.workbook.tabs import tab_name

SHOWN = 60  # things to look at; the rest is counted, and a click away
WIDTHS = (14, 18, 24, 62, 11, 13, 13)
LINKS, FIGURES, LAST = 1, 4, "G"
Row = list[CellContent]


@otherwise(None, later("The summary of the check is left out of the copy."))
def summary_sheet(audit: Audit, findings: Sequence[Finding], *, day: str, live: bool, strip: bool) -> NewSheet:
    """Return the page; `findings` come worst first, `strip` tells whether there is a sheet with all recipes."""
    page = _Page(findings)
    counts = summary(audit)
    page.across(Styled(tr(TITLES["summary"]), "title"))
    page.across(Styled(checked_on(audit.book.name, day, tab_name(SUMMARY)), "sentence"))
    page.across(Styled(verdict_sentence(counts, in_danger(audit)), "verdict"))
    sentences = (
        since_last_sentence(audit.since_last),
        decided_sentence(findings),
        questions_sentence(audit.book.questions),
    )
    for sentence in filter(None, sentences):
        page.across(Styled(sentence, "strong"))
    page.free()
    page.add(*_questions(audit))
    page.add(*_worst(audit, findings))
    left = sum(f.signal is not Signal.NOTICE for f in findings) - SHOWN
    if left > 0:
        more = tr_count("{count} more: the whole list", "{count} more: the whole list", left)
        page.across(Styled(Link(FINDINGS, f"A{first_row_of_findings(audit) + SHOWN}", more), "leads on"))
    if strip:
        page.across(Styled(Link(STRIP, "A1", tr("All recipes at a glance")), "leads on"))
    page.free()
    page.add(*_counts(counts))
    for sentence in (amounts_read(counts, tab_name(READING)), tr(WHAT_FINE_MEANS)):
        page.across(Styled(sentence, "sentence"))
    page.free()
    page.across(Styled(tr(CAUTIONS_HEADING), "heading"))
    for sentence in _cautions():
        page.across(Styled(sentence, "sentence"))
    page.across(Styled(Link(CAUTIONS, "A1", more_on(tab_name(CAUTIONS))), "leads on"))
    page.free()
    how = tr(LIVE, results=tab_name(RESULTS)) if live else tr(NOT_LIVE)
    for sentence in filter(None, (how, tr(CAVEAT), of_the_translation(), *audit.book.notices)):
        page.across(Styled(sentence, "sentence"))
    return page.sheet(findings)


class _Page:
    """Rows as they come, some of them across all columns."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        self.widths: list[float] = [*WIDTHS]
        self.widths[0] = signal_width(WIDTHS[0])
        self.widths[LINKS] = wide_enough(WIDTHS[LINKS], map(place, findings[:SHOWN]))
        self.widths[FIGURES] = wide_enough(WIDTHS[FIGURES], [tr(FIRST_HEADINGS[FIGURES])])
        self.rows: list[Row] = []
        self.wide: dict[int, float] = {}

    def add(self, *rows: Row) -> None:
        self.rows.extend(rows)

    def across(self, content: CellContent) -> None:
        self.rows.append([content])
        self.wide[len(self.rows)] = float(sum(self.widths))

    def free(self) -> None:
        self.rows.append([])

    def sheet(self, findings: Sequence[Finding]) -> NewSheet:
        found = heights(self.rows, self.widths, self.wide)
        return NewSheet(
            SUMMARY,
            self.rows,
            widths=self.widths,
            merges=tuple(f"A{row}:{LAST}{row}" for row in self.wide),
            heights=found | TITLE_HEIGHT | {3: max(22.0, found.get(3, 0.0))},
            landscape=True,
            tab=findings[0].signal if findings else None,
            grid=False,
            first=True,
        )


def _questions(audit: Audit) -> Iterator[Row]:
    if audit.book.questions:
        yield [Styled(tr(h), "heading") for h in ASK_HEADINGS]
        yield from (_question(question, row, audit) for row, question in enumerate(audit.book.questions, 4))


def _question(question: Question, row: int, audit: Audit) -> Row:
    sheet, _, cell = question.cells[0].rpartition("!") if question.cells else ("", "", "")
    return [
        Styled(Link(FINDINGS, f"G{row}", f"? {tr(QUESTION)}"), "question"),
        Link(sheet, cell, question.cells[0]) if sheet else None,
        Styled(names_of(question.recipes, audit), "wrap"),
        Styled(question.ask, "wrap"),
    ]


def _worst(audit: Audit, findings: Sequence[Finding]) -> list[Row]:
    worst = [f for f in findings if f.signal is not Signal.NOTICE][:SHOWN]
    if not worst:
        unchecked = int((audit.recipes["verdict"] == "not checked").sum())
        if unchecked:  # of that one nobody knows
            return [[Styled(do_not_weigh_yet(unchecked), "strong")]]
        return [] if audit.book.questions else [[Styled(tr(NOTHING_TO_PUT_RIGHT), "strong")]]
    weighed = alkali_weighed(audit)
    companions = Companions(findings)
    rows = (_one(f, row, audit, weighed, companions) for row, f in enumerate(worst, first_row_of_findings(audit)))
    headings: Row = [Styled(tr(h), "heading of numbers" if n > 3 else "heading") for n, h in enumerate(FIRST_HEADINGS)]
    return [headings, *rows]


def _one(finding: Finding, row: int, audit: Audit, weighed: Mapping[int, float], companions: Companions) -> Row:
    signal = Link(FINDINGS, f"A{row}", signal_with_shape(finding.signal))
    style = suggestion_style(finding) if finding.certainty is not None else "wrap"
    return [
        Styled(signal, finding.signal.value),
        Link(finding.sheet, finding.cell, place(finding)),
        Styled(who(finding, audit), "wrap"),
        Styled(decided_in_short(finding) or joined(in_short(finding), companions.goes_with(finding)), style),
        *_figures(finding, audit, weighed),
    ]


def _figures(finding: Finding, audit: Audit, weighed: Mapping[int, float]) -> Row:
    """Return superfat, lye as it is on the sheet and what the fats can take, of a finding on one recipe."""
    if finding.recipe not in audit.recipes.index:
        return []
    r: Mapping[Any, Any] = audit.recipes.loc[finding.recipe].to_dict()
    unit = unit_of(r["unit"])
    taken = as_weighed(float(r["needed_typical_g"]), r, weighed.get(int(finding.recipe or 0), math.nan))
    amounts = (weighed.get(int(finding.recipe or 0), math.nan), taken)
    return [
        percent_cell(float(r["superfat_typical"])),
        *(amount_cell(in_unit(grams, unit), unit, with_unit=True) for grams in amounts),
    ]


def _counts(counts: Mapping[str, int]) -> list[Row]:
    """Return how many findings each signal word has, and what it means here."""
    rows: list[Row] = [
        [
            Styled(signal_with_shape(signal), signal.value),
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
