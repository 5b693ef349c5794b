"""The frames of a book with what its doubtful words mean: settled by the whole book, or asked about once.

Doubtful is a word that no table has, one that may mean several things, and one that makers use otherwise than
chemists do (`soda`). What recipes have in common ties their words together; words that share no recipe are
weighed apart.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import exp, isfinite

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sheetcheck.model import Assumed, Question
from sheetcheck.reading.candidates import ANYONE, Hand, Meaning, MeaningRole, candidates, placed
from sheetcheck.reading.names.acids import acids_said
from sheetcheck.reading.text import fold
from sheetcheck.reading.weighing.climb import Reading, changed, likeliest, moved_by, nearest_rival
from sheetcheck.reading.weighing.doubt import Word, doubtful, languages_written, sharing_recipes
from sheetcheck.reading.weighing.evidence import Label, Lines, Weighing, effect
from sheetcheck.reading.weighing.frames import NO_CHOICE, NO_LINES, Frames, spread
from sheetcheck.reading.weighing.said import NOT_AN_INGREDIENT, TOTAL, Rival, assumed, probabilities, question
from sheetcheck.reference import constants, limits, substances

_LIKE_AN_ADDITION = 0.05  # share of the fats up to which a word that nothing knows is an addition: the safe side
_HUNGRIEST = 0.19  # g NaOH that a g of fat takes up at most, but for fractionated fats
_SPELLED_OUT = -0.5  # prior from which a word means so, though its recipes do not come out as soap
_HALF = 0.5  # probability from which a word is sooner a fat than an addition, whatever it weighs
_ADDITION = Meaning("additive", None, 0.0)


@dataclass
class Settled:
    """The frames of a book after its doubtful words were weighed."""

    components: pd.DataFrame
    statements: pd.DataFrame
    assumed: list[Assumed] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)


def settle(
    components: pd.DataFrame, statements: pd.DataFrame, answers: Mapping[str, str], texts: Iterable[str] = ()
) -> Settled:
    """Settle what the doubtful words of a book mean.

    Parameters
    ----------
    components, statements
        As `model.frames` has them, with grams where they are known; not changed.
    answers
        What the maker says of her own words, by their folded text; `total` and `not an ingredient` are said so.
    texts
        What else stands in the book: it tells her languages.
    """
    done = Settled(components, statements)
    found = doubtful(components, answers, statements)
    if not found:
        return done
    said = {fold(word): meaning for word, meaning in answers.items() if _role_said(meaning)}
    book = Frames(components.copy(), statements)
    open_words = []
    for word in found:
        if fold(word.text) in said:
            book.write(word.at, Meaning(_role_said(said[fold(word.text)]) or "additive", None, 0.0))
        else:
            open_words.append(word)
    habit = book.habit(open_words)
    groups = list(sharing_recipes(components, open_words))
    hand = Hand(languages_written(texts))
    hand = replace(hand, ways=_ways_of(book, groups, habit, hand))
    for together in groups:
        _weigh(book, together, habit, hand, done)
    done.components, done.statements = book.frames()
    return done


def weigh_up(
    components: pd.DataFrame, statements: pd.DataFrame, recipes: int, answers: Mapping[str, str]
) -> tuple[float, int]:
    """Return the nats of the likeliest reading of some recipes, and how many of these come out as soap under it."""
    book = Frames(components, statements)
    said = {fold(word) for word, meaning in answers.items() if _role_said(meaning)}
    found = [word for word in doubtful(components, answers, statements) if fold(word.text) not in said]
    habit = book.habit(found)
    habit = habit if isfinite(habit) else _HABIT
    in_doubt = np.unique(np.concatenate([book.recipe[w.at] for w in found])) if found else np.empty(0, np.int64)
    clear = spread(np.setdiff1d(np.arange(1, recipes + 1), in_doubt))
    nats, fits = 0.0, 0
    if len(clear):
        weighing = Weighing([], NO_LINES, book.known(clear, np.empty(0, np.int64)))
        share = (recipes - len(in_doubt)) / len(clear)
        nats += share * float(weighing.rows(NO_CHOICE, habit).sum())
        fits += round(share * int(weighing.fits(NO_CHOICE, habit).sum()))
    for together in sharing_recipes(components, found):
        weighing, _lines, _recipes = _weighing_of(book, together, ANYONE, _ROUGHLY)
        best = likeliest(weighing, habit, pairs=False, sweeps=2)
        nats += float(weighing.rows(best.choice, best.habit).sum()) + weighing.words(best.choice)
        fits += int(weighing.fits(best.choice, best.habit).sum())
    return nats, fits


_HABIT = 0.055  # superfat, share; common practice, no source
_OF_ONE_WORD = 200  # recipes that are weighed for a word that stands in more: they tell as much as all
_ROUGHLY = 5  # meanings of a word that tell what a way of reading is worth


def _role_said(meaning: str) -> MeaningRole | None:
    said: dict[str, MeaningRole] = {NOT_AN_INGREDIENT: "additive", TOTAL: "sum", "total of the fats": "sum"}
    return said.get(fold(meaning))


# --------------------------------------------------------------------------- weighing


def _ways_of(book: Frames, groups: Sequence[Sequence[Word]], habit: float, hand: Hand) -> tuple[tuple[str, int], ...]:
    """Return in which ways a maker writes the names that are likeliest meant, and how many each."""
    ways: Counter[str] = Counter()
    for together in groups:
        weighing = _weighing_of(book, together, hand)[0]
        best = likeliest(weighing, habit if isfinite(habit) else _HABIT, pairs=False, sweeps=2)
        chosen = (label.meanings[m] for label, m in zip(weighing.labels, best.choice.tolist(), strict=True))
        ways.update(meaning.way for meaning in chosen if meaning.substance is not None and meaning.way)
    return tuple(sorted((way, count - 1) for way, count in ways.items() if count > 1))


def _weigh(book: Frames, together: Sequence[Word], habit: float, hand: Hand, done: Settled) -> None:
    """Weigh words that share recipes, and write, or ask, what each means."""
    weighing, lines, recipes = _weighing_of(book, together, hand)
    labels = weighing.labels
    best = likeliest(weighing, habit if isfinite(habit) else _HABIT)
    fits = weighing.fits(best.choice, best.habit)
    for n, word in enumerate(together):
        here = np.zeros(len(recipes), dtype=bool)
        here[lines.recipe[lines.label == n]] = True
        rivals = list(_rivals(weighing, best, n, here))
        chosen = labels[n].meanings[int(best.choice[n])]
        unknown_fat = chosen.role == "fat" and (chosen.substance is None or not chosen.spelled)
        sound = not (here & weighing.known.whole).any() or fits[here & weighing.known.whole].mean() >= 0.5
        acid_too = book.certainty[word.at[0]] == "ambiguous" and chosen.role != "acid" and acids_said(word.text)
        likely = _as_good_as(rivals) >= limits()["weighing_likely"].value
        settled = likely and not any(r.matters for r in rivals) and not unknown_fat and not acid_too
        if settled and (sound or chosen.prior > _SPELLED_OUT):
            book.write(word.at, chosen, max((r.demand_off for r in rivals if not r.beaten), default=0.0))
            at_all = int((fits & here).sum()), int(here.sum())
            done.assumed.append(assumed(book, word, labels[n], chosen, rivals, *at_all))
            continue
        small = _too_small_to_matter(book, weighing, best, recipes, word, n)
        if small.any():
            book.write(word.at[small], _ADDITION)
        if not small.all():
            left = Word(word.text, word.at[~small])
            book.leave_open(left.at, chosen)
            done.questions.append(question(book, left, labels[n], best, n, rivals, int((fits & here).sum())))


def _as_good_as(rivals: Sequence[Rival]) -> float:
    """Return how probable it is that a word means what it was taken for, or what takes up nearly the same lye."""
    first, others = probabilities(rivals)
    return first + sum(p for p, r in zip(others, rivals, strict=True) if not r.beaten and r.moves <= _NEARLY)


_NEARLY = 1.0  # points of superfat


def _weighing_of(
    book: Frames, together: Sequence[Word], hand: Hand, most: int | None = None
) -> tuple[Weighing, Lines, NDArray[np.int64]]:
    """Return the weighing of words that share recipes, their lines in it, and the numbers of its recipes."""
    at = np.concatenate([word.at for word in together])
    label = np.repeat(np.arange(len(together)), [len(word.at) for word in together])
    recipes = np.unique(np.concatenate([spread(np.unique(book.recipe[word.at]), _OF_ONE_WORD) for word in together]))
    inside = np.isin(book.recipe[at], recipes)
    lines = Lines(np.searchsorted(recipes, book.recipe[at[inside]]), label[inside], book.grams[at[inside]])
    labels = [
        Label(word.text, placed(candidates(word.text, hand)[:most], book.among_fats(word.at))) for word in together
    ]
    return Weighing(labels, lines, book.known(recipes, at)), lines, recipes


def _rivals(weighing: Weighing, best: Reading, n: int, here: NDArray[np.bool_]) -> Iterator[Rival]:
    """Yield the meanings of a word that would change a recipe, each with what the rest of the book makes of it."""
    mine = int(best.choice[n])
    for m in range(len(weighing.labels[n].meanings)):
        other = best.choice.copy()
        other[n] = m
        if m == mine or _same_fat(weighing.labels[n].meanings[mine], weighing.labels[n].meanings[m]):
            continue
        if not (changed(weighing, best.choice, other) & here).any():
            continue
        found, moved = nearest_rival(weighing, best, n, m)
        fits = int((weighing.fits(moved.choice, moved.habit) & here).sum())
        off = abs(float(weighing.naoh[n, m] - weighing.naoh[n, mine]))
        for_liquid = not _bears_on_superfat(weighing, best, moved, here) or _is_spelled_liquid(weighing, n, mine, m)
        beaten = found.enough or (found.enough_for_liquid and for_liquid)
        yield Rival(m, found.whole, fits, beaten, moved_by(weighing, best.choice, moved.choice, here), off)


def _is_spelled_liquid(weighing: Weighing, n: int, mine: int, other: int) -> bool:
    """Tell whether the letters of a word speak for a liquid, and none for what else it may be: `flat ale`."""
    chosen = weighing.labels[n].meanings[mine]
    return chosen.role == "liquid" and chosen.spelled and not weighing.labels[n].meanings[other].spelled


def _bears_on_superfat(weighing: Weighing, best: Reading, other: Reading, here: NDArray[np.bool_]) -> bool:
    return bool((changed(weighing, best.choice, other.choice, ("fats", "demand", "naoh", "koh")) & here).any())


def _same_fat(chosen: Meaning, other: Meaning) -> bool:
    """Tell whether another fat takes up what the chosen one may take up by nature: its range covers it."""
    mine = substances().get(chosen.substance or "")
    if mine is None or chosen.role != "fat" or other.role != "fat":
        return False
    demand = effect(other)[1] / constants().naoh_per_koh * 1000
    return mine.sap_low <= demand <= mine.sap_high


def _too_small_to_matter(  # noqa: PLR0913, PLR0917 - what a reading makes of the lines of one word
    book: Frames, weighing: Weighing, best: Reading, recipes: NDArray[np.int64], word: Word, n: int
) -> NDArray[np.bool_]:
    """Tell which lines of a word weigh so little that the recipe can be judged without it.

    Whatever a word means, a line that cannot move superfat by more than a limit is none to wait for. And what weighs as
    little as additions do is taken for one: superfat then comes out lower than it can be, which is the safe side.
    """
    out, meanings = weighing.outcome(best.choice), weighing.labels[n].meanings
    chosen = meanings[int(best.choice[n])]
    place = np.searchsorted(recipes, book.recipe[word.at])
    place[place == len(recipes)] = 0
    seen = recipes[place] == book.recipe[word.at]
    grams = book.grams[word.at]
    with np.errstate(divide="ignore", invalid="ignore"):
        moves = 100 * grams * _HUNGRIEST / out.demand[place]
        share = grams / out.fats[place]
    named = sum(exp(m.prior) for m in meanings if m.role == "fat" and m.substance is not None)
    little = bool((share[seen] <= _LIKE_AN_ADDITION).all())  # in every recipe: what is much in one is no addition
    like_addition = little & (share <= _LIKE_AN_ADDITION) & (chosen.role in ("additive", "fat")) & (named < _HALF)
    return np.asarray(seen & ((moves <= limits()["unknown_moves_superfat"].value) | like_addition))
