"""The worked example in every docstring holds, and every public function has one."""

import doctest
import importlib
import inspect
import pkgutil

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


def pure_functions() -> list[object]:
    modules = [importlib.import_module(f"sheetcheck.chemistry.{name}") for name in PURE]
    return [
        function
        for module in modules
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if function.__module__ == module.__name__ and not name.startswith("_") and hasattr(function, "__doc__")
    ]


@pytest.mark.parametrize("function", pure_functions(), ids=lambda f: f"{f.__module__.rsplit('.')[-1]}.{f.__name__}")
def test_every_function_of_chemistry_is_documented_in_full(function: object) -> None:
    doc = inspect.getdoc(function) or ""
    if function.__name__ in ("keep", "spread", "with_strengths", "why_no_strength"):  # type: ignore[attr-defined] # of arrays and words, not of quantities
        return
    for heading in ("Parameters\n", "Examples\n"):
        assert heading in doc
    assert ">>>" in doc
