"""How each sheet of the book was understood: a small map of it, what was not understood first."""

from __future__ import annotations

from collections.abc import Iterable

from sheetcheck.faults import otherwise
from sheetcheck.model import (
    Audit,
    CellContent,
    ColumnReading,
    Link,
    NewSheet,
    NotUnderstood,
    SheetReading,
    Styled,
    column_letters,
)
from sheetcheck.report.fitting import TITLE_HEIGHT, heights
from sheetcheck.report.places import READING
from sheetcheck.report.words import (
    ALL_READ,
    NOT_READ,
    NOT_READ_HEADINGS,
    PASSED_OVER,
    READ_AS,
    READING_HEADINGS,
    READING_SENTENCE,
    TITLES,
    UNIT_FROM,
    recipes,
    sentence_case,
)
from sheetcheck.words import later, tr

WIDTHS = (18, 34, 34, 62)
Row = list[CellContent]


@otherwise(None, later("The sheet on how the book was read is left out of the copy."))
def reading_sheet(audit: Audit) -> NewSheet:
    """Return how the book was read."""
    rows: list[Row] = [[Styled(tr(TITLES["reading"]), "title")], [Styled(tr(READING_SENTENCE), "sentence")], []]
    across = {2: float(sum(WIDTHS))}
    merges = ["A2:D2"]
    rows += _not_read(audit.book.not_understood)
    units = _units_in_cells(audit)
    for sheet in audit.book.sheets:
        rows += [[], _title(sheet)]
        for sentence in sheet.evidence:
            rows.append([Styled(_sentence(sentence), "wrap")])
            across[len(rows)] = float(sum(WIDTHS))
            merges.append(f"A{len(rows)}:D{len(rows)}")
        if sheet.columns:
            rows.append([Styled(tr(heading), "heading") for heading in READING_HEADINGS])
            rows += [_column(column, units.get((sheet.sheet, column.place), "")) for column in sheet.columns]
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
            Styled(tr(NOT_READ), "not checked"),
            Link(n.sheet, n.cell, f"{n.sheet}!{n.cell}"),
            Styled(n.what, "wrap"),
            Styled(n.why, "wrap"),
        ]
        for n in found
    ]
    if not rows:
        return [[Styled(tr(ALL_READ), "strong")]]
    return [[Styled(tr(heading), "heading") for heading in NOT_READ_HEADINGS], *rows]


def _title(sheet: SheetReading) -> Row:
    count = Styled(recipes(sheet.recipes), "text") if sheet.recipes else None
    return [Styled(sheet.sheet, "strong"), Styled(tr(sheet.layout), "text"), count, _where(sheet)]


def _where(sheet: SheetReading) -> CellContent:
    return Styled(sheet.range, "text") if sheet.range else None


def _column(column: ColumnReading, in_cells: str) -> Row:
    unit = tr(UNIT_FROM[column.unit_from], unit=column.unit) if column.unit and column.unit_from else in_cells
    role = tr(PASSED_OVER.get(column.role, column.role))
    return [
        Styled(column.place, "text"),
        Styled(column.heading, "wrap"),
        Styled(tr(READ_AS, role=role, substance=tr(column.substance)) if column.substance else role, "wrap"),
        Styled("; ".join(filter(None, (unit, column.why))), "wrap"),
    ]


def _units_in_cells(audit: Audit) -> dict[tuple[str, str], str]:
    """Return the units of the amounts in each column, by sheet and letter, and where they were had from."""
    c = audit.book.components[["sheet", "column", "unit", "unit_from"]].dropna().drop_duplicates()
    found: dict[tuple[str, str], dict[str, dict[str, None]]] = {}
    for sheet, column, unit, unit_from in c.astype({"unit": str, "unit_from": str}).itertuples(index=False):
        found.setdefault((str(sheet), column_letters(column)), {}).setdefault(unit_from, {})[unit] = None
    return {
        place: "; ".join(tr(UNIT_FROM[source], unit=", ".join(units)) for source, units in said.items())
        for place, said in found.items()
    }


def _sentence(text: str) -> str:
    said = sentence_case(text).rstrip(".")
    return said if said.endswith("…") else f"{said}."
