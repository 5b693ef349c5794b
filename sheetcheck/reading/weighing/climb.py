"""The likeliest reading of a book, and by how much it wins: coordinate ascent over the doubtful words, then margins."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from math import prod

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.weighing.evidence import Choice, Outcome, Weighing
from sheetcheck.reference import limits

_PAIRED = 10  # words with the most rows that are also moved two at a time
_TOP = 5  # meanings of a word that are tried in pairs
_SUPERFAT_AT_FIRST = 0.055  # share; common practice, no source
_USUAL_SUPERFAT = (-0.03, 0.25)
_NOT_AGAINST = -0.5  # nats
_SPEAKS = 1.0  # nats from which a row speaks for a reading, or against it
_SAME = {"fats": 0.006, "demand": 0.012, "naoh": 0.006, "koh": 0.006, "liquid": 0.02}  # less is the same recipe


@dataclass(frozen=True, slots=True)
class Reading:
    """What every doubtful word means, and the superfat that the book's rows come out at."""

    choice: Choice
    habit: float


@dataclass(frozen=True, slots=True)
class Margin:
    """By how much one reading beats another [nats]: in all, without its best rows, by words; how many rows speak."""

    whole: float
    without_best: float
    words: float
    for_it: int
    against: int

    @property
    def enough(self) -> bool:
        """Tell whether the better reading may be taken without asking."""
        # Two rows are enough where the spelling speaks for it too: the one left out may be wrong, or the other.
        rows = self.for_it - self.against + (self.words >= _NOT_AGAINST)
        by_rows = self.without_best >= _limit("weighing_margin") and rows >= _limit("weighing_rows")
        most_against = _limit("weighing_against") * max(self.for_it + self.against, 1)
        by_words = min(self.words, self.whole) >= _limit("weighing_margin_of_words")
        # What is spelled so is meant, though a row or two be wrong: they are flagged then, not explained away.
        few = self.for_it + self.against < _limit("weighing_rows")
        spelled = few and self.words >= _limit("weighing_margin")
        both = min(self.words, self.without_best) >= _limit("weighing_margin")  # what is spelled so weighs out as well
        return by_rows or spelled or both or (by_words and self.against <= most_against)

    @property
    def enough_for_liquid(self) -> bool:
        """Tell whether it may be where no superfat hangs on it: the spelling, and what rows there are, for it."""
        return self.words >= 0 and self.whole >= _limit("weighing_margin")


def _limit(name: str) -> float:
    return limits()[name].value


def climb(weighing: Weighing, start: Reading | None = None, *, pairs: bool = True, sweeps: int = 6) -> Reading:
    """Return the likeliest reading that can be reached by changing one or two words at a time."""
    reading = start or Reading(np.zeros(len(weighing.labels), dtype=np.int64), _SUPERFAT_AT_FIRST)
    choice, habit = reading.choice.copy(), reading.habit
    rows = np.bincount(weighing.lines.label, minlength=len(weighing.labels))
    order = np.argsort(-rows, kind="stable").tolist()
    together = list(combinations([n for n in order if rows[n]][:_PAIRED], 2)) if pairs else []
    for _ in range(_STEEP):
        _best_of_all(weighing, choice, habit)
    for _ in range(sweeps):
        before = choice.copy()
        for n in order:
            _best_of(weighing, choice, habit, n)
        for pair in together:
            _best_of(weighing, choice, habit, *pair)
        habit = _habit(weighing, choice, habit)
        if (before == choice).all():
            break
    return Reading(choice, habit)


def likeliest(weighing: Weighing, habit: float, *, pairs: bool = True, sweeps: int = 6) -> Reading:
    """Return the best of two climbs: from what each word means by itself, and from every word naming an ingredient.

    On a sheet of short forms each word by itself is likelier a remark than a fat; all together they are a recipe.
    """
    plain = np.zeros(len(weighing.labels), dtype=np.int64)
    named = [[i for i, m in enumerate(label.meanings) if m.substance is not None] for label in weighing.labels]
    ingredients = np.array([listed[0] if listed else 0 for listed in named], dtype=np.int64)
    starts = [plain] if (plain == ingredients).all() else [plain, ingredients]
    climbed = [climb(weighing, Reading(start, habit), pairs=pairs, sweeps=sweeps) for start in starts]
    return max(climbed, key=lambda reading: float(weighing.scores(reading.choice[None], reading.habit)[0]))


def _habit(weighing: Weighing, choice: Choice, before: float) -> float:
    """Return the median superfat of the rows that come out as soap and state none."""
    superfat = weighing.superfat(choice)
    usual = (superfat >= _USUAL_SUPERFAT[0]) & (superfat <= _USUAL_SUPERFAT[1]) & np.isnan(weighing.known.stated)
    return float(np.median(superfat[usual])) if usual.sum() >= _limit("weighing_rows") else before


def _best_of(weighing: Weighing, choice: Choice, habit: float, *words: int) -> None:
    """Give some words the meanings that are likeliest together, all else standing; one word may mean anything."""
    most = None if len(words) == 1 else _TOP
    listed = [range(len(weighing.labels[n].meanings[:most])) for n in words]
    tried = np.tile(choice, (1 + prod(map(len, listed)), 1))
    tried[1:, list(words)] = list(product(*listed))  # the first is as it was, and kept where nothing is better
    scores = weighing.where(*words).scores(tried, habit)
    best = int(np.argmax(scores))
    if scores[best] > scores[0] + _BETTER:
        choice[:] = tried[best]


