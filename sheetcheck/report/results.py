"""The results of each recipe as cells: live formulas, or beyond so many recipes plain values."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Any

import pandas as pd

from sheetcheck.model import Audit, CellContent, Finding, Link, ResultRows, Signal, Styled
from sheetcheck.reading.own_superfat import is_word
from sheetcheck.report.amounts import Amounts
from sheetcheck.report.arithmetic import Worked
from sheetcheck.report.cells import amount_cell, percent_cell, reason_cell, unit_of, verdict_cell
from sheetcheck.report.finding_words import decided_in_short, in_short, suggested, title
from sheetcheck.report.places import FINDINGS, Values
from sheetcheck.report.plain_results import plain_columns
from sheetcheck.report.tables import Tables
from sheetcheck.report.unchanged import Unchanged
from sheetcheck.report.words import FINE, sentence_case
from sheetcheck.report.workings import VERDICT, Working, stated_superfat
from sheetcheck.rules.support.wording import percent
from sheetcheck.words import tr

LIVE_UP_TO = 3_000  # recipes; beyond them formulas would make the copy slow to open
IN_A_ROW = 66  # characters of a reason beside a recipe; so many are written a little smaller
VERDICT_CELL = f"{{{{{VERDICT}}}}}"
WEIGHED_AS_IT_IS = 0.995  # purity from which a lye is weighed as if it were pure
COLUMNS = (  # of the frame of recipes, that results are made of
    "name",
    "sheet",
    "row",
    "column",
    "layout",
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
    first_row: int  # of the first of them on that sheet
    live: bool

    @classmethod
    def of(cls, audit: Audit, findings: Sequence[Finding], first_row: int, *, live: bool = True) -> Results:
        """Return results with live formulas, where there are not too many for them."""
        return cls(audit, findings, first_row, live and len(audit.recipes) <= LIVE_UP_TO)

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
    def _unchanged(self) -> Unchanged:
        return Unchanged(self.audit, self.tables)

    @cached_property
    def lye_named(self) -> Mapping[int, str]:
        """What the lye of a recipe is, where it is not weighed as the pure substance: "Soda lye 36 °Bé: 30.2 %"."""
        c = self.audit.book.components
        c = c[(c["role"] == "alkali") & (c["strength"] < WEIGHED_AS_IT_IS)]
        named: dict[int, list[str]] = defaultdict(list)
        for recipe, name, strength in zip(c["recipe"], c["name"], c["strength"], strict=True):
            named[int(recipe)].append(tr("{name}: {share} lye", name=name, share=percent(100 * float(strength))))
        return {recipe: "; ".join(dict.fromkeys(names)) for recipe, names in named.items()}

    def has_solution(self, recipes: pd.DataFrame) -> bool:
        """Tell whether the lye of any of these recipes is weighed as a solution or of a stated purity."""
        return any(number in self.lye_named for number in recipes.index)

    @cached_property
    def little_margin(self) -> frozenset[int]:
        """The recipes whose fats, as far as they vary, may leave lye over, or nearly so."""
        recipes = self.audit.recipes
        thin = recipes["superfat_typical"] < self.audit.settings.limit("superfat_notice_below")
        return frozenset(recipes.index[thin | (recipes["superfat_low"] < 0)])

    @cached_property
    def reasons(self) -> Mapping[int, str]:
        """What is said beside each recipe: why it was not checked, its findings in short, else remarks by name."""
        reasons: dict[int, list[str]] = defaultdict(list)
        why = self.audit.recipes["why_not_checked"]
        for number, text in why[why.notna()].items():
            reasons[int(str(number))].append(tr("{reason}.", reason=sentence_case(str(text))))
        for _, finding in self._own_findings:
            for recipe in finding.about():
                if self._is_said_beside(finding, recipe, unchecked=pd.notna(why.get(recipe))):
                    reasons[recipe].append(_beside(finding))
        return {recipe: " ".join(dict.fromkeys(texts)) for recipe, texts in reasons.items()}

    def _is_said_beside(self, finding: Finding, recipe: int, *, unchecked: bool) -> bool:
        """Tell whether a finding is worth a word there: a remark only where there is nothing worse."""
        if finding.signal is Signal.NOTICE:
            return str(self.audit.recipes.at[recipe, "verdict"]) == FINE
        return not (unchecked and finding.rule in SAID_BY_NOT_CHECKED)

    def reason_in_a_row(self, recipe: int) -> str:
        """Return the reason as far as it goes on one line beside the recipe; the whole stands in the list."""
        reason = self.reasons.get(recipe, "")
        return reason if len(reason) <= IN_A_ROW else f"{reason[:IN_A_ROW].rsplit(' ', 1)[0]} …"

    @cached_property
    def _links(self) -> Mapping[int, Link]:
        """Where the question that a recipe waits for stands, else the worst of its findings."""
        links: dict[int, Link] = {}
        questions = self.audit.book.questions
        for row, question in enumerate(questions, self.first_row - len(questions)):
            if not is_word(question.text):  # recipes that wait for her superfat are checked all the same
                links |= dict.fromkeys(question.recipes, Link(FINDINGS, f"A{row}", ""))
        for row, finding in self._own_findings:
            link = Link(FINDINGS, f"A{row}", "")
            for recipe in finding.about():
                links.setdefault(recipe, link)
        return links

    @property
    def _own_findings(self) -> Iterator[tuple[int, Finding]]:
        """Findings with their rows, without what is for information on many recipes: it stands once, in the list."""
        for row, finding in enumerate(self.findings, self.first_row):
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
        if not self.live:
            columns = self._plain(recipes, column_unit)
            if all(above < below for above, below in pairwise(rows)):
                return ResultRows(rows, columns)
            return {row: list(cells) for row, *cells in zip(rows, *columns, strict=True)}
        solution = self.has_solution(recipes)
        records = recipes[list(COLUMNS)].to_dict("records")
        return {
            row: self._live_cells(int(number), r, home, column_unit, solution=solution)
            for row, number, r in zip(rows, recipes.index, records, strict=True)
        }

    def _plain(self, recipes: pd.DataFrame, column_unit: str | None) -> list[Sequence[CellContent]]:
        columns = plain_columns(recipes, column_unit, self._in_rows(recipes), self._links, self.little_margin)
        if self.has_solution(recipes):
            columns += [[Styled(self.lye_named.get(n), "text") for n in recipes.index], [None] * len(recipes)]
        return columns

    def _in_rows(self, recipes: pd.DataFrame) -> Mapping[int, str]:
        return {number: self.reason_in_a_row(number) for number in recipes.index.tolist() if number in self.reasons}

    def _live_cells(
        self, number: int, r: Mapping[Any, Any], home: str, column_unit: str | None, *, solution: bool
    ) -> list[CellContent]:
        """Return the results of one recipe as formulas."""
        whole = r["sheet"] != home  # on a sheet of ours there is room for all of it
        unit = unit_of(r["unit"], column_unit)
        with_unit = column_unit is None
        work = self.working(number, r, home, unit)
        unchanged = work.unchanged(self._unchanged.conditions(number, r, home))
        lye = work.both_alkalis() if r["alkali"] == "mixed" else work.lye()
        cells = [
            Styled(str(r["name"]), "text"),
            self.verdict(number, r, unchanged),
            reason_cell(self.reasons.get(number, ""), VERDICT_CELL, "wrap")
            if whole
            else reason_cell(self.reason_in_a_row(number), VERDICT_CELL),
            percent_cell(work.superfat()),
            work.superfat_range(),
            percent_cell(work.aimed_at()),
            amount_cell(lye, unit, with_unit=with_unit),
            amount_cell(work.liquid(), unit, with_unit=with_unit),
            percent_cell(work.concentration()),
        ]
        if solution:
            named = self.lye_named.get(number)
            cells += [Styled(named, "text"), amount_cell(work.pure_lye() if named else None, unit, with_unit=with_unit)]
        return cells

    def verdict(self, number: int, r: Mapping[Any, Any], unchanged: str | None = None) -> Styled:
        """Return the verdict on a recipe, which leads to its worst finding."""
        margin = number in self.little_margin
        return verdict_cell(r["verdict"], r["signal"], unchanged, self._links.get(number), little_margin=margin)

    def working(self, number: int, r: Mapping[Any, Any], home: str, unit: str) -> Working:
        """Return a recipe at work."""
        stated: Worked | None = stated_superfat(self._stated[number], home) if number in self._stated else None
        return Working(self.amounts, self.amounts.by_recipe.get(number, ()), r, stated, home, unit)


def _beside(finding: Finding) -> str:
    """Say a finding beside its recipe, whose verdict stands there already."""
    if finding.signal is Signal.NOTICE:
        return tr("{problem}.", problem=title(finding))
    return decided_in_short(finding) or suggested(finding) or in_short(finding)
