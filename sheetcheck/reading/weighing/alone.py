"""An oil that is called by its plant alone and may be the fruit, as `avocado`: its recipes tell, or it is asked about.

It is the oil where the maker calls other oils so too (`olive`, `coconut`) and the lye of most of its recipes takes it
for one: with the oil counted as fat they have the superfat that they state, or the book's, or a usual one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sheetcheck.model import Assumed, PossibleAnswer, Question
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.names.qualified import doubtful_alone
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.weighing.doubt import Word
from sheetcheck.reading.weighing.evidence import Known
from sheetcheck.reading.weighing.frames import Frames
from sheetcheck.reading.weighing.said import cells, numbers
from sheetcheck.reference import constants, limits, substances
from sheetcheck.reference.slips import slip_table
from sheetcheck.words import number, tr_count

_NEAR = 0.02  # share of superfat by which makers' values mostly differ from published ones, and some rounding
_MOST = 0.5  # share of the recipes that have to tell
_LIKELY, _UNLIKELY = 0.9, 0.5


@dataclass(frozen=True)
class Alone:
    """The amounts of a book once its oils alone are settled, and what is said of them."""

    components: pd.DataFrame
    assumed: tuple[Assumed, ...] = ()
    questions: tuple[Question, ...] = ()


def settle_alone(components: pd.DataFrame, statements: pd.DataFrame, explained: Mapping[str, str]) -> Alone:
    """Tell of each oil called by its plant alone whether it is one; `explained` is what the maker says of her words."""
    words = list(_alone(components))
    if not words:
        return Alone(components)
    book = Frames(components, statements)
    mine = {fold(word): identify(meaning).substance for word, meaning in explained.items()}
    certainty = np.array(components["name_certainty"], dtype=object)
    bare = _calls_oils_by_their_plants(components)
    assumed, questions = [], []
    for word in words:
        key = str(book.substance[word.at[0]])
        told = mine.get(fold(word.text)) == key
        tried = _tried(book, word, key)
        if told or (bare and tried.fits and tried.fits >= _MOST * tried.tell):
            certainty[word.at] = "read as"
        if not told and certainty[word.at[0]] == "read as":
            assumed.append(_assumed(book, word, key, tried))
        elif not told and len(tried.waiting):
            waiting = Word(word.text, word.at[np.isin(book.recipe[word.at], tried.waiting)])
            questions.append(_question(book, waiting, key, tried.fits))
    return Alone(components.assign(name_certainty=pd.Categorical(certainty)), tuple(assumed), tuple(questions))


def _alone(components: pd.DataFrame) -> Iterator[Word]:
    """Yield each name that may mean another thing alone, with its lines."""
    named = [name for name in components["name"].cat.categories if fold(str(name)) in doubtful_alone()]
    for name in named:
        lines = (components["name"] == name) & (components["role"] == "fat") & (components["grams"] > 0)
        if lines.any():
            yield Word(clean(str(name)), np.flatnonzero(lines.to_numpy()))


def _calls_oils_by_their_plants(components: pd.DataFrame) -> bool:
    pairs = components.loc[components["role"] == "fat", ["name", "substance"]].drop_duplicates()
    return any(
        f"{fold(str(name))} oil" == key and fold(str(name)) not in doubtful_alone()
        for name, key in pairs.itertuples(index=False)
    )


@dataclass(frozen=True)
class _Tried:
    """In how many recipes a word fits as an oil, how many could tell, and which wait to know what it is."""

    fits: int
    tell: int
    waiting: NDArray[np.int64]


def _tried(book: Frames, word: Word, key: str) -> _Tried:
    """Count a word as the oil: it fits where that gives the superfat that is stated, or the book's, or a usual one."""
    recipes, place = np.unique(book.recipe[word.at], return_inverse=True)
    known = book.known(recipes, word.at)
    oil = np.bincount(place.reshape(-1), book.grams[word.at], len(recipes))
    takes_up = oil * substances()[key].sap_typical / 1000 * constants().naoh_per_koh
    superfat = _superfat(known, known.demand + takes_up)
    aims = np.where(np.isnan(known.stated), book.habit([word]), known.stated)
    least, most = (slip_table()[f"superfat {end}"].value / 100 for end in ("least", "most"))
    near = np.where(np.isnan(aims), (superfat >= least) & (superfat <= most), np.abs(superfat - aims) <= _NEAR)
    tell = known.whole & np.isfinite(superfat)
    with np.errstate(invalid="ignore", divide="ignore"):
        waits = ~(takes_up / (known.demand + takes_up) <= limits()["superfat_off_statement"].value / 100)
    return _Tried(int((near & tell).sum()), int(tell.sum()), recipes[waits])


def _superfat(known: Known, demand: NDArray[np.float64]) -> NDArray[np.float64]:
    lye = known.naoh + known.koh * constants().koh_purity_low / 100 * constants().naoh_per_koh
    return np.where((lye > 0) & (demand > 0), 1 - lye / np.where(demand > 0, demand, np.nan), np.nan)


def _assumed(book: Frames, word: Word, key: str, tried: _Tried) -> Assumed:
    ground = tr_count(
        "other oils are called by their plants too, and {fits} of {count} recipe comes out as soap so",
        "other oils are called by their plants too, and {fits} of {count} recipes come out as soap so",
        tried.tell,
        fits=number(tried.fits, 0),
    )
    return Assumed(word.text, key, cells(book, word.at), numbers(book, word.at), ground, _LIKELY)


def _question(book: Frames, word: Word, key: str, fits: int) -> Question:
    recipes = numbers(book, word.at)
    ask = tr_count(
        "Is “{text}” the oil, or the fruit? {count} recipe waits for it.",
        "Is “{text}” the oil, or the fruit? {count} recipes wait for it.",
        len(recipes),
        text=word.text,
    )
    other = doubtful_alone()[fold(word.text)]
    choices = PossibleAnswer(key, _UNLIKELY, fits), PossibleAnswer(other, _UNLIKELY, 0)
    return Question(word.text, ask, cells(book, word.at), recipes, choices)
