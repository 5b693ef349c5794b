"""The cautions: every safety sentence with its source."""

from __future__ import annotations

from collections.abc import Iterator

from sheetcheck.faults import otherwise
from sheetcheck.model import Audit, CellContent, NewSheet, Styled
from sheetcheck.reference import cautions, sources
from sheetcheck.report.fitting import TITLE_HEIGHT, heights
from sheetcheck.report.places import CAUTIONS
from sheetcheck.report.words import CAUTION_GROUPS, TITLES
from sheetcheck.words import later, number, tr

WIDTHS = (92, 60)
HEAT_AFTER = "mixing"  # the group of cautions that the heat of the lye belongs to
HEAT_SOURCE = later(
    "Computed from published heats of solution (Felder and Rousseau, Table B.11, partly from memory) and heat "
    "capacities (Laliberté 2009)"
)


@otherwise(None, later("The sheet of cautions is left out of the copy."))
def cautions_sheet(audit: Audit | None = None) -> NewSheet:
    """Return the safety sentences by group; of an audit, with how hot the lye of its recipes can become."""
    rows: list[list[CellContent]] = [[Styled(tr(TITLES["cautions"]), "title")], []]
    last = ""
    for caution in cautions():
        if caution.group != last:
            if last == HEAT_AFTER and audit is not None:
                rows.extend(_hottest(audit))
            rows.append([Styled(tr(CAUTION_GROUPS[caution.group]), "heading"), Styled("", "heading")])
            last = caution.group
        rows.append([Styled(tr(caution.sentence), "wrap"), Styled(tr(str(sources()[caution.source])), "wrap")])
    return NewSheet(
        CAUTIONS,
        rows,
        widths=WIDTHS,
        heights=TITLE_HEIGHT | heights(rows, WIDTHS),
        one_page=True,
        landscape=True,
    )


def _hottest(audit: Audit) -> Iterator[list[CellContent]]:
    """Yield the bound of the recipe whose lye can become hottest; nothing where none can be told."""
    hottest = audit.recipes["hottest_lye"].dropna()
    if hottest.empty:
        return
    degrees = float(hottest.max())
    said = tr(
        "The lye of these recipes can reach {celsius} °C ({fahrenheit} °F) at most by itself, starting from {start} °C "
        "with no heat lost (“{name}”): near boiling, beyond what common plastics stand.",
        celsius=number(degrees, 0),
        fahrenheit=number(degrees * 9 / 5 + 32, 0),
        start=number(audit.settings.limit("ambient_temperature"), 0),
        name=audit.recipes["name"].loc[hottest.index[int(hottest.to_numpy().argmax())]],
    )
    yield [Styled(said, "wrap"), Styled(tr(HEAT_SOURCE), "wrap")]