def _best_of_all(weighing: Weighing, choice: Choice, habit: float) -> None:
    """Change the one word whose change gains most, where any does."""
    changes = [(n, m) for n, label in enumerate(weighing.labels) for m in range(len(label.meanings))]
    tried = np.tile(choice, (len(changes), 1))
    for each, (n, m) in zip(tried, changes, strict=True):
        each[n] = m
    scores = weighing.scores(tried, habit)
    best = int(np.argmax(scores))
    if scores[best] > float(weighing.scores(choice[None], habit)[0]) + _BETTER:
        choice[:] = tried[best]


_BETTER = 1e-9  # nats
_STEEP = 3  # changes, of whichever word gains most, before each word has its turn


# --------------------------------------------------------------------------- margins


def margin(weighing: Weighing, best: Reading, other: Reading) -> Margin:
    """Return by how much one reading beats another."""
    gain = weighing.rows(best.choice, best.habit) - weighing.rows(other.choice, other.habit)
    words = weighing.words(best.choice) - weighing.words(other.choice)
    whole = words + float(gain.sum())
    for_it = np.sort(gain[gain > 0])[::-1]
    left_out = max(1, round(_limit("weighing_left_out") * len(for_it)))
    return Margin(
        whole, whole - float(for_it[:left_out].sum()), words, int((gain > _SPEAKS).sum()), int((gain < -_SPEAKS).sum())
    )


def nearest_rival(weighing: Weighing, best: Reading, n: int, meaning: int) -> tuple[Margin, Reading]:
    """Return the best reading in which a word means something else, and by how much it loses; the rest moves along."""
    other = best.choice.copy()
    other[n] = meaning
    starts = [other, *_exchanged(weighing, best.choice, n, meaning)]
    found, start = min(
        ((margin(weighing, best, Reading(each, best.habit)), each) for each in starts), key=lambda each: each[0].whole
    )
    if found.whole >= _FAR:
        return found, Reading(start, best.habit)
    moved = _moved_along(weighing, start, best.habit, n)
    return margin(weighing, best, moved), moved


_FAR = 25.0  # nats from which no change of other words makes up for it
_CHANGES = 3  # of other words that follow one


def _exchanged(weighing: Weighing, choice: Choice, n: int, meaning: int) -> Iterator[Choice]:
    """Yield the readings in which a word that means so now, and this one, exchange their meanings."""
    mine, wanted = (weighing.labels[n].meanings[m].substance for m in (int(choice[n]), meaning))
    for k in weighing.beside(n).tolist() if mine and wanted else ():
        meanings = [m.substance for m in weighing.labels[k].meanings]
        if meanings[int(choice[k])] == wanted and mine in meanings:
            exchanged = choice.copy()
            exchanged[n], exchanged[k] = meaning, meanings.index(mine)
            yield exchanged


def _moved_along(weighing: Weighing, choice: Choice, habit: float, held: int) -> Reading:
    """Return the reading after the few changes of other words in the recipes of a held one that help most."""
    beside = weighing.beside(held)
    words = np.repeat(beside, [len(weighing.labels[n].meanings) for n in beside.tolist()])
    meanings = [m for n in beside.tolist() for m in range(len(weighing.labels[n].meanings))]
    part = weighing.where(held, *beside.tolist())
    for _ in range(_CHANGES if len(words) else 0):
        tried = np.tile(choice, (1 + len(words), 1))
        tried[np.arange(1, len(tried)), words] = meanings
        scores = part.scores(tried, habit)
        best = int(np.argmax(scores))
        if scores[best] <= scores[0] + _BETTER:
            break
        choice = tried[best]
    return Reading(choice, habit)


def changed(weighing: Weighing, one: Choice, other: Choice, names: Sequence[str] = tuple(_SAME)) -> NDArray[np.bool_]:
    """Tell which recipes another reading would change: their fats, what these take up, lye or liquid."""
    mine, theirs = weighing.outcome(one), weighing.outcome(other)
    differ = [_differ(mine, theirs, name, _SAME[name]) for name in names]
    return np.asarray(np.logical_or.reduce(differ))


def _differ(mine: Outcome, theirs: Outcome, name: str, least: float) -> NDArray[np.bool_]:
    a, b = getattr(mine, name), getattr(theirs, name)
    return np.asarray(np.abs(a - b) > least * np.maximum(np.maximum(a, b), 1e-9))


def moved_by(weighing: Weighing, one: Choice, other: Choice, here: NDArray[np.bool_]) -> float:
    """Return by how many points another reading moves superfat at most.

    Infinite where it changes what is weighed of lye or liquid, or of fats by more than what cannot matter.
    """
    mine, theirs = weighing.outcome(one), weighing.outcome(other)
    same = _SAME | {"fats": _limit("unknown_moves_superfat") / 100}
    if any((_differ(mine, theirs, name, same[name]) & here).any() for name in ("fats", "naoh", "koh", "liquid")):
        return np.inf
    largest = np.maximum(np.maximum(mine.demand, theirs.demand), 1e-9)
    return float((100 * np.abs(mine.demand - theirs.demand) / largest)[here].max(initial=0.0))
