"""The values that an audit computed with, each with its source, and the settings in force; formulas refer to them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sheetcheck.faults import otherwise
from sheetcheck.model import CellContent, Formula, NewSheet, Styled
from sheetcheck.reference import Substance, sources
from sheetcheck.report.fitting import TITLE_HEIGHT, heights
from sheetcheck.report.places import (
    FIRST_SUBSTANCE,
    KOH_PURITY,
    LESS,
    MORE,
    NAOH_PER_KOH,
    NAOH_PURITY,
    TAKES,
    VALUES,
    Values,
)
from sheetcheck.report.words import (
    KINDS,
    NO_SETTING,
    OWN_VALUES_SHOWN,
    OWN_VALUES_USED,
    SETTINGS_HEADING,
    SETTINGS_SHOWN,
    SLIP_WEIGHT,
    TITLES,
    VALUES_HEADINGS,
    VALUES_SENTENCE,
)
from sheetcheck.words import later, tr

WIDTHS = (26, 11, 9, 9, 9, 10, 9, 8, 9, 11, 12, 13, 60)
NUMBERS = range(2, 12)  # columns with numbers
STYLES = {NAOH_PER_KOH: "setting", NAOH_PURITY: "setting share", KOH_PURITY: "setting share"}
Row = list[CellContent]


@otherwise(None, later("The sheet of values is left out of the copy."))
def values_sheet(values: Values) -> NewSheet:
    """Return the substances of the book and the settings."""
    rows: list[Row] = [
        [Styled(tr(TITLES["values"]), "title")],
        [Styled(tr(VALUES_SENTENCE), "sentence")],
        [],
        [
            Styled(tr(heading), "heading of numbers" if column in NUMBERS else "heading")
            for column, heading in enumerate(VALUES_HEADINGS)
        ],
        *(_substance(values, s, row) for row, s in enumerate(values.listed, FIRST_SUBSTANCE)),
        [],
        [Styled(tr(SETTINGS_HEADING) if column == 0 else "", "heading") for column in range(7)],
        *_settings(values),
    ]
    across = {2: float(sum(WIDTHS[:12]))} | dict.fromkeys(range(values.first_setting, len(rows) + 1), 200.0)
    return NewSheet(
        VALUES,
        rows,
        widths=WIDTHS,
        heights=TITLE_HEIGHT | heights(rows, WIDTHS, across),
        merges=("A2:L2",),
        freeze=f"B{FIRST_SUBSTANCE}",
        landscape=True,
        repeat_rows=(FIRST_SUBSTANCE - 1, FIRST_SUBSTANCE - 1),
    )


def _substance(values: Values, s: Substance, row: int) -> Row:
    own = {v.substance: v.mg_koh_per_g for v in values.audit.book.own_values}
    used = values.used(s)
    return [
        Styled(tr(s.name), "wrap"),
        Styled(tr(KINDS[s.kind]), "text"),
        *(_number(value, "percent") for value in (s.sap_low, s.sap_typical, s.sap_high)),
        _number(own.get(s.key, math.nan), "percent"),
        None if math.isnan(used) else Styled(used, "setting"),
        _number(_fat(s) or math.nan, "share"),
        _number(s.water or math.nan, "share"),
        *_per_gram(values, s, row),
        Styled(tr(str(sources()[s.source])), "wrap"),
    ]


def _fat(s: Substance) -> float:
    return 1.0 if s.role == "fat" else s.fat


def _per_gram(values: Values, s: Substance, row: int) -> Iterator[CellContent]:
    """Yield what a gram takes up, and by how much less or more: formulas where fat takes it up."""
    held = dict(values.of(s))
    ratio = values.setting(NAOH_PER_KOH).text.rpartition("!")[2]
    made_of_fat = _fat(s) > 0 and not math.isnan(held[TAKES])
    varies = s.role != "fat" and not s.fat_low == s.fat == s.fat_high
    acid = 0.0 if math.isnan(s.naoh_per_g) or s.role == "fat" else s.naoh_per_g
    formulas = {
        TAKES: f"G{row}*H{row}/1000*{ratio}" + (f"+{acid!r}" if acid else ""),
        LESS: f"(G{row}-C{row})*H{row}/1000*{ratio}",
        MORE: f"(E{row}-G{row})*H{row}/1000*{ratio}",
    }
    for column, formula in formulas.items():
        if made_of_fat and not (varies and column != TAKES):
            yield Styled(Formula(formula, held[column]), "per gram")
        else:
            yield _number(held[column] or math.nan, "per gram")


def _settings(values: Values) -> Iterator[Row]:
    for name, value in values.settings.items():
        style = STYLES.get(name, "setting percent")
        known = Styled(tr(NO_SETTING), "text") if math.isnan(value) else Styled(value, style)
        yield [Styled(tr(SETTINGS_SHOWN[name]), "text"), *[None] * 5, known]
    for slip, weight in values.audit.settings.slips.items():
        yield [Styled(tr(SLIP_WEIGHT, slip=slip), "text"), *[None] * 5, Styled(weight, "setting percent")]
    used = values.audit.settings.use_own_values
    yield [Styled(tr(OWN_VALUES_USED if used else OWN_VALUES_SHOWN), "text")]


def _number(value: float, style: str) -> CellContent:
    return None if math.isnan(value) else Styled(value, style)
