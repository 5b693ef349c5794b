"""The tables hold together: every figure sourced, every name clear, ranges the right way round."""

import csv
import math
import subprocess
import sys
import unicodedata
from collections import Counter
from pathlib import Path

import pytest

from sheetcheck import reference
from sheetcheck.reference import LANGUAGES, Substance, limits, name_index, sources, spellings, substances

FOLDER = Path(reference.__file__).parent
TABLES = ("fats", "alkalis", "liquids", "acids", "additives")
SOURCED = (*TABLES, "constants", "limits", "cautions", "lye_solutions")

# One word that makers use for two things; the reader must ask, not guess.
DELIBERATELY_AMBIGUOUS = {"cocoa", "coco butter"}


def rows(name: str) -> list[dict[str, str]]:
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def folded(text: str) -> str:
    apart = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(c if c.isalnum() else " " for c in apart if not unicodedata.combining(c))
    return " ".join(kept.split())


EVERY = list(substances().values())
FATS = [s for s in EVERY if s.kind == "fat"]


def of_key(substance: Substance) -> str:
    return substance.key


@pytest.mark.parametrize("table", SOURCED)
def test_every_row_names_a_known_source(table: str) -> None:
    wrong = [row for row in rows(table) if row["source"] not in sources()]
    assert not wrong


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize(
    ("figure", "source"),
    [("theoretical", "theoretical_source"), ("density", "density_source"), ("g_per_cup", "cup_source")],
)
def test_every_further_figure_has_a_source_of_its_own(table: str, figure: str, source: str) -> None:
    for row in rows(table):
        if figure not in row or (table == "alkalis" and figure == "density"):
            continue
        assert bool(row[figure]) == bool(row[source]), row["key"]
        assert not row[source] or row[source] in sources(), row["key"]


def test_every_source_is_used_and_says_how_it_was_had() -> None:
    used = {
        value
        for table in SOURCED
        for row in rows(table)
        for column, value in row.items()
        if column == "source" or column.endswith("_source")
    }
    assert set(sources()) == used - {""}
    assert {s.status for s in sources().values()} <= {"seen", "second hand", "computed", "memory", "practice"}
    assert all("from memory" in str(s) for s in sources().values() if s.status == "memory")


def test_no_row_has_more_cells_than_the_heading() -> None:
    for path in FOLDER.glob("*.csv"):
        for row in rows(path.stem):
            assert None not in row, (path.name, row)
            assert None not in row.values(), (path.name, row)


def test_keys_are_unique_lower_case_english() -> None:
    keys = [row["key"] for table in TABLES for row in rows(table)]
    assert [key for key, count in Counter(keys).items() if count > 1] == []
    assert all(key == key.lower().strip() and key.isascii() for key in keys)
    assert list(substances()) == keys


@pytest.mark.parametrize("substance", EVERY, ids=of_key)
def test_names_are_tidy(substance: Substance) -> None:
    assert set(substance.names) <= set(LANGUAGES)
    assert substance.name == substance.names["en"][0]
    for names in substance.names.values():
        assert len(set(names)) == len(names)
    for name in spellings(substance):
        assert name == " ".join(name.lower().split())
        assert name


def test_a_spelling_means_one_thing_unless_it_is_ambiguous_on_purpose() -> None:
    meanings: dict[str, set[str]] = {}
    for spelling, keys in name_index().items():
        meanings.setdefault(folded(spelling), set()).update(keys)
    assert {name for name, keys in meanings.items() if len(keys) > 1} == DELIBERATELY_AMBIGUOUS


def test_every_language_knows_nearly_every_fat() -> None:
    for language in LANGUAGES:
        without = [fat.key for fat in FATS if language not in fat.names]
        assert len(without) <= 2, (language, without)


def test_enough_fats_and_refusals() -> None:
    assert len(FATS) >= 90
    assert sum(1 for s in EVERY if s.kind == "refused") >= 12
    assert all(s.note for s in EVERY if s.kind == "refused"), "a refusal says why"


@pytest.mark.parametrize("substance", EVERY, ids=of_key)
def test_figures_are_possible(substance: Substance) -> None:
    saponification = (substance.sap_low, substance.sap_typical, substance.sap_high)
    if substance.kind == "fat":
        assert 0 < saponification[0] <= saponification[1] <= saponification[2] < 400
    elif substance.fat > 0:
        assert all(0 < value < 400 for value in saponification)
    shares = [substance.water, substance.fat, substance.sugar, substance.alcohol]
    assert all(math.isnan(share) or 0 <= share <= 1 for share in shares)
    assert sum(share for share in shares if not math.isnan(share)) <= 1.0005
    assert math.isnan(substance.density) or 0.8 <= substance.density <= 1.6
    assert math.isnan(substance.g_per_cup) or 100 <= substance.g_per_cup <= 350
    assert math.isnan(substance.unsaponifiable) or 0 < substance.unsaponifiable < 1


@pytest.mark.parametrize("kind", ["liquid", "acid", "additive"])
def test_what_is_not_refused_has_its_shares(kind: str) -> None:
    for substance in EVERY:
        if substance.kind == kind:
            shares = (substance.water, substance.fat, substance.sugar)
            assert not any(math.isnan(share) for share in shares), substance.key
        if substance.kind in ("acid", "additive"):
            assert substance.naoh_per_g >= 0, substance.key


