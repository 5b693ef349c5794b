"""The first sheet of a rescaled book: recipes by sizes."""

from __future__ import annotations

import math
from collections.abc import Mapping

from xlsxwriter.worksheet import Worksheet

from sheetcheck.chemistry.volume import GRAMS_PER_OUNCE, ML_PER_CUBIC_INCH
from sheetcheck.rescaling.amounts import weight_text
from sheetcheck.rescaling.bench import grams_per
from sheetcheck.rescaling.look import Pages
from sheetcheck.rescaling.rows import Job, job_rows
from sheetcheck.rescaling.scaling import Rescaled
from sheetcheck.rescaling.targets import Target
from sheetcheck.rules.support.wording import joined, percent, plain
from sheetcheck.words import later, tr, tr_count

_FIGURES = (
    later("Batches"),
    later("Batch"),
    later("Fats"),
    later("Lye"),
    later("Liquid"),
    later("Superfat %"),
    later("Lye, % of lye and water"),
    later("Fill %"),
    later("Fats by rule of thumb"),
    later("Weigh sheet"),
)
_TOP = 4  # row of the sizes, from 0
_PRINT_SCALE = 60  # percent: one size with the names of the recipes beside it fills a page on its side
RULE_OF_THUMB = 0.40  # oz of fats for each cubic inch of mould; common practice, no source


def fill_percent(job: Job, rescaled: Rescaled) -> float:
    """Return how full the moulds of a job's size become [%], all batches together; NaN where there are no moulds."""
    target = rescaled.targets[job.target]
    if target.kind != "moulds":
        return math.nan
    poured = job.batter_ml * job.batches * (1 - rescaled.bench.left_in_pot / 100)
    return float(100 * poured / target.amount)


def write_overview(pages: Pages, name: str, notes: str, rescaled: Rescaled, sheets: Mapping[int, str]) -> None:
    """Write the overview; `sheets` names the weigh sheet of each job, `notes` the sheet of what to note."""
    sheet = pages.sheet(name, landscape=True)
    sheet.write(0, 0, tr("Rescaled: {book}", book=rescaled.audit.book.name), pages["title"])
    sheet.set_row(0, 28)
    sheet.write(1, 0, _assumptions(rescaled), pages["muted"])
    if rescaled.left_out:
        count = len(rescaled.left_out)
        said = tr_count("{count} not rescaled: see {sheet}", "{count} not rescaled: see {sheet}", count, sheet=notes)
        sheet.write_url(2, 0, f"internal:'{notes}'!A1", pages["link"], said)
    _matrix(pages, sheet, rescaled, sheets)
    sheet.set_row(_TOP + 1, 46)
    sheet.set_column(0, 0, 34)
    sheet.set_column(1, 2, 9)
    sheet.set_column(3, 2 + len(_FIGURES) * len(rescaled.targets), 10)
    for number in range(1, len(rescaled.targets) + 1):
        sheet.set_column(2 + len(_FIGURES) * number, 2 + len(_FIGURES) * number, 22)
    sheet.freeze_panes(_TOP + 2, 1)
    sheet.repeat_rows(_TOP, _TOP + 1)
    sheet.repeat_columns(0, 2)
    sheet.set_print_scale(_PRINT_SCALE)
    sheet.set_v_pagebreaks([3 + len(_FIGURES) * number for number in range(1, len(rescaled.targets))])


def _assumptions(rescaled: Rescaled) -> str:
    bench = rescaled.bench
    lye = tr("Lye computed for the rounded fats, rounded down.")
    if rescaled.keep_lye:
        lye = tr("Lye scaled as written, rounded down.")
    return joined(
        lye,
        tr(
            "Headspace {headspace}, left in the pot {left}.",
            headspace=percent(bench.headspace),
            left=percent(bench.left_in_pot),
        ),
        tr("Weights are those of one batch, in the unit beside the recipe; batches of one size are equal."),
    )


