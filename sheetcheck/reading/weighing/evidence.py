"""How well a reading of a book fits what people make: nats for every recipe, against mere numbers.

A reading says of every doubtful word what it means. Under it each recipe has fats with a demand for lye, lye, liquid
and sums; the likelihood of these is a narrow peak for what makers do on a floor of "wrong in any way": a row that fits
is worth a few nats, one that does not costs a few, and no row outweighs the rest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.candidates import Meaning
from sheetcheck.reference import constants, limits, substances

_Kind = TypeVar("_Kind", bound=np.generic)
Numbers = NDArray[np.float64]
Places = NDArray[np.int64]
FAT, ALKALI, LIQUID, NOTHING, SUM = range(5)

_RANGE = 8.0  # width, in logarithms, over which mere numbers may lie
_UNKNOWN_FAT = 0.137  # g NaOH that a g of a usual fat takes up, where it is not known which: olive, palm, lard
_KOH_AS_SOLD = 0.9


@dataclass(frozen=True, slots=True)
class Label:
    """A doubtful word of a book with its meanings, likeliest first."""

    text: str
    meanings: tuple[Meaning, ...]


@dataclass(frozen=True, slots=True)
class Lines:
    """The amounts under doubtful words, one entry each."""

    recipe: Places  # from 0
    label: Places
    grams: Numbers


@dataclass(frozen=True, slots=True)
class Known:
    """What is beyond doubt of every recipe, in grams; NaN where it is not known."""

    fats: Numbers
    demand: Numbers  # g NaOH
    naoh: Numbers
    koh: Numbers  # as weighed; how pure it is may not be said
    liquid: Numbers
    others: Numbers  # additions
    stated: Numbers  # superfat, share
    total: Numbers  # of the fats, as the sheet sums them
    whole: NDArray[np.bool_]  # whether all else of the recipe was read
    named: Places  # which fats and lyes each recipe has: recipe times the number of substances, plus the code of one


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a reading makes of every recipe, in grams; `sums` is what words for sums stand for."""

    fats: Numbers
    demand: Numbers
    naoh: Numbers
    koh: Numbers
    liquid: Numbers
    others: Numbers


Choice = NDArray[np.int64]  # for each label, which of its meanings


