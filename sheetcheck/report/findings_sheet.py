"""The list of findings: to be worked down, worst first, with a place for answers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sheetcheck.model import Audit, CellContent, Choice, Finding, Link, NewSheet, Styled
from sheetcheck.reading.answers import ANSWERS, keys_of
from sheetcheck.report.fitting import TITLE_HEIGHT, heights
from sheetcheck.report.places import FINDINGS
from sheetcheck.report.words import (
    FINDINGS_HEADINGS,
    HOW_TO_WORK,
    NOTHING_TO_DO,
    TITLES,
    cause,
    suggested,
)

WIDTHS = (13, 20, 17, 16, 24, 50, 38, 17, 14, 22, 12)
HEADING_ROW = 3
NAMES_SHOWN = 3


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Order findings by signal word; within one they keep their order."""
    return sorted(findings, key=lambda f: -f.signal.rank)


def findings_sheet(audit: Audit, findings: Sequence[Finding]) -> NewSheet:
    """Return the list to work down."""
    keys = keys_of(findings, audit.book)
    rows: list[list[CellContent]] = [
        [Styled(TITLES["findings"], "title")],
        [Styled(HOW_TO_WORK, "sentence")],
        [Styled(h, "heading") for h in FINDINGS_HEADINGS],
        *(_row(finding, key, audit) for finding, key in zip(findings, keys, strict=True)),
    ]
    last = max(len(rows), HEADING_ROW + 1)
    if not findings:
        rows.append([Styled(NOTHING_TO_DO, "strong")])
    across = float(sum(WIDTHS[:9]))
    return NewSheet(
        FINDINGS,
        rows,
        widths=WIDTHS,
        heights=TITLE_HEIGHT | heights(rows, WIDTHS, {2: across}),
        merges=("A2:I2",),
        freeze="C4",
        filter=f"A{HEADING_ROW}:K{last}",
        choices=(Choice(f"I{HEADING_ROW + 1}:I{last}", ANSWERS),) if findings else (),
        landscape=True,
        repeat_rows=(HEADING_ROW, HEADING_ROW),
        tab=findings[0].signal if findings else None,
    )


def _row(finding: Finding, key: str, audit: Audit) -> list[CellContent]:
    return [
        Styled(finding.signal.value, finding.signal.value),
        Styled(who(finding, audit), "wrap"),
        Link(finding.sheet, finding.cell, f"{finding.sheet}!{finding.cell}"),
        Styled(finding.written, "wrap"),
        Styled(finding.expected, "wrap"),
        Styled(finding.message, "wrap"),
        Styled(cause(finding), "wrap"),
        Styled(suggested(finding), "wrap"),
        Styled(finding.answer or None, "input"),
        Styled(finding.rule, "muted"),
        Styled(key, "muted"),
    ]


def who(finding: Finding, audit: Audit) -> str:
    """Name the recipes that a finding is about."""
    known = [r for r in finding.about() if r in audit.recipes.index]
    if not known:
        return "the whole book"
    shown = known if len(known) <= NAMES_SHOWN else known[: NAMES_SHOWN - 1]
    names = ", ".join(str(audit.recipes.at[r, "name"]) for r in shown)
    return names if len(shown) == len(known) else f"{names} and {len(known) - len(shown)} more"