def _matrix(pages: Pages, sheet: Worksheet, rescaled: Rescaled, sheets: Mapping[int, str]) -> None:
    """Write recipes down and sizes across."""
    width, top = len(_FIGURES), _TOP
    for column, heading in enumerate((tr("Recipe"), tr("Unit"), tr("Superfat % before"))):
        sheet.write(top + 1, column, heading, pages["heading"])
    for number, target in enumerate(rescaled.targets):
        left = 3 + number * width
        sheet.merge_range(top, left, top, left + width - 1, _size(target), pages["band"])
        sheet.write_row(top + 1, left, [tr(heading) for heading in _FIGURES], pages["heading"])
    for row, (_, own) in enumerate(rescaled.jobs.groupby("source", sort=False), top + 2):
        first = own.iloc[0]
        sheet.write(row, 0, f"{first['own_name']}", pages["text"])
        sheet.write(row, 1, first["weigh_unit"], pages["text"])
        sheet.write_number(row, 2, round(first["superfat_before"], 2), pages["percent"])
        for job in job_rows(own):
            _figures(pages, sheet, row, 3 + job.target * width, job, rescaled, sheets[job.Index])


def _size(target: Target) -> str:
    """Say what a size is: its label, and what its moulds hold."""
    if target.moulds is None:
        return target.label
    inside = " + ".join(f"{m.count} × {m.what}" if m.count > 1 else m.what for m in target.moulds.moulds)
    litres = plain(target.amount / 1000, 2)
    if inside == target.label:
        return tr("{moulds}, {litres} L", moulds=inside, litres=litres)
    return tr("{set}: {moulds}, {litres} L", set=target.label, moulds=inside, litres=litres)


def _figures(  # noqa: PLR0913, PLR0917 - where, and what
    pages: Pages, sheet: Worksheet, row: int, left: int, job: Job, rescaled: Rescaled, weigh_sheet: str
) -> None:
    lye = rescaled.lines[(rescaled.lines["recipe"] == job.Index) & (rescaled.lines["role"] == "alkali")]
    sheet.write_number(row, left, job.batches, pages["number"])
    _weight(pages, sheet, row, left + 1, job.batch_g, job.weigh_unit, digits=2)
    for offset, grams in enumerate((job.fat_g, float(lye["grams"].sum()), job.liquid_g), 2):
        _weight(pages, sheet, row, left + offset, grams, job.weigh_unit)
    thumb = _by_rule_of_thumb(job, rescaled)
    for offset, value in ((5, job.superfat_typical), (6, job.lye_concentration), (7, fill_percent(job, rescaled))):
        if not math.isnan(value):
            sheet.write_number(row, left + offset, round(value, 2), pages["percent"])
    if not math.isnan(thumb):
        _weight(pages, sheet, row, left + 8, thumb, job.weigh_unit, digits=1)
    sheet.write_url(
        row, left + 9, f"internal:'{weigh_sheet.replace(chr(39), chr(39) * 2)}'!A1", pages["link"], weigh_sheet
    )


def _weight(  # noqa: PLR0913, PLR0917 - where, and what
    pages: Pages, sheet: Worksheet, row: int, column: int, grams: float, unit: str, *, digits: int = 4
) -> None:
    if math.isnan(grams):
        return
    value = round(grams / grams_per(unit), digits)
    if unit == "lb oz":
        sheet.write_string(row, column, weight_text(value, unit), pages["text"])
    else:
        sheet.write_number(row, column, value, pages["number"])


def _by_rule_of_thumb(job: Job, rescaled: Rescaled) -> float:
    """Return the fats [g] of one batch by the rule of thumb, as a check; NaN where there are no moulds."""
    target = rescaled.targets[job.target]
    if target.kind != "moulds":
        return math.nan
    filled = target.amount * (1 - rescaled.bench.headspace / 100) / job.batches
    return float(RULE_OF_THUMB * GRAMS_PER_OUNCE * filled / ML_PER_CUBIC_INCH)
