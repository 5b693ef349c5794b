"""The likeliest reading of a book, and by how much it wins: coordinate ascent over the doubtful words, then margins."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from sheetcheck.reading.weighing.evidence import Choice, Outcome, Weighing
from sheetcheck.reference import limits

_PAIRED = 10  # words with the most rows that are also moved two at a time
_TOP = 5  # meanings of a word that are tried in pairs
_SUPERFAT_AT_FIRST = 0.055  # share; common practice, no source
_USUAL_SUPERFAT = (-0.03, 0.25)
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
        rows = self.for_it - self.against
        by_rows = self.without_best >= _limit("weighing_margin") and rows >= _limit("weighing_rows")
        most_against = _limit("weighing_against") * max(self.for_it + self.against, 1)
        by_words = min(self.words, self.whole) >= _limit("weighing_margin_of_words")
        # What is spelled so is meant, though a row or two be wrong: they are flagged then, not explained away.
        few = self.for_it + self.against < _limit("weighing_rows")
        spelled = few and self.words >= _limit("weighing_margin")
        return by_rows or spelled or (by_words and self.against <= most_against)


def _limit(name: str) -> float:
    return limits()[name].value


def climb(
    weighing: Weighing, start: Reading | None = None, *, fixed: int = -1, pairs: bool = True, sweeps: int = 6
) -> Reading:
    """Return the likeliest reading that can be reached by changing one or two words at a time; one may be held."""
    reading = start or Reading(np.zeros(len(weighing.labels), dtype=np.int64), _SUPERFAT_AT_FIRST)
    choice, habit = reading.choice.copy(), reading.habit
    rows = np.bincount(weighing.lines.label, minlength=len(weighing.labels))
    order = [n for n in np.argsort(-rows, kind="stable").tolist() if n != fixed]
    for _ in range(sweeps):
        before = choice.copy()
        for n in order:
            _best_of_one(weighing, choice, habit, n)
        if pairs:
            together = [n for n in order if rows[n]][:_PAIRED]
            for one, other in combinations(together, 2):
                _best_of_two(weighing, choice, habit, one, other)
        habit = _habit(weighing, choice, habit)
        if (before == choice).all():
            break
    return Reading(choice, habit)


def _habit(weighing: Weighing, choice: Choice, before: float) -> float:
    """Return the median superfat of the rows that come out as soap and state none."""
    superfat = weighing.superfat(choice)
    usual = (superfat >= _USUAL_SUPERFAT[0]) & (superfat <= _USUAL_SUPERFAT[1]) & np.isnan(weighing.known.stated)
    return float(np.median(superfat[usual])) if usual.sum() >= _limit("weighing_rows") else before


def _best_of_one(weighing: Weighing, choice: Choice, habit: float, n: int) -> None:
    kept, best = int(choice[n]), -np.inf
    for m in range(len(weighing.labels[n].meanings)):
        choice[n] = m
        score = weighing.score(choice, habit)
        if score > best + 1e-9:
            best, kept = score, m
    choice[n] = kept


def _best_of_two(weighing: Weighing, choice: Choice, habit: float, one: int, other: int) -> None:
    kept, best = (int(choice[one]), int(choice[other])), weighing.score(choice, habit)
    for a in range(min(_TOP, len(weighing.labels[one].meanings))):
        for b in range(min(_TOP, len(weighing.labels[other].meanings))):
            choice[one], choice[other] = a, b
            score = weighing.score(choice, habit)
            if score > best + 1e-9:
                best, kept = score, (a, b)
    choice[one], choice[other] = kept


# --------------------------------------------------------------------------- margins


def margin(weighing: Weighing, best: Reading, other: Reading) -> Margin:
    """Return by how much one reading beats another."""
    gain = weighing.rows(best.choice, best.habit) - weighing.rows(other.choice, other.habit)
    words = weighing.words(best.choice) - weighing.words(other.choice)
    whole = words + float(gain.sum())
    for_it = np.sort(gain[gain > 0])[::-1]
    left_out = max(1, round(_limit("weighing_left_out") * len(for_it)))
    return Margin(whole, whole - float(for_it[:left_out].sum()), words, int((gain > 1).sum()), int((gain < -1).sum()))


def nearest_rival(weighing: Weighing, best: Reading, n: int, meaning: int) -> tuple[Margin, Reading]:
    """Return the best reading in which a word means something else, and by how much it loses; the rest moves along."""
    other = best.choice.copy()
    other[n] = meaning
    rival = Reading(other, best.habit)
    found = margin(weighing, best, rival)
    if found.whole >= _FAR:
        return found, rival
    moved = climb(weighing, rival, fixed=n, pairs=False, sweeps=2)
    again = margin(weighing, best, moved)
    return (again, moved) if again.whole < found.whole else (found, rival)


_FAR = 25.0  # nats from which no change of other words makes up for it


def changed(weighing: Weighing, one: Choice, other: Choice) -> NDArray[np.bool_]:
    """Tell which recipes another reading would change: their fats, what these take up, lye or liquid."""
    mine, theirs = weighing.outcome(one), weighing.outcome(other)
    differ = [_differ(mine, theirs, name, least) for name, least in _SAME.items()]
    return np.asarray(np.logical_or.reduce(differ))


def _differ(mine: Outcome, theirs: Outcome, name: str, least: float) -> NDArray[np.bool_]:
    a, b = getattr(mine, name), getattr(theirs, name)
    return np.asarray(np.abs(a - b) > least * np.maximum(np.maximum(a, b), 1e-9))
