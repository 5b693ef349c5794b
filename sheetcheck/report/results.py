"""The results of each recipe as cells: live formulas, or beyond so many recipes plain values."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

import pandas as pd

from sheetcheck.model import Audit, CellContent, Finding, Link, ResultRows, Signal
from sheetcheck.report.amounts import Amounts
from sheetcheck.report.arithmetic import Worked
from sheetcheck.report.cells import amount_cell, percent_cell, reason_cell, unit_of, verdict_cell
from sheetcheck.report.finding_words import in_short
from sheetcheck.report.places import FINDINGS, Values
from sheetcheck.report.plain_results import plain_columns
from sheetcheck.report.tables import Tables
from sheetcheck.report.words import sentence_case
from sheetcheck.report.workings import VERDICT, Working, stated_superfat
from sheetcheck.words import tr

LIVE_UP_TO = 3_000  # recipes; beyond them formulas would make the copy slow to open
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
    "stated_concentration",
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
            reasons[int(str(number))].append(tr("{reason}.", reason=sentence_case(str(text))))
        for _, finding in self._own_findings:
            said = in_short(finding)
            for recipe in finding.about():
                if not (finding.rule in SAID_BY_NOT_CHECKED and pd.notna(why.get(recipe))):
                    reasons[recipe].append(said)
        return {recipe: " ".join(dict.fromkeys(texts)) for recipe, texts in reasons.items()}

    @cached_property
    def _links(self) -> Mapping[int, Link]:
        """Where the worst finding of each recipe stands."""
        links: dict[int, Link] = {}
        for row, finding in self._own_findings:
            link = Link(FINDINGS, f"A{row}", "")
            for recipe in finding.about():
                links.setdefault(recipe, link)
        return links

    @property
    def _own_findings(self) -> Iterator[tuple[int, Finding]]:
        """Findings with their rows, without what is for information on many recipes: it stands once, in the list."""
        for row, finding in enumerate(self.findings, ROW_OF_FIRST_FINDING):
            if finding.signal is not Signal.NOTICE or len(finding.about()) == 1:
                yield row, finding

    @cached_property
    def _stated(self) -> Mapping[int, Mapping[Any, Any]]:
        """The first superfat that a cell states, by recipe."""
        said = self.audit.book.statements
        said = said[(said["kind"] == "superfat") & (said["stored"] != "text")]
        return {int(s["recipe"]): s for s in reversed(said.to_dict("records"))}

    def rows(
        self, recipes: pd.DataFrame, rows: Sequence[int], home: str, column_unit: str | None = None
    ) -> Mapping[int, Sequence[CellContent]]:
        """Return the results of recipes for rows of the sheet `home`; amounts in the column's unit, or each row's."""
        if not self.live and all(above < below for above, below in pairwise(rows)):
            return ResultRows(rows, plain_columns(recipes, column_unit, self.reasons, self._links))
        if not self.live:
            columns = plain_columns(recipes, column_unit, self.reasons, self._links)
            return {row: list(cells) for row, *cells in zip(rows, *columns, strict=True)}
        records = recipes[list(COLUMNS)].to_dict("records")
        return {
            row: self._live_cells(int(number), r, home, column_unit)
            for row, number, r in zip(rows, recipes.index, records, strict=True)
        }

    def _live_cells(self, number: int, r: Mapping[Any, Any], home: str, column_unit: str | None) -> list[CellContent]:
        """Return the results of one recipe as formulas."""
        unit = unit_of(r["unit"], column_unit)
        work = self.working(number, r, home, unit)
        unchanged = work.unchanged(self.tables.conditions(number))
        return [
            amount_cell(
                work.both_alkalis() if r["alkali"] == "mixed" else work.lye(), unit, with_unit=column_unit is None
            ),
            amount_cell(work.liquid(), unit, with_unit=column_unit is None),
            percent_cell(work.superfat()),
            work.superfat_range(),
            percent_cell(work.concentration()),
            verdict_cell(r["verdict"], r["signal"], unchanged, self._links.get(number)),
            reason_cell(self.reasons.get(number, ""), f"{{{{{VERDICT}}}}}"),
        ]

    def working(self, number: int, r: Mapping[Any, Any], home: str, unit: str) -> Working:
        """Return a recipe at work."""
        stated: Worked | None = stated_superfat(self._stated[number], home) if number in self._stated else None
        return Working(self.amounts, self.amounts.by_recipe.get(number, ()), r, stated, home, unit)
