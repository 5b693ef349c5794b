"""What one maker calls things."""

from __future__ import annotations

import random
import string
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from tests.benchmarks.unlike_books import data
from tests.benchmarks.unlike_books.mistyping import mistyped
from tests.benchmarks.unlike_books.short_forms import SCHEMES

STYLES = {"full": 28, "everyday": 34, "mixed": 12, "initials": 8, "first letters": 5, "first letters and stop": 5,
          "consonants": 8}  # fmt: skip
CASES: Sequence[Callable[[str], str]] = (str, str.lower, str.capitalize, string.capwords, str.upper)


@dataclass(frozen=True)
class Vocabulary:
    """A maker's words; the same for all her sheets."""

    language: str
    style: str
    labels: Mapping[str, str]  # by substance
    chosen: Mapping[str, str]  # her word by concept
    key: Sequence[tuple[str, str]]  # short forms with what they stand for, where the book explains them
    careless: float  # chance that a word in a list is mistyped where it stands

    def word(self, concept: str) -> str:
        """Her word for a thing that is no ingredient."""
        return self.chosen[concept]

    def typed(self, substance: str, rng: random.Random) -> str:
        """Her name for an ingredient, as typed here."""
        label = self.labels[substance]
        return mistyped(label, rng, self.language) if rng.random() < self.careless else label


def draw(rng: random.Random, language: str, substances: Sequence[str], style: str | None = None) -> Vocabulary:
    """Draw the words of a maker who uses these substances."""
    style = style or rng.choices(list(STYLES), list(STYLES.values()))[0]
    case = rng.choice(CASES)
    wrong_words = rng.choice((0.0, 0.0, 0.1, 0.25))
    labels: dict[str, str] = {}
    for substance in substances:
        labels[substance] = _label(rng, language, substance, style, set(labels.values()), case)
        if style not in SCHEMES and rng.random() < wrong_words:
            labels[substance] = mistyped(labels[substance], rng, language)
    full = {substance: data.full_names(language)[substance].replace(data.JOINT, "") for substance in substances}
    explained = style in SCHEMES and rng.random() < 0.5
    return Vocabulary(
        language=language,
        style=style,
        labels=labels,
        chosen={concept: rng.choice(options) for concept, options in data.words(language).items()},
        key=[(labels[s], full[s]) for s in substances if labels[s] != full[s]] if explained else (),
        careless=rng.choice((0.0, 0.0, 0.0, 0.05, 0.12)) if style not in SCHEMES else 0.0,
    )


def _label(
    rng: random.Random, language: str, substance: str, style: str, taken: set[str], case: Callable[[str], str]
) -> str:
    """One maker's name for a substance, unlike those taken."""
    full, everyday = data.full_names(language)[substance], data.everyday_names(language)[substance]
    plain = full.replace(data.JOINT, "")
    no_fat = substance not in data.naoh_per_gram()
    if style in SCHEMES and not (no_fat and rng.random() < 0.6):
        tries = [scheme(full) for scheme in SCHEMES[style]]
    elif style == "full":
        tries = [case(plain)]
    else:  # of what people say for lye there is much choice: a maker in full names says "lye" too
        tries = [case(rng.choice(everyday if style != "mixed" else [plain, *everyday])), case(plain)]
    if substance == "sodium hydroxide" and style == "full" and rng.random() < 0.7:
        tries = [_cased(rng.choice(everyday), case), case(plain)]
    used = {label.casefold() for label in taken}
    return next((_chemical(label) for label in tries if label.casefold() not in used), plain)


def _cased(name: str, case: Callable[[str], str]) -> str:
    return name if name.isupper() else case(name)


def _chemical(label: str) -> str:
    """`Naoh`, `h2o`: nobody writes them so in earnest; keep the usual capitals."""
    return {"naoh": "NaOH", "h2o": "H2O"}.get(label.lower(), label)
