"""The frames of a book with what its doubtful words mean: settled by the whole book, or asked about once.

Doubtful is a word that no table has, one that may mean several things, and one that makers use otherwise than
chemists do (`soda`). What recipes have in common ties their words together; words that share no recipe are
weighed apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from math import exp, isfinite

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sheetcheck.model import Assumed, PossibleAnswer, Question, address
from sheetcheck.reading.candidates import Meaning, MeaningRole, candidates
from sheetcheck.reading.headings import read_heading
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.weighing.climb import Reading, changed, climb, nearest_rival
from sheetcheck.reading.weighing.evidence import Known, Label, Lines, Weighing, codes_of_substances, effect
from sheetcheck.reading.word_list import words
from sheetcheck.reference import constants, limits, substances
from sheetcheck.words import number, tr, tr_count

NOT_AN_INGREDIENT, TOTAL, SOME_FAT, SOME_LIQUID = "not an ingredient", "total", "a fat", "a liquid"
_MOST_RECIPES = 2000  # of a longer book so many, spread over it, are weighed: they tell as much as all
_LIKE_AN_ADDITION = 0.05  # share of the fats up to which a word that nothing knows is an addition: the safe side
_HUNGRIEST = 0.19  # g NaOH that a g of fat takes up at most, but for fractionated fats
_SHOWN_CHOICES = 5
_NOTHING_LIKE_IT = -3.5  # prior below which no letter of a word speaks for a fat: the rows alone name none
_HALF = 0.5  # probability from which a word is sooner a fat than an addition, whatever it weighs
_ADDITION = Meaning("additive", None, 0.0)


@dataclass
class Settled:
    """The frames of a book after its doubtful words were weighed."""

    components: pd.DataFrame
    statements: pd.DataFrame
    assumed: list[Assumed] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Word:
    """A doubtful word, and the lines of the frame of components under it."""

    text: str
    at: NDArray[np.int64]


def settle(components: pd.DataFrame, statements: pd.DataFrame, answers: Mapping[str, str]) -> Settled:
    """Settle what the doubtful words of a book mean.

    Parameters
    ----------
    components, statements
        As `model.frames` has them, with grams where they are known; not changed.
    answers
        What the maker says of her own words, by their folded text; `total` and `not an ingredient` are said so.
    """
    done = Settled(components, statements)
    found = _doubtful(components, answers)
    if not found:
        return done
    said = {fold(word): meaning for word, meaning in answers.items() if _role_said(meaning)}
    book = _Frames(components.copy(), statements)
    open_words = []
    for word in found:
        if fold(word.text) in said:
            book.write(word.at, Meaning(_role_said(said[fold(word.text)]) or "additive", None, 0.0))
        else:
            open_words.append(word)
    habit = book.habit(open_words)
    for together in _sharing_recipes(components, open_words):
        _weigh(book, together, habit, done)
    done.components, done.statements = book.frames()
    return done


def weigh_up(
    components: pd.DataFrame, statements: pd.DataFrame, recipes: int, answers: Mapping[str, str]
) -> tuple[float, int]:
    """Return the nats of the likeliest reading of some recipes, and how many of these come out as soap under it."""
    book = _Frames(components, statements)
    said = {fold(word) for word, meaning in answers.items() if _role_said(meaning)}
    found = [word for word in _doubtful(components, answers) if fold(word.text) not in said]
    habit = book.habit(found)
    habit = habit if isfinite(habit) else _HABIT
    doubtful = np.unique(np.concatenate([book.recipe[w.at] for w in found])) if found else np.empty(0, np.int64)
    clear = _spread(np.setdiff1d(np.arange(1, recipes + 1), doubtful))
    nats, fits = 0.0, 0
    if len(clear):
        weighing = Weighing([], _NO_LINES, book.known(clear, np.empty(0, np.int64)))
        share = (recipes - len(doubtful)) / len(clear)
        nats += share * float(weighing.rows(_NO_CHOICE, habit).sum())
        fits += round(share * int(weighing.fits(_NO_CHOICE, habit).sum()))
    for together in _sharing_recipes(components, found):
        weighing, _lines, _recipes = _weighing_of(book, together, _ROUGHLY)
        best = climb(weighing, Reading(np.zeros(len(together), dtype=np.int64), habit), pairs=False, sweeps=2)
        nats += float(weighing.rows(best.choice, best.habit).sum()) + weighing.words(best.choice)
        fits += int(weighing.fits(best.choice, best.habit).sum())
    return nats, fits


_HABIT = 0.055  # superfat, share; common practice, no source
_ROUGHLY = 5  # meanings of a word that tell what a way of reading is worth
_NO_CHOICE = np.empty(0, dtype=np.int64)
_NO_LINES = Lines(np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64), np.empty(0, dtype=np.float64))


def _role_said(meaning: str) -> MeaningRole | None:
    said: dict[str, MeaningRole] = {NOT_AN_INGREDIENT: "additive", TOTAL: "sum", "total of the fats": "sum"}
    return said.get(fold(meaning))


# --------------------------------------------------------------------------- what is in doubt


def _doubtful(components: pd.DataFrame, explained: Iterable[str]) -> list[_Word]:
    """Return the doubtful words of a book, but those that it explains, with their lines, in reading order."""
    c = components
    if c.empty:
        return []
    weighed = c["grams"].notna() & (c["grams"] > 0)
    named = c["name"].cat.categories
    mine = {fold(word) for word in explained}
    makers = [name for name in named if fold(str(name)) in words("lye word") and fold(str(name)) not in mine]
    likened = [name for name in named if _only_like(str(name)) and fold(str(name)) not in mine]
    doubt = weighed & (
        (c["role"] == "unknown")
        | (c["name_certainty"] == "ambiguous")
        | c["name"].isin(makers)
        | ((c["name_certainty"] == "read as") & c["name"].isin(likened))
    )
    if not doubt.any():
        return []
    at = np.flatnonzero(doubt.to_numpy())
    of: dict[str, list[int]] = {}
    texts: dict[str, str] = {}
    sheets, columns, names = (c[name].iloc[at].tolist() for name in ("sheet", "column", "name"))
    for place, sheet, column, name in zip(at.tolist(), sheets, columns, names, strict=True):
        text = clean(name) if isinstance(name, str) else ""
        key = fold(text) or f"{sheet}!{column}"
        of.setdefault(key, []).append(place)
        texts.setdefault(key, text)
    return [_Word(texts[key], np.array(places, dtype=np.int64)) for key, places in of.items()]


@lru_cache(maxsize=20000)
def _only_like(name: str) -> bool:
    """Tell whether nothing but likeness gives a word a meaning."""
    return read_heading(name).role is None


def _sharing_recipes(components: pd.DataFrame, found: Sequence[_Word]) -> Iterator[list[_Word]]:
    """Group words that stand in one recipe, and those that such words stand beside."""
    recipe = components["recipe"].to_numpy()
    groups: list[tuple[set[int], list[_Word]]] = []
    for word in found:
        mine = set(recipe[word.at].tolist())
        joined: list[_Word] = [word]
        apart = []
        for theirs, listed in groups:
            if theirs & mine:
                mine |= theirs
                joined = [*listed, *joined]
            else:
                apart.append((theirs, listed))
        groups = [*apart, (mine, joined)]
    yield from (listed for _, listed in groups)


# --------------------------------------------------------------------------- the frames


class _Frames:
    """The frames of a book while its words are settled."""

    def __init__(self, components: pd.DataFrame, statements: pd.DataFrame) -> None:
        self.components, self.statements = components, statements
        self.recipe = components["recipe"].to_numpy()
        self.grams = components["grams"].to_numpy()
        self.role = np.array(components["role"], dtype=object)
        self.substance = np.array(components["substance"], dtype=object)
        self.strength = components["strength"].to_numpy()
        self.certainty = np.array(components["name_certainty"], dtype=object)
        self.bears = components["bears"].to_numpy().copy()
        self.sums: list[int] = []
        self.changed = False
        stated = statements[(statements["kind"] == "superfat") & statements["value"].between(0, 40)]
        self.stated = dict(zip(stated["recipe"].tolist(), (stated["value"] / 100).tolist(), strict=True))
        total = statements[(statements["kind"] == "fats total") & statements["value"].notna()]
        self.total = dict(zip(total["recipe"].tolist(), total["value"].tolist(), strict=True))

    def known(self, recipes: NDArray[np.int64], but: NDArray[np.int64]) -> Known:
        """Return what is beyond doubt of some recipes, some lines of theirs left out."""
        place = np.full(int(max(self.recipe.max(initial=0), recipes.max(initial=0))) + 1, -1)
        place[recipes] = np.arange(len(recipes))
        mine = place[self.recipe] >= 0
        mine[but] = False
        at = np.flatnonzero(mine)
        count = len(recipes)
        sums = {name: np.zeros(count) for name in ("fats", "demand", "naoh", "koh", "liquid", "others")}
        whole, named = np.ones(count, dtype=bool), []
        code = codes_of_substances()
        for i, r in zip(at.tolist(), place[self.recipe[at]].tolist(), strict=True):
            role, grams, key = self.role[i], self.grams[i], self.substance[i]
            substance = substances().get(key) if isinstance(key, str) else None
            if not isfinite(grams):
                whole[r] &= not self.bears[i]
            elif role == "fat" and substance is not None and substance.kind == "fat":
                sums["fats"][r] += grams
                sums["demand"][r] += grams * substance.sap_typical / 1000 * constants().naoh_per_koh
                named.append(r * len(code) + code[key])
            elif role == "alkali" and substance is not None:
                pure = grams * (self.strength[i] if isfinite(self.strength[i]) else 1.0)
                sums["koh" if key == "potassium hydroxide" else "naoh"][r] += pure
                named.append(r * len(code) + code[key])
            elif role == "liquid":
                sums["liquid"][r] += grams
            elif role == "acid" and substance is not None and isfinite(substance.naoh_per_g):
                sums["demand"][r] += grams * substance.naoh_per_g
            elif role == "additive":
                sums["others"][r] += grams
            elif grams > 0:
                whole[r] = False
        numbers = recipes.tolist()
        stated = np.array([self.stated.get(r, np.nan) for r in numbers])
        total = np.array([self.total.get(r, np.nan) for r in numbers])
        return Known(**sums, stated=stated, total=total, whole=whole, named=np.array(named, dtype=np.int64))

    def habit(self, found: Sequence[_Word]) -> float:
        """Return the superfat that the rows without doubtful words come out at, a share; NaN where they do not tell."""
        doubtful = np.unique(np.concatenate([self.recipe[w.at] for w in found])) if found else np.empty(0, np.int64)
        clear = _spread(np.setdiff1d(np.unique(self.recipe), doubtful))
        if len(clear) < limits()["weighing_rows"].value:
            return np.nan
        weighing = Weighing([], _NO_LINES, self.known(clear, np.empty(0, np.int64)))
        superfat = weighing.superfat(_NO_CHOICE)
        usual = superfat[(superfat > -0.03) & (superfat < 0.25) & np.isnan(weighing.known.stated)]
        return float(np.median(usual)) if len(usual) >= limits()["weighing_rows"].value else np.nan

    def write(self, at: NDArray[np.int64], meaning: Meaning) -> None:
        """Write what some lines mean."""
        if meaning.role == "sum":
            self.sums += at.tolist()
        self.role[at] = "additive" if meaning.role == "sum" else meaning.role
        self.substance[at] = meaning.substance
        self.certainty[at] = "read as" if meaning.substance is not None else "exact"
        self.bears[at] = meaning.role in ("fat", "alkali", "liquid", "acid")
        self.changed = True

    def frames(self) -> tuple[pd.DataFrame, pd.DataFrame]:
        """Return the frames; amounts that repeat others have become statements."""
        if not self.changed:
            return self.components, self.statements
        c = self.components
        for name, values in (("role", self.role), ("substance", self.substance), ("name_certainty", self.certainty)):
            c[name] = pd.Categorical(values)
        c["bears"] = self.bears
        if not self.sums:
            return c, self.statements
        at = sorted(self.sums)
        fats = c[(c["role"] == "fat")].groupby("recipe")["grams"].sum()
        lines = c.iloc[at]
        made = lines[["recipe", "sheet", "row", "column", "written", "stored", "unit"]].copy()
        ratio = lines["grams"].to_numpy() / fats.reindex(lines["recipe"]).to_numpy()
        near_fats = np.abs(ratio - 1) < 0.25
        made["kind"] = np.where(near_fats, "fats total", "batch total")
        made["about_row"], made["about_column"] = 0, 0
        made["value"], made["other_value"], made["place"] = lines["grams"], np.nan, "column"
        statements = pd.concat([self.statements.astype(object), made.astype(object)], ignore_index=True)
        statements = statements.astype(
            {n: t if t != "category" else object for n, t in _types(self.statements).items()}
        )
        for name, kind in _types(self.statements).items():
            if kind == "category":
                statements[name] = statements[name].astype("category")
        statements = statements.sort_values(["recipe", "row", "column"], kind="stable", ignore_index=True)
        return c.drop(index=c.index[at]).reset_index(drop=True), statements[self.statements.columns]


def _types(frame: pd.DataFrame) -> dict[str, str]:
    return {str(name): str(kind) for name, kind in frame.dtypes.items()}


def _spread(recipes: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return some of many recipes, spread over the book."""
    step = -(-len(recipes) // _MOST_RECIPES)
    return recipes[:: max(step, 1)]


# --------------------------------------------------------------------------- weighing


@dataclass(frozen=True, slots=True)
class _Rival:
    """Another meaning of a word: by how much it loses, in how many recipes it fits, whether it is beaten."""

    meaning: int
    loses_by: float
    fits: int
    beaten: bool


def _weigh(book: _Frames, together: Sequence[_Word], habit: float, done: Settled) -> None:
    """Weigh words that share recipes, and write, or ask, what each means."""
    weighing, lines, recipes = _weighing_of(book, together)
    labels = weighing.labels
    first = Reading(np.zeros(len(labels), dtype=np.int64), habit if isfinite(habit) else _HABIT)
    best = climb(weighing, first)
    fits = weighing.fits(best.choice, best.habit)
    for n, word in enumerate(together):
        here = np.zeros(len(recipes), dtype=bool)
        here[lines.recipe[lines.label == n]] = True
        rivals = list(_rivals(weighing, best, n, here))
        chosen = labels[n].meanings[int(best.choice[n])]
        open_ones = [r for r in rivals if not r.beaten]
        unknown_fat = chosen.role == "fat" and (chosen.substance is None or chosen.prior < _NOTHING_LIKE_IT)
        sound = not (here & weighing.known.whole).any() or fits[here & weighing.known.whole].mean() >= 0.5
        if not open_ones and not unknown_fat and (sound or chosen.prior > -0.5):
            book.write(word.at, chosen)
            done.assumed.append(_assumed(book, word, chosen, rivals, int((fits & here).sum()), int(here.sum())))
            continue
        small = _too_small_to_matter(book, weighing, best, recipes, word, chosen)
        if small.any():
            book.write(word.at[small], _ADDITION)
        if not small.all():
            left = _Word(word.text, word.at[~small])
            done.questions.append(_question(book, left, labels[n], best, n, rivals, int((fits & here).sum())))


def _weighing_of(
    book: _Frames, together: Sequence[_Word], most: int | None = None
) -> tuple[Weighing, Lines, NDArray[np.int64]]:
    """Return the weighing of words that share recipes, their lines in it, and the numbers of its recipes."""
    at = np.concatenate([word.at for word in together])
    label = np.repeat(np.arange(len(together)), [len(word.at) for word in together])
    recipes = _spread(np.unique(book.recipe[at]))
    inside = np.isin(book.recipe[at], recipes)
    lines = Lines(np.searchsorted(recipes, book.recipe[at[inside]]), label[inside], book.grams[at[inside]])
    labels = [Label(word.text, candidates(word.text)[:most]) for word in together]
    return Weighing(labels, lines, book.known(recipes, at)), lines, recipes


def _rivals(weighing: Weighing, best: Reading, n: int, here: NDArray[np.bool_]) -> Iterator[_Rival]:
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
        yield _Rival(m, found.whole, fits, found.enough)


def _same_fat(chosen: Meaning, other: Meaning) -> bool:
    """Tell whether another fat takes up what the chosen one may take up by nature: its range covers it."""
    mine = substances().get(chosen.substance or "")
    if mine is None or chosen.role != "fat" or other.role != "fat":
        return False
    demand = effect(other)[1] / constants().naoh_per_koh * 1000
    return mine.sap_low <= demand <= mine.sap_high


def _too_small_to_matter(  # noqa: PLR0913, PLR0917 - what a reading makes of the lines of one word
    book: _Frames, weighing: Weighing, best: Reading, recipes: NDArray[np.int64], word: _Word, chosen: Meaning
) -> NDArray[np.bool_]:
    """Tell which lines of a word weigh so little that the recipe can be judged without it.

    Whatever a word means, a line that cannot move superfat by more than a limit is none to wait for. And what weighs as
    little as additions do is taken for one: superfat then comes out lower than it can be, which is the safe side.
    """
    out = weighing.outcome(best.choice)
    place = np.searchsorted(recipes, book.recipe[word.at])
    place[place == len(recipes)] = 0
    seen = recipes[place] == book.recipe[word.at]
    grams = book.grams[word.at]
    with np.errstate(divide="ignore", invalid="ignore"):
        moves = 100 * grams * _HUNGRIEST / out.demand[place]
        share = grams / out.fats[place]
    named = sum(exp(m.prior) for m in candidates(word.text) if m.role == "fat" and m.substance is not None)
    like_addition = (share <= _LIKE_AN_ADDITION) & (chosen.role in ("additive", "fat")) & (named < _HALF)
    return np.asarray(seen & ((moves <= limits()["unknown_moves_superfat"].value) | like_addition))


# --------------------------------------------------------------------------- said, or asked


def meaning_in_words(meaning: Meaning) -> str:
    """Return a meaning as the report, a question and an answer have it."""
    if meaning.substance is not None:
        return meaning.substance
    return {"sum": TOTAL, "fat": SOME_FAT, "liquid": SOME_LIQUID}.get(meaning.role, NOT_AN_INGREDIENT)


def _probabilities(rivals: Sequence[_Rival]) -> tuple[float, list[float]]:
    """Return the probability of the best meaning, and of each other."""
    weights = [exp(-max(min(r.loses_by, 50.0), -50.0)) for r in rivals]
    total = 1.0 + sum(weights)
    return 1.0 / total, [w / total for w in weights]


def _cells(book: _Frames, at: NDArray[np.int64]) -> tuple[str, ...]:
    """Return where a word stands: the cells that name it, else those of its amounts."""
    c = book.components.iloc[at]
    row = np.where(c["name_row"] > 0, c["name_row"], c["row"])
    column = np.where(c["name_column"] > 0, c["name_column"], c["column"])
    places = zip(c["sheet"], row.tolist(), column.tolist(), strict=True)
    return tuple(dict.fromkeys(f"{sheet}!{address(r, k)}" for sheet, r, k in places))


def _numbers(book: _Frames, at: NDArray[np.int64]) -> tuple[int, ...]:
    return tuple(sorted({int(r) for r in book.recipe[at]}))


def _assumed(  # noqa: PLR0913, PLR0917 - all that is said of it
    book: _Frames, word: _Word, chosen: Meaning, rivals: Sequence[_Rival], fits: int, recipes: int
) -> Assumed:
    ground = tr_count(
        "{fits} of {count} recipe comes out as soap so",
        "{fits} of {count} recipes come out as soap so",
        recipes,
        fits=number(fits, 0),
    )
    probability, _ = _probabilities(rivals)
    return Assumed(
        word.text, meaning_in_words(chosen), _cells(book, word.at), _numbers(book, word.at), ground, probability
    )


def _question(  # noqa: PLR0913, PLR0917 - all that is said of it
    book: _Frames, word: _Word, label: Label, best: Reading, n: int, rivals: Sequence[_Rival], fits: int
) -> Question:
    first, others = _probabilities(rivals)
    listed = [(label.meanings[int(best.choice[n])], first, fits)]
    listed += [(label.meanings[r.meaning], p, r.fits) for r, p in zip(rivals, others, strict=True)]
    choices: dict[str, PossibleAnswer] = {}
    for meaning, probability, fit in sorted(listed, key=lambda each: -each[1]):
        said = meaning_in_words(meaning)
        before = choices.get(said)
        choices[said] = PossibleAnswer(said, probability + (before.probability if before else 0.0), fit)
    likely = list(choices.values())[:_SHOWN_CHOICES]
    recipes = _numbers(book, word.at)
    ask = tr_count(
        "What is “{text}”? {count} recipe waits for it; if it is {means}, {fits} of them comes out as soap.",
        "What is “{text}”? {count} recipes wait for it; if it is {means}, {fits} of them come out as soap.",
        len(recipes),
        text=word.text,
        means=tr(likely[0].means),
        fits=number(likely[0].fits, 0),
    )
    return Question(word.text, ask, _cells(book, word.at), recipes, tuple(likely))
