"""The first sheet of a rescaled book: recipes by sizes."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from xlsxwriter.worksheet import Worksheet

from sheetcheck.chemistry.volume import GRAMS_PER_OUNCE, ML_PER_CUBIC_INCH
from sheetcheck.rescaling.amounts import volume_text, weight_text
from sheetcheck.rescaling.bench import grams_per
from sheetcheck.rescaling.drift import too_coarse
from sheetcheck.rescaling.follows import CURE_DAYS, UNMOULD_DAYS, bars_of, cost, pours_of
from sheetcheck.rescaling.look import Pages
from sheetcheck.rescaling.rows import Job, job_rows
from sheetcheck.rescaling.scaling import Rescaled
from sheetcheck.rescaling.targets import Target
from sheetcheck.rules.support.wording import joined, percent
from sheetcheck.words import later, tr, tr_count

_TOP = 4  # row of the sizes, from 0
_LEAST_PRINT_SCALE = 50  # percent: letters of five and a half points
_PRINT_SCALE = 60  # percent, at most: one size with the names of the recipes beside it fits a page on its side
_PAGE_PIXELS = 9.7 * 96  # across letter paper on its side; LibreOffice draws columns a little wider
_IN_POUNDS = 13  # characters: 16 lb 5.4 oz
_BEFORE = later("Superfat % before")
RULE_OF_THUMB = 0.40  # oz of fats for each cubic inch of mould; common practice, no source

Value = float | str | dt.date | None


@dataclass(frozen=True, slots=True)
class _Figure:
    """One column of a size: a heading, what stands below it for a job, and how it looks."""

    heading: str
    of: Callable[[Job, Rescaled], Value]
    look: str = "number"
    width: float = 10


def fill_percent(job: Job, rescaled: Rescaled) -> float:
    """Return how full the moulds of a job's size become [%], all batches together; NaN where there are no moulds."""
    return max((pour.fill for pour in pours_of(job, rescaled)), default=math.nan)


def _lye(job: Job, rescaled: Rescaled) -> float:
    own = rescaled.lines[(rescaled.lines["recipe"] == job.Index) & (rescaled.lines["role"] == "alkali")]
    return float(own["grams"].sum())


def _weight(grams: float, unit: str, digits: int = 4) -> Value:
    if math.isnan(grams):
        return None
    value = round(grams / grams_per(unit), digits)
    return weight_text(value, unit) if unit == "lb oz" else value


def _percentage(value: float) -> Value:
    return None if math.isnan(value) else round(value, 2)


def _by_rule_of_thumb(job: Job, rescaled: Rescaled) -> Value:
    """Return the fats of one batch by the rule of thumb, as a check; nothing where there are no moulds of a volume."""
    target = rescaled.targets[job.target]
    if target.moulds is None or math.isnan(target.amount):
        return None
    filled = target.amount * (1 - rescaled.bench.headspace / 100) / job.batches
    return _weight(RULE_OF_THUMB * GRAMS_PER_OUNCE * filled / ML_PER_CUBIC_INCH, job.weigh_unit, 1)


def _in_each(job: Job, rescaled: Rescaled) -> Value:
    said = []
    for pour in pours_of(job, rescaled):
        weight = weight_text(round(pour.grams / grams_per(job.weigh_unit), 2), job.weigh_unit)
        said.append(tr("{mould}: {weight}", mould=pour.mould.shown, weight=weight))
    return "; ".join(said) or None


def _of_bar(job: Job, rescaled: Rescaled, *, cured: bool) -> Value:
    bars = bars_of(job, rescaled)
    return None if bars is None else _weight(bars.least if cured else bars.fresh, job.weigh_unit, 2)


def _cost(job: Job, rescaled: Rescaled) -> Value:
    found = cost(job, rescaled)
    if found is None:
        return None
    money = f"{rescaled.prices.sign}{found.money:.2f}"
    return tr("{money} without {count} unpriced", money=money, count=len(found.unpriced)) if found.unpriced else money


def _after(rescaled: Rescaled, days: int) -> Value:
    return None if rescaled.date is None else rescaled.date + dt.timedelta(days=days)