class Weighing:
    """A book as arrays: all that a score needs, computed once."""

    def __init__(self, labels: Sequence[Label], lines: Lines, known: Known) -> None:
        self.labels, self.lines, self.known = labels, lines, known
        self.count = len(known.fats)
        most = max((len(label.meanings) for label in labels), default=1)
        shape = (len(labels), most)
        self.role = np.full(shape, NOTHING, dtype=np.int64)
        self.naoh = np.zeros(shape)  # taken up by, or as good as, a gram
        self.is_koh = np.zeros(shape, dtype=bool)
        self.prior = np.full(shape, -99.0)
        self.solid = np.full(shape, -1, dtype=np.int64)  # code of the fat or lye
        code, self.codes = codes_of_substances(), len(substances())
        for n, label in enumerate(labels):
            for m, meaning in enumerate(label.meanings):
                self.role[n, m], self.naoh[n, m] = effect(meaning)
                self.is_koh[n, m] = meaning.substance == "potassium hydroxide"
                self.prior[n, m] = meaning.prior
                if meaning.role in ("fat", "alkali"):
                    self.solid[n, m] = code.get(meaning.substance or "", -1)
        self.every = np.arange(len(labels))
        self.spread_stated = _limit("weighing_spread_stated")
        self.spread_habit = _limit("weighing_spread_habit")
        self.wrong = _limit("weighing_wrong_rows")

    # ----------------------------------------------------------------- what a reading makes of it

    def outcome(self, choice: Choice) -> Outcome:
        """Return what a reading makes of every recipe."""
        known = self.known
        role, naoh = self._chosen(self.role, choice), self._chosen(self.naoh, choice)
        koh = self._chosen(self.is_koh, choice)
        fat, alkali = role == FAT, role == ALKALI
        return Outcome(
            known.fats + self._sum(fat),
            known.demand + self._sum(fat, naoh),
            known.naoh + self._sum(alkali & ~koh),
            known.koh + self._sum(alkali & koh),
            known.liquid + self._sum(role == LIQUID),
            known.others + self._sum(role == NOTHING),
        )

    def _chosen(self, table: NDArray[_Kind], choice: Choice) -> NDArray[_Kind]:
        return table[self.every, choice][self.lines.label]

    def _sum(self, which: NDArray[np.bool_], times: Numbers | None = None) -> Numbers:
        weight = self.lines.grams if times is None else self.lines.grams * times
        return np.bincount(self.lines.recipe[which], weights=weight[which], minlength=self.count).astype(np.float64)

    # ----------------------------------------------------------------- how well that fits

    def rows(self, choice: Choice, habit: float) -> Numbers:
        """Return the nats of every recipe under a reading; `habit` is the superfat of rows that state none, a share."""
        out = self.outcome(choice)
        nats = sum((kind(self, choice, out, habit) for kind in _KINDS), np.zeros(self.count))
        return np.where(self.known.whole, nats, 0.0)

    def words(self, choice: Choice) -> float:
        """Return the nats that the spelling of the doubtful words speaks for a reading."""
        return float(self.prior[self.every, choice].sum())

    def score(self, choice: Choice, habit: float) -> float:
        """Return the nats of a reading of the whole book."""
        return float(self.rows(choice, habit).sum()) + self.words(choice)

    def superfat(self, choice: Choice) -> Numbers:
        """Return the superfat of every recipe, a share; NaN where fats or lye are missing. KOH is taken as sold."""
        out = self.outcome(choice)
        lye = out.naoh + out.koh * _KOH_AS_SOLD * constants().naoh_per_koh
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(self.known.whole & (out.demand > 0) & (lye > 0), 1 - lye / out.demand, np.nan)

    def fits(self, choice: Choice, habit: float) -> NDArray[np.bool_]:
        """Tell which recipes come out at the superfat that they state, else about the habit of the book."""
        stated = self.known.stated
        aim, room = np.where(np.isnan(stated), habit, stated), np.where(np.isnan(stated), 0.05, 0.03)
        return np.abs(self.superfat(choice) - aim) <= room


@cache
def codes_of_substances() -> Mapping[str, int]:
    """Return a number for each substance."""
    return {key: code for code, key in enumerate(substances())}


def effect(meaning: Meaning) -> tuple[int, float]:
    """Return what a meaning does: its part in a recipe, and the g NaOH that a gram takes up or is."""
    substance = substances().get(meaning.substance or "")
    if meaning.role == "fat":
        value = substance.sap_typical if substance is not None else np.nan
        return FAT, value / 1000 * constants().naoh_per_koh if np.isfinite(value) else _UNKNOWN_FAT
    if meaning.role == "alkali":
        return ALKALI, 1.0
    if meaning.role == "liquid":
        return LIQUID, 0.0
    return (SUM if meaning.role == "sum" else NOTHING), 0.0


def _limit(name: str) -> float:
    return limits()[name].value


def _normal(x: Numbers, spread: Numbers | float) -> Numbers:
    return np.exp(-0.5 * (x / spread) ** 2) / (spread * 2.5066)


# --------------------------------------------------------------------------- kinds of evidence


def _lye_for_fats(at: Weighing, _choice: Choice, out: Outcome, habit: float) -> Numbers:
    """Weigh that lye is near what the fats take up less the superfat that is stated, or usual in the book."""
    per_koh = constants().naoh_per_koh
    best = np.full(at.count, -np.inf)
    purities = (1.0, _KOH_AS_SOLD) if out.koh.any() else (1.0,)
    for purity in purities:
        lye = out.naoh + out.koh * purity * per_koh
        whole = (out.demand > 0) & (lye > 0)
        ratio = np.log(np.where(whole, lye, 1.0) / np.where(whole, out.demand, 1.0))
        said = ~np.isnan(at.known.stated)
        off = ratio - np.log1p(-np.where(said, np.minimum(at.known.stated, 0.9), habit))
        peak = _normal(off, np.where(said, at.spread_stated, at.spread_habit))
        likely = (1 - at.wrong - 0.05) * peak + 0.05 * _normal(off, 0.1) + at.wrong / _RANGE
        best = np.maximum(best, np.where(whole, np.log(_RANGE * likely), _NOT_THERE))
    return best


