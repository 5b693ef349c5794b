"""How probable each hypothesis on a row is: its prior times how well the repaired row fits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sheetcheck.repairs.elsewhere import ROUNDED, columns_of, made_again
from sheetcheck.repairs.entries import ALL, DEMAND, FATS, MASS, WET, Floats, Mask
from sheetcheck.repairs.fit import FITS, Terms, shares_fit, stated_shares_fit, terms
from sheetcheck.repairs.row import Block, Edit, Row, Slip

_NO_TOTAL = 1e-9  # g: a total of nothing is stated
_WRONG_TOTAL = 0.3  # of the spread of a stated total over the total: density of a total that is wrong


@dataclass(frozen=True)
class Scored:
    """Logarithms of the joint probability of what is written, as it stands and under each hypothesis.

    Hypotheses are those of the blocks, one after the other, then the slips.
    """

    row: Row
    blocks: Sequence[Block]
    slips: Sequence[Slip]
    as_written: float
    joint: Floats  # of each hypothesis
    totals: Floats  # hypotheses × 6
    short: Floats  # logarithm by which each repaired row falls short of one that is as usual
    restores: Mask  # whether it brings the stated total and the superfat into order, both at once

    def slip(self, place: int) -> Slip:
        """Return one hypothesis."""
        for block in self.blocks:
            if place < len(block.values):
                return block.slip(place, self.row.cells[block.entry])
            place -= len(block.values)
        return self.slips[place]


def score(row: Row, blocks: Sequence[Block], slips: Sequence[Slip]) -> Scored:
    """Score what is written and every hypothesis about it."""
    many = sum(len(block.values) for block in blocks)
    grams, extra = _amounts(row, blocks, slips, many)
    totals = grams @ row.per_gram
    totals[:, DEMAND] += extra
    for place, slip in enumerate(slips, start=many + 1):
        if slip.missing is not None:
            fat, more = slip.missing
            totals[place, [DEMAND, FATS, ALL]] += (more * row.demand_of(fat), more, more)
    parts = terms(row.habits, totals, row.context)
    fit = parts.sum + _by_fat(row, grams, totals[:, FATS]) + _elsewhere(row, slips, grams, totals)
    prior = np.concatenate(
        ([0.0], *(block.log_priors for block in blocks), np.array([slip.log_prior for slip in slips], dtype=np.float64))
    )
    joint = fit + prior
    joint[1:] += np.concatenate((*_rounder(row, blocks), _numbers(row, slips)))
    joint[many + 1 :] += _replaced(row, slips, parts, many + 1)
    short = np.maximum(row.best - parts.superfat - parts.water, 0.0)
    restores = (parts.superfat > parts.superfat[0] + FITS) & (parts.fats_total > parts.fats_total[0] + FITS)
    return Scored(row, blocks, slips, float(joint[0]), joint[1:], totals[1:], short[1:], restores[1:])


def _amounts(row: Row, blocks: Sequence[Block], slips: Sequence[Slip], many: int) -> tuple[Floats, Floats]:
    """Return the amounts under each hypothesis, what is written first, and what a change of fat adds to the demand."""
    grams = np.tile(np.array([cell.grams for cell in row.cells]), (many + len(slips) + 1, 1))
    extra = np.zeros(len(grams))
    start = 1
    for block in blocks:
        end = start + len(block.values)
        grams[start:end, block.entry] = block.values * row.cells[block.entry].factor
        start = end
    for place, slip in enumerate(slips, start=many + 1):
        for edit in slip.edits:
            grams[place, edit.entry] = edit.grams
            if edit.substance is not None:
                extra[place] += edit.grams * (row.demand_of(edit.substance) - float(row.per_gram[edit.entry, DEMAND]))
    return grams, extra


def _elsewhere(row: Row, slips: Sequence[Slip], grams: Floats, totals: Floats) -> Floats:
    """Return what the same recipe elsewhere in the book says for each hypothesis."""
    if not row.others:
        return np.zeros(len(grams))
    keys = row.others.keys
    by_fat = np.zeros((len(grams), len(keys) + 2))
    steps = np.zeros(len(keys) + 2)
    for cell, column in zip(row.fats, columns_of(keys, [cell.substance for cell in row.fats]), strict=True):
        by_fat[:, column] += grams[:, cell.entry]
        steps[column] += cell.step
    by_fat[:, -2:] = totals[:, [MASS, WET]]
    steps[-2], steps[-1] = sum(c.step for c in row.lye), sum(c.step for c in row.liquids)
    for place, slip in enumerate(slips, start=len(grams) - len(slips)):
        for edit in slip.edits:
            if edit.substance is not None:
                was, now = columns_of(keys, [row.cells[edit.entry].substance, edit.substance])
                by_fat[place, was] -= edit.grams
                by_fat[place, now] += edit.grams
        if slip.missing is not None:
            by_fat[place, columns_of(keys, [slip.missing[0]])[0]] += slip.missing[1]
    with np.errstate(divide="ignore", invalid="ignore"):
        widths = np.nan_to_num(ROUNDED * steps / by_fat[0], nan=0.0, posinf=0.0)
    return made_again(row.others, by_fat, widths)


def _by_fat(row: Row, grams: Floats, fats: Floats) -> Floats:
    """Fit of each fat's share: seldom tiny, often a multiple of five per cent, and as stated where the sheet does."""
    entries = [cell.entry for cell in row.fats]
    if not entries:
        return np.zeros(len(grams))
    steps = np.array([cell.step for cell in row.fats])
    of_fats, total = grams[:, entries], np.maximum(fats, 1e-9)[:, None]
    there = of_fats > 0
    fit = np.log(np.where(there, np.maximum(of_fats, 1e-9) / (of_fats + row.habits.small * total), 1.0)).sum(axis=1)
    if row.habits.fives > 0.5 and len(entries) > 1:
        fit += np.where(there, shares_fit(row.habits, of_fats, total, steps), 0.0).sum(axis=1)
    for column, percent, step in row.stated_shares:
        one = slice(column, column + 1)
        fit += stated_shares_fit(np.array(percent), np.array(step), of_fats[:, one], total, steps[one]).sum(axis=1)
    return np.asarray(fit)


