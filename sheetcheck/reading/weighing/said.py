"""What is said of a doubtful word: what it was assumed to mean, and on what ground; or the one question about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf

import numpy as np
from numpy.typing import NDArray

from sheetcheck.model import Assumed, PossibleAnswer, Question, address
from sheetcheck.reading.candidates import Meaning
from sheetcheck.reading.weighing.climb import Reading
from sheetcheck.reading.weighing.doubt import Word
from sheetcheck.reading.weighing.evidence import Label
from sheetcheck.reading.weighing.frames import Frames
from sheetcheck.reference import limits
from sheetcheck.words import later, number, tr, tr_count

NOT_AN_INGREDIENT, TOTAL = later("not an ingredient"), later("total")
SOME_FAT, SOME_LIQUID = later("a fat"), later("a liquid")
_SHOWN_CHOICES = 5


@dataclass(frozen=True, slots=True)
class Rival:
    """Another meaning of a word: by how much it loses, in how many recipes it fits, whether it is beaten.

    `moves` is by how many points it would move the superfat of a recipe at most; infinite where it changes lye or
    liquid. `demand_off` is by how many g NaOH it takes up more, or less, a gram.
    """

    meaning: int
    loses_by: float
    fits: int
    beaten: bool
    moves: float = inf
    demand_off: float = 0.0

    @property
    def matters(self) -> bool:
        """Tell whether it has to be known that the word does not mean this."""
        return not self.beaten and self.moves > limits()["weighing_moves_superfat"].value


def meaning_in_words(meaning: Meaning) -> str:
    """Return a meaning as the report, a question and an answer have it."""
    if meaning.substance is not None:
        return meaning.substance
    return {"sum": TOTAL, "fat": SOME_FAT, "liquid": SOME_LIQUID}.get(meaning.role, NOT_AN_INGREDIENT)


def probabilities(rivals: Sequence[Rival]) -> tuple[float, list[float]]:
    """Return the probability of the best meaning, and of each other."""
    weights = [exp(-max(min(r.loses_by, 50.0), -50.0)) for r in rivals]
    total = 1.0 + sum(weights)
    return 1.0 / total, [w / total for w in weights]


def cells(book: Frames, at: NDArray[np.int64]) -> tuple[str, ...]:
    """Return where a word stands: the cells that name it, else those of its amounts."""
    c = book.components.iloc[at]
    row = np.where(c["name_row"] > 0, c["name_row"], c["row"])
    column = np.where(c["name_column"] > 0, c["name_column"], c["column"])
    places = zip(c["sheet"], row.tolist(), column.tolist(), strict=True)
    return tuple(dict.fromkeys(f"{sheet}!{address(r, k)}" for sheet, r, k in places))


def numbers(book: Frames, at: NDArray[np.int64]) -> tuple[int, ...]:
    """Return the recipes in which a word stands."""
    return tuple(sorted({int(r) for r in book.recipe[at]}))


def assumed(  # noqa: PLR0913, PLR0917 - all that is said of it
    book: Frames, word: Word, label: Label, chosen: Meaning, rivals: Sequence[Rival], fits: int, recipes: int
) -> Assumed:
    """Say what a word was taken to mean, and how many recipes come out as soap so."""
    ground = tr_count(
        "{fits} of {count} recipe comes out as soap so",
        "{fits} of {count} recipes come out as soap so",
        recipes,
        fits=number(fits, 0),
    )
    probability, others = probabilities(rivals)
    still_open = [(p, r) for p, r in zip(others, rivals, strict=True) if not r.beaten]
    if still_open:
        _, likely = max(still_open, key=lambda each: each[0])
        ground += "; " + tr(
            "{other} is not ruled out: it would move superfat by {points} points at most, and the range shows it",
            other=tr(meaning_in_words(label.meanings[likely.meaning])),
            points=number(max(r.moves for _, r in still_open), 1),
        )
    return Assumed(
        word.text, meaning_in_words(chosen), cells(book, word.at), numbers(book, word.at), ground, probability
    )


def question(  # noqa: PLR0913, PLR0917 - all that is said of it
    book: Frames, word: Word, label: Label, best: Reading, n: int, rivals: Sequence[Rival], fits: int
) -> Question:
    """Ask what a word means, the likeliest answers first; meanings that are said alike are one answer."""
    first, others = probabilities(rivals)
    listed = [(label.meanings[int(best.choice[n])], first, fits)]
    listed += [(label.meanings[r.meaning], p, r.fits) for r, p in zip(rivals, others, strict=True)]
    choices: dict[str, PossibleAnswer] = {}
    for meaning, probability, fit in sorted(listed, key=lambda each: -each[1]):
        said = meaning_in_words(meaning)
        before = choices.get(said)
        choices[said] = PossibleAnswer(said, probability + (before.probability if before else 0.0), fit)
    likely = list(choices.values())[:_SHOWN_CHOICES]
    recipes = numbers(book, word.at)
    ask = _asked(word.text, len(recipes), tr(likely[0].means), likely[0].fits)
    return Question(word.text, ask, cells(book, word.at), recipes, tuple(likely))


def _asked(text: str, recipes: int, means: str, fits: int) -> str:
    if not fits:
        return tr_count(
            "What is “{text}”? {count} recipe waits for it; most likely it is {means}.",
            "What is “{text}”? {count} recipes wait for it; most likely it is {means}.",
            recipes,
            text=text,
            means=means,
        )
    return tr_count(
        "What is “{text}”? {count} recipe waits for it; if it is {means}, {fits} of them comes out as soap.",
        "What is “{text}”? {count} recipes wait for it; if it is {means}, {fits} of them come out as soap.",
        recipes,
        text=text,
        means=means,
        fits=number(fits, 0),
    )
