"""Ways of keeping recipes that no layout is a picture of: each is read for what it weighs, in invented books.

Lye is about what the fats take up less 5 to 7 %, common practice, no source; the figures are our own.
"""

from collections.abc import Mapping

import pytest
from book_files import parse

from sheetcheck.model import Book
from sheetcheck.reading.book import read_book
from sheetcheck.reading.candidates import candidates
from sheetcheck.settings import Settings

OUNCE = 28.349523125  # NIST Handbook 44, appendix C

Weighed = Mapping[str, tuple[float, float, float]]  # fats, lye, liquid [g] by recipe

BOOKS: dict[str, tuple[str, Weighed]] = {
    "the name in the corner over a superfat": (
        """== Lab
Tern | olive | coconut | NaOH | water
sf 5 | 600 | 300 | 129 | 310

Gannet | lard | coconut | NaOH | water
 | 700 | 300 | 146 | 330
""",
        {"Tern": (900, 129, 310), "Gannet": (1000, 146, 330)},
    ),
    "lye weighed out of its can": (
        """== Cards
Tern
Lard | 2 lb
Coconut oil | 1 lb
can lye | 7 oz
Water | 1 lb
""",
        {"Tern": (48 * OUNCE, 7 * OUNCE, 16 * OUNCE)},
    ),
    "a total beside the title and per cent below it": (
        """== Hojas
Romero | Total de aceites | 1000 g
Aceite de oliva | 70 %
Aceite de coco | 30 %
Sosa cáustica | 143 g
Agua | 320 g

Salvia | Peso de aceites | 500 g
Aceite de oliva | 100 %
Sosa cáustica | 64 g
Agua | 160 g
""",
        {"Romero": (1000, 143, 320), "Salvia": (500, 64, 160)},
    ),
    "units of sections inside a table": (
        """== Lines
soap | olive | coconut | lye | water
grams (old scale)
Tern | 700 | 300 | 141 | 300
Skua | 600 | 400 | 146 | 310
Knot | 800 | 200 | 137 | 300
ounces from here, new scale
Ruff | 24 | 8 | 4.5 | 10
Dunlin | 22 | 10 | 4.6 | 10
Plover | 20 | 12 | 4.65 | 10
""",
        {
            "Tern": (1000, 141, 300),
            "Skua": (1000, 146, 310),
            "Knot": (1000, 137, 300),
            "Ruff": (32 * OUNCE, 4.5 * OUNCE, 10 * OUNCE),
            "Dunlin": (32 * OUNCE, 4.6 * OUNCE, 10 * OUNCE),
            "Plover": (32 * OUNCE, 4.65 * OUNCE, 10 * OUNCE),
        },
    ),
    "groups that say the unit, and one of money": (
        """== Kettle
 | <2>fats, in pounds | | <2>ounces | | <2>cost, $ |
batch | tallow | olive | lye | water | fats | each
Tern | 4 | 4 | 18 | 40 | 16.8 | 0.8
Skua | 6 | 2 | 18.2 | 40 | 15.2 | 0.7
Knot | 2 | 6 | 17.8 | 40 | 18 | 0.9
""",
        {
            "Tern": (128 * OUNCE, 18 * OUNCE, 40 * OUNCE),
            "Skua": (128 * OUNCE, 18.2 * OUNCE, 40 * OUNCE),
            "Knot": (128 * OUNCE, 17.8 * OUNCE, 40 * OUNCE),
        },
    ),
    "names and units in two lines of headings": (
        """== Ricette
 | grassi in % | | grassi | soda | acqua
sapone | oliva | cocco | g | g | g
Tordo | 70 | 30 | 1000 | 143 | 310
Merlo | 60 | 40 | 500 | 73 | 160
""",
        {"Tordo": (1000, 143, 310), "Merlo": (500, 73, 160)},
    ),
    "prose over several lines": (
        """== Told
Tern soap
Take 24 oz olive oil and 8 oz of coconut oil.
Stir 4.5 oz lye into 11 oz flat ale and let it cool.
Leave it six weeks.

Skua soap
Melt 20 oz lard and 12 oz coconut oil. Stir 4.7 oz lye into 11 oz water, then pour.
""",
        {
            "Tern soap": (32 * OUNCE, 4.5 * OUNCE, 11 * OUNCE),
            "Skua soap": (32 * OUNCE, 4.7 * OUNCE, 11 * OUNCE),
        },
    ),
    "a superfat, or a remark, beside a title that could be an ingredient": (
        """== Karten
Kaffee | ÜF 7 %
Olivenöl | 700 g
Kokosöl | 300 g
NaOH | 139 g
Wasser | 300 g

Lavendel | ÜF 6 %
Olivenöl | 600 g
Kokosöl | 400 g
NaOH | 145 g
Wasser | 300 g
""",
        {"Kaffee": (1000, 139, 300), "Lavendel": (1000, 145, 300)},
    ),
    "a remark beside titles that could be ingredients": (
        """== Fiches
Fiche 1 | Noisette | | essayée
 | Ingrédient | Part | Masse en g
Corps gras | Huile d'olive | 0.7 | 700
 | Huile de coco | 0.3 | 300
Soude et eau | Soude caustique | | 141
 | Eau | | 320

Fiche 2 | Lait de chèvre | | réussie
 | Ingrédient | Part | Masse en g
Corps gras | Huile d'olive | 0.6 | 600
 | Huile de coco | 0.4 | 400
Soude et eau | Soude caustique | | 146
 | Eau | | 330
""",
        {"Noisette": (1000, 141, 320), "Lait de chèvre": (1000, 146, 330)},
    ),
    "another unit half way down a card": (
        """== Hoja
Romero
Grasas | kg
Aceite de oliva | 3
Manteca de cerdo | 2
Lejía | gramos
Sosa cáustica | 645
Agua | 1600
""",
        {"Romero": (5000, 645, 1600)},
    ),
    "a price a pound among the columns of recipes": (
        """== Grid
 | paid per lb | Tern | Skua
Olive oil | 5.2 | 20 | 16
Coconut oil | 3.1 | 8 | 10
Lye | | 4 | 3.8
Water | | 9 | 9
all weighed in ounces
""",
        {"Tern": (28 * OUNCE, 4 * OUNCE, 9 * OUNCE), "Skua": (26 * OUNCE, 3.8 * OUNCE, 9 * OUNCE)},
    ),
    "quantities as a laboratory writes them": (
        """== Runs
Title | Tern | Skua
t(fats) / °C | 40 | 42
m(olive oil) / g | 350.2 | 300.1
m(coconut oil) / g | 150.1 | 200.2
Σ m(fats) / g | 500.3 | 500.3
m(NaOH) / g | 71.3 | 73.2
m(H2O) / g | 155 | 156
""",
        {"Tern": (500.3, 71.3, 155), "Skua": (500.3, 73.2, 156)},
    ),
    "a unit alone over the amounts": (
        """== Bianco
Bianco
Fatto il | a gennaio

 | kg
Olio d'oliva nuovo | 3
Acqua | 1
Soda caustica | 0.384
""",
        {"Bianco": (3000, 384, 1000)},
    ),
    "a unit alone over the amounts of a card with a date": (
        """== Rosmarino
Rosmarino
Fatto il | @2020-08-05

 | grammi
Olio di oliva | 700
Olio di cocco | 300
Grassi in tutto | 1000

Soda caustica | 141
Acqua | 330

Note | foglie in infuso
""",
        {"Rosmarino": (1000, 141, 330)},
    ),
    "fats in one cell under words of her own": (
        """== Bars
Bar | £ | what's in it (grams) | lye g | water g
Tern | 6 | 600 olive, 300 coconut, 100 shea | 139 | 280
Skua | 5 | olive 550, coconut 250, palm 200 | 139 | 280
Knot | 5 | 500 olive + 300 coconut + 200 lard | 142 | 290
""",
        {"Tern": (1000, 139, 280), "Skua": (1000, 139, 280), "Knot": (1000, 142, 290)},
    ),
    "a row a recipe, a cell an ingredient": (
        """== Notas
romero | 700g oliva | coco 300 g | sosa 141g | agua 320 g
salvia | aceite oliva 600 gr | 400 g coco | agua 330 g | 147 g sosa caustica
""",
        {"romero": (1000, 141, 320), "salvia": (1000, 147, 330)},
    ),
    "percentages of a weight under letters of her own": (
        """== 2021
Seife | GFM g | Olive | Kokos | Schmalz | Summe % | NaOH g | Wasser g
Amsel | 1000 | 40 | 25 | 35 | 100 | 139 | 295
Drossel | 800 | 50 | 30 | 20 | 100 | 113 | 240
Fink | 1200 | 60 | 20 | 20 | 100 | 164 | 350
""",
        {"Amsel": (1000, 139, 295), "Drossel": (800, 113, 240), "Fink": (1200, 164, 350)},
    ),
    "headings of groups over headings of fats, and an other fat named in a cell": (
        """== Chart
Batch | | <2>Fats (g) | | <2>Other fat | | <2>NaOH sol. (g) |
No | Name | OO | CO | what | wt | NaOH | Liq
1 | Tern | 700 | 300 | | | 141 | 300
2 | Skua | 500 | 300 | avocado | 200 | 141 | 300
3 | Knot | 600 | 250 | hemp | 150 | 139 | 290
""",
        {"Tern": (1000, 141, 300), "Skua": (1000, 141, 300), "Knot": (1000, 139, 290)},
    ),
    "the column of names under no heading of names": (
        """== Soft
for | stage | linseed | olive | KOH 90% | water | let down with
Floor | wk 7 | 500 | 300 | 163 | 400 | 2 pails
Hands | wk 12 | 200 | 500 | 143 | 410 | hot water
Wool | wk 17 | 100 | 500 | 123 | 300 | 2 pails
""",
        {"Floor": (800, 163 * 0.9, 400), "Hands": (700, 143 * 0.9, 410), "Wool": (600, 123 * 0.9, 300)},
    ),
    "codes that another sheet explains": (
        """== Lots
Lot | Designation | M01 | M02 | A01 | L01
S-01 | Tern | 700 | 300 | 141 | 300
S-02 | Skua | 500 | 500 | 151 | 310
S-03 | Knot | 800 | 200 | 137 | 300
== Materials
Code | Material | Opened
M01 | Olive oil, from the mill | 2020-01
M02 | Coconut oil 76 | 2020-02
A01 | Sodium hydroxide, beads | 2020-03
L01 | Water | 2020-03
""",
        {"Tern": (1000, 141, 300), "Skua": (1000, 151, 310), "Knot": (1000, 137, 300)},
    ),
    "a diary": (
        """== Diary
date | about | what was done
14 Jan | Weather | Gale from the north-west, 9 or so. Lost three slates.
23 Jan | Tern | Melted 600 g lard, 250 g coconut and 150 g olive oil. Soda 145 g into 315 g rain water. Trace in 10 min.
9 Feb | Skua | Weighed out 700 g olive oil and 300 g coconut. For the lye 320 g water and 141 g caustic soda.
5 Mar | Lambs | 14 on the ground now.
""",
        {"Tern": (1000, 145, 315), "Skua": (1000, 141, 320)},
    ),
    "a remark below each line of amounts": (
        """== Atelier
Tern
olive | coco | soude | eau
700 | 300 | 141 | 320
couper le lendemain

Skua
saindoux | coco | soude | eau
600 | 400 | 151 | 330
pour les mains noires
""",
        {"Tern": (1000, 141, 320), "Skua": (1000, 151, 330)},
    ),
    "cards under numbers": (
        """== Cards
Card 1
Kitchen
Lard | 700 g
Coconut oil | 300 g
Lye | 146 g
Water | 300 g

Card 2
Garden
Olive oil | 700 g
Coconut oil | 300 g
Lye | 141 g
Water | 300 g

Card 3
Lemon
Olive oil | 600 g
Coconut oil | 400 g
Lye | 146 g
Water | 300 g
""",
        {"Kitchen": (1000, 146, 300), "Garden": (1000, 141, 300), "Lemon": (1000, 146, 300)},
    ),
}


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


