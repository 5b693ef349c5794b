"""The examples in the docstrings of what reads words."""

import doctest
from types import ModuleType

import pytest

from sheetcheck.reading import headings
from sheetcheck.reading.amounts import amount
from sheetcheck.reading.names import acids, identify
from sheetcheck.reading.units import unit_list


@pytest.mark.parametrize("module", [acids, amount, headings, identify, unit_list], ids=lambda module: module.__name__)
def test_the_examples_hold(module: ModuleType) -> None:
    result = doctest.testmod(module)
    assert result.attempted
    assert not result.failed
