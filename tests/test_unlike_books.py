"""What the benchmark of unlike books holds to be true, recomputed from the cells of its workbooks."""

import re
from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from tests.benchmarks.unlike_books import book, data, explained, recipes, truth
from tests.benchmarks.unlike_books.measuring import NUMBERS, measure
from tests.benchmarks.unlike_books.mistyping import mistyped
from tests.benchmarks.unlike_books.model import GRAMS
from tests.benchmarks.unlike_books.scribe import SPELLINGS
from tests.benchmarks.unlike_books.short_forms import SCHEMES

UNIT_OF = {spelt: unit for unit, by in SPELLINGS.items() for spellings in by.values() for spelt in spellings}
AMOUNT = re.compile(r"(?P<number>\d+ \d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?) ?(?P<unit>[A-Za-z%.]*)$")
ROLES = {"fat_g": "fat", "alkali_g": "alkali", "liquid_g": "liquid"}
MANY_IN_A_CELL = {"recipe in one cell", "prose", "pasted lines", "fats in one cell"}


def grams_in(value: object, unit: str) -> float:
    """Grams in a cell of one amount."""
    if not isinstance(value, str):
        return float(value) * GRAMS[unit]
    found = AMOUNT.search(value)
    assert found, value
    number = sum(Fraction(part.replace(",", ".")) for part in found["number"].split())
    return float(number) * GRAMS[UNIT_OF.get(found["unit"], unit)]


@pytest.mark.parametrize("layout", book.LAYOUTS)
def test_truth_is_what_the_cells_say(layout: str, tmp_path: Path) -> None:
    checked = 0
    for author in range(500, 506):
        made = book.make(author, layout)
        workbook = openpyxl.load_workbook(made.write(tmp_path / f"{author}.xlsx"), data_only=True)
        true = truth.of_book(made, "book.xlsx")
        for (sheet, recipe), said in zip(made.recipes(), true["recipes"], strict=True):
            page = workbook[sheet.name]
            text = " ".join(str(v) for row in page.iter_rows(values_only=True) for v in row if v is not None)
            assert recipe.name in text or recipe.name == sheet.name
            for number, role in ROLES.items():
                cells = [
                    [page[c].value for c in sheet.places[recipe.number, i]]
                    for i, amount in enumerate(recipe.amounts)
                    if amount.role == role
                ]
                if said[number] is None:
                    continue
                if layout in MANY_IN_A_CELL:
                    written = {cell for group in cells for cell in group if isinstance(cell, str)}
                    numbers = re.findall(r"\d+ \d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?", " | ".join(map(str, written)))
                    values = {float(sum(Fraction(p.replace(",", ".")) for p in n.split())) for n in numbers}
                    values |= {float(cell) for group in cells for cell in group if not isinstance(cell, str)}
                    assert {round(a.value, 3) for a in recipe.of(role)} <= {round(v, 3) for v in values}
                elif "per cent and batch weight" in layout and role == "fat":
                    shares = [float(str(group[0]).removesuffix(" %").replace(",", ".")) for group in cells]
                    assert sum(shares) == pytest.approx(100, abs=0.3)
                elif layout == "pounds and ounces in two columns":
                    grams = sum(lb * GRAMS["lb"] + oz * GRAMS["oz"] for lb, oz in cells)
                    assert grams == pytest.approx(said[number], rel=1e-4)
                else:
                    grams = sum(grams_in(value, made.traits["unit"]) for (value,) in cells)
                    assert grams == pytest.approx(said[number], rel=1e-4)
                checked += 1
    assert checked > 20


def test_sound_recipes_are_soap_and_slips_matter() -> None:
    kinds = Counter()
    for author in range(300):
        for _, recipe in book.make(author).recipes():
            meant = [amount.meant for amount in recipe.amounts]
            if recipe.slip != "stale":
                assert recipes.SUPERFAT[0] <= recipes.superfat_of(meant) <= recipes.SUPERFAT[1]
                assert recipes.CONCENTRATION[0] <= recipes.concentration_of(meant) <= recipes.CONCENTRATION[1]
            else:  # the lye that a rescaled batch should get
                assert -1 <= recipes.superfat_of(meant) <= 12
            if recipe.slip:
                superfat, strength = recipes.superfat_of(recipe.amounts), recipes.concentration_of(recipe.amounts)
                assert not (-2 <= superfat <= 16 and 19 <= strength <= 50)
                assert any(amount.right not in {None, (amount.value, amount.unit)} for amount in recipe.amounts)
            kinds[recipe.slip] += 1
    assert set(kinds) == {None, "unit", "decimal", "digit", "swap", "stale"}
    assert 0.09 < 1 - kinds[None] / kinds.total() < 0.15


def test_fault_cells_hold_what_is_wrong() -> None:
    for author in range(100):
        made = book.make(author, "rows")
        for said in truth.of_book(made, "book.xlsx")["recipes"]:
            assert bool(said["faults"]) == (said["expect"] == "flagged")
            for fault in said["faults"]:
                assert fault["cells"]
                assert set(fault["cells"]) <= set(said["cells"])


