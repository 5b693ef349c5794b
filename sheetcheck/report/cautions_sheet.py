"""The cautions: every safety sentence with its source."""

from __future__ import annotations

from sheetcheck.model import CellContent, NewSheet, Styled
from sheetcheck.reference import cautions, sources
from sheetcheck.report.fitting import TITLE_HEIGHT, heights
from sheetcheck.report.places import CAUTIONS
from sheetcheck.report.words import CAUTION_GROUPS, TITLES

WIDTHS = (92, 50)


def cautions_sheet() -> NewSheet:
    """Return the safety sentences by group."""
    rows: list[list[CellContent]] = [[Styled(TITLES["cautions"], "title")], []]
    last = ""
    for caution in cautions():
        if caution.group != last:
            rows.append([Styled(CAUTION_GROUPS[caution.group], "heading"), Styled("", "heading")])
            last = caution.group
        rows.append([Styled(caution.sentence, "wrap"), Styled(str(sources()[caution.source]), "wrap")])
    return NewSheet(
        CAUTIONS,
        rows,
        widths=WIDTHS,
        heights=TITLE_HEIGHT | heights(rows, WIDTHS),
        one_page=True,
        landscape=True,
    )
