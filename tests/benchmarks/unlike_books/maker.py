"""One maker: how she works, writes and sets out her book. All is drawn from her seed."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tests.benchmarks.unlike_books import data, scribe, vocabulary
from tests.benchmarks.unlike_books.scribe import Scribe
from tests.benchmarks.unlike_books.vocabulary import Vocabulary

COMMON = ("olive oil", "coconut oil", "lard", "tallow", "palm oil", "sunflower oil", "castor oil", "shea butter")
LIQUIDS = ("water", "goat milk", "cow milk", "tea")
ADDITIVES = ("lavender oil", "clay", "oats", "scent")
EXTRAS = ("price", "date", "code", "mould", "page", "rating", "bars", "total fats", "total batch", "note")
SUPERFAT_PLACES = ("row", "sheet", "remark", "nowhere")
OTHER_SHEETS = ("prices", "stock", "sales", "salves", "candles", "diary")
LARGEST_JITTER = 0.01  # of a maker's value of a fat: suppliers differ


@dataclass(frozen=True)
class Maker:
    """A maker's ways."""

    author: int
    words: Vocabulary
    scribe: Scribe
    factors: Mapping[str, float]  # NaOH per gram of fat [g/g], as she reckons
    fats: Sequence[str]
    liquids: Sequence[str]
    additives: Sequence[str]
    superfat: float  # per cent
    superfat_place: str  # one of SUPERFAT_PLACES
    superfat_form: str  # how a superfat is written in text
    concentration: float  # lye in lye and water, per cent
    sizes: Sequence[float]  # fats of a batch in her unit
    extras: Sequence[str]
    lye_first: bool  # lye and liquid before the fats
    milk_apart: bool  # a second liquid in some recipes
    absent: object  # what stands where a recipe has nothing of a column's ingredient
    blank_rows: float  # chance of one after a recipe
    sections: bool
    heads: bool  # "Fats", "Lye and liquid" above the lines of a card
    gaps: int  # empty rows above the first heading
    other_sheets: Sequence[str]

    def rng(self, purpose: str) -> random.Random:
        """Chance of her own for one purpose, so that one drawing does not shift another."""
        return random.Random(f"{self.author} {purpose}")  # noqa: S311 - made-up books, no secrets

    def superfat_text(self, superfat: float) -> str:
        """`5 %`, `5%`."""
        number = self.scribe.number(superfat)
        return self.superfat_form.format(number)


def draw(author: int) -> Maker:
    """Draw a maker from her seed."""
    rng = random.Random(f"maker {author}")  # noqa: S311 - made-up books, no secrets
    language = rng.choices(data.LANGUAGES, (50, 14, 10, 9, 9, 8))[0]
    hand = scribe.draw(rng, language)
    others = [fat for fat in data.naoh_per_gram() if fat not in COMMON]
    fats = rng.sample(COMMON, rng.randint(3, 6)) + rng.sample(others, rng.randint(0, 4))
    liquids = ["water", *rng.sample(LIQUIDS[1:], rng.choice((0, 0, 1, 2)))]
    additives = rng.sample(ADDITIVES, rng.choice((0, 1, 1, 2, 3)))
    in_grams = (400, 500, 600, 800, 1000, 1200, 1500, 2000)
    in_ounces = (16, 24, 32, 36, 40, 48, 64, 80)
    return Maker(
        author=author,
        words=vocabulary.draw(rng, language, [*fats, *liquids, *additives, "sodium hydroxide"]),
        scribe=hand,
        factors={
            fat: value * rng.uniform(1 - LARGEST_JITTER, 1 + LARGEST_JITTER)
            for fat, value in data.naoh_per_gram().items()
        },
        fats=fats,
        liquids=liquids,
        additives=additives,
        superfat=rng.choice((3, 4, 5, 5, 5, 6, 7, 8)),
        superfat_place=rng.choices(SUPERFAT_PLACES, (35, 20, 10, 35))[0],
        superfat_form=rng.choice(("{} %", "{}%", "{} pct" if language == "en" else "{} %")),
        concentration=rng.choice((27, 28, 30, 31, 33, 33, 35, 38)),
        sizes=rng.sample(in_grams if hand.unit == "g" else in_ounces, rng.randint(1, 3)),
        extras=[extra for extra in EXTRAS if rng.random() < 0.22],
        lye_first=rng.random() < 0.25,
        milk_apart=rng.random() < 0.3,
        absent=rng.choice((None, None, None, 0, "-")),
        blank_rows=rng.choice((0, 0, 0.1, 0.5)),
        sections=rng.random() < 0.2,
        heads=rng.random() < 0.35,
        gaps=rng.choice((0, 0, 1, 2)),
        other_sheets=rng.sample(OTHER_SHEETS, rng.choice((0, 1, 1, 2, 3))),
    )