def test_the_same_seed_makes_the_same_book() -> None:
    first, second, other = book.make(7), book.make(7), book.make(8)
    assert first == second
    assert first.sheets != other.sheets


def test_makers_are_unlike() -> None:
    made = [book.make(author) for author in range(400)]
    for trait, least in {"layout": 16, "language": 6, "names": 7, "unit said in": 6, "superfat said in": 4}.items():
        assert len({m.traits[trait] for m in made}) >= least, trait


def report_from(true: dict[str, Any]) -> dict[str, Any]:
    """A report that is right in everything."""
    found, findings = [], []
    for number, said in enumerate(true["recipes"], start=1):
        flagged = said["expect"] == "flagged"
        verdict = {"fine": "fine", "flagged": "flagged", "unjudgeable": "not checked"}[said["expect"]]
        found.append({"id": number, "name": said["name"], "sheet": said["sheet"], "verdict": verdict})
        found[-1] |= {key: said[key] for key, _ in NUMBERS}
        if flagged:
            (fault,) = said["faults"]
            change = {"cell": fault["cells"][0], **fault["right"]}
            repairs = [{"probability": 0.9, "changes": [change]}]
            findings.append(
                {"rule": "x", "signal": "DANGER", "recipes": [number], "recipe": number, "repairs": repairs}
            )
    return {"recipes": found, "findings": findings, "questions": [], "assumed": []}


def test_a_right_report_measures_as_right_and_none_as_lost() -> None:
    for author in range(60):
        true = truth.of_book(book.make(author), "book.xlsx")
        whole = measure(true, report_from(true)).whole()
        assert whole["recipes"] == len(true["recipes"])
        assert whole["numbers right"] == whole["numbers"]
        assert whole["caught"] == whole["faulty"]
        assert whole["cell first"] == whole["value first"] == whole["repairable"]
        assert whole["unjudgeable said"] == whole["unjudgeable"]
        for wrong in ("lost", "misnamed", "invented", "wrong in silence", "false CAUTION", "sound not checked"):
            assert whole[wrong] == 0, wrong
        none = measure(true, None).whole()
        assert none["lost"] == none["recipes"] == whole["recipes"]
        assert none["numbers"] == whole["numbers"]
        assert none["sound not checked"] == whole["sound"]


def test_a_wrong_report_measures_as_wrong() -> None:
    true = truth.of_book(book.make(3, "rows"), "book.xlsx")
    report = report_from(true)
    report["recipes"][0] |= {"fat_g": 1.0, "verdict": "fine"}
    report["recipes"][1]["name"] = "Somebody else's"
    report["recipes"].append({**report["recipes"][0], "id": 999, "name": "A price list"})
    whole = measure(true, report).whole()
    assert (whole["wrong in silence"], whole["misnamed"], whole["invented"]) == (1, 1, 1)


def test_a_sown_row_fits_the_other_meaning_and_not_its_own() -> None:
    sown = [s for author in range(300) if (s := explained.sow(author))]
    assert len({s.doubt for s in sown}) >= 10
    for each in sown:
        factors = data.naoh_per_gram()
        for sheet, recipe in each.made.recipes():
            if recipe.number not in each.slipped:
                assert recipe.slip is None
                continue
            assert sheet.places[recipe.number, recipe.index(("alkali", "sodium hydroxide"))]
            role, meant = each.doubt.meant
            own = recipes.superfat_of(recipe.amounts)
            needed = sum(a.grams * factors[a.substance] for a in recipe.of("fat"))
            doubtful = sum(a.grams for a in (recipe.of("fat") if role == "total" else recipe.amounts)
                           if role == "total" or a.slot == each.doubt.meant)  # fmt: skip
            other = needed + doubtful * (factors[each.doubt.other] - (factors[meant] if role == "fat" else 0))
            fits = 100 * (1 - recipe.grams("alkali") / other)
            assert 0 < fits < 12
            assert abs(own - fits) > 4


def test_tables_hold_together() -> None:
    fats = set(data.naoh_per_gram())
    for language in data.LANGUAGES:
        assert fats < set(data.full_names(language)) == set(data.everyday_names(language))
        assert set(data.words(language)) == set(data.words("en"))
    assert {d.other for d in explained.DOUBTS} <= fats
    assert 0.13 < data.naoh_per_gram()["olive oil"] < 0.14  # 190 to 195 mg KOH/g, as values.csv cites


def test_short_forms_and_mistypings() -> None:
    short = {scheme: ways[0]("coconut oil") for scheme, ways in SCHEMES.items()}
    assert short == {
        "initials": "CO", "first letters": "Coc", "first letters and stop": "Coc.", "consonants": "Ccnt",
    }  # fmt: skip
    rng = book.maker.draw(1).rng("test")
    words = {mistyped("coconut", rng) for _ in range(200)}
    assert len(words) > 20
    assert all(word[0] == "c" and abs(len(word) - 7) <= 1 for word in words)
    assert mistyped("palm", rng) == "palm"
