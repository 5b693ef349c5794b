"""Weigh sheets: one page for one batch, to weigh from, tick off and write on; what was weighed gives its superfat."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby

from xlsxwriter.utility import xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from sheetcheck.reference import cautions, limits
from sheetcheck.rescaling.amounts import UNIT_WORDS, amount_text, pounds_and_ounces, weight_text
from sheetcheck.rescaling.bench import grams_per
from sheetcheck.rescaling.look import Pages
from sheetcheck.rescaling.rows import Job
from sheetcheck.rescaling.scaling import Rescaled
from sheetcheck.rescaling.weighing import GROUPS, Weighing
from sheetcheck.rules.support.wording import percent, plain

TICK, ZERO = "☐", "→ 0 ←"
WIDTHS = (6, 9, 31, 7, 14, 17, 13, 9, 9)  # of the columns, in characters
LAST = len(WIDTHS) - 1
_ACROSS = 112  # characters on one line of the page
_TITLE_ACROSS = 52  # the same of the title
_SMALL_ACROSS = 145  # the same of the small print
_DONE, _ZERO, _NAME, _POUNDS, _WEIGHT, _TOLERANCE, _STEP, _BRINGS, _WATER = range(len(WIDTHS))
_GROUP_TITLES = {
    "before": "Before you begin",
    "mixing": "Mixing the lye",
    "liquids": "Milk, sugar, alcohol",
    "splash": "Lye on the skin or in the eyes",
    "swallowed": "Lye swallowed",
    "soap": "The soap",
    "defer": "Who has the last word",
}
_BOILS = 100.0  # °C


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
        self._line(f"ALL WEIGHTS IN {UNIT_WORDS[self.unit].upper()}", "unit", height=34)
        if job.batches > 1:
            self._line(f"Make this batch {job.batches} times; print a sheet for each.", "danger")
        self.sheet.set_row(self.row, 24)
        self.sheet.merge_range(self.row, 0, self.row, 2, "Batch number:", self.pages["text"])
        self.sheet.merge_range(self.row, 3, self.row, 5, "Date:", self.pages["text"])
        self.sheet.merge_range(self.row, 6, self.row, LAST, "Made by:", self.pages["text"])
        self.row += 1
        self._line(self._facts())

    def _facts(self) -> str:
        job = self.job
        fats, batch = (weight_text(round(g / grams_per(self.unit), 2), self.unit) for g in (job.fat_g, job.batch_g))
        spread = f"{plain(job.superfat_low, 1)} to {percent(job.superfat_high)}"
        said = [f"Fats {fats}", f"batch {batch}", f"superfat {percent(job.superfat_typical)} ({spread} as fats vary)"]
        if not math.isnan(job.lye_concentration):
            said.append(f"lye {percent(job.lye_concentration)} of lye and water")
        if not math.isnan(job.batter_ml):
            said.append(f"{plain(job.batter_ml / 1000, 2)} L")
        target = self.rescaled.targets[job.target]
        if target.bars:
            poured = job.batch_g * job.batches * (1 - self.rescaled.bench.left_in_pot / 100)
            each = weight_text(round(poured / target.bars / grams_per(self.unit), 1), self.unit)
            said.append(f"{target.bars} bars of {each} when cut{' from all batches' if job.batches > 1 else ''}")
        return f"{', '.join(said)}. Scale: {self.rescaled.bench.scale_for(self.unit)}."

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
        headings = ["Done", "Zero the scale", "Weigh", pounds, ounces, "No further off than", "One step more"]
        self._headings(headings, _STEP)
        numbered = enumerate(self.lines)
        for title, group in groupby(numbered, key=lambda pair: GROUPS[pair[1].role]):
            self._band(title)
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
            how = "as written" if math.isnan(weighing.line.scaled_value) else "scaled"
            text = f"{amount_text(weighing.line, self.unit)}: {how}; judge it yourself"
            sheet.merge_range(row, _POUNDS, row, LAST, text, pages["text"])
        else:
            sheet.write(row, _ZERO, ZERO, pages["zero"])
            self._weight(row, weighing)
            self.weight_cells[position] = row
            sheet.write(row, _TOLERANCE, self._tolerance(weighing), pages["text"])
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
        return f"−{size}, never above" if weighing.role == "alkali" else f"± {size}"

    def _effect(self, weighing: Weighing) -> str:
        points = weighing.points_per_step
        if abs(points) < 0.005:
            return ""
        return f"superfat {'+' if points > 0 else '−'}{abs(points):.2f} points"

    # ------------------------------------------------------------------ order of work

    def _order_of_work(self) -> None:
        self._band("Order of work")
        for number, step in enumerate(self._steps(), 1):
            self._line(f"{number}. {step}")

    def _steps(self) -> list[str]:
        heat = f"{self._heat()}{self._sugar()}"
        return [
            "Weigh everything first, each part after zeroing the scale. Weigh lye and fats twice.",
            f"Lye into the cold liquid, a little at a time and stirring. Never liquid into lye. {heat}",
            "Melt the fats. When both have cooled as your recipe says, lye into fats, stirring.",
            "Additions as your recipe says, then into the moulds. Write below what you weighed.",
        ]

    def _heat(self) -> str:
        hottest = self.job.hottest_lye
        start = self.rescaled.audit.settings.limit("ambient_temperature")
        if math.isnan(hottest):
            return "It can come near boiling by itself."
        shown = f"{hottest:.0f} °C ({hottest * 9 / 5 + 32:.0f} °F)"
        boils = ", so it may boil and spit: go slowly, stand the jug in cold water" if hottest >= _BOILS else ""
        return f"From {start:.0f} °C it can reach {shown} by itself at most{boils}."

    def _sugar(self) -> str:
        """Say that liquids with sugar or alcohol make it hotter, where there are such."""
        if not (self.job.sugar_g > 0 or self.job.alcohol_g > 0):
            return ""
        return " Its milk, sugar or alcohol makes it hotter: chill or freeze it first."

    # ------------------------------------------------------------------ the table of what was weighed

    def _taken(self) -> None:
        self._band("Weights actually taken (what is left blank counts as planned)")
        pounds, ounces = ("lb", "oz") if self.unit == "lb oz" else ("", self.unit)
        counts = f"Counts as, {self.count_unit}"
        headings = ["", "", "Ingredient", pounds, f"Taken, {ounces}", counts, "Takes up NaOH", "Is NaOH", "Is water"]
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
        self._result("Superfat that results, %", f"=100*(1-{brings}/({takes}{more}))", superfat)
        self.sheet.merge_range(self.row - 1, _TOLERANCE, self.row - 1, LAST, "", self.pages["wrap"])
        self.sheet.write_formula(
            self.row - 1, _TOLERANCE, _verdict(cell, superfat), self.pages["strong"], "As planned."
        )
        if self.job.alkali == "NaOH" and wet > 0:
            self._result(
                "Lye concentration that results, %", f"=100*{brings}/({brings}+{water})", 100 * lye / (lye + wet)
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
            times = f"written for the batch as it was; this one is {plain(self.job.factor, 3)} times that"
            self._small(f"Your remarks ({times})", remarks)
        for group, own in groupby(cautions(), key=lambda c: c.group):
            self._small(_GROUP_TITLES.get(group, group), " ".join(c.sentence for c in own))

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
    return (
        f'=IF({cell}<{danger:g},"Too much lye: do not go on.",'
        f'IF({cell}<{min(warning, planned - 0.01):.6g},"Hardly any margin: weigh again.",'
        f'IF(ABS({cell}-{planned!r})<=0.5,"As planned.","Not as planned: weigh again.")))'
    )
