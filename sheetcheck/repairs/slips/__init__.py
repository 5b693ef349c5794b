"""What can go wrong when a recipe is written down: one file for each sort of slip, each giving hypotheses on a row.

A module of this folder has `hypotheses(row)`, which yields every `Slip` of its sort that could have left what is
written, or `blocks(row)`, which yields a `Block` of them where they are many and simple. To add a sort, add a file.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Iterator
from functools import cache
from importlib import import_module

from sheetcheck.repairs.row import Block, Row, Slip


@cache
def _of_all(name: str) -> tuple[Callable[[Row], Iterator[Slip | Block]], ...]:
    modules = [import_module(f"{__name__}.{found.name}") for found in pkgutil.iter_modules(__path__)]
    return tuple(getattr(module, name) for module in modules if hasattr(module, name))


def all_hypotheses(row: Row) -> tuple[list[Block], list[Slip]]:
    """Return every single slip that could have left what this row holds."""
    found = [item for name in ("blocks", "hypotheses") for sort in _of_all(name) for item in sort(row)]
    return [item for item in found if isinstance(item, Block)], [item for item in found if isinstance(item, Slip)]
