"""The tables of this benchmark, drawn up without a look at the reader's: values with their source, names, words."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

HERE = Path(__file__).parent
NAOH_PER_KOH = 39.997 / 56.1056  # molar masses [g/mol]: values.csv is in mg KOH/g, the maker weighs NaOH
LANGUAGES = ("en", "de", "fr", "es", "it", "nl")
JOINT = "·"  # where a compound name can be taken apart


def _rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@cache
def naoh_per_gram() -> dict[str, float]:
    """NaOH that a gram of each fat takes up [g/g], from the middle of its published range."""
    return {
        row["substance"]: (float(row["low"]) + float(row["high"])) / 2 / 1000 * NAOH_PER_KOH
        for row in _rows("values.csv")
    }


@cache
def full_names(language: str) -> dict[str, str]:
    """Full name by substance; compounds with their joints."""
    return {row["substance"]: row["full"] for row in _rows("names.csv") if row["language"] == language}


@cache
def everyday_names(language: str) -> dict[str, list[str]]:
    """What people call each substance, by substance."""
    return {r["substance"]: r["everyday"].split(";") for r in _rows("names.csv") if r["language"] == language}


@cache
def words(language: str) -> dict[str, list[str]]:
    """Words that may stand for a concept, by concept."""
    return {row["concept"]: row["words"].split(";") for row in _rows("words.csv") if row["language"] == language}
