"""What a maker's own hand tells: her languages, her ways of writing, where things stand; in invented books.

Lye is about what the fats take up less 4 to 8 %, common practice, no source; the figures are our own.
"""

import re
from collections.abc import Mapping
from pathlib import Path
from zipfile import ZipFile

import openpyxl
import pytest
from book_files import parse

from sheetcheck import pipeline
from sheetcheck.model import Book
from sheetcheck.reading.book import read_book
from sheetcheck.reading.candidates import ANYONE, Hand, candidates, placed
from sheetcheck.reading.cards.one_cell import told
from sheetcheck.reading.headings import read_heading
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.weighing.doubt import languages_written
from sheetcheck.settings import Settings

Weighed = Mapping[str, tuple[float, float, float]]  # fats, lye, liquid [g] by recipe


def read(text: str) -> Book:
    return read_book(parse(text).workbook, Settings(), weighed=True)


def weighed(book: Book) -> dict[str, tuple[float, float, float]]:
    grams = book.components["grams"] * book.components["strength"].fillna(1.0)
    sums = (
        grams.groupby([book.components["recipe"], book.components["role"].astype(object)]).sum().unstack(fill_value=0)
    )
    named = book.recipes["name"]
    return {
        named[r]: tuple(float(sums.loc[r].get(role, 0)) for role in ("fat", "alkali", "liquid")) for r in sums.index
    }


BOOKS: dict[str, tuple[str, Weighed]] = {
    "a column of dashes under a misspelt fat": (
        """== Liste
Seife | Kornblume | Efeu | Ginster | Farn
olivr | - | - | 420 | -
schmalz | 500 | 700 | 280 | 600
kokos | 300 | 300 | 300 | 400
Wasser | 260 | 300 | 310 | 320
NaOH | 115 | 142 | 142 | 144
""",
        {
            "Kornblume": (800, 115, 260),
            "Efeu": (1000, 142, 300),
            "Ginster": (1000, 142, 310),
            "Farn": (1000, 144, 320),
        },
    ),
    "a title like a liquid over a total": (
        """== Cards
Puffin
All oils | 900 g
lard | 60 %
coconut | 40 %
soda | 131 g
water | 290 g

Oat milk
All oils | 900 g
lard | 70 %
coconut | 30 %
soda | 128 g
water | 280 g
""",
        {"Puffin": (900, 131, 290), "Oat milk": (900, 128, 280)},
    ),
    "a column for each kind of ingredient": (
        """== Journal
Day | No | Entry | Leaf | Fats (g) | Lye (g) | Water (g) | Sundries (g)
4 May | 17 | Puffin
 | | by Olive oil | 12 | 600
 | | by Coconut oil | 3 | 300
 | | by Caustic soda | 9 | | 127
 | | by Water | 4 | | | 300

9 May | 18 | Dunlin
 | | by Lard | 2 | 700
 | | by Coconut oil | 3 | 200
 | | by Caustic soda | 9 | | 126
 | | by Water | 4 | | | 290
""",
        {"Puffin": (900, 127, 300), "Dunlin": (900, 126, 290)},
    ),
    "the name at the foot": (
        """== P-01
Pos | Menge | Einh. | Was
1 | 600 | g | Olivenöl
2 | 300 | g | Kokosöl
3 | 127 | g | Natriumhydroxid
4 | 290 | g | Wasser

 | | | Benennung: | Kornblume
 | | | Blatt: | P-01
== P-02
Pos | Menge | Einh. | Was
1 | 700 | g | Schmalz
2 | 200 | g | Kokosöl
3 | 126 | g | Natriumhydroxid
4 | 285 | g | Wasser

 | | | Benennung: | Ginster
 | | | Blatt: | P-02
""",
        {"Kornblume": (900, 127, 290), "Ginster": (900, 126, 285)},
    ),
    "what was weighed beside what was planned": (
        """== Boek
Boterbloem
Wat | Plan (g) | Gewogen (g) | Afw. %
Olijfolie | 600 | 601 | 0.2
Kokosvet | 300 | 299 | -0.3
NaOH-oplossing 32 % | 397 | 396 | -0.3
Water | 40 | 41 | 2.5

Klaproos
Wat | Plan (g) | Gewogen (g) | Afw. %
Reuzel | 700 | 702 | 0.3
Kokosvet | 200 | 200 | 0
NaOH-oplossing 32 % | 394 | 393 | -0.3
Water | 45 | 44 | -2.2
""",
        {"Boterbloem": (900, 396 * 0.32, 41), "Klaproos": (902, 393 * 0.32, 44)},
    ),
    "steps told beside their numbers": (
        """== Cuisine
Bleuet | | tout doux
Étape 1 | Faire fondre 300 g de coco et 150 g de son de riz
Étape 2 | Verser 450 g d'olive
Étape 3 | Ajouter 127 g de soude caustique dans 290 g d'eau
Étape 4 | Couper à 18 h

Genêt
Étape 1 | Faire fondre 700 g de saindoux
Étape 2 | Verser 200 g de coco
Étape 3 | Ajouter 126 g de soude caustique dans 280 g d'eau
""",
        {"Bleuet": (900, 127, 290), "Genêt": (900, 126, 280)},
    ),
    "cards and tables in turn": (
        """== Ours
Puffin (ounces by hand)
Olive oil | 600 g
Coconut oil | 300 g
Lye | 127 g
Water | 290 g
bring the new moulds

Dunlin | grams
Lard | Coconut oil | Lye | Water
700 | 200 | 126 | 280

Knot
600 g olive oil
300 g coconut oil
127 g lye
300 g water
""",
        {"Puffin (ounces by hand)": (900, 127, 290), "Dunlin": (900, 126, 280), "Knot": (900, 127, 300)},
    ),
    "bare numbers before short forms of a key": (
        """== Book
all in g

Puffin
600 Olv
300 Cocnut
127 Hydrx
290 aqua

Dunlin
700 Lrd
200 Cocnut
126 Hydrx
280 aqua
== Key
Olv | olive oil
Cocnut | coconut oil
Lrd | lard
Hydrx | sodium hydroxide
aqua | water
""",
        {"Puffin": (900, 127, 290), "Dunlin": (900, 126, 280)},
    ),
    "a list of short forms in a cell": (
        """== Book
all in g
Soap | Oils | caustic | water
Puffin | PO = 700; CO = 200 | 129 | 280
Dunlin | OO = 600; CO = 300 | 127 | 290
Knot | OO = 500; PO = 200; CO = 200 | 125 | 285
Heron | PO = 500; CO = 400 | 135 | 300
""",
        {"Puffin": (900, 129, 280), "Dunlin": (900, 127, 290), "Knot": (900, 125, 285), "Heron": (900, 135, 300)},
    ),
    "a list with headings between in a cell": (
        """== Savons
Bleuet | Gras:, huile d'olive: 600 g, huile de coco: 300 g, Pour la soude:, soude caustique: 127 g, eau: 290 g
Genêt | Gras:, saindoux: 700 g, huile de coco: 200 g, Pour la soude:, soude caustique: 126 g, eau: 280 g
""",
        {"Bleuet": (900, 127, 290), "Genêt": (900, 126, 280)},
    ),
    "pairs of columns under numbered words": (
        """== Sheet
Soap | What 1 | Weight | What 2 | Weight | NaOH | Water
Puffin | Olive oil | 600 g | Coconut oil | 300 g | 127 g | 290 g
Dunlin | Lard | 700 g | Coconut oil | 200 g | 126 g | 280 g
""",
        {"Puffin": (900, 127, 290), "Dunlin": (900, 126, 280)},
    ),
    "a name with a weight before cells of a row": (
        """== Sheet
puffin | olive 600 | coconut 300 | caustic 127 | water 290
fair 2kg | lard 1400 | coconut 400 | caustic 252 | water 560
dunlin | lard 700 | coconut 200 | caustic 126 | water 280
""",
        {"puffin": (900, 127, 290), "fair 2kg": (1800, 252, 560), "dunlin": (900, 126, 280)},
    ),
}