_NOT_THERE = -2.0  # nats of a recipe without fats or without lye


def _liquid_to_lye(at: Weighing, _choice: Choice, out: Outcome, _habit: float) -> Numbers:
    """Weigh that liquid is about twice the lye."""
    lye = out.naoh + out.koh
    whole = (lye > 0) & (out.liquid > 0)
    off = np.log(np.where(whole, out.liquid, 1.0) / np.where(whole, lye, 1.0)) - np.log(_LIQUID_TO_LYE)
    likely = (1 - at.wrong) * _normal(off, _SPREAD_LIQUID) + at.wrong / _RANGE
    return np.where(whole, np.log(_RANGE * likely), -1.0)


_LIQUID_TO_LYE, _SPREAD_LIQUID = 2.3, 0.25  # common practice, no source


def _sums(at: Weighing, choice: Choice, out: Outcome, _habit: float) -> Numbers:
    """Weigh that a word for a sum, or a stated total, stands for the fats, or for all that goes into the pot."""
    nats = _agrees(at.known.total, out.fats)
    lines = at.lines
    is_sum = at.role[at.every, choice][lines.label] == SUM
    if is_sum.any():
        recipe, grams = lines.recipe[is_sum], lines.grams[is_sum]
        pot = out.fats + out.naoh + out.koh + out.liquid
        either = np.maximum(_agrees(grams, out.fats[recipe]), _agrees(grams, pot[recipe]))
        either = np.maximum(either, _agrees(grams, (pot + out.others)[recipe]))
        nats = nats + np.bincount(recipe, weights=either, minlength=at.count)
    return nats


def _agrees(said: Numbers, found: Numbers) -> Numbers:
    with np.errstate(invalid="ignore", divide="ignore"):
        off = np.abs(said - found) / np.maximum(said, 1e-9)
    return np.select([np.isnan(said), off < 0.006, off < 0.03], [0.0, 2.5, 0.0], -2.5)


def _sizes(at: Weighing, choice: Choice, out: Outcome, _habit: float) -> Numbers:
    """Weigh that a fat is a good part of the fats, and an addition a small one."""
    lines = at.lines
    role = at.role[at.every, choice][lines.label]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.log(np.maximum(lines.grams / np.maximum(out.fats[lines.recipe], 1e-9), 1e-6))
    fat = np.maximum(_normal(share - np.log(0.25), 0.9), 1e-3)
    other = np.maximum(_normal(share - np.log(0.03), 1.2), 1e-3)
    liquid = np.maximum(_normal(share - np.log(0.3), 0.6), 1e-3)
    nats = np.select([role == FAT, role == NOTHING, role == LIQUID], [np.log(fat), np.log(other), np.log(liquid)], -1.5)
    many = np.bincount(lines.label, minlength=len(at.labels))[lines.label]
    nats = nats / np.sqrt(many)  # the sizes of one ingredient are alike: they are not so many witnesses
    return np.bincount(lines.recipe, weights=nats, minlength=at.count).astype(np.float64)


def _twice(at: Weighing, choice: Choice, _out: Outcome, _habit: float) -> Numbers:
    """Weigh that one fat or lye under two names in one recipe is hardly ever meant."""
    lines = at.lines
    code = at.solid[at.every, choice][lines.label]
    named = np.unique(np.stack([lines.recipe, code, lines.label])[:, code >= 0], axis=1)  # typed twice counts once
    pairs = named[0] * at.codes + named[1]
    _, first, times = np.unique(pairs, return_index=True, return_counts=True)
    again = times - 1 + np.isin(pairs[first], at.known.named)
    return np.asarray(-2.5 * np.bincount(named[0][first], weights=again, minlength=at.count), dtype=np.float64)


_KINDS = (_lye_for_fats, _liquid_to_lye, _sums, _sizes, _twice)
