"""What the sheet tells of fats beside their amounts: which stand in neighbouring columns, which a title names."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np

from sheetcheck.reading.text import fold
from sheetcheck.reference import substances
from sheetcheck.repairs.entries import FAT, Entries, Ints


def beside(entries: Entries) -> Mapping[str, frozenset[str]]:
    """Return for each fat of a table those of the columns (or lines) beside its own; nothing for a list."""
    seen, codes = entries.seen, entries.fat_codes[0]
    found: dict[str, set[str]] = {}
    for sheet in dict.fromkeys(seen.sheet[entries.role == FAT].tolist()):
        here = np.flatnonzero((codes >= 0) & (seen.sheet == sheet))
        for at in (seen.column[here], seen.row[here]):
            for one, two in pairwise(_in_order(codes[here], at)):
                left, right = entries.fat_codes[1][one], entries.fat_codes[1][two]
                found.setdefault(left, set()).add(right)
                found.setdefault(right, set()).add(left)
    return {fat: frozenset(others) for fat, others in found.items()}


def _in_order(codes: Ints, at: Ints) -> list[int]:
    """Return the fats that have each one column, and mostly share none, from left to right."""
    most = int(codes.max(initial=0)) + 1
    pairs = np.unique(at * most + codes)  # in the order of the places
    if len(pairs) > most or len(pairs) == len(codes) > 1:
        return []
    places, fats = pairs // most, pairs % most
    return fats.tolist() if len(set(places.tolist())) == len(set(fats.tolist())) == len(pairs) else []


def named_in(title: object, fats: Sequence[str]) -> frozenset[str]:
    """Return the fats that a title names, by any of their names in the tables."""
    words = f" {fold(title)} " if isinstance(title, str) else ""
    if not words.strip():
        return frozenset()
    known = substances()
    return frozenset(
        fat
        for fat in fats
        if fat in known and any(f" {fold(name)} " in words for names in known[fat].names.values() for name in names)
    )
