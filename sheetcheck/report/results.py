"""The results of each recipe as cells: live formulas, or beyond so many recipes plain values."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import pandas as pd

from sheetcheck.model import Audit, CellContent, Finding, Link, Signal, Styled
from sheetcheck.report.amounts import Amounts
from sheetcheck.report.arithmetic import Worked
from sheetcheck.report.cells import amount_cell, percent_cell, range_text, reason_cell, unit_of, verdict_cell
from sheetcheck.report.places import FINDINGS, Values
from sheetcheck.report.tables import Tables
from sheetcheck.report.words import in_short, in_unit, mass, sentence_case
from sheetcheck.report.workings import VERDICT, Working, stated_superfat

LIVE_UP_TO = 3_000  # recipes; beyond them formulas would make the copy slow to open
PLAIN_DIGITS = 3  # of plain values: what no scale shows would only make the copy larger
ROW_OF_FIRST_FINDING = 4
COLUMNS = (  # of the frame of recipes, that results are made of
    "name",
    "sheet",
    "row",
    "column",
    "first_row",
    "first_column",
    "last_row",
    "last_column",
    "unit",
    "alkali",
    "fat_g",
    "alkali_g",
    "liquid_g",
    "superfat_low",
    "superfat_typical",
    "superfat_high",
    "lye_concentration",
    "alkali_recomputed_g",
    "liquid_recomputed_g",
    "naoh_recomputed_g",
    "koh_recomputed_g",
    "recomputed_superfat",
    "recomputed_from",
    "verdict",
    "signal",
)
SAID_BY_NOT_CHECKED = frozenset(  # rules whose finding is the reason why a recipe was not checked
    {
        "alkali-not-computable",
        "ambiguous-name",
        "amount-not-read",
        "fats-missing",
        "koh-purity-unknown",
        "lye-missing",
        "unknown-ingredient",
    }
)


@dataclass(frozen=True)
class Results:
    """All that is said beside the recipes of a book."""

    audit: Audit
    findings: Sequence[Finding]  # in the order of the findings sheet
    live: bool

    @classmethod
    def of(cls, audit: Audit, findings: Sequence[Finding], *, live: bool = True) -> Results:
        """Return results with live formulas, where there are not too many for them."""
        return cls(audit, findings, live and len(audit.recipes) <= LIVE_UP_TO)

    @cached_property
    def values(self) -> Values:
        """The values sheet."""
        return Values(self.audit)

    @cached_property
    def amounts(self) -> Amounts:
        """The amounts, as formulas refer to them."""
        return Amounts(self.audit, self.values)

    @cached_property
    def tables(self) -> Tables:
        """The tables with one recipe in a row."""
        return Tables(self.audit, self.amounts)

    @cached_property
    def reasons(self) -> Mapping[int, str]:
        """What is said beside each recipe: why it was not checked, else its worst findings in short."""
        reasons: dict[int, list[str]] = defaultdict(list)
        why = self.audit.recipes["why_not_checked"]
        for number, text in why[why.notna()].items():
            reasons[int(str(number))].append(f"{sentence_case(str(text))}.")
        for finding in self.findings:
            if finding.signal is Signal.NOTICE and len(finding.about()) > 1:
                continue  # stands once in the list of findings, not beside every recipe
            for recipe in finding.about():
                if not (finding.rule in SAID_BY_NOT_CHECKED and pd.notna(why.get(recipe))):
                    reasons[recipe].append(in_short(finding))
        return {recipe: " ".join(dict.fromkeys(texts)) for recipe, texts in reasons.items()}

    @cached_property
    def _first_finding(self) -> Mapping[int, int]:
        """Row of the findings sheet with the worst finding of each recipe."""
        rows: dict[int, int] = {}
        for row, finding in enumerate(self.findings, ROW_OF_FIRST_FINDING):
            for recipe in finding.about():
                rows.setdefault(recipe, row)
        return rows

    @cached_property
    def _stated(self) -> Mapping[int, Mapping[Any, Any]]:
        """The first superfat that a cell states, by recipe."""
        said = self.audit.book.statements
        said = said[(said["kind"] == "superfat") & (said["stored"] != "text")]
        return {int(s["recipe"]): s for s in reversed(said.to_dict("records"))}

    def cells(self, number: int, r: Mapping[Any, Any], home: str, column_unit: str | None = None) -> list[CellContent]:
        """Return the results of a recipe for a row of the sheet `home`; amounts in the column's unit, or the row's."""
        unit = unit_of(r["unit"], column_unit)
        link = Link(FINDINGS, f"A{self._first_finding[number]}", "") if number in self._first_finding else None
        reason = self.reasons.get(number, "")
        if self.live:
            work = self.working(number, r, home, unit)
            lye, liquid, superfat = work.lye(), work.liquid(), work.superfat()
            range_, concentration = work.superfat_range(), work.concentration()
            verdict = verdict_cell(r["verdict"], r["signal"], work.unchanged(self.tables.conditions(number)), link)
        else:
            amounts = (in_unit(r[name], unit) for name in ("alkali_recomputed_g", "liquid_recomputed_g"))
            lye, liquid = (round(amount, PLAIN_DIGITS) for amount in amounts)
            superfat, concentration = (
                round(r[name], PLAIN_DIGITS) for name in ("superfat_typical", "lye_concentration")
            )
            range_ = range_text(r["superfat_low"], r["superfat_high"])
            verdict = verdict_cell(r["verdict"], r["signal"], None, link)
        both = _both_alkalis(r, unit)
        return [
            amount_cell(lye, unit, with_unit=column_unit is None) if both is None else both,
            amount_cell(liquid, unit, with_unit=column_unit is None),
            percent_cell(superfat),
            range_,
            percent_cell(concentration),
            verdict,
            reason_cell(reason, f"{{{{{VERDICT}}}}}" if self.live else None),
        ]

    def working(self, number: int, r: Mapping[Any, Any], home: str, unit: str) -> Working:
        """Return a recipe at work."""
        stated: Worked | None = stated_superfat(self._stated[number], home) if number in self._stated else None
        return Working(self.amounts, self.amounts.by_recipe.get(number, ()), r, stated, home, unit)


def _both_alkalis(r: Mapping[Any, Any], unit: str) -> Styled | None:
    """Return what to weigh of each alkali where a recipe has both; None for any other, and where it is withheld."""
    if r["alkali"] != "mixed" or math.isnan(r["liquid_recomputed_g"]):
        return None
    naoh, koh = (mass(r[column], unit) for column in ("naoh_recomputed_g", "koh_recomputed_g"))
    return Styled(f"{naoh} NaOH, {koh} KOH", "wrap")