def test_a_cup_weighs_what_its_density_gives() -> None:
    # USDA SR28 weights are rounded and solid fats are not packed full: within 10 % of 236.588 mL times the density.
    for substance in EVERY:
        if not math.isnan(substance.g_per_cup * substance.density):
            assert substance.g_per_cup == pytest.approx(236.588 * substance.density, rel=0.10), substance.key


@pytest.mark.parametrize("substance", EVERY, ids=of_key)
def test_similar_goes_both_ways_and_the_values_differ(substance: Substance) -> None:
    for key in substance.similar:
        other = substances()[key]
        assert substance.key in other.similar, key
        assert other.key != substance.key
        assert (
            (substance.sap_low, substance.sap_typical, substance.sap_high)
            != (other.sap_low, other.sap_typical, other.sap_high)
            or substance.naoh_per_g != other.naoh_per_g
            or substance.water != other.water
            or substance.kind == other.kind == "refused"
        ), key


@pytest.mark.parametrize("substance", [s for s in EVERY if s.solution_of], ids=of_key)
def test_a_solution_without_strength_is_refused(substance: Substance) -> None:
    assert substance.kind == "refused"
    assert substance.role == "alkali"
    assert substances()[substance.solution_of].kind == "alkali"


@pytest.mark.parametrize(
    ("written", "key"),
    [
        ("coconut", "coconut oil"),
        ("palm", "palm oil"),
        ("pko", "palm kernel oil"),
        ("olive", "olive oil"),
        ("tallow", "tallow"),
        ("mutton tallow", "mutton tallow"),
        ("schmalz", "lard"),
        ("rapeseed oil", "canola oil"),
        ("rapsöl", "canola oil"),
        ("karité", "shea butter"),
        ("huile de ricin", "castor oil"),
        ("manteca de cerdo", "lard"),
        ("strutto", "lard"),
        ("reuzel", "lard"),
        ("banha", "lard"),
        ("ghee", "milk fat"),
        ("beurre", "butter"),
        ("shortening", "shortening"),
        ("vegetable oil", "vegetable oil"),
        ("lye", "sodium hydroxide"),
        ("seifenstein", "sodium hydroxide"),
        ("soude caustique", "sodium hydroxide"),
        ("caustic potash", "potassium hydroxide"),
        ("natronlauge", "sodium hydroxide solution"),
        ("natron", "baking soda"),
        ("soda", "sodium carbonate"),
        ("pottasche", "potassium carbonate"),
        ("potash", "potassium carbonate"),
        ("wood ashes", "wood-ash lye"),
        ("can of lye", "can of lye"),
        ("rain water", "water"),
        ("ziegenmilch", "goat milk"),
        ("nettle tea", "tea"),
        ("vinegar", "vinegar"),
        ("charcoal", "charcoal"),
    ],
)
def test_words_that_makers_write(written: str, key: str) -> None:
    assert name_index()[written] == (key,)


@pytest.mark.parametrize(
    "key",
    [
        "margarine",
        "sodium carbonate",
        "potassium carbonate",
        "wood-ash lye",
        "can of lye",
        "sodium silicate",
        "spirit",
    ],
)
def test_what_cannot_be_computed_is_refused_not_guessed(key: str) -> None:
    assert substances()[key].kind == "refused"
    assert math.isnan(substances()[key].sap_typical)


def test_limits_on_free_lye_cannot_be_set() -> None:
    assert not limits()["superfat_danger_below"].settable
    assert not limits()["no_margin_floor"].settable
    assert limits()["superfat_danger_below"].value == 0


@pytest.mark.parametrize(
    "ladder",
    [
        ("no_margin_floor", "superfat_danger_below", "superfat_warning_below", "superfat_notice_below"),
        ("superfat_notice_below", "superfat_high_notice", "superfat_high_caution", "superfat_high_warning"),
        ("lye_weak_caution", "lye_weak_notice", "lye_strong_caution", "lye_strong_warning", "lye_insoluble"),
    ],
)
def test_limits_rise_by_signal(ladder: tuple[str, ...]) -> None:
    values = [limits()[name].value for name in ladder]
    assert values == sorted(values)
    assert len(set(values)) == len(values)


@pytest.mark.parametrize(
    ("group", "phrase"),
    [
        ("before", "gloves"),
        ("before", "goggles"),
        ("before", "children, pets"),
        ("before", "never aluminium"),
        ("before", "open window"),
        ("mixing", "never liquid into lye"),
        ("liquids", "carbon monoxide"),
        ("splash", "at least 30 minutes"),
        ("splash", "splashed clothing off"),
        ("splash", "Never neutralise"),
        ("swallowed", "rinse the mouth, do not make the person vomit, call the poison centre"),
        ("defer", "someone qualified"),
    ],
)
def test_the_cautions_say_what_they_must(group: str, phrase: str) -> None:
    assert any(phrase in c.sentence for c in reference.cautions() if c.group == group)


def test_loading_needs_no_pandas() -> None:
    command = "import sys, sheetcheck.reference as r; r.substances(); sys.exit('pandas' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", command], check=False).returncode == 0


def test_tables_cannot_be_changed_by_a_caller() -> None:
    with pytest.raises(TypeError):
        substances()["lard"] = substances()["tallow"]  # type: ignore[index]  # the point of the test
