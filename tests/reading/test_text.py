"""Text made comparable."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcheck.reading.text import clean, fold, fold_letters


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        ("9½ oz", "9 1/2 oz"),
        ("1⁄2\N{NO-BREAK SPACE}tsp", "1/2 tsp"),
        ("３００ｇ", "300g"),
        ("−5\N{THIN SPACE}g", "-5 g"),
        ("Goat’s  milk", "Goat's milk"),
        ("soft\N{SOFT HYPHEN}ened\N{ZERO WIDTH SPACE}", "softened"),
        ("5²", "5^2"),
    ],
)
def test_cleans(written: str, plain: str) -> None:
    assert clean(written) == plain


@pytest.mark.parametrize(
    ("written", "folded"),
    [
        ("Huile d'olive (BIO)", "huile d olive bio"),
        ("Öl", "ol"),
        ("Weißöl", "weissol"),
        ("% superfat", "% superfat"),
        ("Batch #", "batch #"),
        ("Cost £", "cost £"),
        ("  Lye - NaOH ", "lye naoh"),
    ],
)
def test_folds(written: str, folded: str) -> None:
    assert fold(written) == folded


@given(st.text(max_size=30))
def test_cleaning_or_folding_twice_is_as_once(text: str) -> None:
    assert clean(clean(text)) == clean(text)
    assert fold(fold(text)) == fold(text)
    assert len(fold_letters(clean(text))) == len(clean(text))
