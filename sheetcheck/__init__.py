"""sheetcheck: reads a soap maker's recipe workbook and says which cell is probably wrong.

>>> import sheetcheck
>>> audit = sheetcheck.audit("book.xlsx")  # doctest: +SKIP
>>> audit.recipes[["name", "superfat_typical", "verdict"]]  # doctest: +SKIP
>>> batches = sheetcheck.rescale("book.xlsx", "mould=2 box 24x8x7 cm")  # doctest: +SKIP
>>> batches.recipes[["name", "batches", "superfat_typical"]]  # doctest: +SKIP
"""

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sheetcheck.pipeline import audit, check
    from sheetcheck.pipeline import rescaled as rescale

__all__ = ["audit", "check", "rescale"]
__version__ = "0.2.0"
_STAGES = {"audit": "audit", "check": "check", "rescale": "rescaled"}  # what the pipeline calls them


def __getattr__(name: str) -> object:
    if name in _STAGES:  # loads the stages, and pandas with them, only when they are used
        return getattr(importlib.import_module("sheetcheck.pipeline"), _STAGES[name])
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*__all__, "__version__"])
