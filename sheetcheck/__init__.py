"""sheetcheck: reads a soap maker's recipe workbook and says which cell is probably wrong.

>>> import sheetcheck
>>> audit = sheetcheck.audit("book.xlsx")  # doctest: +SKIP
>>> audit.recipes[["name", "superfat_typical", "verdict"]]  # doctest: +SKIP
"""

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sheetcheck.pipeline import audit, check

__all__ = ["audit", "check"]
__version__ = "0.1.0"


def __getattr__(name: str) -> object:
    if name in __all__:  # loads the stages, and pandas with them, only when they are used
        return getattr(importlib.import_module("sheetcheck.pipeline"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
