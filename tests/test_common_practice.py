"""Recipes whose soundness the trade knows: common practice, no source."""

from pathlib import Path

import pytest

import sheetcheck
from sheetcheck.model import Audit, Signal
from tests.books import write_book

LARD_HEADING = ["Recipe", "Lard (oz)", "Water (oz)", "Lye (oz)"]


def audited(folder: Path, *rows: list[object], heading: list[str] = LARD_HEADING) -> Audit:
    return sheetcheck.audit(write_book(folder / "book.xlsx", {"Recipes": [heading, *rows]}))


def worst(audit: Audit) -> int:
    return max((f.signal.rank for f in audit.findings), default=0)


def first_change(audit: Audit) -> tuple[str, float | None, str | None]:
    repairs = [r for f in audit.findings for r in f.repairs]
    assert repairs, "no repair was offered"
    change = max(repairs, key=lambda r: r.probability).changes[0]
    return change.cell, change.value, change.unit


@pytest.mark.parametrize("lye", [10.86, 10.85])
def test_large_lard_batch_is_sound(tmp_path: Path, lye: float) -> None:
    audit = audited(tmp_path, ["Plain", 80, 24.29, lye])
    recipe = audit.recipes.iloc[0]
    assert worst(audit) < Signal.CAUTION.rank
    assert recipe["verdict"] == "fine"
    assert recipe["superfat_low"] >= 0
    assert 2.5 <= recipe["superfat_typical"] <= 4.5
    assert recipe["lye_concentration"] == pytest.approx(30.9, abs=0.05)


def test_lye_in_grams_in_an_ounce_column(tmp_path: Path) -> None:
    audit = audited(tmp_path, ["Plain", 80, 24.29, 307.9])
    assert worst(audit) == Signal.DANGER.rank
    assert first_change(audit) == ("D2", 307.9, "g")


def test_lard_in_grams_in_an_ounce_column(tmp_path: Path) -> None:
    audit = audited(tmp_path, ["Plain", 2268, 24.29, 10.86])
    assert worst(audit) >= Signal.WARNING.rank
    assert first_change(audit) == ("B2", 2268, "g")


def test_two_ounces_of_lye_too_many(tmp_path: Path) -> None:
    audit = audited(tmp_path, ["Plain", 64, 24, 13])
    assert worst(audit) == Signal.DANGER.rank


def test_three_fats_with_lye_in_grams(tmp_path: Path) -> None:
    heading = ["Recipe", "Olive oil (oz)", "Coconut oil (oz)", "Palm oil (oz)", "Lye (oz)", "Water (oz)"]
    audit = audited(tmp_path, ["Trio", 24, 17.5, 15.5, 228, 18], heading=heading)
    assert worst(audit) == Signal.DANGER.rank
    assert first_change(audit) == ("E2", 228, "g")


@pytest.mark.parametrize(("factor", "unit"), [(0.5, "oz"), (2, "oz"), (28.349523125, "g")])
def test_superfat_does_not_change_with_size_or_unit(tmp_path: Path, factor: float, unit: str) -> None:
    plain = audited(tmp_path, ["Plain", 80, 24.29, 10.86]).recipes.iloc[0]
    heading = ["Recipe", f"Lard ({unit})", f"Water ({unit})", f"Lye ({unit})"]
    other = audited(tmp_path, ["Plain", 80 * factor, 24.29 * factor, 10.86 * factor], heading=heading).recipes.iloc[0]
    for column in ("superfat_low", "superfat_typical", "superfat_high", "lye_concentration"):
        assert other[column] == pytest.approx(plain[column], abs=1e-9)


def test_an_unknown_ingredient_never_hides_free_lye(tmp_path: Path) -> None:
    """720 g of lye is more than 500 g of lard and 50 g of anything at all can take up."""
    heading = ["Recipe", "Lard (g)", "Mystery (g)", "Water (g)", "Lye (g)"]
    audit = audited(tmp_path, ["One", 500, 50, 250, 720], ["Two", 500, 50, 250, 70], heading=heading)
    assert audit.recipes["verdict"].tolist() == ["not checked", "not checked"]
    assert [f.recipe for f in audit.findings if f.signal is Signal.DANGER] == [1]
    assert "nan" not in " ".join(f.message + f.expected for f in audit.findings)