@pytest.mark.parametrize("kept", BOOKS)
def test_what_it_weighs(kept: str) -> None:
    text, expected = BOOKS[kept]
    found = weighed(read(text))
    assert found.keys() == expected.keys()
    for name, amounts in expected.items():
        assert found[name] == pytest.approx(amounts, rel=1e-3), name


# --------------------------------------------------------------------------- words


def best(word: str, hand: Hand = ANYONE) -> str | None:
    return candidates(word, hand)[0].substance


def test_initials_are_of_the_languages_of_the_book() -> None:
    assert best("SB", Hand(frozenset({"de"}))) == "sunflower oil"  # Sonnenblumenöl
    assert best("SB", Hand(frozenset({"en"}))) == "shea butter"


def test_who_leaves_out_the_vowels_of_some_names_does_so_in_others() -> None:
    def odds(hand: Hand) -> float:
        return next(m.prior for m in candidates("Grps", hand) if m.substance == "grapeseed oil")

    assert odds(Hand(ways=(("_letters_in_order", 6),))) > odds(ANYONE) + 0.5


def test_languages_are_those_that_most_words_are_of() -> None:
    assert languages_written(["Olivenöl", "Rindertalg", "Schweineschmalz", "coconut oil", "Menge"]) == {"de"}
    assert languages_written(["1200", "xyzzy"]) == frozenset()


def test_the_place_among_fats_speaks_for_a_fat_and_behind_the_lye_against_one() -> None:
    meanings = candidates("Tllw")
    among, behind = (next(m.prior for m in placed(meanings, at) if m.substance == "tallow") for at in (1.0, -1.0))
    assert among > meanings[0].prior > behind


