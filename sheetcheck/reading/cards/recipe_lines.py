"""The lines of one recipe, from a list or a card, made into amounts and statements."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field, replace
from math import isfinite, nan

from sheetcheck.reading.assemble import Component, Draft, Statement
from sheetcheck.reading.cards.extras import extras
from sheetcheck.reading.cards.lines import Line, as_cell, without_amount
from sheetcheck.reading.entries import Ingredient, component, ingredient, is_nothing, mostly_sugar, read_entry
from sheetcheck.reading.headings import Heading
from sheetcheck.reading.names.acids import acids_said
from sheetcheck.reading.names.identify import Name
from sheetcheck.reading.names.qualified import qualifies
from sheetcheck.reading.sheet import Sheet
from sheetcheck.reading.statements import KIND_OF_ROLE, MOST_SUPERFAT, statement, superfat_stated, yield_stated
from sheetcheck.reading.tables.roles_by_arithmetic import makes_soap, may_be_dry
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.evidence import Said
from sheetcheck.reading.units.units import dimension, to_grams
from sheetcheck.reading.word_list import any_of
from sheetcheck.reading.words import is_total
from sheetcheck.reference import substances
from sheetcheck.words import later, tr
from sheetcheck.workbook.grid import Cell, Kind

_UNNAMED_FAT = Name("fat", None, "unknown")  # oil that is added for the superfat, and nothing says which
_SAME_SUM = 0.01
_ADDED_UP = frozenset({("lb", "oz"), ("kg", "g")})  # in two columns beside each other they are one weight
_LIKE_A_FAT = 0.05  # share of the fats from which an unknown weight may be one: scents and colours weigh less
_LIKE_A_FAT_BELOW = 0.15  # … below the other ingredients, where salt, sugar or oats may stand too
_FATS_PER_LYE = 6.0  # fats weigh about so many times the lye: what stands in for them where they are not known
_NO_AMOUNT = later("no amount stands beside it")


@dataclass
class RecipeLines:
    """Lines of one recipe as they are read."""

    sheet: Sheet
    draft: Draft
    title: Cell | None = None
    section: Cell | None = None
    components: list[Component] = field(default_factory=list)
    statements: list[Statement] = field(default_factory=list)
    bare_alkali: list[Line] = field(default_factory=list)  # an alkali named without an amount
    shares: list[tuple[Cell, Component]] = field(default_factory=list)
    struck: list[bool] = field(default_factory=list)
    unnamed: list[Component] = field(default_factory=list)  # weighed, in one cell with a name that nothing knows

    def add(self, line: Line) -> None:
        """Add one line."""
        for cell in line.cells:
            self.draft.cover(cell.row, cell.column)
        if line.kind == "ingredient":
            self._ingredient(line)
        elif line.kind == "extra":
            self._extra(line)
        elif line.kind == "total":
            self._total(line)
        elif line.kind == "statement":
            self._statement(line)
        elif line.kind == "label" and line.amount is not None:  # `Water discount | 30`: it says what it is
            self.sheet.explained.append((line.amount.row, line.amount.column, line.amount.row, line.amount.column))
        for kind, cell in line.stated:
            self._state(kind, cell)
        for cell in self._spoken(line):
            self.remark(cell)

    def finish(self) -> int:
        """Keep the recipe; return its draft's number."""
        if self.bare_alkali and not any(c.role == "alkali" for c in self.components):
            self._alkali_without_amount(self.bare_alkali[0])
        for share, of in self.shares:
            self._share(share, of)
        self._unknown_among_ingredients()
        self._settle_alkali()
        if self.title is not None:
            self._state_superfat(self.title, "remark")
        if self.section is not None:
            self.draft.section = clean(self.section.text)
            self._state_superfat(self.section, "section")
        title_struck = self.title is not None and self.title.style.struck
        self.draft.struck = title_struck or (bool(self.struck) and sum(self.struck) * 2 > len(self.struck))
        number = self.sheet.found.add_draft(self.draft)
        for component_line in self.components:
            component_line.recipe = number
        for stated in self.statements:
            stated.recipe = number
        self.sheet.found.components.extend(self.components)
        self.sheet.found.statements.extend(self.statements)
        return number

    def remark(self, cell: Cell) -> None:
        """Keep words that stand beside or below the lines."""
        text = clean(cell.text)
        if not any(map(str.isalnum, text)):
            return
        self.draft.remark(cell.row, cell.column, text)
        self._state_superfat(cell, "remark")
        self._state_yield(cell)

    # ----------------------------------------------------------------- lines

    def _said(self, line: Line) -> Said:
        """Return what unit column, label or heading, and sheet say of the unit of a line."""
        said: list[tuple[str, str]] = []
        if line.unit and not (line.unit == "%" and line.role != "fat"):
            said.append(("unit column", line.unit))
        own = line.heading.unit if line.heading and line.text is None else None
        if own == "%" and line.name is not None and isfinite(line.name.strength):
            own = None  # `NaOH 97 %` is a strength
        heading = own or (line.column_unit if line.column_unit != "%" or line.role == "fat" else None)
        if heading:
            said.append(("heading", heading))
        note = self.sheet.notes.at(line.row)
        if note and heading != "%":
            said.append(("sheet note", note))
        return tuple(said)

    def _ingredient(self, line: Line) -> None:
        of = _with_what_is_beside(_ingredient_of(line), line)
        if without_amount(line):
            if of.role == "alkali":
                self.bare_alkali.append(line)
            elif line.label is not None and any(said.amount for said in acids_said(line.label.text)):
                self.remark(line.label)  # `Citric acid 50 % solution: 40 g into the water`
            return
        cell = as_cell(line)
        if cell is None or (cell.kind is Kind.NUMBER and cell.number == 0 and of.role != "alkali"):
            return
        entry = read_entry(cell, self._said(line), decimal_comma=self.sheet.decimal_comma(cell.column))
        if line.text is not None:
            entry = replace(entry, rest="", written=line.amount.text if line.amount else None)
        made = component(0, self.sheet.name, cell, entry, of)
        if made.role == "alkali" and line.label is not None:
            self._state_superfat(line.label, "line")  # `Lye (5 % superfat)`
        self.components.append(made)
        self._second(line, made, of)
        if line.amount is not None:
            self.struck.append(line.amount.style.struck)
        if line.share is not None and made.role == "fat":
            self.shares.append((line.share, made))

    def _second(self, line: Line, made: Component, of: Ingredient) -> None:
        """Add the ounces beside pounds; where the same weight stands there in another unit too, keep what that says."""
        if line.second is None:
            return
        said: Said = (("heading", line.second_unit),) if line.second_unit else ()
        again = read_entry(line.second, said, decimal_comma=self.sheet.decimal_comma(line.second.column))
        unit = again.unit
        if again.value == 0 and (made.unit, unit) in _ADDED_UP:  # `3 lb 0 oz`
            at = line.second.row, line.second.column
            self.sheet.explained.append((*at, *at))
            return
        if (made.unit, unit) in _ADDED_UP and again.grams < to_grams(1.0, made.unit or ""):
            self.components.append(component(0, made.sheet, line.second, again, of))
            return
        stated = Statement(0, made.sheet, line.second.row, line.second.column, "same amount", made.row, made.column)
        stated.written, stated.stored = again.written, again.stored
        stated.value, stated.unit = again.grams, unit
        self.statements.append(stated)

    def _extra(self, line: Line) -> None:
        if line.text is not None and line.label is not None:
            if self._state_yield(line.label):
                self.draft.say(line.label.row, line.label.column, line.label.text)
                return
            if self._repeats_the_fats(line):
                self._total(line)
                return
            made = extras(self.sheet, line.label)
            self.components.extend(made)
            self.draft.say(line.label.row, line.label.column, line.label.text)
            self.unnamed += [c for c in made if c.grams > 0 and self._may_be_ingredient(c)]
            return
        for cell in (line.amount, *line.beside):
            if cell is not None and cell.kind is Kind.TEXT:
                self._extra_cell(cell)

    def _repeats_the_fats(self, line: Line) -> bool:
        """Tell whether a line such as `1000 g fat`, which names no fat, gives the sum of those above it."""
        heading = self.sheet.words.heading(line.name_text)
        cell = as_cell(line)
        if heading.role != "ingredient" or cell is None:
            return False
        line.heading = heading
        grams = read_entry(cell, self._said(line), decimal_comma=self.sheet.decimal_comma(cell.column)).grams
        fats = sum(c.grams for c in self.components if c.role == "fat")
        return abs(grams - fats) <= _SAME_SUM * fats

    def _may_be_ingredient(self, of: Component) -> bool:
        """Tell whether a weight in one cell with a name that nothing knows may be something that went into the pot."""
        outcome = re.search(any_of("outcome"), fold(of.name))  # `weight after 6 weeks: 1.2 kg`
        return self.sheet.words.name(of.name).kind is None and not outcome

    def _extra_cell(self, cell: Cell) -> None:
        self.components.extend(extras(self.sheet, cell))
        self.draft.say(cell.row, cell.column, cell.text)

    def _total(self, line: Line) -> None:
        cell = as_cell(line)
        if cell is None or without_amount(line) or line.heading is None or line.column_unit == "%":
            return
        kind = "batch total" if line.heading.role == "batch total" else "fats total"
        made = statement(self.sheet, cell, kind, self._said(line))
        if line.label is not None and (is_total(line.label.text) or line.heading.role is None):
            made.kind = self._which_total(made)
        self.statements.append(made)

    def _which_total(self, made: Statement) -> str:
        """Tell what a line that merely says `Total` sums: the fats, if only they stand above it or come to it."""
        fats = sum(c.grams for c in self.components if c.role == "fat")
        everything = sum(c.grams for c in self.components)
        only_fats = all(c.role in ("fat", "additive") for c in self.components)
        nearer_to_fats = isfinite(made.value) and abs(made.value - fats) < abs(made.value - everything)
        return "fats total" if only_fats or nearer_to_fats else "batch total"

    def _statement(self, line: Line) -> None:
        role = line.heading.role if line.heading else None
        kind = KIND_OF_ROLE.get(role or "", "superfat")
        cell = line.amount or (line.beside[0] if line.beside else line.label)
        if cell is None:
            return
        if kind == "superfat" and self._is_oil(line):
            line.kind, line.heading, line.name = (
                "ingredient",
                Heading("fat", None, None, "unknown", line.name_text),
                _UNNAMED_FAT,
            )
            self._ingredient(line)
            return
        whole = cell is line.label
        read = replace(cell, text=line.text) if whole and line.text is not None else cell
        made = statement(self.sheet, read, kind, in_percent=bool(line.heading and line.heading.unit == "%"))
        made.written = cell.text or None
        self.statements.append(made)

    def _is_oil(self, line: Line) -> bool:
        """Tell whether what stands for the superfat is a weight of oil: `Superfat 1.5 oz`, `50` among grams."""
        cell = as_cell(line)
        if cell is None or without_amount(line):
            return False
        entry = read_entry(cell, self._said(line), decimal_comma=self.sheet.decimal_comma(cell.column))
        weighed = entry.unit is not None and dimension(entry.unit) == "mass"
        return weighed and (
            entry.unit_from in ("cell text", "number format", "unit column") or entry.value > MOST_SUPERFAT
        )

    def _state(self, role: str, cell: Cell) -> None:
        """Add what a column beside the ingredients states of the recipe."""
        if cell.kind is Kind.NUMBER or not is_nothing(cell.text):
            made = statement(self.sheet, cell, KIND_OF_ROLE[role], in_percent=True)
            made.place = "column"
            self.statements.append(made)

    def _share(self, share: Cell, of: Component) -> None:
        made = statement(self.sheet, share, "share of fats", in_percent=True)
        made.about_row, made.about_column = of.row, of.column
        self.statements.append(made)

    def _unknown_among_ingredients(self) -> None:
        """Take what nothing knows and is weighed like a fat for an ingredient, not for an addition.

        Above the last fat, lye or liquid less is enough than below it, where scents and grains stand.
        """
        last = max((c.row for c in self.components if c.bears), default=0)
        fats = sum(c.grams for c in self.components if c.role == "fat" and c.grams > 0)
        lye = sum(c.grams for c in self.components if c.role == "alkali" and c.grams > 0)
        for each in self.unnamed:
            least = _LIKE_A_FAT if each.row < last else _LIKE_A_FAT_BELOW
            if each.grams >= least * max(fats, _FATS_PER_LYE * lye):
                each.role, each.bears = "unknown", True

    def _settle_alkali(self) -> None:
        """Read `Lye (33 %)` as dry lye that is dissolved to so much, where the fats take it up so and not otherwise."""
        lye = [c for c in self.components if c.role == "alkali"]
        fats = [(c.substance, _weight(c)) for c in self.components if c.role == "fat"]
        if len(lye) != 1:
            return
        only = lye[0]
        if may_be_dry(only.name, only.strength) and not makes_soap(_as_naoh(only.substance, only), fats):
            dry = replace(only, strength=nan)
            if makes_soap(_as_naoh(only.substance, dry), fats):
                only.strength, only.name_certainty = nan, "read as"

    def _alkali_without_amount(self, line: Line) -> None:
        of = _ingredient_of(line)
        places = Counter(c.column for c in self.components if c.column != of.column)
        column = places.most_common(1)[0][0] if places else of.column
        written = line.amount.text if line.amount else None
        made = Component(
            0, self.sheet.name, line.row, column, of.text, of.role, of.row, of.column, problem=tr(_NO_AMOUNT)
        )
        made.substance, made.name_certainty, made.written = of.substance, of.certainty, written
        self.components.append(made)

    # ----------------------------------------------------------------- words

    def _spoken(self, line: Line) -> list[Cell]:
        """Return the cells of a line that are remarks."""
        if line.kind == "text":
            return [c for c in line.cells if c.kind is Kind.TEXT]
        if line.kind == "extra":
            return [
                c for c in (line.label, *line.beside) if c is not None and c.kind is Kind.TEXT and line.text is None
            ]
        if line.kind == "label" and not line.beside and line.label is not None:  # `Note: …` in one cell
            return [line.label]
        if line.kind in ("label", "ingredient", "total"):
            return line.beside
        return line.beside[1:] if line.kind == "statement" and line.amount is None else []

    def _state_yield(self, cell: Cell) -> bool:
        stated = yield_stated(0, self.sheet, cell)
        if stated is not None:
            self.statements.append(stated)
        return stated is not None

    def _state_superfat(self, cell: Cell, place: str) -> None:
        stated = superfat_stated(0, self.sheet, cell, place)
        if stated is not None:
            self.statements.append(stated)


