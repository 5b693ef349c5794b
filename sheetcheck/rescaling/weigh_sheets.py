"""Weigh sheets: one page for one batch, to weigh from, tick off and write on; what was weighed gives its superfat."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby

from xlsxwriter.utility import xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from sheetcheck.reference import cautions, limits, sources
from sheetcheck.rescaling.amounts import ALL_WEIGHTS, amount_text, pounds_and_ounces, weight_text
from sheetcheck.rescaling.bench import grams_per
from sheetcheck.rescaling.look import Pages
from sheetcheck.rescaling.order_of_work import order_of_work
from sheetcheck.rescaling.rows import Job
from sheetcheck.rescaling.scaling import Rescaled
from sheetcheck.rescaling.weighing import GROUPS, Weighing
from sheetcheck.rules.support.wording import joined, percent, plain, span
from sheetcheck.words import later, number, tr

TICK, ZERO = "☐", "→ 0 ←"
WIDTHS = (6, 9, 31, 7, 14, 17, 13, 9, 9)  # of the columns, in characters
LAST = len(WIDTHS) - 1
_ACROSS = 112  # characters on one line of the page
_TITLE_ACROSS = 52  # the same of the title
_SMALL_ACROSS = 145  # the same of the small print
_DONE, _ZERO, _NAME, _POUNDS, _WEIGHT, _TOLERANCE, _STEP, _BRINGS, _WATER = range(len(WIDTHS))
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
_AS_PLANNED = later("As planned.")


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
        self.weight_cells: dict[int, int] = {}  # position of a line -> its row in the table to weigh from

    def write(self) -> None:
        """Write the whole sheet."""
        for column, width in enumerate(WIDTHS):
            self.sheet.set_column(column, column, width)
        if self.unit != "lb oz":
            self.sheet.set_column(_POUNDS, _POUNDS, 1)
        self._head()
        self._to_weigh()
        self._order_of_work()
        self._taken()
        self._cautions()
        self.sheet.print_area(0, 0, self.row, LAST)
        self.sheet.set_footer("&C&8&F · &A")

    # ------------------------------------------------------------------ pieces

    def _line(self, text: str, look: str = "wrap", *, height: float | None = None) -> None:
        """Write a text across the page, as high as it needs to be."""
        self.sheet.set_row(self.row, height or 15.5 * math.ceil(len(text) / _ACROSS) + 2)
        self.sheet.merge_range(self.row, 0, self.row, LAST, text, self.pages[look])
        self.row += 1

    def _head(self) -> None:
        job = self.job
        self._line(job.name, "name", height=26 * math.ceil(len(job.name) / _TITLE_ACROSS))
        self._line(tr(ALL_WEIGHTS[self.unit]).upper(), "unit", height=34)
        if job.batches > 1:
            self._line(tr("Make this batch {count} times; print a sheet for each.", count=job.batches), "danger")
        self.sheet.set_row(self.row, 24)
        self.sheet.merge_range(self.row, 0, self.row, 2, tr("Batch number:"), self.pages["text"])
        self.sheet.merge_range(self.row, 3, self.row, 5, tr("Date:"), self.pages["text"])
        self.sheet.merge_range(self.row, 6, self.row, LAST, tr("Made by:"), self.pages["text"])
        self.row += 1
        self._line(self._facts())

    def _facts(self) -> str:
        job = self.job
        fats, batch = (weight_text(round(g / grams_per(self.unit), 2), self.unit) for g in (job.fat_g, job.batch_g))
        spread = span(job.superfat_low, job.superfat_high)
        said = [
            tr("Fats {fats}, batch {batch}.", fats=fats, batch=batch),
            tr("Superfat {superfat} ({range} as fats vary).", superfat=percent(job.superfat_typical), range=spread),
        ]
        if not math.isnan(job.lye_concentration):
            said.append(tr("Lye {share} of lye and water.", share=percent(job.lye_concentration)))
        if not math.isnan(job.batter_ml):
            said.append(tr("Volume {litres} L.", litres=plain(job.batter_ml / 1000, 2)))
        said += [self._bars(), tr("Scale: {scale}.", scale=self.rescaled.bench.scale_for(self.unit))]
        return joined(*said)

    def _bars(self) -> str:
        job, bars = self.job, self.rescaled.targets[self.job.target].bars
        if not bars:
            return ""
        poured = job.batch_g * job.batches * (1 - self.rescaled.bench.left_in_pot / 100)
        each = weight_text(round(poured / bars / grams_per(self.unit), 1), self.unit)
        if job.batches > 1:
            return tr("{count} bars of {weight} when cut from all batches.", count=plain(bars, 0), weight=each)
        return tr("{count} bars of {weight} when cut.", count=plain(bars, 0), weight=each)

    def _headings(self, texts: Sequence[str], last: int = LAST) -> None:
        """Write headings; the one in column `last` runs on to the edge."""
        self.sheet.set_row(self.row, 31)
        for column, text in enumerate(texts):
            if column == last < LAST:
                self.sheet.merge_range(self.row, column, self.row, LAST, text, self.pages["heading"])
            else:
                self.sheet.write(self.row, column, text, self.pages["heading"])
        self.row += 1

    # ------------------------------------------------------------------ the table to weigh from

    def _to_weigh(self) -> None:
        pounds, ounces = ("lb", "oz") if self.unit == "lb oz" else ("", self.unit)
        headings = [
            tr("Done"), tr("Zero the scale"), tr("Weigh"), pounds, ounces,
            tr("No further off than"), tr("One step more"),
        ]  # fmt: skip
        self._headings(headings, _STEP)
        numbered = enumerate(self.lines)
        for title, group in groupby(numbered, key=lambda pair: GROUPS[pair[1].role]):
            self._band(tr(title))
            for position, weighing in group:
                self._row_to_weigh(position, weighing)

    def _band(self, title: str) -> None:
        self.sheet.set_row(self.row, 18)
        self.sheet.merge_range(self.row, 0, self.row, LAST, title, self.pages["band"])
        self.row += 1

    def _row_to_weigh(self, position: int, weighing: Weighing) -> None:
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
            self.weight_cells[position] = row
            sheet.write(row, _TOLERANCE, self._tolerance(weighing), pages["beside"])
            sheet.merge_range(row, _STEP, row, LAST, self._effect(weighing), pages["text"])
        self.row += 1

    def _weight(self, row: int, weighing: Weighing) -> None:
        pounds, rest = pounds_and_ounces(weighing.weight) if self.unit == "lb oz" else (None, weighing.weight)
        if pounds is None:
            self.sheet.write_blank(row, _POUNDS, None, self.pages["amount"])
        else:
            self.sheet.write_number(row, _POUNDS, pounds, self.pages["amount"])
        self.sheet.write_number(row, _WEIGHT, rest, self.pages.weight(weighing.step, like="amount"))

    def _tolerance(self, weighing: Weighing) -> str:
        size = f"{plain(weighing.tolerance, 3)} {self.count_unit}"
        return tr("−{size}, never above", size=size) if weighing.role == "alkali" else tr("± {size}", size=size)

    def _effect(self, weighing: Weighing) -> str:
        points = weighing.points_per_step
        if abs(points) < 0.005:
            return ""
        return tr("superfat {points} points", points=f"{'+' if points > 0 else '−'}{number(abs(points), 2)}")

    # ------------------------------------------------------------------ order of work

    def _order_of_work(self) -> None:
        self._band(tr("Order of work"))
        start = self.rescaled.audit.settings.limit("ambient_temperature")
        for position, step in enumerate(order_of_work(self.job, start), 1):
            self._line(f"{position}. {step}")

    # ------------------------------------------------------------------ the table of what was weighed

    def _taken(self) -> None:
        self._band(tr("Weights actually taken (what is left blank counts as planned)"))
        pounds, ounces = ("lb", "oz") if self.unit == "lb oz" else ("", self.unit)
        taken, counts = tr("Taken, {unit}", unit=ounces), tr("Counts as, {unit}", unit=self.count_unit)
        about = (tr("Takes up NaOH"), tr("Is NaOH"), tr("Is water"))
        headings = ["", "", tr("Ingredient"), pounds, taken, counts, *about]
        self._headings(headings)
        first = self.row
        weighed = [(p, w) for p, w in enumerate(self.lines) if p in self.weight_cells]
        for position, weighing in weighed:
            self._row_taken(self.weight_cells[position], weighing)
        self._results(first, self.row - 1, [w for _, w in weighed])

    def _row_taken(self, planned: int, weighing: Weighing) -> None:
        sheet, row = self.sheet, self.row
        sheet.set_row(row, 20)
        sheet.write(row, _NAME, weighing.name, self.pages["text"])
        sheet.write_blank(row, _POUNDS, None, self.pages["input" if self.unit == "lb oz" else "text"])
        sheet.write_blank(row, _WEIGHT, None, self.pages["input"])
        plan_lb, plan, lb, oz = (xl_rowcol_to_cell(r, c) for r in (planned, row) for c in (_POUNDS, _WEIGHT))
        if self.unit == "lb oz":
            formula = f'=IF(AND({lb}="",{oz}=""),{plan_lb}*16+{plan},N({lb})*16+N({oz}))'
        else:
            formula = f'=IF({oz}="",{plan},{oz})'
        sheet.write_formula(row, _TOLERANCE, formula, self.pages["number"], weighing.weight)
        for column, value in ((_STEP, weighing.takes_up), (_BRINGS, weighing.brings), (_WATER, weighing.water)):
            sheet.write_number(row, column, value, self.pages["figure"])
        self.row += 1

    def _results(self, first: int, last: int, weighed: Sequence[Weighing]) -> None:
        def column(number: int) -> str:
            return f"{xl_rowcol_to_cell(first, number)}:{xl_rowcol_to_cell(last, number)}"

        takes, brings, water = (f"SUMPRODUCT({column(_TOLERANCE)},{column(c)})" for c in (_STEP, _BRINGS, _WATER))
        needed, lye, wet = (sum(getattr(w, key) * w.weight for w in weighed) for key in ("takes_up", "brings", "water"))
        unweighed = sum(
            w.takes_up * w.line.grams / grams_per(self.unit)
            for w in self.lines
            if not w.weight > 0 and w.takes_up > 0 and w.line.grams > 0
        )
        more = f"+{unweighed!r}" if unweighed else ""
        superfat = 100 * (1 - lye / (needed + unweighed))
        cell = xl_rowcol_to_cell(self.row, _WEIGHT)
        self._result(tr("Superfat that results, %"), f"=100*(1-{brings}/({takes}{more}))", superfat)
        self.sheet.merge_range(self.row - 1, _TOLERANCE, self.row - 1, LAST, "", self.pages["wrap"])
        self.sheet.write_formula(
            self.row - 1, _TOLERANCE, _verdict(cell, superfat), self.pages["outcome"], tr(_AS_PLANNED)
        )
        if self.job.alkali == "NaOH" and wet > 0:
            self._result(
                tr("Lye concentration that results, %"), f"=100*{brings}/({brings}+{water})", 100 * lye / (lye + wet)
            )

    def _result(self, label: str, formula: str, value: float) -> None:
        self.sheet.set_row(self.row, 21)
        self.sheet.merge_range(self.row, 0, self.row, _POUNDS, label, self.pages["strong"])
        self.sheet.write_formula(self.row, _WEIGHT, formula, self.pages["result"], value)
        self.row += 1

    # ------------------------------------------------------------------ small print

    def _cautions(self) -> None:
        remarks = str(self.job.remarks or "").strip()
        if remarks and remarks not in {w.line.written for w in self.lines}:
            title = tr(
                "Your remarks (written for the batch as it was; this one is {times} times that)",
                times=plain(self.job.factor, 3),
            )
            self._small(title, remarks)
        for group, own in groupby(cautions(), key=lambda c: c.group):
            self._small(tr(_GROUP_TITLES.get(group, group)), joined(*(tr(c.sentence) for c in own)))
        named = dict.fromkeys(tr(str(sources()[c.source])) for c in cautions())
        self._small(tr("Sources"), f"{'; '.join(named)}.")

    def _small(self, title: str, text: str) -> None:
        """Write a paragraph of small print, its title in bold."""
        lines = math.ceil((len(title) + len(text) + 2) / _SMALL_ACROSS)
        self.sheet.set_row(self.row, 12.5 * lines + 2)
        self.sheet.merge_range(self.row, 0, self.row, LAST, "", self.pages["small"])
        bold, plain_print = self.pages["group"], self.pages["small_print"]
        self.sheet.write_rich_string(self.row, 0, bold, f"{title}: ", plain_print, text, self.pages["small"])
        self.row += 1


def _verdict(cell: str, planned: float) -> str:
    """Return the formula that says what the superfat means."""
    danger, warning = limits()["superfat_danger_below"].value, limits()["superfat_warning_below"].value
    too_much, hardly_any = tr("Too much lye: do not go on."), tr("Hardly any margin: weigh again.")
    as_planned, otherwise = tr(_AS_PLANNED), tr("Not as planned: weigh again.")
    said = [sentence.replace('"', '""') for sentence in (too_much, hardly_any, as_planned, otherwise)]
    return (
        f'=IF({cell}<{danger:g},"{said[0]}",'
        f'IF({cell}<{min(warning, planned - 0.01):.6g},"{said[1]}",'
        f'IF(ABS({cell}-{planned!r})<=0.5,"{said[2]}","{said[3]}")))'
    )