@pytest.mark.parametrize(
    ("word", "substance"),
    [
        ("crusca di riso", "rice bran oil"),
        ("Reiskeim", "rice bran oil"),
        ("cotlne", "cottonseed oil"),
        ("crystals", "sodium hydroxide"),
        ("Idr", "sodium hydroxide"),
        ("top-up water", "water"),
    ],
)
def test_what_a_word_most_likely_means(word: str, substance: str) -> None:
    assert best(word) == substance


def test_a_short_cut_is_no_beginning_of_words_written_together() -> None:
    assert best("lin") == "linseed oil"  # and not the beginning of `linoleic sunflower oil`


@pytest.mark.parametrize(
    ("name", "strength"), [("NaOH-oplossing 33,0 % (m/m)", 0.33), ("KOH solution 45%", 0.45), ("Lye liquor 50%", 0.5)]
)
def test_a_solution_is_told_by_any_word_for_one(name: str, strength: float) -> None:
    found = identify(name)
    assert (found.kind, found.strength) == ("alkali", pytest.approx(strength))


def test_a_name_beside_what_stands_in_its_column() -> None:
    share, amount = read_heading("Olive share %"), read_heading("Son. Menge [g]", {"Son.": "Sonnenblumenöl"})
    assert (share.role, share.substance, share.unit) == ("share", "olive oil", "%")
    assert (amount.role, amount.substance, amount.unit) == ("fat", "sunflower oil", "g")


def test_no_heading_sums_up_what() -> None:
    assert read_heading("Was (g)").role != "fats total"  # wax, in Dutch
    assert read_heading("Fette (g)").role == "fats total"


# --------------------------------------------------------------------------- what may not be lost


def test_a_weight_in_running_words_is_not_passed_over_for_its_unknown_name() -> None:
    assert told("Melt 300 g zorble and 200 g coconut") == ("300 g zorble", "200 g coconut")
    assert told("Pour into a 500 g mould, makes 2 lb") == ()


def test_the_name_may_stand_before_its_amount_in_running_words() -> None:
    parts = told(
        "Smelt Olijfolie 220 gram en Reuzel 80 gram. Roer er Bijtende soda 41 gram opgelost in Watee 90 gram door"
    )
    assert [part.split()[-2:] for part in parts] == [[n, "gram"] for n in ("220", "80", "41", "90")]


def test_a_lye_liquor_is_never_taken_for_dry_lye() -> None:
    book = read("== Log\nPuffin\nLard | 900 g\nLye liquor 50 % | 126 g\nWater | 200 g\n")
    assert weighed(book)["Puffin"] == pytest.approx((900, 63, 200))


def test_what_is_asked_about_is_not_judged_by_its_likeness() -> None:
    book = read("== Log\nSoap | Cerv (g) | Coconut (g) | Lye (g) | Water (g)\nPuffin | 600 | 300 | 129 | 290\n")
    mine = book.components[book.components["name"] == "Cerv"]
    assert mine["role"].tolist() == ["unknown"]
    assert [q.text for q in book.questions] == ["Cerv"]


def test_a_name_keeps_the_characters_that_the_maker_typed_but_none_that_nobody_sees() -> None:
    book = read("== Log\nSoap | Lard (g) | Lye (g) | Water (g)\nAnna’s n.º 2\u200b | 900 | 122 | 290\n")
    assert book.recipes["name"].tolist() == ["Anna’s n.º 2"]


def test_cells_that_hold_an_empty_text_head_no_table(tmp_path: Path) -> None:
    """Formulas such as `IF(…; ""; …)` leave rows of them."""
    book = openpyxl.Workbook()
    for _ in range(8):
        book.worksheets[0].append(['=""'] * 12)
    book.save(tmp_path / "unreckoned.xlsx")
    with ZipFile(tmp_path / "unreckoned.xlsx") as before, ZipFile(tmp_path / "empty.xlsx", "w") as after:
        for part in before.namelist():
            cells = re.sub(rb'(<c r="\w+")([^>]*><f>)', rb'\1 t="str"\2', before.read(part))
            after.writestr(part, cells)
    assert pipeline.understand(tmp_path / "empty.xlsx").recipes.empty


def test_what_each_fat_takes_up_is_no_second_amount_of_it() -> None:
    card = (
        "What | % | Mass, g | Factor | NaOH eq., g\nLard | 70 | 700 | 0.14 | 98\nCoconut oil | 30 | 300 | 0.18 | 54\n"
    )
    book = read(f"== Charges\nPuffin\n{card}Lye | | 144\nWater | | 310\n")
    assert weighed(book) == {"Puffin": pytest.approx((1000, 144, 310))}
    assert "same amount" not in book.statements["kind"].tolist()
