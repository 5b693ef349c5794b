"""Strength, density and heat of lye against published correlations and tables."""

import csv
from collections.abc import Callable
from functools import cache
from pathlib import Path

import chemicals
import chemicals.volume
import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray

from sheetcheck.chemistry.heat import heat_of_solution, hottest_lye
from sheetcheck.chemistry.solution import (
    BAUME_MODULUS,
    WATER_DENSITY_60F,
    density,
    percent_by_baume,
    percent_by_old_table,
    percent_by_specific_gravity,
    percent_by_twaddell,
    specific_gravity_by_baume,
    specific_gravity_by_twaddell,
)
from sheetcheck.chemistry.volume import WATER_DENSITY
from sheetcheck.reference import solution_figures, substances

CAS = {"NaOH": "1310-73-2", "KOH": "1310-58-3", "NaCl": "7647-14-5"}


@cache
def coefficients(alkali: str) -> tuple[float, ...]:
    path = Path(chemicals.__file__).parent / "Electrolytes" / "Laliberte2009.tsv"
    with path.open(encoding="utf-8") as lines:
        row = next(r for r in csv.DictReader(lines, delimiter="\t") if r["CASRN"] == CAS[alkali])
    return tuple(float(row[f"c{i}"]) for i in range(5))


def laliberte_density(percent: ArrayLike, celsius: float, alkali: str = "NaOH") -> NDArray[np.float64]:
    """Density [g/mL] by M. Laliberté, J. Chem. Eng. Data 54 (2009) 1725, coefficients from the library `chemicals`."""
    c0, c1, c2, c3, c4 = coefficients(alkali)
    t, w = celsius, np.asarray(percent, dtype=np.float64) / 100
    water = (
        ((((-2.8054253e-10 * t + 1.0556302e-7) * t - 4.6170461e-5) * t - 0.0079870401) * t + 16.945176) * t + 999.83952
    ) / (1 + 0.01687985 * t)
    apparent = (c0 * w + c1) * np.exp(1e-6 * (t + c4) ** 2) / (w + c2 + c3 * t)
    return 1 / ((1 - w) / water + w / apparent) / 1000


@pytest.mark.parametrize("alkali", ["NaOH", "KOH"])
@pytest.mark.parametrize("celsius", [15, 18, 20, 27, 40])
@pytest.mark.parametrize("percent", [5, 12.5, 30, 33, 47, 50])
def test_density_is_that_of_the_correlation(percent: float, celsius: float, alkali: str) -> None:
    assert float(density(percent, celsius, alkali)) == pytest.approx(
        float(laliberte_density(percent, celsius, alkali)), abs=0.0015
    )


@pytest.mark.parametrize("percent", [24, 28, 32, 36, 40, 44, 48, 50])
@pytest.mark.parametrize("celsius", [20, 40])
def test_density_is_near_a_table_for_soap_works(percent: float, celsius: float) -> None:
    table = {(f.x, f.temperature): f.value for f in solution_figures("density") if f.source == "soap-plant-table"}
    assert float(density(percent, celsius)) == pytest.approx(table[percent, celsius], rel=0.008)


def test_density_of_strong_lye_by_its_maker() -> None:
    # International Critical Tables, as a maker of caustic soda quotes them: 1.52 at 50 %, 20 °C
    assert float(density(50)) == pytest.approx(1.52, abs=0.006)


def strength_by_density(gravity: float, alkali: str = "NaOH") -> float:
    percents = np.linspace(1, 51, 5001)
    return float(np.interp(gravity * WATER_DENSITY_60F, laliberte_density(percents, 15.56, alkali), percents))


@pytest.mark.parametrize("baume", range(8, 47))
def test_strength_by_baume(baume: int) -> None:
    gravity = float(specific_gravity_by_baume(baume))
    by_density = strength_by_density(gravity)
    assert 5 <= by_density <= 45
    assert float(percent_by_baume(baume)) == pytest.approx(by_density, abs=0.05)
    if baume <= 45:  # Thomssen 1922, p. 234: for another hydrometer; at 46 °Bé it is 1.1 points off, as he prints it
        assert float(percent_by_old_table(baume)) == pytest.approx(by_density, abs=1.0)


@pytest.mark.parametrize("twaddell", range(15, 86, 5))
def test_strength_by_twaddell_against_a_printed_table(twaddell: int) -> None:
    # Simmons & Appleton 1908, Appendix C, after Hurst; above 85 °Tw (39.5 %) it prints 1.1 points less than this
    table = {f.x: f.value for f in solution_figures("content by degrees Twaddell")}
    assert float(percent_by_twaddell(twaddell)) == pytest.approx(table[twaddell], abs=1.0)


