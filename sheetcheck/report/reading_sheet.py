"""How each sheet of the book was understood: a small map of it, what was not understood first."""

from __future__ import annotations

from collections.abc import Iterable

from sheetcheck.model import Audit, CellContent, ColumnReading, Link, NewSheet, NotUnderstood, SheetReading, Styled
from sheetcheck.report.cells import count_of
from sheetcheck.report.fitting import TITLE_HEIGHT, heights
from sheetcheck.report.places import READING
from sheetcheck.report.words import (
    ALL_READ,
    NOT_READ_HEADINGS,
    READING_HEADINGS,
    READING_SENTENCE,
    TITLES,
    sentence_case,
)

WIDTHS = (18, 30, 34, 66)
Row = list[CellContent]


def reading_sheet(audit: Audit) -> NewSheet:
    """Return how the book was read."""
    rows: list[Row] = [[Styled(TITLES["reading"], "title")], [Styled(READING_SENTENCE, "sentence")], []]
    across = {2: float(sum(WIDTHS))}
    merges = ["A2:D2"]
    rows += _not_read(audit.book.not_understood)
    for sheet in audit.book.sheets:
        rows += [[], _title(sheet)]
        for sentence in sheet.evidence:
            rows.append([Styled(_sentence(sentence), "wrap")])
            across[len(rows)] = float(sum(WIDTHS))
            merges.append(f"A{len(rows)}:D{len(rows)}")
        if sheet.columns:
            rows.append([Styled(heading, "heading") for heading in READING_HEADINGS])
            rows += [_column(column) for column in sheet.columns]
    return NewSheet(
        READING,
        rows,
        widths=WIDTHS,
        heights=TITLE_HEIGHT | heights(rows, WIDTHS, across),
        merges=tuple(merges),
        landscape=True,
    )


def _not_read(found: Iterable[NotUnderstood]) -> list[Row]:
    rows: list[Row] = [
        [
            Styled("not read", "not checked"),
            Link(n.sheet, n.cell, f"{n.sheet}!{n.cell}"),
            Styled(n.what, "wrap"),
            Styled(n.why, "wrap"),
        ]
        for n in found
    ]
    if not rows:
        return [[Styled(ALL_READ, "strong")]]
    return [[Styled(heading, "heading") for heading in NOT_READ_HEADINGS], *rows]


def _title(sheet: SheetReading) -> Row:
    layout = Styled(sheet.layout, "text")
    return [Styled(sheet.sheet, "strong"), layout, Styled(count_of(sheet.recipes, "recipe"), "text"), _where(sheet)]


def _where(sheet: SheetReading) -> CellContent:
    return Styled(sheet.range, "text") if sheet.range else None


def _column(column: ColumnReading) -> Row:
    unit = " ".join(filter(None, (column.unit, f"({column.unit_from})" if column.unit_from else "")))
    return [
        Styled(column.place, "text"),
        Styled(column.heading, "wrap"),
        Styled(": ".join(filter(None, (column.role, column.substance))), "wrap"),
        Styled("; ".join(filter(None, (unit, column.why))), "wrap"),
    ]


def _sentence(text: str) -> str:
    said = sentence_case(text).rstrip(".")
    return said if said.endswith("…") else f"{said}."
