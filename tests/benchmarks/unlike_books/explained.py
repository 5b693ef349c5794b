"""Slips that another meaning of a doubtful label would explain to the gram: is a wrong row explained away?

A column's short label means one thing in all rows of its book; in one row the lye is wrong, by just so much that the
row would balance if the label meant something else. A reader that settles labels by how well rows come out must not
let that row have its way: flagged, asked and not checked are all right; "fine" with the meaning changed never is.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from tests.benchmarks.unlike_books import book, maker, recipes
from tests.benchmarks.unlike_books.auditing import Reader, report_of
from tests.benchmarks.unlike_books.maker import Maker
from tests.benchmarks.unlike_books.measuring import RANK
from tests.benchmarks.unlike_books.model import Made, Recipe, Sheet, Slot

TOTAL: Slot = ("total", "total fats")
MOVED = 6.0  # points of superfat that a slip must move a row by
FIRST_AUTHOR = 7_000_000  # apart from the authors of the first part
LAYOUTS = ("rows", "rows", "rows, two heading lines", "ingredients down, recipes across", "cards down")


@dataclass(frozen=True)
class Doubt:
    """A label, what it means in the book, and what else it might mean."""

    label: str
    meant: Slot
    other: str  # a fat


DOUBTS = (
    Doubt("CO", ("fat", "coconut oil"), "castor oil"),
    Doubt("CO", ("fat", "coconut oil"), "castor oil"),
    Doubt("C", ("fat", "coconut oil"), "castor oil"),
    Doubt("CB", ("fat", "cocoa butter"), "coconut oil"),
    Doubt("P", ("fat", "palm oil"), "palm kernel oil"),
    Doubt("M", ("liquid", "goat milk"), "mango butter"),
    Doubt("G", ("liquid", "goat milk"), "grapeseed oil"),
    Doubt("W", ("liquid", "water"), "beeswax"),
    Doubt("T", TOTAL, "tallow"),
    Doubt("BW", TOTAL, "beeswax"),
    Doubt("Total", TOTAL, "palm oil"),
    Doubt("Oil", TOTAL, "olive oil"),
    Doubt("Fat", TOTAL, "lard"),
)


@dataclass(frozen=True)
class Sown:
    """A book with a doubtful label and rows that another meaning would explain."""

    made: Made
    doubt: Doubt
    slipped: frozenset[int]  # numbers of the recipes


def sow(author: int) -> Sown | None:
    """Make one such book; None where this maker's recipes leave no slip that matters."""
    rng = random.Random(f"explained {author}")  # noqa: S311 - made-up books, no secrets
    doubt = rng.choice(DOUBTS)
    who = _maker(author, doubt, rng)
    layout = book.LAYOUTS[rng.choice(LAYOUTS)]
    taken: set[str] = set()
    try:
        drawn = [
            _with_lye(recipes.draw(who, rng, i, taken)) for i in range(rng.randint(5, 16 if layout.most > 8 else 8))
        ]
    except RuntimeError:  # this maker's scale is too coarse for her new fats
        return None
    rows = list(range(len(drawn)))
    rng.shuffle(rows)
    wanted = 1 if rng.random() < 0.75 else 2
    slipped: set[int] = set()
    for row in rows:
        wrong = explained_by(drawn[row], doubt, who)
        if wrong is not None and len(slipped) < wanted:
            drawn[row] = wrong
            slipped.add(row)
    if not slipped or len(slipped) * 4 > len(drawn):  # most rows must say what the label means
        return None
    sheets = book.set_out(who, layout, drawn, rng)
    traits = {"layout": layout.name, "doubt": f"{doubt.label}: {doubt.meant[1]}, not {doubt.other}"}
    return Sown(Made(author, sheets, traits), doubt, frozenset(slipped))


def _maker(author: int, doubt: Doubt, rng: random.Random) -> Maker:
    """A maker who writes English and has the doubtful label, with what it might else mean nowhere in her book."""
    for attempt in range(1000):
        who = maker.draw(author + 100_000_000 * attempt)
        if who.words.language == "en" and who.words.style in {"full", "everyday"} and who.scribe.place != "cell":
            break
    role, meant = doubt.meant
    fats = [fat for fat in who.fats if fat not in {doubt.other, meant}][:5]
    labels = dict(who.words.labels)
    chosen = dict(who.words.chosen)
    liquids, extras = who.liquids, [extra for extra in who.extras if extra not in {"total fats", "total batch"}]
    if role == "fat":
        fats.append(meant)
    elif role == "liquid":
        liquids = [meant] if meant == "water" else ["water", meant]
    else:
        extras.append("total fats")
        chosen["total fats"] = doubt.label
    if role != "total":
        labels[meant] = doubt.label
    if not any(fat not in recipes.RICH for fat in fats):
        fats.append("sunflower oil" if doubt.other != "sunflower oil" else "canola oil")
    for substance in (*fats, *liquids):
        labels.setdefault(substance, substance)
    words = replace(who.words, labels=labels, chosen=chosen, key=(), careless=0.0)
    steps = {**who.scribe.steps, "alkali": 0.1 if who.scribe.unit == "oz" else 1}
    hand = replace(who.scribe, steps=steps, fractions=False)
    stated = rng.choice(("nowhere", "nowhere", "row", "sheet"))
    return replace(who, author=author, words=words, scribe=hand, fats=fats, liquids=liquids, extras=extras,
                   milk_apart=True, superfat_place=stated, sections=False)  # fmt: skip