_FIGURES = (
    _Figure(later("Batches"), lambda job, _: job.batches),
    _Figure(later("Batch"), lambda job, _: _weight(job.batch_g, job.weigh_unit, 2)),
    _Figure(later("Fats"), lambda job, _: _weight(job.fat_g, job.weigh_unit)),
    _Figure(later("Lye"), lambda job, rescaled: _weight(_lye(job, rescaled), job.weigh_unit)),
    _Figure(later("Liquid"), lambda job, _: _weight(job.liquid_g, job.weigh_unit)),
    _Figure(later("Superfat %"), lambda job, _: _percentage(job.superfat_typical), "percent"),
    _Figure(later("Lye, % of lye and water"), lambda job, _: _percentage(job.lye_concentration), "percent"),
    _Figure(
        later("Size, % of what was asked for"),
        lambda job, _: None if job.resized == 1 else _percentage(100 * job.resized),
        "percent",
    ),
    _Figure(later("Fill %"), lambda job, rescaled: _percentage(fill_percent(job, rescaled)), "percent"),
    _Figure(later("Fats by rule of thumb"), _by_rule_of_thumb),
    _Figure(later("In each mould"), _in_each, "beside", 34),
    _Figure(later("A bar when cut"), lambda job, rescaled: _of_bar(job, rescaled, cured=False)),
    _Figure(later("A bar cured, not below"), lambda job, rescaled: _of_bar(job, rescaled, cured=True)),
    _Figure(later("Cost of a batch"), _cost, "text", 24),
    _Figure(later("Out of the moulds from"), lambda _, rescaled: _after(rescaled, UNMOULD_DAYS[0]), "date cell", 13),
    _Figure(later("Cured from"), lambda _, rescaled: _after(rescaled, CURE_DAYS[0]), "date cell", 13),
    _Figure(
        later("Scale"), lambda job, rescaled: tr("too coarse") if too_coarse(job, rescaled) else None, "danger", 12
    ),
)


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
    values = {
        (job.Index, position): figure.of(job, rescaled)
        for job in job_rows(rescaled.jobs)
        for position, figure in enumerate(_FIGURES)
    }
    told = [n for n, _ in enumerate(_FIGURES) if any(v is not None for (_, m), v in values.items() if m == n)]
    if told:
        _matrix(pages, sheet, rescaled, sheets, told, values)
    sheet.set_row(_TOP + 1, 46)
    least = _IN_POUNDS if (rescaled.jobs["weigh_unit"] == "lb oz").any() else 0
    names = [34, 9, _wide_enough(9, _BEFORE)]
    figures = [*(_wide_enough(max(f.width, least), f.heading) for f in map(_FIGURES.__getitem__, told)), 22]
    for column, width in enumerate([*names, *(figures * len(rescaled.targets))]):
        sheet.set_column(column, column, width)
    sheet.freeze_panes(_TOP + 2, 1)
    sheet.repeat_rows(_TOP, _TOP + 1)
    sheet.repeat_columns(0, len(names) - 1)
    sheet.set_print_scale(_print_scale([*names, *figures]))
    sheet.set_v_pagebreaks([len(names) + len(figures) * number for number in range(1, len(rescaled.targets))])


def _wide_enough(least: float, heading: str) -> float:
    """Return a width [characters] in which no word of a heading is broken, in the language that is spoken."""
    return max(least, *(len(word) + 1 for word in tr(heading).split()))


def _print_scale(widths: Sequence[float]) -> int:
    """Return the percentage at which columns of these widths [characters] fill a page on its side, at most.

    Where that could not be read they go on to a further page, the names of the recipes beside them.
    """
    pixels = sum(7 * width + 5 for width in widths)  # of a character, and beside it, in the font of the book
    on_one_page = int(100 * _PAGE_PIXELS / pixels)
    return _PRINT_SCALE if on_one_page < _LEAST_PRINT_SCALE else min(_PRINT_SCALE, on_one_page)


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


def _matrix(  # noqa: PLR0913, PLR0917 - where, and what
    pages: Pages,
    sheet: Worksheet,
    rescaled: Rescaled,
    sheets: Mapping[int, str],
    told: Sequence[int],
    values: Mapping[tuple[int, int], Value],
) -> None:
    """Write recipes down and sizes across; of each size the figures that are told, and a link to the weigh sheet."""
    width, top = len(told) + 1, _TOP
    headings = [*(tr(_FIGURES[position].heading) for position in told), tr("Weigh sheet")]
    for column, heading in enumerate((tr("Recipe"), tr("Unit"), tr(_BEFORE))):
        sheet.write(top + 1, column, heading, pages["heading"])
    in_ounces = bool((rescaled.jobs["weigh_unit"] != "g").mean() > 0.5)
    for number, target in enumerate(rescaled.targets):
        left = 3 + number * width
        size = _size(target, in_ounces=in_ounces)
        sheet.merge_range(top, left, top, left + width - 1, size, pages["band"])
        sheet.write_row(top + 1, left, headings, pages["heading"])
    for row, (_, own) in enumerate(rescaled.jobs.groupby("source", sort=False), top + 2):
        first = own.iloc[0]
        sheet.write(row, 0, f"{first['own_name']}", pages["text"])
        sheet.write(row, 1, first["weigh_unit"], pages["text"])
        sheet.write_number(row, 2, round(first["superfat_before"], 2), pages["percent"])
        for job in job_rows(own):
            left = 3 + job.target * width
            for offset, position in enumerate(told):
                _write(pages, sheet, (row, left + offset), values[job.Index, position], _FIGURES[position].look)
            link = sheets[job.Index].replace(chr(39), chr(39) * 2)
            sheet.write_url(row, left + len(told), f"internal:'{link}'!A1", pages["link"], sheets[job.Index])


def _write(pages: Pages, sheet: Worksheet, place: tuple[int, int], value: Value, look: str) -> None:
    if value is None:
        return
    if isinstance(value, str):
        sheet.write_string(*place, value, pages["text" if look == "number" else look])
    elif isinstance(value, dt.date):
        sheet.write_datetime(*place, value, pages[look])
    else:
        sheet.write_number(*place, value, pages[look])


def _size(target: Target, *, in_ounces: bool) -> str:
    """Say what a size is: its label, and what its moulds hold."""
    if target.moulds is None:
        return target.label
    inside = " + ".join(m.shown for m in target.moulds.moulds)
    if math.isnan(target.amount):
        return inside if inside == target.label else tr("{set}: {moulds}", set=target.label, moulds=inside)
    holds = volume_text(target.amount, in_ounces=in_ounces)
    if inside == target.label:
        return tr("{moulds}, {volume}", moulds=inside, volume=holds)
    return tr("{set}: {moulds}, {volume}", set=target.label, moulds=inside, volume=holds)
