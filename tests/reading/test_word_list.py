"""The table of small words holds together."""

from sheetcheck.reading.text import fold
from sheetcheck.reading.word_list import any_of, words
from sheetcheck.reference import LANGUAGES, substances
from sheetcheck.reference.tables import rows

TABLE = list(rows("words.csv"))
GIVES_A_REASON = {"rate", "limit", "refused unit", "no measure"}


def test_no_word_stands_twice_and_all_are_folded() -> None:
    entries = [(row["kind"], row["language"], row["word"]) for row in TABLE]
    assert len(entries) == len(set(entries))
    assert all(row["word"] == fold(row["word"]) for row in TABLE)
    assert {row["language"] for row in TABLE} == set(LANGUAGES)


def test_a_refusal_has_a_reason_and_a_number_a_value() -> None:
    assert all(row["why"] for row in TABLE if row["kind"] in GIVES_A_REASON)
    assert all(float(row["value"]) > 0 for row in TABLE if row["kind"] in ("number", "fraction"))


def test_a_doubtful_name_may_mean_substances_of_the_tables() -> None:
    assert {key for keys in words("doubtful name").values() for key in keys.split("|")} <= set(substances())


def test_a_word_for_lye_may_mean_substances_of_the_tables() -> None:
    meant = [each.rsplit(":", 1) for value in words("lye word").values() for each in value.split("|")]
    assert {key for key, _ in meant} <= set(substances())
    assert all(float(nats) <= 0 for _, nats in meant)


def test_every_kind_is_asked_for_somewhere() -> None:
    kinds = {row["kind"] for row in TABLE}
    assert kinds == GIVES_A_REASON | {
        *(
            "number",
            "fraction",
            "range",
            "approximate",
            "nearness",
            "by weight",
            "by volume",
            "alternative",
            "qualifier",
            "lye word",
            "changes",
        ),
        *(
            "scent",
            "scented plant",
            "doubtful name",
            "no name",
            "beside a unit",
            "speaks of all",
            "casts doubt",
            "denies",
            "brewed, at the end",
            "brewed, at the front",
            "brewed, in one word",
            "laundry",
            "month",
            "takes back",
            "not in the pot",
            "in place of",
            "no ingredient",
            "outcome",
            "yield",
            "short form",
            "dry form",
            "word of a total",
            "purity",
            "solution",
        ),
    }
    assert all(any_of(kind) for kind in kinds)