def _with_lye(recipe: Recipe) -> Recipe:
    return replace(recipe, amounts=tuple(replace(amount, missing=False) for amount in recipe.amounts))


def explained_by(recipe: Recipe, doubt: Doubt, who: Maker) -> Recipe | None:
    """The recipe with its lye as the other meaning would have it; None where that moves it by too little."""
    factors, unit = who.factors, who.scribe.unit
    role, meant = doubt.meant
    if role == "total":
        doubtful = sum(a.value for a in recipe.of("fat"))
    else:
        doubtful = sum(a.value for a in recipe.amounts if a.slot == doubt.meant)
    needed = sum(a.value * factors[a.substance] for a in recipe.of("fat"))
    otherwise = needed + doubtful * (factors[doubt.other] - (factors[meant] if role == "fat" else 0.0))
    (lye,) = recipe.of("alkali")
    wrong = who.scribe.rounded(lye.value * otherwise / needed, "alkali")
    at = recipe.index(lye.slot)
    slipped = replace(
        recipe,
        slip="explained",
        amounts=tuple(
            replace(a, value=wrong, right=(lye.value, unit)) if i == at else a for i, a in enumerate(recipe.amounts)
        ),
    )
    moved = abs(recipes.superfat_of(slipped.amounts) - recipes.superfat_of(recipe.amounts))
    return slipped if moved >= MOVED else None


def outcomes(sown: Sown, read: Reader) -> list[str]:
    """What became of each slipped row: flagged, not checked, fine as meant, explained away, lost."""
    report, _ = report_of(sown.made, read)
    if report is None:
        return ["lost"] * len(sown.slipped)
    return [
        _outcome(report, sheet, recipe, sown.doubt)
        for sheet, recipe in sown.made.recipes()
        if recipe.number in sown.slipped
    ]


def _outcome(report: dict[str, Any], sheet: Sheet, recipe: Recipe, doubt: Doubt) -> str:
    places = {c for i in range(len(recipe.amounts)) for c in sheet.places.get((recipe.number, i), ())}
    found = next(
        (x for x in report["recipes"] if x["sheet"] == sheet.name and places & {c["cell"] for c in x["components"]}),
        None,
    )
    if found is None:
        return "lost"
    worst = max(
        (RANK[f["signal"]] for f in report["findings"] if found["id"] in (f["recipes"] or [f["recipe"]])), default=0
    )
    if worst >= RANK["CAUTION"]:
        return "flagged"
    if found["verdict"] == "not checked":
        return "not checked"
    return "explained away" if _changed(found, sheet, recipe, doubt) else "fine as meant"


def _changed(found: dict[str, Any], sheet: Sheet, recipe: Recipe, doubt: Doubt) -> bool:
    """Whether any amount of a row is read as something that it is not."""
    true = {cell: a for i, a in enumerate(recipe.amounts) for cell in sheet.places.get((recipe.number, i), ())}
    for component in found["components"]:
        amount = true.get(component["cell"])
        if amount is None:  # a total, or nothing of the recipe, taken for an ingredient
            if component["role"] in {"fat", "alkali", "liquid"}:
                return True
        elif amount.role != component["role"] or (amount.slot == doubt.meant and component["substance"] == doubt.other):
            return True
    return False


def measured(seed: int, count: int, read: Reader) -> dict[str, Counter[str]]:
    """Outcomes of so many slipped rows, by doubt."""
    by_doubt: dict[str, Counter[str]] = {}
    author, done = FIRST_AUTHOR + seed * 100_000, 0
    while done < count:
        author += 1
        sown = sow(author)
        if sown is None:
            continue
        found = outcomes(sown, read)
        by_doubt.setdefault(sown.made.traits["doubt"], Counter()).update(found)
        done += len(found)
    return by_doubt


OUTCOMES: Sequence[str] = ("flagged", "not checked", "fine as meant", "explained away", "lost")