def _ingredient_of(line: Line) -> Ingredient:
    """Return what a line is a line of: by its heading where that names a substance, else by its name."""
    label, heading, name = line.label, line.heading, line.name
    assert label is not None and heading is not None and name is not None  # noqa: S101, PT018 - an ingredient has them
    text = line.name_text
    if heading.substance and heading.role in ("fat", "alkali", "liquid", "acid", "additive") and line.text is None:
        role = "additive" if heading.role == "liquid" and mostly_sugar(heading.substance) else heading.role
        return Ingredient(text, role, heading.substance, heading.certainty, label.row, label.column, heading.strength)
    if name.kind is not None:
        return ingredient(text, name, label.row, label.column)
    return Ingredient(text, line.role, None, name.certainty, label.row, label.column)


def _with_what_is_beside(of: Ingredient, line: Line) -> Ingredient:
    """Keep with the name what stands beside the amount and says how much of it a gram holds: `50 % solution`."""
    told = [clean(cell.text) for cell in line.beside if qualifies(cell.text, of.substance)]
    return replace(of, text=", ".join([of.text, *told])) if told else of


def _weight(of: Component) -> float:
    """Return the grams of an amount; the bare number where no unit is known yet."""
    return of.grams if isfinite(of.grams) or of.unit else of.value


def _as_naoh(substance: str | None, of: Component) -> float:
    """Return the sodium hydroxide that an amount of alkali is worth."""
    pure = _weight(of) * (of.strength if isfinite(of.strength) else 1.0)
    return pure * substances()[substance or "sodium hydroxide"].naoh_per_g
