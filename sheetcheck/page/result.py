"""An audit as the page shows it: how the book stands, then recipe by recipe, worst first. Data for the templates."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from sheetcheck.model import Audit, Finding, NotUnderstood, SheetReading, Signal
from sheetcheck.page.excerpt import Excerpt, Excerpts, Row, worst_first
from sheetcheck.reading.answers import keys_of
from sheetcheck.report.cells import unit_of
from sheetcheck.report.finding_words import decided_sentence, most_likely, title
from sheetcheck.report.json_report import in_danger, summary
from sheetcheck.report.weighed import alkali_weighed, as_weighed
from sheetcheck.report.words import (
    DECIMALS,
    both_alkalis,
    in_unit,
    range_text,
    since_last_sentence,
    verdict_in_words,
    verdict_sentence,
)
from sheetcheck.words import number, tr

NO_NUMBER = "–"
MOST_FINE = 300  # listed one by one


@dataclass(frozen=True)
class Remark:
    """A finding, with the key that an answer to it goes by."""

    finding: Finding
    key: str
    likely: str
    answer: str

    @property
    def title(self) -> str:
        """The problem in a few words."""
        return title(self.finding)

    @property
    def can_be_accepted(self) -> bool:
        """Whether "on purpose" makes it quieter; free lye never is."""
        return self.finding.signal is not Signal.DANGER


@dataclass(frozen=True)
class RecipeShown:
    """One recipe of the page."""

    number: int
    name: str
    sheet: str
    verdict: str
    look: str  # of its verdict: a signal word, "unchecked" or "fine"
    why: str
    figures: tuple[tuple[str, str], ...]
    remarks: tuple[Remark, ...]
    excerpt: Excerpt | None


class ResultShown:
    """What the templates ask of an audit."""

    def __init__(self, audit: Audit, excerpts: Excerpts, answered: Mapping[str, str]) -> None:
        self.audit, self.book, self.excerpts, self.answered = audit, audit.book, excerpts, answered
        self.counts = summary(audit)

    @property
    def verdict(self) -> str:
        """How the book stands, in one sentence."""
        return verdict_sentence(self.counts, in_danger(self.audit))

    @property
    def since_last(self) -> str:
        """What became of what the last check found; nothing where there was none."""
        return since_last_sentence(self.audit.since_last)

    @property
    def decided(self) -> str:
        """How many of the findings she has decided and not yet put into her book; nothing where there are none."""
        return decided_sentence(self.audit.findings)

    @property
    def signals(self) -> list[tuple[Signal, int]]:
        """How many findings each signal word has, without those that nothing has."""
        return [(signal, self.counts[signal.value]) for signal in Signal if self.counts[signal.value]]

    @property
    def all_read(self) -> bool:
        """Whether every amount was read."""
        return self.counts["amount_cells"] == self.counts["amount_cells_read"]

    @property
    def not_understood(self) -> Sequence[NotUnderstood]:
        """What was not read."""
        return self.book.not_understood

    @property
    def sheets(self) -> Sequence[SheetReading]:
        """How each sheet was read."""
        return self.book.sheets

    @cached_property
    def _remarks(self) -> Sequence[Remark]:
        """Return all findings, worst first."""
        keys = keys_of(self.audit.findings, self.book)
        remarks = [
            Remark(finding, key, most_likely(finding), self.answered.get(key, ""))
            for finding, key in zip(self.audit.findings, keys, strict=True)
        ]
        return sorted(remarks, key=lambda remark: -remark.finding.signal.rank)

    @cached_property
    def _lye_weighed(self) -> Mapping[int, float]:
        return alkali_weighed(self.audit)

    @cached_property
    def _by_recipe(self) -> Mapping[int, Sequence[Remark]]:
        found: dict[int, list[Remark]] = defaultdict(list)
        for remark in self._remarks:
            if len(remark.finding.about()) == 1:
                found[remark.finding.about()[0]].append(remark)
        return found

    @property
    def about_many(self) -> Sequence[Remark]:
        """Findings that stand for several recipes, or for the workbook as a whole."""
        return [remark for remark in self._remarks if len(remark.finding.about()) != 1]

    def names(self, remark: Remark, at_most: int = 12) -> str:
        """Name the recipes that a finding is about."""
        about = [str(self.audit.recipes.at[r, "name"]) for r in remark.finding.about()]
        more = len(about) - at_most
        shown = ", ".join(about[:at_most])
        return tr("{names} and {more} more", names=shown, more=number(more, 0)) if more > 0 else shown

    @cached_property
    def to_look_at(self) -> Sequence[RecipeShown]:
        """The recipes that are not fine, worst first."""
        return [r for r in self._shown() if r.look != "fine"]

    @property
    def with_rows(self) -> Sequence[RecipeShown]:
        """Those of them whose rows are shown."""
        return [r for r in self.to_look_at if r.excerpt is not None]

    @property
    def without_rows(self) -> int:
        """How many there are whose rows are not shown: the checked copy has them."""
        return len(self.to_look_at) - len(self.with_rows)

    @cached_property
    def fine(self) -> Sequence[RecipeShown]:
        """The recipes that are fine, as they stand in the book."""
        return sorted((r for r in self._shown() if r.look == "fine"), key=lambda r: r.number)[:MOST_FINE]

    @property
    def more_fine(self) -> int:
        """How many fine ones are not listed."""
        return int(self.counts["fine"]) - len(self.fine)

    def _shown(self) -> Iterator[RecipeShown]:
        rows = dict(zip(self.audit.recipes.index.tolist(), self.audit.recipes.to_dict("records"), strict=True))
        for recipe in worst_first(self.audit):
            row = rows[recipe]
            yield RecipeShown(
                number=recipe,
                name=str(row["name"]),
                sheet=str(row["sheet"]),
                verdict=verdict_in_words(row["verdict"], row["signal"]),
                look=_look(row),
                why=str(row["why_not_checked"]) if isinstance(row["why_not_checked"], str) else "",
                figures=tuple(_figures(row, self._lye_weighed.get(recipe, math.nan))),
                remarks=tuple(self._by_recipe.get(recipe, ())),
                excerpt=self.excerpts.by_recipe.get(recipe),
            )


def _look(row: Row) -> str:
    if row["signal"] in (Signal.DANGER, Signal.WARNING, Signal.CAUTION):
        return str(row["signal"]).lower()
    return "unchecked" if row["verdict"] == "not checked" else "fine"


def _figures(row: Row, lye_g: float) -> Iterator[tuple[str, str]]:
    """Yield the figures of a recipe in its own unit, each with what it is; lye as it is weighed, a solution whole."""
    unit = unit_of(row["unit"])
    yield tr("Lye on your sheet"), _amount(lye_g, unit)
    yield tr("Lye for the superfat aimed at"), _lye(row, unit, lye_g)
    yield tr("Liquid on your sheet"), _amount(row["liquid_g"], unit)
    yield tr("Liquid for that lye"), _amount(row["liquid_recomputed_g"], unit)
    yield tr("Superfat"), _superfat(row)
    yield tr("Lye, % of lye and water"), _percent(row["lye_concentration"])


def _lye(row: Row, unit: str, lye_g: float) -> str:
    naoh, koh = row.get("naoh_recomputed_g", math.nan), row.get("koh_recomputed_g", math.nan)
    if row["alkali"] == "mixed" and not math.isnan(naoh + koh):
        return both_alkalis(in_unit(naoh, unit), in_unit(koh, unit), unit)
    return _amount(as_weighed(float(row["alkali_recomputed_g"]), row, lye_g), unit)


def _superfat(row: Row) -> str:
    if math.isnan(row["superfat_typical"]):
        return NO_NUMBER
    said = {"superfat": number(row["superfat_typical"], 1)}
    between = range_text(row["superfat_low"], row["superfat_high"])
    return tr("{superfat} % ({range})", **said, range=between) if between else tr("{superfat} %", **said)


def _amount(grams: float, unit: str) -> str:
    return NO_NUMBER if math.isnan(grams) else f"{number(in_unit(grams, unit), DECIMALS[unit])} {unit}"


def _percent(value: float) -> str:
    return NO_NUMBER if math.isnan(value) else tr("{percent} %", percent=number(value, 1))
