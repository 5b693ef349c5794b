"""How often which slip is made, and what is usual in the trade: the table `reference/slips.csv`."""

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
def table() -> Mapping[str, Prior]:
    """Return every number of the table by its name."""
    return {
        row["name"]: Prior(row["name"], row["group"], float(row["value"]), row["meaning"], row["source"])
        for row in rows("slips.csv")
    }


def usual(name: str) -> float:
    """Return what is usual in the trade."""
    return table()[name].value


@cache
def chance(slip: str) -> float:
    """Probability that one typed number is wrong by this slip: the share of wrong numbers times the slip's weight."""
    total = sum(prior.value for prior in table().values() if prior.group == "slip" and prior.name != "second reading")
    return table()["wrong number"].value * table()[slip].value / total
