"""The worked example in every docstring holds, and every public function has one."""

import dataclasses
import doctest
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable

import numpy as np
import pytest

import sheetcheck.chemistry

PURE = (
    "acids",
    "alkali",
    "demand",
    "heat",
    "liquid",
    "outcome",
    "ranges",
    "solution",
    "strength",
    "superfat",
    "volume",
)


@pytest.mark.parametrize("name", [module.name for module in pkgutil.iter_modules(sheetcheck.chemistry.__path__)])
def test_examples_in_docstrings_hold(name: str) -> None:
    module = importlib.import_module(f"sheetcheck.chemistry.{name}")
    assert doctest.testmod(module).failed == 0


def pure_functions() -> list[Callable[..., object]]:
    modules = [importlib.import_module(f"sheetcheck.chemistry.{name}") for name in PURE]
    return [
        function
        for module in modules
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if function.__module__ == module.__name__ and not name.startswith("_") and hasattr(function, "__doc__")
    ]


# Of words and of what every quantity has in common, not of quantities.
NOT_OF_QUANTITIES = (
    "keep",
    "why_not",
    "with_strengths",
    "why_no_strength",
    "tells_strength",
    "strength_said",
    "shown_strength",
    "as_alkali",
)


def test_every_module_is_either_of_quantities_or_of_tables() -> None:
    tables = {
        *(
            "batch",
            "by_volume",
            "comes_out",
            "doubt",
            "effects",
            "lines",
            "recognised",
            "recomputed",
            "said",
            "stated_strength",
            "table",
        ),
    }
    assert {module.name for module in pkgutil.iter_modules(sheetcheck.chemistry.__path__)} == tables | set(PURE)


def section(doc: str, heading: str) -> str:
    """Return one section of a docstring in the style of numpydoc."""
    found = re.search(rf"^{heading}\n-+\n(.*?)(?=^\w[\w ]*\n-+\n|\Z)", doc, re.DOTALL | re.MULTILINE)
    return found[1] if found else ""


@pytest.mark.parametrize(
    "function",
    [f for f in pure_functions() if f.__name__ not in NOT_OF_QUANTITIES],  # type: ignore[attr-defined] # functions
    ids=lambda f: f"{f.__module__.rsplit('.')[-1]}.{f.__name__}",
)
def test_every_function_of_chemistry_is_documented_in_full(function: Callable[..., object]) -> None:
    doc = inspect.getdoc(function) or ""
    parameters = section(doc, "Parameters")
    assert ".. math::" in doc or "inverse of" in doc, "no formula"
    assert re.search(r"\[[^\]]+\]", parameters + section(doc, "Returns")), "no unit"
    assert re.search(r"shape|broadcast|axis|[Aa]s in", parameters), "no shape"
    assert ">>>" in section(doc, "Examples"), "no worked example"
    assert len(section(doc, "References")) > 10, "no reference"
    for name in inspect.signature(function).parameters:
        assert re.search(rf"^(?:\w+, )*{name}\b", parameters, re.MULTILINE), f"{name} is not described"


UNBOUNDED = 1e12  # outside every range but that of masses
WORDS = {"alkali", "kind", "modulus"}  # arguments that choose a table or a scale, beside quantities of the same name
OF_LISTS = {"spread", "saponification_value_of_blend"}


@pytest.mark.parametrize(
    "function",
    [f for f in pure_functions() if f.__name__ not in (*NOT_OF_QUANTITIES, *OF_LISTS)],  # type: ignore[attr-defined] # functions
    ids=lambda f: f"{f.__module__.rsplit('.')[-1]}.{f.__name__}",
)
def test_outside_its_range_every_quantity_gives_nan(function: Callable[..., object]) -> None:
    """Each argument in turn is made -1e12 and NaN: what comes out is NaN, never a number that looks like a result."""
    sound = {name: example(function.__name__, name) for name in inspect.signature(function).parameters}
    words = {name for name, value in sound.items() if isinstance(value, str) or name == "modulus"}
    assert not np.isnan(numbers(function(**sound))).any(), sound
    for name in sound.keys() - words:
        for value in (-UNBOUNDED, np.nan):
            assert np.isnan(numbers(function(**sound | {name: value}))).any(), (name, value)


def numbers(result: object) -> np.ndarray:
    """Return all numbers of a result: an array, a tuple of arrays, or the shares of a soap."""
    if dataclasses.is_dataclass(result):
        result = tuple(getattr(result, field.name) for field in dataclasses.fields(result))
    return np.array([float(part) for part in (result if isinstance(result, tuple) else (result,))])  # type: ignore[arg-type]  # parts are numbers


EXAMPLES: dict[str, float | str] = {
    "superfat": 5, "discount": 5, "excess": 2, "surplus": 5, "before": 0, "added": 5, "purity": 0.9, "strength": 0.5,
    "saponification_value": 195, "molecular_weight": 860, "molar_mass": 192.1, "acid_groups": 3, "acids": 3,
    "acid_value": 15, "percent": 30, "temperature": 20, "start_temperature": 20, "ice": 0.5, "baume": 36,
    "twaddell": 72, "specific_gravity": 1.33, "concentration": 30, "density_g_per_ml": 0.9, "fat_density": 0.9,
    "lye_density": 1.3, "lye_per_fat": 0.43, "moisture": 0.03, "carbon_dioxide": 0.02, "gain": 0.05, "water_left": 0.1,
    "per_g": 0.6, "blank_ml": 25.6, "sample_ml": 18.95, "molarity": 1, "relative_demand": 1.0, "modulus": 145.0,
    "kind": "NaOH", "fat_takes": 0.16, "batch": 1500, "needed": 140, "water": 300, "fat": 1000,
}  # fmt: skip


def example(function: str, name: str) -> float | str:
    """Return a sound value for an argument."""
    if name == "alkali":
        by_word = ("alkali_needed", "density", "purity_after_ageing", "percent_by_baume", "percent_by_old_table",
                   "percent_by_specific_gravity", "percent_by_twaddell")  # fmt: skip
        return "NaOH" if function in by_word else 130.0
    if name == "mass" and function == "saponification_value_by_titration":
        return 1.8976
    return EXAMPLES.get(name, 100.0)
