"""What can go wrong when a recipe is written down: one file for each sort of slip, each giving hypotheses on a row.

A module of this folder has `hypotheses(row)`, which yields every `Slip` of its sort that could have left what is
written, or `blocks(row)`, which yields a `Block` of them where they are many and simple. To add a sort, add a file.
"""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Iterator
from functools import cache
from importlib import import_module
from types import ModuleType

from sheetcheck import faults
from sheetcheck.repairs.row import Block, Row, Slip
from sheetcheck.words import later, tr

Sort = Callable[[Row], Iterator[Slip | Block]]

_LEFT_OUT = later("One sort of slip was not tried on every recipe; what is suggested for those may be incomplete.")


@cache
def _of_all(name: str) -> tuple[tuple[str, Sort], ...]:
    modules = [import_module(f"{__name__}.{found.name}") for found in pkgutil.iter_modules(__path__)]
    return tuple((_name(module), getattr(module, name)) for module in modules if hasattr(module, name))


def _name(module: ModuleType) -> str:
    return module.__name__.rpartition(".")[2]


def all_hypotheses(row: Row) -> tuple[list[Block], list[Slip]]:
    """Return every single slip that could have left what this row holds; a sort that fails is left out."""
    found: list[Slip | Block] = []
    for kind in ("blocks", "hypotheses"):
        for name, sort in _of_all(kind):
            with faults.part(f"slip {name}", tr(_LEFT_OUT)):
                found += list(sort(row))
    return [item for item in found if isinstance(item, Block)], [item for item in found if isinstance(item, Slip)]
