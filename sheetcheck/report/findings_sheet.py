"""The list of findings: to be worked down, worst first, with a place for answers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sheetcheck.faults import otherwise
from sheetcheck.model import Audit, CellContent, Choice, Finding, Link, NewSheet, Styled
from sheetcheck.reading.answers import ANSWERS, keys_of
from sheetcheck.report.finding_words import cause, suggested
from sheetcheck.report.fitting import TITLE_HEIGHT, heights, wide_enough
from sheetcheck.report.places import FINDINGS
from sheetcheck.report.words import (
    FINDINGS_HEADINGS,
    HOW_TO_WORK,
    NOTHING_TO_DO,
    TITLES,
    WHOLE_BOOK,
    and_more,
    signal_word,
)
from sheetcheck.words import later, tr

WIDTHS = (13, 17, 17, 13, 19, 46, 31, 17, 13, 22, 0)  # the key is hidden; the rest to the answer fits a small screen
LINKS = 2  # the column of links, from 0
HEADING_ROW = 3
NAMES_SHOWN = 3


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Order findings by signal word; within one they keep their order."""
    return sorted(findings, key=lambda f: -f.signal.rank)


@otherwise(None, later("The list of findings is left out of the copy."))
def findings_sheet(audit: Audit, findings: Sequence[Finding]) -> NewSheet:
    """Return the list to work down."""
    keys = keys_of(findings, audit.book)
    rows: list[list[CellContent]] = [
        [Styled(tr(TITLES["findings"]), "title")],
        [Styled("\n".join(tr(sentence) for sentence in HOW_TO_WORK), "sentence")],
        [Styled(tr(h), "heading") for h in FINDINGS_HEADINGS],
        *(_row(finding, key, audit) for finding, key in zip(findings, keys, strict=True)),
    ]
    widths: list[float] = [*WIDTHS]
    widths[LINKS] = wide_enough(WIDTHS[LINKS], (place(finding) for finding in findings))
    last = max(len(rows), HEADING_ROW + 1)
    if not findings:
        rows.append([Styled(tr(NOTHING_TO_DO), "strong")])
    across = float(sum(widths[:9]))
    answers = tuple(tr(answer) for answer in ANSWERS)
    return NewSheet(
        FINDINGS,
        rows,
        widths=widths,
        heights=TITLE_HEIGHT | heights(rows, widths, {2: across}),
        merges=("A2:I2",),
        freeze="C4",
        filter=f"A{HEADING_ROW}:K{last}",
        choices=(Choice(f"I{HEADING_ROW + 1}:I{last}", answers),) if findings else (),
        landscape=True,
        repeat_rows=(HEADING_ROW, HEADING_ROW),
        tab=findings[0].signal if findings else None,
    )


def _row(finding: Finding, key: str, audit: Audit) -> list[CellContent]:
    return [
        Styled(signal_word(finding.signal), finding.signal.value),
        Styled(who(finding, audit), "wrap"),
        Link(finding.sheet, finding.cell, place(finding)),
        Styled(finding.shown, "wrap"),
        Styled(finding.expected, "wrap"),
        Styled(finding.message, "wrap"),
        Styled(cause(finding), "wrap"),
        Styled(suggested(finding), "wrap"),
        Styled(tr(finding.answer) or None, "input"),
        Styled(finding.rule, "muted"),
        Styled(key, "muted"),
    ]


def place(finding: Finding) -> str:
    """Name the cell of a finding as a formula does."""
    return f"{finding.sheet}!{finding.cell}"


def who(finding: Finding, audit: Audit) -> str:
    """Name the recipes that a finding is about."""
    known = [r for r in finding.about() if r in audit.recipes.index]
    if not known:
        return tr(WHOLE_BOOK)
    shown = known if len(known) <= NAMES_SHOWN else known[: NAMES_SHOWN - 1]
    return and_more([str(audit.recipes.at[r, "name"]) for r in shown], len(known) - len(shown))
