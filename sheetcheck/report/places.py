"""The sheets that a copy gets, and where on them other sheets find a value."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import count

from sheetcheck.chemistry.recomputed import concentration_aimed_at, usual_superfat
from sheetcheck.chemistry.table import Table, table
from sheetcheck.model import Audit
from sheetcheck.reference import Substance, constants, substances
from sheetcheck.report.arithmetic import Worked
from sheetcheck.words import later
from sheetcheck.workbook.ranges import quoted

# Names of sheets; `marks.plan` says them in the maker's language at the end
SUMMARY, FINDINGS, RESULTS = later("Check summary"), later("Check findings"), later("Check results")
READING, VALUES, WORKINGS = later("Check reading"), later("Check values"), later("Check workings")
CAUTIONS, CHART_DATA = later("Check cautions"), later("Check chart data")

FIRST_SUBSTANCE = 5  # row of the values sheet, below title, sentence and headings
USED, FAT, WATER, TAKES, LESS, MORE = "G", "H", "I", "J", "K", "L"  # its columns that formulas refer to
SETTING_COLUMN = "G"

NAOH_PER_KOH, NAOH_PURITY, KOH_PURITY = "naoh per koh", "naoh purity", "koh purity"
LYE_MOISTURE, LYE_CARBON_DIOXIDE = "lye moisture", "lye carbon dioxide"
USUAL_SUPERFAT, TARGET_SUPERFAT = "usual superfat", "target superfat"
USUAL_CONCENTRATION, TARGET_CONCENTRATION = "usual concentration", "target concentration"


@dataclass(frozen=True)
class Values:
    """What the values sheet holds: the substances of a book, the settings in force, each with its place."""

    audit: Audit

    @cached_property
    def table(self) -> Table:
        """The reference tables, with the maker's own values where they are in use."""
        return table(tuple(self.audit.book.own_values) if self.audit.settings.use_own_values else ())

    @cached_property
    def listed(self) -> tuple[Substance, ...]:
        """The substances of the book: fats first, then by name."""
        kinds = ("fat", "alkali", "liquid", "acid", "additive", "refused")
        known = substances()
        used = [known[key] for key in self.audit.book.components["substance"].unique() if key in known]
        return tuple(sorted(used, key=lambda s: (kinds.index(s.kind), s.key)))

    @cached_property
    def first_setting(self) -> int:
        """Row of the first setting: below the substances, one row left free, and a heading."""
        return FIRST_SUBSTANCE + len(self.listed) + 2

    @cached_property
    def settings(self) -> Mapping[str, float]:
        """The settings in force and the habits of the book, in the order of their rows; NaN where there is none."""
        s, recipes = self.audit.settings, self.audit.recipes
        return {
            NAOH_PER_KOH: constants().naoh_per_koh,
            NAOH_PURITY: s.naoh_purity / 100,
            KOH_PURITY: math.nan if s.koh_purity is None else s.koh_purity / 100,
            USUAL_SUPERFAT: usual_superfat(recipes, s),
            TARGET_SUPERFAT: s.superfat_to_aim_at,
            USUAL_CONCENTRATION: self._usual_concentration,
            TARGET_CONCENTRATION: s.target_lye_concentration,
            LYE_MOISTURE: s.lye_moisture,
            LYE_CARBON_DIOXIDE: s.lye_carbon_dioxide,
        }

    @cached_property
    def _usual_concentration(self) -> float:
        """Return what rows without a sound concentration of their own are given, unless it is the setting."""
        aimed = concentration_aimed_at(self.audit.recipes.assign(lye_concentration=math.nan), self.audit.settings)
        own = concentration_aimed_at(self.audit.recipes, self.audit.settings)
        given = own[own != self.audit.recipes["lye_concentration"].to_numpy(dtype=float)]
        return float(given[0]) if len(given) and given[0] != aimed[0] else math.nan

    def used(self, substance: Substance) -> float:
        """Return the saponification value that the audit computed with; NaN for what has none."""
        if not self.audit.settings.use_own_values:
            return substance.sap_typical
        own = [v.mg_koh_per_g for v in self.audit.book.own_values if v.substance == substance.key]
        usable = [value for value in own if substance.sap_low <= value <= substance.sap_high]
        return usable[-1] if usable else substance.sap_typical

    # ------------------------------------------------------------------ as formulas refer to them

    def setting(self, name: str) -> Worked:
        """Return a setting as a formula refers to it."""
        return self._settings[name]

    @cached_property
    def _settings(self) -> Mapping[str, Worked]:
        cells = (f"{quoted(VALUES)}!${SETTING_COLUMN}${row}" for row in count(self.first_setting))
        return {name: Worked(cell, value) for cell, (name, value) in zip(cells, self.settings.items(), strict=False)}

    def share(self, column: str, key: object, value: float) -> Worked | None:
        """Return a share or a demand of one gram, by the cell that has it; None where the cell has another value."""
        worked = self._shares.get((column, key))
        return worked if worked is not None and worked.value == value else None

    @cached_property
    def _shares(self) -> Mapping[tuple[str, object], Worked]:
        return {
            (column, s.key): Worked(f"{quoted(VALUES)}!${column}${row}", value)
            for row, s in enumerate(self.listed, FIRST_SUBSTANCE)
            for column, value in self.of(s)
        }

    def of(self, substance: Substance) -> Iterator[tuple[str, float]]:
        """Yield column and value of what formulas use of a substance."""
        t, number = self.table, self.table.number(substance.key)
        typical = math.nan if substance.role == "alkali" else float(t.typical[number])
        yield TAKES, typical
        yield LESS, typical - float(t.low[number])
        yield MORE, float(t.high[number]) - typical
        yield WATER, float(t.water[number])
