"""Doubtful words settled by the whole book, and asked about where it does not tell."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from book_files import parse

from sheetcheck.chemistry.batch import compute
from sheetcheck.model import Book
from sheetcheck.model.frames import DEMAND_OFF
from sheetcheck.reading.book import read_book
from sheetcheck.reading.candidates import candidates
from sheetcheck.reading.weighing.evidence import Known, Label, Lines, Weighing
from sheetcheck.reading.weighing.frames import NO_LINES
from sheetcheck.reading.weighing.settle import weigh_up
from sheetcheck.reference import constants, substances
from sheetcheck.settings import Settings

# Superfat 5 %, lye to 30 %: worked out with the usual values of olive, coconut and lard (192.5, 256.7 and 198 mg KOH
# per g, the tables' own; their sources are in reference/sources.csv).
HEAD = "== Recipes g\nRecipe | {one} | {two} | Lard | {lye} | Water | SF\n"
ROWS = (
    "One | 500 | 250 | 250 | 138.6 | 323 | 5",
    "Two | 600 | 300 | 100 | 141.6 | 330 | 5",
    "Three | 400 | 200 | 400 | 137.2 | 320 | 5",
    "Four | 700 | 150 | 150 | 134.5 | 314 | 5",
    "Five | 300 | 300 | 400 | 142.1 | 332 | 5",
)


def book(one: str, two: str, lye: str, rows: tuple[str, ...] = ROWS, settings: Settings | None = None) -> Book:
    text = HEAD.format(one=one, two=two, lye=lye) + "\n".join(rows) + "\n"
    return read_book(parse(text).workbook, settings or Settings(), weighed=True)


def meant(read: Book) -> dict[str, str]:
    return {a.text: a.means for a in read.assumed}


def test_words_that_rows_agree_on_are_assumed_and_said() -> None:
    read = book("OO", "CO", "caustic")
    assert meant(read) == {"OO": "olive oil", "CO": "coconut oil", "caustic": "sodium hydroxide"}
    assert not read.questions
    assert all(a.probability > 0.9 and a.recipes and a.cells for a in read.assumed)


@pytest.mark.parametrize("faulty", range(5))
def test_a_slip_in_one_row_changes_no_meaning(faulty: int) -> None:
    # with ten times the lye, and with a fifth of it left out, the row must stay as wrong as it is
    for factor in (10.0, 0.8, 1.2):
        cells = ROWS[faulty].split(" | ")
        cells[4] = f"{float(cells[4]) * factor:.1f}"
        rows = (*ROWS[:faulty], " | ".join(cells), *ROWS[faulty + 1 :])
        read = book("OO", "CO", "caustic", rows)
        assert meant(read).get("CO", "asked") in ("coconut oil", "asked")
        assert "CO" in meant(read) or "CO" in [q.text for q in read.questions]


def test_one_row_alone_settles_no_short_form_and_it_is_asked_once() -> None:
    read = book("OO", "CO", "lye", ROWS[:1])
    asked = {q.text: q for q in read.questions}
    assert "CO" in asked
    assert asked["CO"].recipes == (1,)
    assert "coconut oil" in [c.means for c in asked["CO"].choices]


def test_an_answer_ends_the_question() -> None:
    read = book("OO", "CO", "lye", ROWS[:1], Settings(names={"CO": "coconut oil", "OO": "olive oil"}))
    assert not read.questions
    assert set(read.components["name_certainty"]) == {"exact"}


def test_a_fat_that_no_table_has_is_asked_about_and_never_assumed() -> None:
    read = book("Olive", "Zzyx", "lye")
    assert "Zzyx" not in meant(read)
    assert [q.text for q in read.questions] == ["Zzyx"]


def test_what_hardly_moves_superfat_is_assumed_and_widens_the_range() -> None:
    # Sunflower and shea take up nearly the same lye: rows cannot tell them apart, and need not.
    text = "== Recipes g\nRecipe | Olive | Kokos | SB | Lye | Water | SF\n"
    fats = [substances()[key].sap_typical for key in ("olive oil", "coconut oil", "sunflower oil")]
    for grams in ((500, 250, 250), (600, 300, 100), (500, 300, 200), (700, 150, 150), (450, 350, 200)):
        lye = 0.95 * sum(g * sap for g, sap in zip(grams, fats, strict=True)) / 1000 * constants().naoh_per_koh
        text += " | ".join(["One", *map(str, grams), f"{lye:.1f}", f"{2.3 * lye:.0f}", "5"]) + "\n"
    read = read_book(parse(text).workbook, Settings(), weighed=True)
    assert meant(read)["SB"] in ("shea butter", "sunflower oil")
    assert "not ruled out" in read.assumed[0].ground
    assert not read.questions
    mine = read.components["name"] == "SB"
    off = read.components[DEMAND_OFF]
    assert ((off[mine] > 0.001) & (off[mine] < 0.02)).all()
    assert off[~mine].isna().all()
    low, high = (compute(read.recipes, read.components, Settings())[f"superfat_{end}"] for end in ("low", "high"))
    plain = read.components.drop(columns=DEMAND_OFF)
    as_if_sure = compute(read.recipes, plain, Settings())
    assert (low < as_if_sure["superfat_low"]).all()
    assert (high > as_if_sure["superfat_high"]).all()


@pytest.mark.parametrize(("grams", "means"), [(1.0, "sodium hydroxide"), (1 / 0.4, None)])
def test_a_word_for_lye_and_for_its_solution_means_what_the_amounts_tell(grams: float, means: str | None) -> None:
    rows = []
    for row in ROWS:
        cells = row.split(" | ")
        cells[4] = f"{float(cells[4]) * grams:.1f}"
        rows.append(" | ".join(cells))
    read = book("Olive", "Coconut", "Lauge", tuple(rows))
    assert meant(read).get("Lauge") in (means, "sodium hydroxide solution" if means is None else means)


def test_two_words_mean_two_fats() -> None:
    # CO alone would be coconut, castor or canola; beside CoO it is sooner not coconut
    texts = ("CoO", "CO")
    labels = [Label(text, candidates(text)) for text in texts]
    nothing = np.zeros(1)
    known = Known(
        **dict.fromkeys(("fats", "demand", "naoh", "koh", "liquid", "others"), nothing),
        **dict.fromkeys(("stated", "total"), np.full(1, np.nan)), whole=np.ones(1, dtype=bool),
        **dict.fromkeys(("naoh_lines", "koh_lines"), np.zeros(1, dtype=np.int64)), named=np.empty(0, np.int64),
    )  # fmt: skip
    weighing = Weighing(labels, NO_LINES, known)
    coconut = [[m.substance for m in label.meanings].index("coconut oil") for label in labels]
    castor = [m.substance for m in labels[1].meanings].index("castor oil")
    assert weighing.words(np.array(coconut)) < weighing.words(np.array([coconut[0], castor]))


def test_readings_scored_together_are_scored_as_one_by_one() -> None:
    texts = ("CO", "OO", "soda")
    labels = [Label(text, candidates(text)) for text in texts]
    lines = Lines(
        np.array([0, 0, 0, 1, 1, 1]), np.array([0, 1, 2, 0, 1, 2]), np.array([300.0, 700, 140, 200, 800, 138])
    )
    nothing = np.zeros(2)
    known = Known(
        **dict.fromkeys(("fats", "demand", "naoh", "koh", "others"), nothing), liquid=np.array([330.0, 320.0]),
        stated=np.array([0.05, np.nan]), total=np.full(2, np.nan), whole=np.ones(2, dtype=bool),
        **dict.fromkeys(("naoh_lines", "koh_lines"), np.zeros(2, dtype=np.int64)), named=np.empty(0, np.int64),
    )  # fmt: skip
    weighing = Weighing(labels, lines, known)
    choices = np.array([[a, b, 0] for a in range(4) for b in range(4)])
    one_by_one = [weighing.rows(c, 0.05).sum() + weighing.words(c) for c in choices]
    assert np.allclose(weighing.scores(choices, 0.05), one_by_one)
    assert weighing.where(0).count == 2
    names = [(labels[0].meanings[a].substance, labels[1].meanings[b].substance) for a, b, _ in choices]
    assert names[int(np.argmax(one_by_one))] == ("coconut oil", "olive oil")


def test_the_lye_twice_in_one_recipe_is_two_recipes_taken_for_one() -> None:
    two = "== Recipes g\nRecipe | Olive | Lye | Water\nOne | 500 | 64 | 150\n"
    frames = read_book(parse(two).workbook, Settings(), weighed=True)
    again = frames.components[frames.components["role"] == "alkali"]
    twice = pd.concat([frames.components, again], ignore_index=True)
    assert weigh_up(frames.components, frames.statements, 1, {})[1] == 1
    assert weigh_up(twice, frames.statements, 1, {})[1] == 0


def test_a_letter_that_is_a_unit_elsewhere_names_what_stands_beside_an_amount_with_its_own() -> None:
    text = "== Soaps\n"
    for name, grams in (("One", (500, 300, 200)), ("Two", (400, 300, 300)), ("Three", (200, 300, 500))):
        fats = zip(grams, (192.5, 256.7, 198.0), strict=True)  # olive, coconut, lard
        lye = 0.95 * sum(g * sap for g, sap in fats) / 1000 * constants().naoh_per_koh
        text += f"{name}\nOlive oil | {grams[0]} g\nCoconut oil | {grams[1]} g\nL | {grams[2]} g\n"
        text += f"Lye | {lye:.1f} g\nWater | 300 g\n\n"
    read = read_book(parse(text).workbook, Settings(), weighed=True)
    assert meant(read) == {"L": "lard"}
    assert read.components.groupby("recipe").size().tolist() == [5, 5, 5]


def test_an_unknown_column_of_amounts_with_their_units_is_asked_about() -> None:
    text = "== Soaps\nRecipe | Olive oil | Coconut oil | Sunnies | Lye | Water\n"
    for name, olive, coconut, other in (("One", 500, 250, 250), ("Two", 600, 300, 100), ("Three", 400, 200, 400)):
        text += f"{name} | {olive} g | {coconut} g | {other} g | 140 g | 320 g\n"
    read = read_book(parse(text).workbook, Settings(), weighed=True)
    assert "Sunnies" in [q.text for q in read.questions] + list(meant(read))


def test_what_a_column_heads_as_a_recipe_is_no_list_of_goods_though_its_lye_fits_no_soap() -> None:
    for heading, recipes in (("Recipe", 1), ("Supplier", 0)):
        read = read_book(
            parse(f"== More\n{heading} | Lard (oz) | Lye (oz)\nLate | 64 | 13\n").workbook, Settings(), weighed=True
        )
        assert len(read.recipes) == recipes, heading