@pytest.mark.parametrize("kept", BOOKS)
def test_what_it_weighs(kept: str) -> None:
    text, expected = BOOKS[kept]
    book = read(text)
    assert book.components["problem"].isna().all()
    found = weighed(book)
    assert found.keys() == expected.keys()
    for name, amounts in expected.items():
        assert found[name] == pytest.approx(amounts, rel=1e-3), name


@pytest.mark.parametrize(
    ("sheet", "lye"),
    [
        ("Tern\nLard | 900\nWater | 280\ncan of lye | 1\neverything in grams\n", False),
        ("Tern\nLard | 900 g\nWater | 280 g\ncan of lye | 1\n", False),
        ("Tern\nLard | 900 g\nWater | 280 g\ncan of lye | 118 g\n", True),
    ],
)
def test_a_can_is_lye_where_it_is_weighed_and_one_can_where_it_is_counted(sheet: str, lye: object) -> None:
    found = read(f"== Cards\n{sheet}").components
    assert ("sodium hydroxide" in found["substance"].tolist()) == lye


def test_a_ratio_beside_a_liquid_is_no_weight() -> None:
    book = read("== Cards\nTern\nOlive oil | 1000 g\nLye | 128 g\nWater | 2 : 1\n")
    assert weighed(book) == {"Tern": (1000, 128, 0)}
    assert book.recipes["stated_concentration"].tolist() == pytest.approx([100 / 3])


