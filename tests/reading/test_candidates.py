"""What a text may mean: every way of writing a name is a candidate, and what no spelling tells stays possible."""

from __future__ import annotations

from math import exp, isclose

import pytest

from sheetcheck.reading.candidates import candidates, likely_name
from sheetcheck.reading.names.spellings import Name

WRITTEN = {  # as makers write, common practice, no source
    "Oliv oli": "olive oil",
    "plam oil": "palm oil",
    "talow": "tallow",
    "avacado": "avocado oil",
    "S. almond": "almond oil",
    "Kokosf.": "coconut oil",
    "H. d'olive": "olive oil",
    "PKO": "palm kernel oil",
    "OO": "olive oil",
    "CoO": "coconut oil",
    "SoO": "soybean oil",
    "PaKO": "palm kernel oil",
    "Cstr": "castor oil",
    "L": "lard",
    "W": "water",
    "wax": "beeswax",
    "Wachs": "beeswax",
    "caustic": "sodium hydroxide",
    "soda": "sodium hydroxide",
}


@pytest.mark.parametrize(("text", "meant"), WRITTEN.items())
def test_the_likeliest_meaning_is_what_was_written(text: str, meant: str) -> None:
    assert candidates(text)[0].substance == meant


@pytest.mark.parametrize("text", [*WRITTEN, "GFM", "c/o", "W", "Zucker", ""])
def test_meanings_share_one_probability_and_leave_room_for_others(text: str) -> None:
    found = candidates(text)
    assert isclose(sum(exp(m.prior) for m in found), 1.0)
    assert {"additive", "sum"} <= {m.role for m in found}
    assert any(m.role == "fat" and m.substance is None for m in found)


@pytest.mark.parametrize("text", ["Palm Free", "Olive Grove", "Coconut Cloud"])
def test_what_a_recipe_is_called_is_not_likely_a_fat(text: str) -> None:
    assert likely_name(Name(None, None, "unknown"), text).kind is None
    assert any(m.role == "fat" and m.substance is not None for m in candidates(text))


def test_a_longer_word_is_surer() -> None:
    assert candidates("coconit")[0].prior > candidates("lrd")[0].prior


def test_a_word_for_a_sum_is_one() -> None:
    assert candidates("total")[0].role == "sum"
