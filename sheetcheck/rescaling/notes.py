"""What to note of a rescaled book: what was left out and why, what rounding moved, what the maker has to judge."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from sheetcheck.rescaling.amounts import amount_text, weight_text
from sheetcheck.rescaling.bench import grams_per
from sheetcheck.rescaling.drift import WORTH_TELLING, moved
from sheetcheck.rescaling.look import Pages
from sheetcheck.rescaling.not_taken_over import as_written, in_another_shape, not_read
from sheetcheck.rescaling.rows import Line, job_rows
from sheetcheck.rescaling.scaling import Rescaled
from sheetcheck.rescaling.weighing import Weighing
from sheetcheck.rules.support.wording import percent, plain
from sheetcheck.words import tr

Told = list[tuple[str, str]]
_SENTENCE_ACROSS, _NAME_ACROSS = 80, 32  # characters on one line


def write_notes(pages: Pages, name: str, rescaled: Rescaled, lines: Mapping[int, Sequence[Weighing]]) -> None:
    """Write the sheet of what to note: a list under each title, the recipe at the left."""
    sheet = pages.sheet(name)
    sheet.set_column(0, 0, 34)
    sheet.set_column(1, 1, 84)
    sheet.write(0, 0, name, pages["title"])
    row = 2
    for title, told in _lists(rescaled, lines):
        sheet.merge_range(row, 0, row, 1, title, pages["band"])
        for left, sentence in told:
            row += 1
            height = max(math.ceil(len(sentence) / _SENTENCE_ACROSS), math.ceil(len(left) / _NAME_ACROSS))
            sheet.set_row(row, 15.5 * height)
            sheet.write(row, 0, left, pages["wrap"])
            sheet.write(row, 1, sentence, pages["wrap"])
        row += 2
    if row == 2:
        sheet.write(row, 0, tr("Nothing was left out, moved, or left to judge."), pages["plain"])


def _lists(rescaled: Rescaled, lines: Mapping[int, Sequence[Weighing]]) -> list[tuple[str, Told]]:
    names = {job.Index: job.name for job in job_rows(rescaled.jobs)}
    found: list[tuple[str, Told]] = [
        (
            tr("Not rescaled"),
            [(f"{x.name} ({x.target})" if x.target else x.name, f"{x.sheet}: {x.why}") for x in rescaled.left_out],
        ),
        (
            tr("Moved by more than {points} points in rounding", points=plain(WORTH_TELLING, 1)),
            [(m.name, m.sentence) for m in moved(rescaled)],
        ),
        (tr("For you to judge: spoons, drops, and what cannot be weighed"), _to_judge(rescaled, lines, names)),
    ]
    found += [
        (tr("In another shape than in your book"), in_another_shape(rescaled)),
        (tr("As you wrote them, for the batch as it was: do not weigh from this"), as_written(rescaled)),
        (tr("Not read in your book"), not_read(rescaled)),
    ]
    if rescaled.keep_lye:
        found.append((tr("Lye kept as written, beside what the fats call for"), _kept(rescaled)))
    return [(title, told) for title, told in found if told]


def _to_judge(rescaled: Rescaled, lines: Mapping[int, Sequence[Weighing]], names: Mapping[int, str]) -> Told:
    times = {job.Index: plain(job.factor, 3) for job in job_rows(rescaled.jobs)}
    return [
        (
            names[job],
            tr(
                "{ingredient}: {amount} (was {before}; this batch is {times} times that)",
                ingredient=w.name,
                amount=amount_text(w.line, ""),
                before=_before(w.line),
                times=times[job],
            ),
        )
        for job, own in lines.items()
        for w in own
        if not w.weight > 0
    ]


def _before(line: Line) -> str:
    return str(line.written) if isinstance(line.written, str) else f"{plain(line.value, 2)} {line.unit or ''}".strip()


def _kept(rescaled: Rescaled) -> Told:
    told = []
    for job in job_rows(rescaled.jobs):
        per = grams_per(job.weigh_unit)
        both = (job.lye_scaled_g, job.lye_computed_g)
        kept, computed = (weight_text(round(grams / per, 4), job.weigh_unit) for grams in both)
        sentence = tr(
            "{kept} kept, {computed} computed; superfat {superfat}, was {before}.",
            kept=kept,
            computed=computed,
            superfat=percent(job.superfat_typical),
            before=percent(job.superfat_before),
        )
        told.append((job.name, sentence))
    return told
