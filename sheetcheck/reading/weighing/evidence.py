"""How well a reading of a book fits what people make: nats for every recipe, against mere numbers.

A reading says of every doubtful word what it means. Under it each recipe has fats with a demand for lye, lye, liquid
and sums; the likelihood of these is a narrow peak for what makers do on a floor of "wrong in any way": a row that fits
is worth a few nats, one that does not costs a few, and no row outweighs the rest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
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
_USUAL_SOLUTION = 0.4  # share of alkali in a lye of which no strength is said; common practice, no source
_SAME_FAT_MEANT = -2.0  # nats; makers give each fat one short form, and two short forms to one fat seldom; from memory
_WRITTEN_OUT = -0.3  # prior from which a word is a name with a slip and no short form: of these there are many


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
    naoh_lines: Places  # how often it stands there
    koh_lines: Places
    named: Places  # which fats and lyes each recipe has: recipe times the number of substances, plus the code of one


@dataclass(frozen=True, slots=True)
class Outcome:
    """What readings make of every recipe, in grams; arrays of readings by recipes."""

    fats: Numbers
    demand: Numbers
    naoh: Numbers
    koh: Numbers
    liquid: Numbers
    others: Numbers


@dataclass(frozen=True, slots=True)
class Read:
    """Every line under several readings: arrays of readings by lines."""

    role: Places
    naoh: Numbers  # taken up by, or as good as, a gram
    koh: NDArray[np.bool_]
    solid: Places  # code of the fat or lye; -1 for none


Choice = NDArray[np.int64]  # for each label, which of its meanings; of several readings one below another


class Weighing:
    """A book as arrays: all that a score needs, computed once. Readings are scored many at a time."""

    def __init__(self, labels: Sequence[Label], lines: Lines, known: Known, many: Numbers | None = None) -> None:
        order = np.argsort(lines.recipe, kind="stable")
        self.labels, self.known, self.count = labels, known, len(known.fats)
        self.lines = lines = Lines(lines.recipe[order], lines.label[order], lines.grams[order])
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
        self.many = np.bincount(lines.label, minlength=len(labels)).astype(np.float64) if many is None else many
        self.spread_stated = _limit("weighing_spread_stated")
        self.spread_habit = _limit("weighing_spread_habit")
        self.wrong = _limit("weighing_wrong_rows")
        self._first_line = np.searchsorted(lines.recipe, np.arange(self.count))
        self._lines_of = np.diff(np.append(self._first_line, len(lines.recipe)))
        self.typed_again = _typed_again(lines, len(labels))
        self.has = np.zeros(
            self.count * self.codes + 1, dtype=bool
        )  # which fats and lyes are beyond doubt; the last: none
        self.has[known.named] = True
        self._parts: dict[tuple[int, ...], Weighing] = {}

    def where(self, *labels: int) -> Weighing:
        """Return the weighing of the recipes alone in which some labels stand: what their meanings can change."""
        key = tuple(sorted(labels))
        if key not in self._parts:
            self._parts[key] = self._of(np.unique(self.lines.recipe[np.isin(self.lines.label, key)]))
        return self._parts[key]

    def _of(self, recipes: Places) -> Weighing:
        """Return the weighing of some recipes alone."""
        if len(recipes) == self.count:
            return self
        place = np.full(self.count, -1)
        place[recipes] = np.arange(len(recipes))
        inside = place[self.lines.recipe] >= 0
        lines = Lines(place[self.lines.recipe[inside]], self.lines.label[inside], self.lines.grams[inside])
        part = {f.name: getattr(self.known, f.name)[recipes] for f in fields(Known) if f.name != "named"}
        at = place[self.known.named // self.codes]
        named = (at * self.codes + self.known.named % self.codes)[at >= 0]
        return Weighing(self.labels, lines, Known(**part, named=named), self.many)

    def beside(self, n: int) -> Places:
        """Return the other labels that stand in recipes of a label."""
        found = np.unique(self.where(n).lines.label)
        return np.asarray(found[found != n])

    # ----------------------------------------------------------------- what readings make of it

    def outcomes(self, choices: Choice) -> tuple[Read, Outcome]:
        """Return what every line is under each of several readings, and what these make of every recipe."""
        read = Read(*(self._chosen(each, choices) for each in (self.role, self.naoh, self.is_koh, self.solid)))
        known, role = self.known, read.role
        fat, alkali = role == FAT, role == ALKALI
        return read, Outcome(
            known.fats + self._sum(fat),
            known.demand + self._sum(np.where(fat | (role == NOTHING), read.naoh, 0.0)),  # acids take up lye too
            known.naoh + self._sum(np.where(alkali & ~read.koh, read.naoh, 0.0)),
            known.koh + self._sum(alkali & read.koh),
            known.liquid + self._sum(role == LIQUID),
            known.others + self._sum(role == NOTHING),
        )

    def outcome(self, choice: Choice) -> Outcome:
        """Return what one reading makes of every recipe, as arrays of recipes."""
        out = self.outcomes(choice[np.newaxis])[1]
        return Outcome(*(getattr(out, f.name)[0] for f in fields(Outcome)))

    def _chosen(self, table: NDArray[_Kind], choices: Choice) -> NDArray[_Kind]:
        return table[self.every, choices][:, self.lines.label]

    def _sum(self, share: NDArray[np.bool_] | Numbers) -> Numbers:
        return self.by_recipe(share * self.lines.grams)

    def by_recipe(self, values: Numbers) -> Numbers:
        """Add up the lines of each recipe: from readings by lines to readings by recipes."""
        if not values.shape[1]:
            return np.zeros((len(values), self.count))
        first = np.minimum(self._first_line, values.shape[1] - 1)
        return np.where(self._lines_of > 0, np.add.reduceat(values, first, axis=1), 0.0)

    # ----------------------------------------------------------------- how well that fits

    def all_rows(self, choices: Choice, habit: float) -> Numbers:
        """Return the nats of every recipe under several readings; `habit` is the superfat where none is stated."""
        read, out = self.outcomes(choices)
        nats = sum((kind(self, read, out, habit) for kind in _KINDS), np.zeros((len(choices), self.count)))
        return np.where(self.known.whole, nats, 0.0)

    def rows(self, choice: Choice, habit: float) -> Numbers:
        """Return the nats of every recipe under a reading."""
        return np.asarray(self.all_rows(choice[np.newaxis], habit)[0])

    def words(self, choice: Choice) -> float:
        """Return the nats that the spelling of the doubtful words speaks for a reading."""
        return float(self._words(choice[np.newaxis])[0])

    def _words(self, choices: Choice) -> Numbers:
        """Return the nats of the words under several readings: their spelling, and that each means a fat of its own."""
        role, solid = self.role[self.every, choices], self.solid[self.every, choices]
        prior = self.prior[self.every, choices]
        fats = np.sort(np.where((role == FAT) & (prior < _WRITTEN_OUT), solid, -1), axis=1)
        same = (fats[:, 1:] == fats[:, :-1]) & (fats[:, 1:] >= 0)
        return np.asarray(prior.sum(axis=1) + _SAME_FAT_MEANT * same.sum(axis=1))

    def scores(self, choices: Choice, habit: float) -> Numbers:
        """Return the nats of several readings of the whole book."""
        return np.asarray(self.all_rows(choices, habit).sum(axis=1) + self._words(choices))

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
        near = np.abs(self.superfat(choice) - aim) <= room
        once = self.lye_again(self.outcomes(choice[np.newaxis])[0])[0] < 1
        return np.asarray(near & once)

    def lye_again(self, read: Read) -> Numbers:
        """Count how often a lye that a recipe has stands there once more, under several readings."""
        alkali = read.role == ALKALI
        naoh, koh = (self.by_recipe(which.astype(np.float64)) for which in (alkali & ~read.koh, alkali & read.koh))
        again = np.maximum(naoh + self.known.naoh_lines - 1, 0) + np.maximum(koh + self.known.koh_lines - 1, 0)
        return np.asarray(again)


def _typed_again(lines: Lines, labels: int) -> NDArray[np.bool_]:
    """Tell which lines have a label that an earlier line of their recipe has."""
    _, first = np.unique(lines.recipe * max(labels, 1) + lines.label, return_index=True)
    again = np.ones(len(lines.recipe), dtype=bool)
    again[first] = False
    return again


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
        return ALKALI, _USUAL_SOLUTION if substance is not None and substance.solution_of else 1.0
    if meaning.role == "liquid":
        return LIQUID, 0.0
    if meaning.role == "acid" and substance is not None and np.isfinite(substance.naoh_per_g):
        return NOTHING, substance.naoh_per_g
    return (SUM if meaning.role == "sum" else NOTHING), 0.0


def _limit(name: str) -> float:
    return limits()[name].value


def _normal(x: Numbers, spread: Numbers | float) -> Numbers:
    return np.exp(-0.5 * (x / spread) ** 2) / (spread * 2.5066)


# --------------------------------------------------------------------------- kinds of evidence


def _lye_for_fats(at: Weighing, _read: Read, out: Outcome, habit: float) -> Numbers:
    """Weigh that lye is near what the fats take up less the superfat that is stated, or usual in the book."""
    per_koh = constants().naoh_per_koh
    best = np.full(out.fats.shape, -np.inf)
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


def _liquid_to_lye(at: Weighing, _read: Read, out: Outcome, _habit: float) -> Numbers:
    """Weigh that liquid is about twice the lye."""
    lye = out.naoh + out.koh
    whole = (lye > 0) & (out.liquid > 0)
    off = np.log(np.where(whole, out.liquid, 1.0) / np.where(whole, lye, 1.0)) - np.log(_LIQUID_TO_LYE)
    likely = (1 - at.wrong) * _normal(off, _SPREAD_LIQUID) + at.wrong / _RANGE
    return np.where(whole, np.log(_RANGE * likely), -1.0)


_LIQUID_TO_LYE, _SPREAD_LIQUID = 2.3, 0.25  # common practice, no source


def _sums(at: Weighing, read: Read, out: Outcome, _habit: float) -> Numbers:
    """Weigh that a word for a sum, or a stated total, stands for the fats, or for all that goes into the pot."""
    nats = _agrees(at.known.total, out.fats)
    is_sum = read.role == SUM
    if is_sum.any():
        pot = out.fats + out.naoh + out.koh + out.liquid
        recipe, grams = at.lines.recipe, at.lines.grams
        each = [_agrees(grams, whole[:, recipe]) for whole in (out.fats, pot, pot + out.others)]
        nats = nats + at.by_recipe(np.where(is_sum, np.maximum.reduce(each), 0.0))
    return nats


def _agrees(said: Numbers, found: Numbers) -> Numbers:
    with np.errstate(invalid="ignore", divide="ignore"):
        off = np.abs(said - found) / np.maximum(said, 1e-9)
    return np.select([np.isnan(off), off < 0.006, off < 0.03], [0.0, 2.5, 0.0], -2.5)


def _sizes(at: Weighing, read: Read, out: Outcome, _habit: float) -> Numbers:
    """Weigh that a fat is a good part of the fats, and an addition a small one."""
    lines, role = at.lines, read.role
    share = np.log(np.maximum(lines.grams / np.maximum(out.fats[:, lines.recipe], 1e-9), 1e-6))
    usual, spread = _USUAL_SHARE[role], _SPREAD_SHARE[role]
    nats = np.log(np.maximum(_normal(share - usual, spread), 1e-3))
    nats = np.where((role == ALKALI) | (role == SUM), -1.5, nats)
    # the sizes of one ingredient are alike: they are not so many witnesses
    return at.by_recipe(nats / np.sqrt(np.maximum(at.many[lines.label], 1.0)))


# of the fats, for a fat, lye, liquid, an addition, a sum; lye and sums have other evidence
_USUAL_SHARE = np.log([0.25, 1.0, 0.3, 0.03, 1.0])
_SPREAD_SHARE = np.array([0.9, 1.0, 0.6, 1.2, 1.0])


def _twice(at: Weighing, read: Read, _out: Outcome, _habit: float) -> Numbers:
    """Weigh that one fat or lye under two names in one recipe is hardly ever meant."""
    there = (read.solid >= 0) & ~at.typed_again  # typed twice counts once
    named = np.where(there, at.lines.recipe * at.codes + read.solid, -1)
    order = np.argsort(named, axis=1, kind="stable")
    named = np.take_along_axis(named, order, axis=1)
    before = np.concatenate([np.full((len(named), 1), -1), named[:, :-1]], axis=1)
    again = (named >= 0) & ((named == before) | at.has[named])
    lines = np.zeros(named.shape)
    np.put_along_axis(lines, order, again, axis=1)
    return -2.5 * at.by_recipe(lines)


def _two_in_one(at: Weighing, read: Read, _out: Outcome, _habit: float) -> Numbers:
    """Weigh that two recipes taken for one have the lye twice: the sum of sound recipes is sound, and tells nothing."""
    return _TAKEN_FOR_ONE * at.lye_again(read)


_TAKEN_FOR_ONE = -3.0  # nats

_KINDS = (_lye_for_fats, _liquid_to_lye, _sums, _sizes, _twice, _two_in_one)
