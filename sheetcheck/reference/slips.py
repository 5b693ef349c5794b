"""How often which slip is made, and what is usual in the trade: the table `slips.csv`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from sheetcheck.reference.tables import rows


@dataclass(frozen=True, slots=True)
class Prior:
    """One number of the table, with where it comes from."""

    name: str
    group: str  # rate | slip | habit
    value: float
    meaning: str
    source: str


@cache
def slip_table() -> Mapping[str, Prior]:
    """Return every number of the table by its name."""
    return {
        row["name"]: Prior(row["name"], row["group"], float(row["value"]), row["meaning"], row["source"])
        for row in rows("slips.csv")
    }


@cache
def slip_names() -> tuple[str, ...]:
    """Return the slips whose weights a setting may change."""
    return tuple(prior.name for prior in slip_table().values() if prior.group == "slip")
