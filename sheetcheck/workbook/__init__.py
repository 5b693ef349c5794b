"""Workbooks as files: read into grids, copied with marks. Nothing heavy is imported before it is asked for."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sheetcheck.workbook.copy import remove_marks, write_copy
    from sheetcheck.workbook.read import read_workbook

__all__ = ["read_workbook", "remove_marks", "write_copy"]

_HOME = {"read_workbook": "read", "remove_marks": "copy", "write_copy": "copy"}


def __getattr__(name: str) -> object:
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_HOME[name]}"), name)