@pytest.mark.parametrize(
    ("said", "purity"),
    [
        ("KOH flakes, assay 90.2 %", 90.2),
        ("potassium hydroxide is 88 percent pure. Sodium is good stuff", 88.0),
        ("KOH 60 %, NaOH 40 %", None),
        ("NaOH 99 %", None),
        ("KOH 45 %", None),
        ("KOH 90 %", 90.0),
        ("all with KOH at 95 %", None),  # of what the fats take up: a superfat said otherwise
    ],
)
def test_a_purity_that_is_said_once_holds_for_all(said: str, purity: float | None) -> None:
    book = read(
        f"== Soft\n{said}\n\nName | Olive (g) | KOH (g) | Water (g)\nTern | 500 | 105 | 300\nSkua | 400 | 84 | 250\n"
    )
    told = book.statements[book.statements["kind"] == "alkali strength"]["value"].tolist()
    assert told == ([purity] * 2 if purity else [])


@pytest.mark.parametrize(
    ("beside", "told"),
    [("cure it long", [90.0]), ("Name | Olive (g) | KOH (g) | Water (g)\nTern | 500 | 105 | 300", [])],
)
def test_a_purity_on_another_sheet_counts_where_that_has_no_recipes(beside: str, told: list[float]) -> None:
    book = read(
        f"== Paste\nName | Olive (g) | KOH (g) | Water (g)\nSkua | 400 | 84 | 250\n== Notes\nKOH 90 %\n{beside}\n"
    )
    stated = book.statements[book.statements["recipe"] == 1]
    assert stated[stated["kind"] == "alkali strength"]["value"].tolist() == told


