"""Molar masses, acids and pure triglycerides against a general library for molar masses (molmass)."""

import pytest
from molmass import Formula

from sheetcheck.chemistry.acids import MAGNESIUM_BINDS, MAY_TAKE_UP, naoh_per_g_of_acid
from sheetcheck.chemistry.alkali import purity_after_ageing
from sheetcheck.chemistry.demand import oleic_percent, saponification_value_from_molecular_weight
from sheetcheck.reference import constants, substances

NAOH = Formula("NaOH").mass

ACIDS = {  # formula, and protons that strong lye takes
    "citric acid, anhydrous": ("C6H8O7", 3),
    "citric acid, monohydrate": ("C6H10O8", 3),
    "lactic acid": ("C3H6O3", 1),
    "acetic acid, glacial": ("C2H4O2", 1),
    "ascorbic acid": ("C6H8O6", 1),
    "tartaric acid": ("C4H6O6", 2),
    "malic acid": ("C4H6O5", 2),
    "baking soda": ("NaHCO3", 1),
}
# Printed in no table: 3 x 56.1056 g KOH over the formula weight. The same figures stand in textbooks.
TRIGLYCERIDES = {
    "trilaurin": ("C39H74O6", 263.4),
    "tripalmitin": ("C51H98O6", 208.5),
    "tristearin": ("C57H110O6", 188.8),
    "triolein": ("C57H104O6", 190.1),
}


@pytest.mark.parametrize(
    ("constant", "formula"),
    [
        ("naoh_molar_mass", "NaOH"),
        ("koh_molar_mass", "KOH"),
        ("water_molar_mass", "H2O"),
        ("carbon_dioxide_molar_mass", "CO2"),
        ("glycerol_molar_mass", "C3H8O3"),
    ],
)
def test_molar_masses(constant: str, formula: str) -> None:
    assert getattr(constants(), constant) == pytest.approx(Formula(formula).mass, abs=0.002)


def test_naoh_for_koh() -> None:
    assert constants().naoh_per_koh == pytest.approx(NAOH / Formula("KOH").mass, abs=2e-5)


@pytest.mark.parametrize("key", ACIDS)
def test_acids_take_up_what_their_formula_says(key: str) -> None:
    formula, protons = ACIDS[key]
    computed = float(naoh_per_g_of_acid(Formula(formula).mass, protons))
    assert computed == pytest.approx(protons * NAOH / Formula(formula).mass, rel=1e-4)
    known = substances()[key]
    assert known.naoh_per_g == pytest.approx(computed * known.usual_strength, rel=1e-3)


@pytest.mark.parametrize("key", ["sodium lactate", "sodium citrate", "salt"])
def test_salts_take_up_none(key: str) -> None:
    assert substances()[key].naoh_per_g == 0


@pytest.mark.parametrize("name", TRIGLYCERIDES)
def test_pure_triglycerides(name: str) -> None:
    formula, value = TRIGLYCERIDES[name]
    found = float(saponification_value_from_molecular_weight(Formula(formula).mass))
    assert found == pytest.approx(value, abs=0.06)


@pytest.mark.parametrize(
    ("key", "formula"),
    [
        ("palmitic acid", "C16H32O2"),
        ("oleic acid", "C18H34O2"),
        ("lauric acid", "C12H24O2"),
        ("myristic acid", "C14H28O2"),
    ],
)
def test_free_fatty_acids_lie_in_their_range(key: str, formula: str) -> None:
    value = float(saponification_value_from_molecular_weight(Formula(formula).mass, 1))
    assert substances()[key].sap_low <= value <= substances()[key].sap_high


def test_oleic_acid_is_the_measure_of_free_acid() -> None:
    assert float(oleic_percent(1000 * Formula("KOH").mass / Formula("C18H34O2").mass / 2)) == pytest.approx(
        50, abs=0.01
    )


def test_borax_takes_up_two() -> None:
    borax = Formula("Na2B4O7").mass + 10 * Formula("H2O").mass
    assert MAY_TAKE_UP["borax"] == pytest.approx(2 * NAOH / borax, abs=2e-4)


def test_magnesium_binds_two_at_the_most() -> None:
    water = 6 * Formula("H2O").mass
    assert pytest.approx(2 * NAOH / (Formula("MgCl2").mass + water), abs=2e-4) == MAGNESIUM_BINDS
    assert 2 * NAOH / (Formula("MgSO4").mass + 7 / 6 * water) < MAGNESIUM_BINDS


def test_ageing_ends_as_carbonate() -> None:
    gas = Formula("CO2").mass / (2 * NAOH)  # g per g NaOH, all of it turned into carbonate
    assert float(purity_after_ageing(1.0, 0.0, gas - 1e-4)) == pytest.approx(0, abs=3e-4)
    assert purity_after_ageing(1.0, 0.0, gas + 0.01) != purity_after_ageing(1.0, 0.0, gas + 0.01)  # NaN: cannot be