def test_scales_of_the_reference_table() -> None:
    moduli = [f.value for f in solution_figures("Baume modulus", "")]
    assert BAUME_MODULUS in moduli
    # Simmons & Appleton 1908, Appendix C: 72 °Tw is 1.360
    assert float(specific_gravity_by_twaddell(72)) == pytest.approx(1.360)
    # Appendix A of the same book, European degrees: specific gravity 1.500 is 48.1 °Bé
    assert float(specific_gravity_by_baume(48.1, min(moduli))) == pytest.approx(1.500, abs=0.001)


@pytest.mark.parametrize(("celsius", "used"), [(15.56, WATER_DENSITY_60F), (20.0, WATER_DENSITY)])
def test_density_of_water(celsius: float, used: float) -> None:
    # IAPWS-95, by the library `chemicals`
    assert used == pytest.approx(chemicals.iapws95_rho(celsius + 273.15, 101325) / 1000, abs=2e-5)


def test_a_warm_lye_is_stronger_than_it_looks() -> None:
    at = percent_by_specific_gravity(1.33, np.array([15.56, 25, 40]))
    assert (np.diff(at) > 0).all()


def test_heat_of_solution_where_it_was_seen() -> None:
    # Felder & Rousseau, Table B.11, in a solved problem: -34.43 kJ/mol at 4 mol of water
    percent = 100 * 39.9971 / (39.9971 + 4 * 18.0153)
    assert float(heat_of_solution(percent)) == pytest.approx(34.43 / 39.9971 * 1000, rel=0.001)


def test_heat_of_solution_nears_that_at_infinite_dilution() -> None:
    # From enthalpies of formation, by the library `chemicals`: 44.3 kJ/mol; the bound at 10 % is a little less
    dilute = -solution_figures("heat of solution at infinite dilution")[0].value / 39.9971 * 1000
    assert float(heat_of_solution(10)) == pytest.approx(dilute, rel=0.05)


def test_lye_as_measured_in_a_jug_stays_below_the_bound() -> None:
    # Common practice, no source: about 31 % NaOH in rain water settles near 148 to 150 °F (65 °C) in an open jug.
    for start in (10, 15, 20, 25):
        assert 65 < float(hottest_lye(31, start)) < 120


def test_ice_takes_heat() -> None:
    bounds = hottest_lye(31, 0, np.array([0, 0.5, 1]))
    assert (np.diff(bounds) < -20).all()


@pytest.mark.parametrize(
    ("key", "density_at_20_c"),
    [
        # Perry, 8th edition, Table 2-32, and VDI Heat Atlas, as the library `chemicals` has them
        ("acetic acid", lambda: 1e-6 * 60.052 * perry("64-19-7")),
        ("propylene glycol", lambda: 1e-6 * 76.094 * perry("57-55-6")),
        ("glycerine", lambda: 1e-3 * vdi("56-81-5")),
        # Four parts of water, one of salt; M. Laliberté, J. Chem. Eng. Data 54 (2009) 1725
        ("brine", lambda: 1e-3 * salt_water(0.2)),
    ],
)
def test_densities_of_liquids_by_the_library(key: str, density_at_20_c: Callable[[], float]) -> None:
    assert substances()[key].density == pytest.approx(density_at_20_c(), abs=0.001)


def perry(cas: str) -> float:
    """Density [mol/m³] at 20 °C."""
    row = chemicals.volume.rho_data_Perry_8E_105_l.loc[cas]
    return float(chemicals.EQ105(293.15, *(float(row[f"C{number}"]) for number in range(1, 5))))


def vdi(cas: str) -> float:
    """Density [kg/m³] at 20 °C."""
    row = chemicals.volume.rho_data_VDI_PPDS_2.loc[cas]
    left = 1 - 293.15 / row["Tc"]
    powers = (0.35, 2 / 3, 1, 4 / 3)
    return float(row["rhoc"] + sum(row[letter] * left**power for letter, power in zip("ABCD", powers, strict=True)))


def salt_water(share: float) -> float:
    """Density [kg/m³] of salt water at 20 °C, by the formula that `laliberte_density` has for lye."""
    return 1000 * float(laliberte_density(100 * share, 20, "NaCl"))


def test_a_cream_lies_between_milk_and_heavy_cream() -> None:
    known = substances()
    milk, heavy = known["cow milk"], known["cream, heavy"]
    for key in ("cream, half and half", "cream, light", "cream, whipping"):
        share = (known[key].fat - milk.fat) / (heavy.fat - milk.fat)
        assert known[key].density == pytest.approx(milk.density + share * (heavy.density - milk.density), abs=0.001)
