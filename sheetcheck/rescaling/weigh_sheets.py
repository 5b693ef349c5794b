"""Weigh sheets: one page for one batch, to weigh from, tick off and write on; what was weighed is judged in words."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from itertools import groupby

from xlsxwriter.utility import xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from sheetcheck.reference import cautions, sources
from sheetcheck.rescaling.amounts import ALL_WEIGHTS, amount_text, pounds_and_ounces, volume_text, weight_text
from sheetcheck.rescaling.bench import grams_per
from sheetcheck.rescaling.drift import resized, too_coarse
from sheetcheck.rescaling.follows import CURE_DAYS, UNMOULD_DAYS, bars_of, cost, pours_of
from sheetcheck.rescaling.look import Pages
from sheetcheck.rescaling.moulds import Pour
from sheetcheck.rescaling.order_of_work import order_of_work
from sheetcheck.rescaling.outcome import Columns, Outcome, outcomes
from sheetcheck.rescaling.rows import Job
from sheetcheck.rescaling.scaling import Rescaled
from sheetcheck.rescaling.weighing import GROUPS, Weighing
from sheetcheck.rules.support.wording import joined, listed, percent, plain, span
from sheetcheck.words import later, number, tr

TICK, ZERO = "☐", "→ 0 ←"
WIDTHS = (6, 8, 27, 6, 13, 17, 16, 7, 13, 2, 9, 9, 9, 9, 9, 9)  # of the columns, in characters; the last for formulas
_DONE, _ZERO, _NAME, _POUNDS, _WEIGHT, _TOLERANCE, _STEP, _TAKEN_POUNDS, _TAKEN = range(9)
_COUNTS, _TAKES_UP, _BRINGS, _PURE, _WATER, _BLANK = range(10, 16)
LAST = _TAKEN  # of the page; what lies right of it is not printed
_ACROSS = 112  # characters on one line of the page
_TITLE_ACROSS = 50  # the same of the title
_FIRST_AID_ACROSS, _SMALL_ACROSS = 92, 148  # the same of first aid and of the small print
_FIRST_AID = ("splash", "swallowed")
_GROUP_TITLES = {
    "before": later("Before you begin"),
    "mixing": later("Mixing the lye"),
    "liquids": later("Milk, sugar, alcohol"),
    "splash": later("Lye on the skin or in the eyes"),
    "swallowed": later("Lye swallowed"),
    "breathed": later("Lye breathed in"),
    "spill": later("Lye spilled"),
    "soap": later("The soap"),
    "defer": later("Who has the last word"),
}


class WeighSheet:
    """One weigh sheet being written, from the top down."""

    def __init__(self, pages: Pages, name: str, job: Job, lines: Sequence[Weighing], rescaled: Rescaled) -> None:
        self.pages = pages
        self.job = job
        self.lines = lines
        self.rescaled = rescaled
        self.unit = job.weigh_unit
        self.count_unit = "g" if self.unit == "g" else "oz"
        self.sheet: Worksheet = pages.sheet(name, one_page=True)
        self.row = 0
        self.date_cell = ""
        self.weight_rows: list[int] = []

    def write(self) -> None:
        """Write the whole sheet."""
        for column, width in enumerate(WIDTHS):
            self.sheet.set_column(column, column, width)
        if self.unit != "lb oz":
            for column in (_POUNDS, _TAKEN_POUNDS):
                self.sheet.set_column(column, column, None, None, {"hidden": True})
        self._head()
        self._to_weigh()
        self._results()
        self._into_moulds()
        self._order_of_work()
        self._what_follows()
        self._cautions()
        self.sheet.print_area(0, 0, self.row - 1, LAST)
        self.sheet.set_footer("&C&8&F · &A")

    # ------------------------------------------------------------------ pieces

    def _line(self, text: str, look: str = "wrap", *, height: float | None = None) -> None:
        """Write a text across the page, as high as it needs to be."""
        self.sheet.set_row(self.row, height or 15.5 * math.ceil(len(text) / _ACROSS) + 2)
        self.sheet.merge_range(self.row, 0, self.row, LAST, text, self.pages[look])
        self.row += 1

    def _band(self, title: str) -> None:
        self.sheet.set_row(self.row, 18)
        self.sheet.merge_range(self.row, 0, self.row, LAST, title, self.pages["band"])
        self.row += 1

    def _weight_text(self, grams: float, digits: int = 2) -> str:
        return weight_text(round(grams / grams_per(self.unit), digits), self.unit)

    # ------------------------------------------------------------------ what it is

    def _head(self) -> None:
        job = self.job
        self._line(job.name, "name", height=26 * math.ceil(len(job.name) / _TITLE_ACROSS))
        self._line(tr(ALL_WEIGHTS[self.unit]).upper(), "unit", height=34)
        if job.batches > 1:
            self._line(tr("Make this batch {count} times; print a sheet for each.", count=job.batches), "danger")
        coarse = joined(too_coarse(job, self.rescaled), resized(job))
        if coarse:
            self._line(coarse, "danger" if too_coarse(job, self.rescaled) else "caution")
        self.sheet.set_row(self.row, 24)
        self.sheet.merge_range(self.row, 0, self.row, 2, tr("Batch number:"), self.pages["text"])
        self.sheet.merge_range(self.row, _POUNDS, self.row, _WEIGHT, tr("Date:"), self.pages["text"])
        self.date_cell = xl_rowcol_to_cell(self.row, _TOLERANCE)
        date = self.rescaled.date
        if date is None:
            self.sheet.write_blank(self.row, _TOLERANCE, None, self.pages["date input"])
        else:
            self.sheet.write_datetime(self.row, _TOLERANCE, date, self.pages["date input"])
        self.sheet.merge_range(self.row, _STEP, self.row, LAST, tr("Made by:"), self.pages["text"])
        self.row += 1
        self._line(self._facts())

    def _facts(self) -> str:
        job = self.job
        spread = span(job.superfat_low, job.superfat_high)
        said = [
            tr("Fats {fats}, batch {batch}.", fats=self._weight_text(job.fat_g), batch=self._weight_text(job.batch_g)),
            tr("Superfat {superfat} ({range} as fats vary).", superfat=percent(job.superfat_typical), range=spread),
        ]
        if not math.isnan(job.lye_concentration):
            said.append(tr("Lye {share} of lye and water.", share=percent(job.lye_concentration)))
        if not math.isnan(job.batter_ml):
            said.append(tr("Volume {volume}.", volume=volume_text(job.batter_ml, in_ounces=self.unit != "g")))
        said.append(tr("Scale: {scale}.", scale=self.rescaled.bench.scale_for(self.unit)))
        return joined(*said)

    # ------------------------------------------------------------------ the table to weigh from, and to write on

    def _to_weigh(self) -> None:
        pounds, ounces = ("lb", "oz") if self.unit == "lb oz" else ("", self.unit)
        headings = [
            tr("Done"), tr("Zero the scale"), tr("Weigh"), pounds, ounces, tr("No further off than"),
            tr("One step more"), pounds, tr("Taken, {unit}", unit=ounces),
        ]  # fmt: skip
        self.sheet.set_row(self.row, 31)
        for column, text in enumerate(headings):
            self.sheet.write(self.row, column, text, self.pages["heading"])
        counts = tr("Counts as, {unit}", unit=self.count_unit)
        about = (counts, tr("Takes up NaOH"), tr("Is NaOH"), tr("Is lye"), tr("Is water"), tr("Blank"))
        for column, text in enumerate(about, _COUNTS):
            self.sheet.write(self.row, column, text, self.pages["muted heading"])
        self.row += 1
        for title, group in groupby(self.lines, key=lambda weighing: GROUPS[weighing.role]):
            self._band(tr(title))
            for weighing in group:
                self._row_to_weigh(weighing)

    def _row_to_weigh(self, weighing: Weighing) -> None:
        sheet, pages, row = self.sheet, self.pages, self.row
        sheet.set_row(row, 26)
        sheet.write(row, _DONE, TICK, pages["tick"])
        sheet.write(row, _NAME, weighing.name, pages["text"])
        if not weighing.weight > 0:
            sheet.write(row, _ZERO, "", pages["zero"])
            how = later("{amount}: scaled; judge it yourself")
            if math.isnan(weighing.line.scaled_value):
                how = later("{amount}: as written; judge it yourself")
            text = tr(how, amount=amount_text(weighing.line, self.unit))
            sheet.merge_range(row, _POUNDS, row, LAST, text, pages["text"])
        else:
            sheet.write(row, _ZERO, ZERO, pages["zero"])
            self._weight(row, weighing)
            sheet.write(row, _TOLERANCE, self._tolerance(weighing), pages["beside"])
            sheet.write(row, _STEP, self._effect(weighing), pages["text"])
            self._taken(row, weighing)
            self.weight_rows.append(row)
        self.row += 1

    def _weight(self, row: int, weighing: Weighing) -> None:
        pounds, rest = pounds_and_ounces(weighing.weight) if self.unit == "lb oz" else (None, weighing.weight)
        if pounds is None:
            self.sheet.write_blank(row, _POUNDS, None, self.pages["amount"])
        else:
            self.sheet.write_number(row, _POUNDS, pounds, self.pages["amount"])
        look = self.pages.weight(weighing.step, like="amount", fraction=bool(weighing.line.fraction), value=rest)
        self.sheet.write_number(row, _WEIGHT, rest, look)

    def _tolerance(self, weighing: Weighing) -> str:
        """Say how far off a weight may be, both ways, or that a step is too much that way."""
        above, below = (f"{plain(size, 4)} {self.count_unit}" for size in (weighing.above, weighing.below))
        if weighing.above > 0 and weighing.below > 0:
            if math.isclose(weighing.above, weighing.below):
                return tr("± {size}", size=above)
            return tr("+ {above}, − {below}", above=above, below=below)
        if weighing.below > 0:
            return tr("− {size}; a step more is too much", size=below)
        if weighing.above > 0:
            return tr("+ {size}; a step less is too much", size=above)
        return tr("as shown: a step is too much")

    def _effect(self, weighing: Weighing) -> str:
        points = weighing.points_per_step
        if abs(points) < 0.005:
            return ""
        return tr("superfat {points}", points=f"{'+' if points > 0 else '−'}{number(abs(points), 2)}")

    def _taken(self, row: int, weighing: Weighing) -> None:
        """Write where the weight that was taken goes, and the figures beside the page that judge it."""
        in_pounds = self.unit == "lb oz"
        self.sheet.write_blank(row, _TAKEN_POUNDS, None, self.pages["input" if in_pounds else "text"])
        self.sheet.write_blank(row, _TAKEN, None, self.pages["input"])
        plan_lb, plan, lb, oz = (xl_rowcol_to_cell(row, column) for column in (_POUNDS, _WEIGHT, _TAKEN_POUNDS, _TAKEN))
        blank = f'AND({lb}="",{oz}="")' if in_pounds else f'{oz}=""'
        taken, planned = (f"N({lb})*16+N({oz})", f"{plan_lb}*16+{plan}") if in_pounds else (oz, plan)
        self.sheet.write_formula(
            row, _COUNTS, f"=IF({blank},{planned},{taken})", self.pages["muted number"], weighing.weight
        )
        figures = (weighing.takes_up, weighing.brings, weighing.pure, weighing.water)
        for column, value in enumerate(figures, _TAKES_UP):
            self.sheet.write_number(row, column, value, self.pages["figure"])
        self.sheet.write_formula(row, _BLANK, f"=IF({blank},1,0)", self.pages["muted number"], 1)

    # ------------------------------------------------------------------ what was weighed, judged

    def _results(self) -> None:
        weighed = [w for w in self.lines if w.weight > 0]
        unweighed = sum(
            w.takes_up * w.line.grams / grams_per(self.unit)
            for w in self.lines
            if not w.weight > 0 and w.takes_up > 0 and w.line.grams > 0
        )
        first, last = self.weight_rows[0], self.weight_rows[-1]
        columns = Columns(
            *(
                f"{xl_rowcol_to_cell(first, column)}:{xl_rowcol_to_cell(last, column)}"
                for column in (_COUNTS, _TAKES_UP, _BRINGS, _PURE, _WATER, _BLANK)
            )
        )
        self._band(tr("What was weighed (write it in the last column; what is blank counts as planned)"))
        cells = [xl_rowcol_to_cell(self.row + position, _WEIGHT) for position in range(3)]
        for outcome in outcomes(weighed, unweighed, self.count_unit, columns, cells):
            self._result(outcome)

    def _result(self, outcome: Outcome) -> None:
        self.sheet.set_row(self.row, 21)
        self.sheet.merge_range(self.row, 0, self.row, _POUNDS, outcome.label, self.pages["strong"])
        look = self.pages["result" if outcome.decimals == 1 else "result total"]
        self.sheet.write_formula(self.row, _WEIGHT, outcome.formula, look, outcome.value)
        self.sheet.merge_range(self.row, _TOLERANCE, self.row, LAST, "", self.pages["wrap"])
        self.sheet.write_formula(self.row, _TOLERANCE, outcome.words, self.pages["outcome"], outcome.said)
        self.row += 1

    # ------------------------------------------------------------------ into the moulds

    def _into_moulds(self) -> None:
        poured = pours_of(self.job, self.rescaled)
        if not poured:
            return
        title = tr("Into the moulds")
        if self.job.batches > 1:
            title = tr("Into the moulds, of all {count} batches together", count=self.job.batches)
        self._band(title)
        for pour in poured:
            self._line(self._pour(pour), "large")
        if sum(pour.mould.count for pour in poured) > 1:
            total = sum(pour.grams * pour.mould.count for pour in poured)
            left = percent(self.rescaled.bench.left_in_pot)
            said = tr(
                "Together {total}; {left} is reckoned to stay in the pot.", total=self._weight_text(total), left=left
            )
            self._line(said)

    def _pour(self, pour: Pour) -> str:
        """Say what goes into each mould of a kind, how high it stands, and the bars that come of it."""
        parts = {"mould": pour.mould.shown, "weight": self._weight_text(pour.grams)}
        said = tr("{mould}: {weight} of batter in each", **parts)
        if pour.mould.count == 1:
            said = tr("{mould}: {weight} of batter", **parts)
        if not math.isnan(pour.stands):
            said = tr(
                "{filling}, standing {height} high", filling=said, height=f"{plain(pour.stands, 2)} {pour.mould.unit}"
            )
        elif not math.isnan(pour.fill):
            said = tr("{filling}, {fill} full", filling=said, fill=percent(pour.fill))
        if pour.mould.bars:
            each = self._weight_text(pour.grams / pour.mould.bars)
            return tr("{filling}; {count} bars of {weight}.", filling=said, count=pour.mould.bars, weight=each)
        return f"{said}."

    # ------------------------------------------------------------------ order of work, and what follows

    def _order_of_work(self) -> None:
        self._band(tr("Order of work"))
        start = self.rescaled.audit.settings.limit("ambient_temperature")
        for position, step in enumerate(order_of_work(self.job, start), 1):
            self._line(f"{position}. {step}")

    def _what_follows(self) -> None:
        self._band(tr("What follows"))
        self._dates(tr("Out of the moulds, when firm (one to three days, common practice)"), UNMOULD_DAYS)
        self._dates(tr("Cured (four to six weeks, common practice)"), CURE_DAYS)
        for said in (self._bars(), self._cost()):
            if said:
                self._line(said)

    def _dates(self, label: str, days: tuple[int, int]) -> None:
        """Write between which dates something falls, by the date at the top of the page."""
        self.sheet.set_row(self.row, 18)
        self.sheet.merge_range(self.row, 0, self.row, _WEIGHT, label, self.pages["plain"])
        for column, after in zip((_TOLERANCE, _STEP), days, strict=True):
            formula = f'=IF(N({self.date_cell})>0,{self.date_cell}+{after},"")'
            date = self.rescaled.date
            value = "" if date is None else (date - dt.date(1899, 12, 30)).days + after
            self.sheet.write_formula(self.row, column, formula, self.pages["date"], value)
        self.row += 1

    def _bars(self) -> str:
        bars = bars_of(self.job, self.rescaled)
        if bars is None:
            return ""
        if math.isnan(bars.fresh):  # each mould's own stand beside it
            return ""
        cut = {"count": plain(bars.count, 0), "fresh": self._weight_text(bars.fresh)}
        said = tr("{count} bars, each {fresh} when cut", **cut)
        if self.job.batches > 1:
            said = tr("{count} bars of all batches, each {fresh} when cut", **cut)
        if math.isnan(bars.least):
            return f"{said}."
        ends = {"bars": said, "least": self._weight_text(bars.least), "most": self._weight_text(bars.most)}
        if bars.said:
            return tr("{bars}; cured {least} to {most}, by the loss you gave.", **ends)
        return tr("{bars}; cured not below {least}, which is all its water lost.", **ends)

    def _cost(self) -> str:
        found = cost(self.job, self.rescaled)
        if found is None:
            return ""
        money = f"{self.rescaled.prices.sign}{number(found.money, 2)}"
        if found.unpriced:
            without = listed(found.unpriced)
            return tr(
                "Cost of this batch by your prices {money}, without {names}: no price.", money=money, names=without
            )
        return tr("Cost of this batch by your prices {money}.", money=money)

    # ------------------------------------------------------------------ first aid, and small print

    def _cautions(self) -> None:
        remarks = str(self.job.remarks or "").strip()
        grouped = {group: list(own) for group, own in groupby(cautions(), key=lambda c: c.group)}
        for group in _FIRST_AID:
            said = joined(*(tr(c.sentence) for c in grouped[group]))
            title, colon, rest = said.partition(": ")  # the sentences themselves begin with what has happened
            self._paragraph(*((title, rest) if colon else (tr(_GROUP_TITLES[group]), said)), "first aid")
        if remarks and remarks not in {w.line.written for w in self.lines}:
            title = tr(
                "Your remarks (written for the batch as it was; this one is {times} times that)",
                times=plain(self.job.factor, 3),
            )
            self._paragraph(title, remarks, "small")
        for group, own in grouped.items():
            if group not in _FIRST_AID:
                title = tr(_GROUP_TITLES.get(group, group))
                said = joined(*(tr(c.sentence) for c in own))
                self._paragraph(title, said.removeprefix(f"{title}: "), "small")
        named = dict.fromkeys(tr(str(sources()[c.source])) for c in cautions())
        self._paragraph(tr("Sources"), f"{'; '.join(named)}.", "small")

    def _paragraph(self, title: str, text: str, look: str) -> None:
        """Write a paragraph, its title in bold."""
        across, height = (_FIRST_AID_ACROSS, 18.5) if look == "first aid" else (_SMALL_ACROSS, 13)
        lines = math.ceil((len(title) + len(text) + 2) / across)
        self.sheet.set_row(self.row, height * lines + 2)
        self.sheet.merge_range(self.row, 0, self.row, LAST, "", self.pages[look])
        bold, print_ = self.pages[f"{look} title"], self.pages[f"{look} text"]
        self.sheet.write_rich_string(self.row, 0, bold, f"{title}: ", print_, text, self.pages[look])
        self.row += 1
