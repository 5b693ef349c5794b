"""The results of one recipe as live formulas over its own amounts and the values sheet.

`{{3}}` stands for the third result of the same row (workbook/results.py puts the cell in its place). A formula is
written only where it gives the number of the audit; else the number stands there by itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from sheetcheck.model import Formula, address, range_address
from sheetcheck.report.amounts import Amount, Amounts, in_quotes
from sheetcheck.report.arithmetic import Worked, constant, root_of_squares, total
from sheetcheck.report.places import (
    NAOH_PER_KOH,
    NAOH_PURITY,
    TARGET_CONCENTRATION,
    TARGET_SUPERFAT,
    USUAL_CONCENTRATION,
    USUAL_SUPERFAT,
)
from sheetcheck.report.words import (
    BOTH_ALKALIS,
    DECIMALS,
    LOW_TO_HIGH,
    NO_RANGE_BELOW,
    UNKNOWN,
    both_alkalis,
    in_unit,
    range_text,
)
from sheetcheck.words import MINUS, tr
from sheetcheck.workbook.ranges import quoted

# The results of a recipe, in their order
NAME, VERDICT, REASON, SUPERFAT, RANGE, AIMED_AT, LYE, LIQUID, CONCENTRATION, WHICH_LYE, PURE_LYE = range(1, 12)

Number = Formula | float | None
Share = Callable[[Amount], Worked | None]


@dataclass(frozen=True)
class Working:
    """One recipe at work: amounts in `unit`, formulas for a cell of the sheet `home`."""

    amounts: Amounts
    of_recipe: Sequence[Amount]
    recipe: Mapping[Any, Any]  # its row in the frame of recipes
    stated: Worked | None  # the superfat that a cell of the row states
    home: str
    unit: str

    # ------------------------------------------------------------------ what is in the recipe

    def _sum(self, share: Share, which: Sequence[bool] | None = None) -> Worked:
        """Add up a share of each amount; amounts without a share, or left out by `which`, do not count."""
        parts = []
        for index, amount in enumerate(self._read):
            per_gram = share(amount) if which is None or which[index] else None
            if per_gram is not None:
                parts.append(amount.worked(self.home, self.unit) * per_gram)
        return total(parts)

    @cached_property
    def _read(self) -> tuple[Amount, ...]:
        return tuple(a for a in self.of_recipe if not math.isnan(a.grams) and self._can_be_worked(a))

    def _can_be_worked(self, amount: Amount) -> bool:
        return amount.text_row > 0 or (not isinstance(amount.held, str) and amount.held != 0)

    def _are(self, kind: Sequence[bool]) -> list[bool]:
        return [kind[a.line] for a in self._read]

    @cached_property
    def pure(self) -> Worked:
        """Pure alkali, NaOH and KOH each as it is."""
        naoh, koh = self._are(self.amounts.facts.is_naoh), self._are(self.amounts.facts.is_koh)
        return self._sum(self.amounts.strength, [one or other for one, other in zip(naoh, koh, strict=True)])

    @cached_property
    def pure_as_naoh(self) -> Worked:
        """Pure alkali, all as NaOH."""
        facts, strength = self.amounts.facts, self.amounts.strength
        naoh, koh = (self._sum(strength, self._are(kind)) for kind in (facts.is_naoh, facts.is_koh))
        if koh.text == "0":
            return naoh
        as_naoh = koh * self.amounts.values.setting(NAOH_PER_KOH)
        return as_naoh if naoh.text == "0" else naoh + as_naoh

    @cached_property
    def demand(self) -> Worked:
        """What fats and acids take up, as NaOH."""
        return self._sum(self.amounts.takes)

    # ------------------------------------------------------------------ results

    def superfat(self) -> Number:
        """Return superfat, percent."""
        return self._given(100 * (1 - self.pure_as_naoh / self.demand), self.recipe["superfat_typical"])

    def superfat_range(self) -> Formula | str | None:
        """Return superfat with the fats at the ends of their ranges, as a text: "2.1 to 6.0"."""
        low, high = self.recipe["superfat_low"], self.recipe["superfat_high"]
        if math.isnan(low) or math.isnan(high):
            return None
        shown = range_text(low, high)
        superfat = Worked(_own(SUPERFAT), float(self.recipe["superfat_typical"]))
        unmet = (100 - superfat) / self.pure_as_naoh
        down, up = (root_of_squares(self._spread(share)) for share in (self.amounts.less, self.amounts.more))
        perhaps = self._sum(self.amounts.perhaps)
        up = up if perhaps.text == "0" else up + perhaps
        ends = (
            100 - (100 - superfat) / (1 - down * unmet / 100),
            100 - (100 - superfat) / (1 + up * unmet / 100),
        )
        if not (ends[0].gives(low) and ends[1].gives(high)):
            return shown
        low_end, high_end = (f'SUBSTITUTE(FIXED({end.text},1),"-",{in_quotes(MINUS)})' for end in ends)
        said = spelled(LOW_TO_HIGH, low=low_end, high=high_end)
        return Formula(_or_unknown(f'IF({ends[1].text}<{NO_RANGE_BELOW:g},"",{said})'), shown or "")

    def _spread(self, share: Share) -> list[Worked]:
        """Return one part for each fat with a range; the same fat in two cells is one part."""
        facts = self.amounts.facts
        by_fat: dict[int, list[Worked]] = {}
        for amount in self._read:
            per_gram = share(amount)
            if per_gram is not None:
                fat = facts.source_of_spread[amount.line]
                by_fat.setdefault(fat, []).append(amount.worked(self.home, self.unit) * per_gram)
        return [total(parts) for parts in by_fat.values()]

    def concentration(self) -> Number:
        """Return the lye concentration, percent."""
        water = self._sum(self.amounts.water)
        return self._given(100 * self.pure / (self.pure + water), self.recipe["lye_concentration"])

    def aimed_at(self) -> Number:
        """Return the superfat that lye and liquid are computed for, percent."""
        return self._given(self._superfat_meant(), float(self.recipe["recomputed_superfat"]))

    def pure_lye(self) -> Number:
        """Return the pure alkali in the lye to weigh; nothing where both alkalis are used."""
        weighed = self._in_unit("alkali_recomputed_g")
        strength = self._strength()
        return self._given(Worked(_own(LYE), weighed) * strength, weighed * strength.value)

    def lye(self) -> Number:
        """Return the lye to weigh for the superfat aimed at, of one alkali."""
        pure = self._pure_aimed_at() * self._by_the_liquid()
        if self.recipe["alkali"] == "KOH":
            pure = pure / self.amounts.values.setting(NAOH_PER_KOH)
        return self._given(pure / self._strength(), self._in_unit("alkali_recomputed_g"))

    def both_alkalis(self) -> Formula | str | None:
        """Return what to weigh of two alkalis, in the row's own proportion, as a text; None where it is withheld."""
        facts, unit = self.amounts.facts, self.unit
        naoh, koh = (self._in_unit(column) for column in ("naoh_recomputed_g", "koh_recomputed_g"))
        if math.isnan(naoh) or math.isnan(koh):
            return None
        shown = both_alkalis(naoh, koh, unit)
        more = self._pure_aimed_at() * self._by_the_liquid() / self.pure_as_naoh
        as_naoh, as_koh = (self._sum(_all, self._are(kind)) * more for kind in (facts.is_naoh, facts.is_koh))
        if not (as_naoh.gives(naoh) and as_koh.gives(koh)):
            return shown
        texts = (f'FIXED({worked.text},{DECIMALS[unit]})&" {unit}"' for worked in (as_naoh, as_koh))
        naoh_text, koh_text = texts
        return Formula(_or_unknown(spelled(BOTH_ALKALIS, naoh=naoh_text, koh=koh_text)), shown)

    def liquid(self) -> Number:
        """Return the liquid to weigh for the lye concentration aimed at, in the row's own mix of liquids."""
        aimed, weighed = self._concentration_aimed_at(), Worked(_own(LYE), self._in_unit("alkali_recomputed_g"))
        pure = weighed * self._strength()
        if self.recipe["alkali"] == "mixed":  # its lye stands in the row as a text
            more = self._pure_aimed_at() * self._by_the_liquid() / self.pure_as_naoh
            weighed, pure = self._weighed_alkali() * more, self.pure * more
        water = pure * (100 - aimed) / aimed
        brought = self._sum(self.amounts.water, self._are(self.amounts.facts.is_alkali))
        if brought.text != "0":
            water = water - weighed * (brought / self._weighed_alkali())
        besides = self._sum(self.amounts.water, self._are_beside_the_lye())
        if besides.text != "0":
            water = water - besides
        liquids = self._are(self.amounts.facts.is_liquid)
        liquid, of_water = self._sum(_all, liquids), self._sum(self.amounts.water, liquids)
        if liquid.text not in ("0", of_water.text):
            water = water / (of_water / liquid)
        if water.value < 0:
            water = Worked(f"MAX(0,{water.text})", 0.0)
        return self._given(water, self._in_unit("liquid_recomputed_g"))

    def _are_beside_the_lye(self) -> list[bool]:
        """Tell what is neither lye nor liquid, and may bring water all the same: vinegar."""
        facts = self.amounts.facts
        return [not (facts.is_liquid[a.line] or facts.is_alkali[a.line]) for a in self._read]

    def _by_the_liquid(self) -> Worked:
        """Return the factor on the lye for the row's demand that comes of weighing the recomputed liquid.

        What a milk takes up changes with its amount. With `k` the share of the demand that lye is for, `D` all demand,
        `T` and `w` demand and water of the liquid, `v` water besides, and `q` the water that a gram of alkali wants
        from the liquid: (1 - T/D - T v / (w D)) / (1 - k q T / w).
        """
        liquids = self._are(self.amounts.facts.is_liquid)
        taken = self._sum(self.amounts.takes, liquids)
        if taken.text == "0" or math.isnan(self._in_unit("liquid_recomputed_g")):
            return constant(1)
        per_water = taken / self._sum(self.amounts.water, liquids)
        besides = self._sum(self.amounts.water, self._are_beside_the_lye())
        left = taken if besides.text == "0" else taken + per_water * besides
        aimed, brought = (
            self._concentration_aimed_at(),
            self._sum(self.amounts.water, self._are(self.amounts.facts.is_alkali)),
        )
        wanted = (100 - aimed) / aimed
        if self.pure_as_naoh.text != "0":
            if self.pure.text != self.pure_as_naoh.text:
                wanted = wanted * (self.pure / self.pure_as_naoh)
            if brought.text != "0":
                wanted = wanted - brought / self.pure_as_naoh
        return (1 - left / self.demand) / (1 - (1 - self._superfat_aimed_at() / 100) * wanted * per_water)

    # ------------------------------------------------------------------ what is aimed at

    def _pure_aimed_at(self) -> Worked:
        """Return the pure alkali, as NaOH, for the superfat aimed at."""
        return self.demand * (1 - self._superfat_aimed_at() / 100)

    def _superfat_aimed_at(self) -> Worked:
        return Worked(_own(AIMED_AT), float(self.recipe["recomputed_superfat"]))

    def _superfat_meant(self) -> Worked:
        aimed = float(self.recipe["recomputed_superfat"])
        habits = {"book": USUAL_SUPERFAT, "setting": TARGET_SUPERFAT}
        if self.recipe["recomputed_from"] in habits:
            return self.amounts.values.setting(habits[self.recipe["recomputed_from"]])
        if self.stated is not None and self.stated.value == aimed:
            return self.stated
        return constant(aimed)

    def _concentration_aimed_at(self) -> Worked:
        """Return the concentration that the row states, else its own, else the book's or setting: the first sound."""
        settings, values = self.amounts.audit.settings, self.amounts.values
        sound = settings.limit("lye_weak_notice"), settings.limit("lye_strong_caution")
        stated = float(self.recipe["stated_concentration"])
        if sound[0] <= stated <= sound[1]:
            return constant(stated)
        own = float(self.recipe["lye_concentration"])
        if sound[0] <= own <= sound[1]:
            return Worked(_own(CONCENTRATION), own)
        usual = values.setting(USUAL_CONCENTRATION)
        return values.setting(TARGET_CONCENTRATION) if math.isnan(usual.value) else usual

    def _strength(self) -> Worked:
        """Return the pure alkali in a gram of the lye that the row uses."""
        weighed = self._weighed_alkali()
        if weighed.text == "0":
            strengths = [self.amounts.strength(a) for a in self.of_recipe if self.amounts.facts.is_alkali[a.line]]
            return strengths[0] if strengths else self.amounts.values.setting(NAOH_PURITY)
        alkalis = self._are(self.amounts.facts.is_alkali)
        used = [self.amounts.strength(a) for a, is_alkali in zip(self._read, alkalis, strict=True) if is_alkali]
        return used[0] if len({strength.text for strength in used}) == 1 else self.pure / weighed

    def _weighed_alkali(self) -> Worked:
        return self._sum(_all, self._are(self.amounts.facts.is_alkali))

    # ------------------------------------------------------------------ and whether it still holds

    def unchanged(self, others: Sequence[str] = ()) -> str:
        """Return the condition that every amount, and the name beside it, is what it was when it was audited."""
        r = self.recipe
        conditions = [*(a.same(self.home) for a in self.of_recipe), *(a.same_name(self.home) for a in self.of_recipe)]
        if r["last_row"] > r["first_row"]:
            range_ = range_address(r["first_row"], r["first_column"], r["last_row"], r["last_column"])
            where = range_ if r["sheet"] == self.home else f"{quoted(r['sheet'])}!{range_}"
            conditions.append(f"ROWS({where})={r['last_row'] - r['first_row'] + 1}")
        return f"IFERROR(AND({','.join(dict.fromkeys([*filter(None, conditions), *others]))}),FALSE)"

    # ------------------------------------------------------------------ numbers and formulas

    def _in_unit(self, column: str) -> float:
        return in_unit(float(self.recipe[column]), self.unit)

    def _given(self, worked: Worked | None, value: float) -> Number:
        """Return the formula where it gives the number of the audit, else the number; nothing where there is none."""
        if math.isnan(value):
            return None
        if worked is None or not worked.gives(value):
            return float(value)
        return Formula(_or_unknown(worked.text), float(value))


def _all(_: Amount) -> Worked:
    return constant(1)


def _own(result: int) -> str:
    return f"{{{{{result}}}}}"


def spelled(sentence: str, **formulas: str) -> str:
    """Return the formula that says a sentence whose parts are formulas."""
    pieces = tr(sentence, **{name: f"\0{name}\0" for name in formulas}).split("\0")
    return "&".join(formulas[piece] if number % 2 else in_quotes(piece) for number, piece in enumerate(pieces) if piece)


def _or_unknown(formula: str) -> str:
    return f'IFERROR({formula},"{UNKNOWN}")'


def stated_superfat(statement: Mapping[Any, Any], home: str) -> Worked | None:
    """Return a superfat that a cell states as a number, in percent however the cell shows it."""
    if statement["stored"] == "text" or not statement["value"] >= 1:
        return None
    cell = address(statement["row"], statement["column"])
    where = cell if statement["sheet"] == home else f"{quoted(statement['sheet'])}!{cell}"
    return Worked(f"IF({where}<1,100*{where},{where})", float(statement["value"]))