def _rounder(row: Row, blocks: Sequence[Block]) -> list[Floats]:
    """Return what the roundness of the true number says for or against each hypothesis of the blocks."""
    alike: dict[tuple[str, int], list[int]] = {}
    for place, block in enumerate(blocks):
        cell = row.cells[block.entry]
        alike.setdefault((cell.unit, cell.role), []).append(place)
    found: list[Floats] = [np.empty(0)] * len(blocks)
    for (unit, role), places in alike.items():
        values = [np.append(blocks[place].values, row.cells[blocks[place].entry].value) for place in places]
        logs = row.habits.roundness.log(np.concatenate(values), unit, role)
        ends = np.cumsum([len(value) for value in values])
        for place, part in zip(places, np.split(logs, ends[:-1]), strict=True):
            found[place] = part[:-1] - part[-1]
    return found


def _numbers(row: Row, slips: Sequence[Slip]) -> Floats:
    """Return what the roundness of the true numbers says for or against each slip; pairs share what their edits say."""
    of_truth: dict[str, dict[int, int]] = {}  # truth, identity of an edit -> its place among the edits
    edits: list[tuple[str, Edit]] = []
    owners: list[int] = []
    which: list[int] = []
    for place, slip in enumerate(slips):
        if slip.truth == "solved":
            continue
        known = of_truth.setdefault(slip.truth, {})
        for edit in slip.edits:
            at = known.get(id(edit))
            if at is None:
                at = known[id(edit)] = len(edits)
                edits.append((slip.truth, edit))
            owners.append(place)
            which.append(at)
    if not edits:
        return np.zeros(len(slips))
    return np.asarray(np.bincount(owners, _of_edits(row, edits)[which], len(slips)), dtype=np.float64)


def _of_edits(row: Row, edits: Sequence[tuple[str, Edit]]) -> Floats:
    """Return the same for each edit: the number that it puts against the one that is written."""
    asked: dict[tuple[str, int], list[tuple[int, float, float]]] = {}  # unit, role -> edit, sign, number
    for place, (truth, edit) in enumerate(edits):
        cell = row.cells[edit.entry]
        if edit.substance is not None:
            continue
        if truth != "exact":
            asked.setdefault((cell.unit, cell.role), []).append((place, -1.0, cell.value))
        if truth != "copied" and edit.value > 0:
            asked.setdefault((edit.unit, cell.role), []).append((place, 1.0, edit.value))
    result = np.zeros(len(edits))
    for (unit, role), members in asked.items():
        places, signs, values = (np.array(column) for column in zip(*members, strict=True))
        np.add.at(result, places, signs * row.habits.roundness.log(values, unit, role))
    return result


def _replaced(row: Row, slips: Sequence[Slip], parts: Terms, first: int) -> Floats:
    """Take out the term that a solved number was solved from, or that a wrong statement takes part in."""
    result = np.zeros(len(slips))
    for place, slip in enumerate(slips):
        if slip.aim is not None:
            name, log_share = slip.aim
            result[place] = log_share - float(getattr(parts, name)[first + place])
        elif slip.statement is not None:
            spread = row.context.fats_spread if slip.statement == "fats_total" else row.context.batch_spread
            stated = max(abs(float(getattr(row.context, slip.statement))), _NO_TOTAL)
            wrong = np.log(_WRONG_TOTAL * float(spread) / stated)
            result[place] = float(wrong) - float(getattr(parts, slip.statement)[first + place])
    return result