@pytest.mark.parametrize(
    ("word", "liquid"), [("Heublumentee", "tea"), ("Stutenmilch", "mare milk"), ("flat ale", "beer")]
)
def test_a_liquid_among_the_letters(word: str, liquid: str) -> None:
    assert candidates(word)[0].substance == liquid


def test_a_purity_beside_the_recipe_goes_before_one_that_is_said_for_all() -> None:
    book = read(
        "== Soft\nKOH 90 %\n\nName | Olive (g) | KOH (g) | KOH purity % | Water (g)\nTern | 500 | 105 | 86 | 300\n"
    )
    assert book.statements[book.statements["kind"] == "alkali strength"]["value"].tolist() == [86]


KEY = "== Key\n{head}OV | olive pomace\nCN | coconut 76\nSF | sunflower\nCs | castor\n== Log\n"


@pytest.mark.parametrize("head", ["short | means\n", ""])
def test_a_page_that_explains_short_forms_is_believed_against_headings(head: str) -> None:
    book = read(
        KEY.format(head=head) + "Soap | OV | CN | SF | Cs | NaOH | H2O\nTern | 500 | 250 | 200 | 50 | 137 | 300\n"
    )
    fats = book.components[book.components["role"] == "fat"]["substance"].tolist()
    assert fats == ["olive pomace oil", "coconut oil", "sunflower oil", "castor oil"]


def test_a_short_form_on_such_a_page_is_believed_against_a_name_of_another_language() -> None:
    book = read(
        "== Legenda\nKar | burro di karité\nPal | olio di palma\nVin | olio di vinaccioli\nGir | olio di girasole\n"
        "== Saponi\nMerlo\nTotale grassi | 600 g\nKar | 20 %\nPal | 40 %\nVin | 40 %\nNaOH | 80 g\nacqua | 180 g\n"
    )
    assert weighed(book) == {"Merlo": pytest.approx((600, 80, 180))}


def test_a_weighed_name_with_a_fat_among_its_letters_is_not_passed_over() -> None:
    rows = "romero | 700g oliva | coco 300 g | sosa 141g | agua 320 g\n"
    book = read(f"== Notas\n{rows}avena | oliva 600 g | coco 300 g | 100g almendras dulces | sosa 141 g | agua 320 g\n")
    assert {a.text: a.means for a in book.assumed} == {"almendras dulces": "almond oil"}


def test_bread_among_soaps_is_no_soap_and_that_is_said() -> None:
    soaps = "".join(
        f"{name}\nLard | 700 g\nCoconut oil | 300 g\nLye | 146 g\nWater | 300 g\n\n"
        for name in ("Tern", "Skua", "Knot")
    )
    book = read(f"== Sheet1\n{soaps}Bread\nflour | 1000 g\nwater | 650 g\nsalt | 20 g\nlard | 30 g\n")
    assert book.recipes["name"].tolist() == ["Tern", "Skua", "Knot"]
    assert [n.what for n in book.not_understood] == ["Bread"]


CHART = "== Chart\nName | Olive (g) | Coconut (g) | NaOH (g) | Water (g) | Batch weight (g)\n"


@pytest.mark.parametrize(("right", "used"), [(0, 0), (2, 0), (4, 6), (6, 6)])
def test_a_column_headed_like_a_total_is_one_where_most_are_sums(right: int, used: int) -> None:
    rows = "".join(
        f"Soap {n} | {600 + n} | 300 | 128 | 300 | {1328 + n if n < right else 1190 + n}\n" for n in range(6)
    )
    book = read(CHART + rows)
    assert int((book.statements["kind"] == "batch total").sum()) == used
    assert any("column F" in notice for notice in book.notices) == (not used)
