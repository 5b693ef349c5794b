"""What `doctor` found: one line for each thing looked at, and what to do where it is not right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.console import Console

from sheetcheck.words import tr


@dataclass(frozen=True)
class Check:
    """One thing looked at. `remedy` is empty where all is well."""

    what: str
    found: str
    remedy: str = ""


def show(checks: Sequence[Check], console: Console) -> bool:
    """Print the checks; say whether all is well."""
    for check in checks:
        mark = tr("missing") if check.remedy else tr("in order")
        console.print(f"{mark:9} {check.what}: {check.found}", highlight=False, markup=False)
        if check.remedy:
            console.print(f"          {check.remedy}", highlight=False, markup=False)
    return not any(check.remedy for check in checks)
