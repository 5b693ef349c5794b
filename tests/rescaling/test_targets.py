"""What to rescale to, as the command says it."""

from dataclasses import replace

import pytest
from rescaled_books import KITCHEN, MILK, OUNCE, audit_of

from sheetcheck.errors import SettingError
from sheetcheck.rescaling.bench import Bench
from sheetcheck.rescaling.mould_words import read_moulds
from sheetcheck.rescaling.targets import read_targets

SETS = {
    name: replace(read_moulds(moulds, ""), name=name)
    for name, moulds in (("Big", "2 box 24x8x7 cm"), ("Small one", "water 400 g"))
}


@pytest.mark.parametrize(
    ("text", "label", "kind", "amount"),
    [
        ("x2", "×2", "factor", 2),
        ("×0.5", "×0.5", "factor", 0.5),
        ("x1/3", "×1/3", "factor", 1 / 3),
        ("x½", "×1/2", "factor", 0.5),
        ("2x", "×2", "factor", 2),
        ("3½ x", "×3 1/2", "factor", 3.5),
        ("x 3 1/2", "×3 1/2", "factor", 3.5),
        ("x1,5", "×1.5", "factor", 1.5),
        ("half", "×1/2", "factor", 0.5),
        ("1.5 times", "×1.5", "factor", 1.5),
        ("fats=5kg", "5 kg fats", "fats", 5000),
        ("batch=9lb", "9 lb batch", "batch", 9 * 16 * OUNCE),
        ("batch = 2 lb 3 oz", "2 lb 3 oz batch", "batch", 35 * OUNCE),
        ("bars=40x110g", "40 bars of 110 g", "bars", 4400),
        ("moulds=small one", "Small one", "moulds", 400 / 0.9982),
        ("mould=2 box 24x8x7 cm", "2 × box 24×8×7 cm", "moulds", 2688),
        ("mould=1.5 L", "mould of 1.5 L", "moulds", 1500),
        ("mould=24 x 8 x 7 cm", "box 24×8×7 cm", "moulds", 1344),
        ("mold=box 24x8x7 cm", "box 24×8×7 cm", "moulds", 1344),
    ],
)
def test_size(text: str, label: str, kind: str, amount: float) -> None:
    (target,) = read_targets([text], SETS)
    assert (target.label, target.kind) == (label, kind)
    assert target.amount == pytest.approx(amount)


def test_all_sets_of_the_sheet() -> None:
    assert [t.label for t in read_targets(["moulds=all", "x2"], SETS)] == ["Big", "Small one", "×2"]


@pytest.mark.parametrize(
    "texts",
    [[], ["2"], ["x0"], ["x"], ["x1/0"], ["x-2"], ["x99999"], ["fats=5"], ["fats=5 qt"], ["batch="], ["bars=40"],
     ["bars=0x110g"], ["bars=40x110"], ["moulds=Huge"], ["mould=big"], ["oven=3"], ["x2", "×2"], ["fats=-5kg"]],
)  # fmt: skip
def test_a_slip_shows_how_it_is_written(texts: list[str]) -> None:
    with pytest.raises(SettingError, match=r"for example|x2|5kg|110g|Big, Small one|24x8x7|twice"):
        read_targets(texts, SETS)


def test_moulds_without_a_sheet_of_moulds() -> None:
    with pytest.raises(SettingError, match="no list of moulds"):
        read_targets(["moulds=Big"], {})


def test_factors_by_hand() -> None:
    recipes = audit_of([KITCHEN, MILK]).recipes
    bench = Bench(headspace=5, left_in_pot=2)

    def factor(text: str) -> list[float]:
        return read_targets([text], SETS)[0].factors(recipes, bench).tolist()

    assert factor("fats=5 lb") == pytest.approx([1, 80 * OUNCE / 1000])
    batches = [114.56 * OUNCE, 1000 + 141 + 320 + recipes.loc[2, "batch_g"] - 1461]  # the rest: salt and clay
    assert factor("batch=3 kg") == pytest.approx([3000 / batch for batch in batches])
    assert factor("bars=30x100g") == pytest.approx([3000 / 0.98 / batch for batch in batches])
    assert factor("mould=2 holds 40 oz of fats") == pytest.approx([0.95, 0.95 * 80 * OUNCE / 1000])
    assert factor("moulds=Big") == pytest.approx([2688 * 0.95 / 0.98 / ml for ml in recipes["batter_ml"]])
