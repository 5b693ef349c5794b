"""The values that an audit computed with, each with its source, and the settings in force; formulas refer to them."""

from __future__ import annotations

import math
from collections.abc import Iterator

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
    SETTINGS_HEADING,
    TITLES,
    VALUES_HEADINGS,
    VALUES_SENTENCE,
    own_values_in_use,
    settings_shown,
)

WIDTHS = (26, 11, 9, 9, 9, 10, 9, 8, 9, 11, 11, 11, 60)
SHARES = frozenset({NAOH_PURITY, KOH_PURITY})
Row = list[CellContent]


def values_sheet(values: Values) -> NewSheet:
    """Return the substances of the book and the settings."""
    rows: list[Row] = [
        [Styled(TITLES["values"], "title")],
        [Styled(VALUES_SENTENCE, "sentence")],
        [],
        [Styled(heading, "heading") for heading in VALUES_HEADINGS],
        *(_substance(values, s, row) for row, s in enumerate(values.listed, FIRST_SUBSTANCE)),
        [],
        [Styled(SETTINGS_HEADING if column == 0 else "", "heading") for column in range(7)],
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
        Styled(s.name, "wrap"),
        Styled(s.kind, "text"),
        *(_number(value, "percent") for value in (s.sap_low, s.sap_typical, s.sap_high)),
        _number(own.get(s.key, math.nan), "percent"),
        None if math.isnan(used) else Styled(used, "setting"),
        _number(_fat(s) or math.nan, "share"),
        _number(s.water or math.nan, "share"),
        *_per_gram(values, s, row),
        Styled(str(sources()[s.source]), "wrap"),
    ]


def _fat(s: Substance) -> float:
    return 1.0 if s.role == "fat" else s.fat


def _per_gram(values: Values, s: Substance, row: int) -> Iterator[CellContent]:
    """Yield what a gram takes up, and by how much less or more: formulas where fat takes it up."""
    held = dict(values.of(s))
    ratio = values.setting(NAOH_PER_KOH).text.rpartition("!")[2]
    made_of_fat = _fat(s) > 0 and not math.isnan(held[TAKES])
    acid = 0.0 if math.isnan(s.naoh_per_g) or s.role == "fat" else s.naoh_per_g
    formulas = {
        TAKES: f"G{row}*H{row}/1000*{ratio}" + (f"+{acid!r}" if acid else ""),
        LESS: f"(G{row}-C{row})*H{row}/1000*{ratio}",
        MORE: f"(E{row}-G{row})*H{row}/1000*{ratio}",
    }
    for column, formula in formulas.items():
        if made_of_fat:
            yield Styled(Formula(formula, held[column]), "per gram")
        else:
            yield _number(held[column] or math.nan, "per gram")


def _settings(values: Values) -> Iterator[Row]:
    shown = settings_shown()
    for name, value in values.settings.items():
        style = "setting share" if name in SHARES else "setting"
        known = Styled("none", "text") if math.isnan(value) else Styled(value, style)
        yield [Styled(shown[name], "text"), *[None] * 5, known]
    yield [Styled(own_values_in_use(in_use=values.audit.settings.use_own_values), "text")]


def _number(value: float, style: str) -> CellContent:
    return None if math.isnan(value) else Styled(value, style)
