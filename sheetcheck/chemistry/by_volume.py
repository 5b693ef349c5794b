"""Lye that is measured in millilitres, cups or fluid ounces: its strength gives its density, and that its weight."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from sheetcheck.chemistry.lines import STRONGEST_SOLUTION
from sheetcheck.chemistry.solution import density
from sheetcheck.chemistry.table import KOH, NAOH
from sheetcheck.model import Book, address
from sheetcheck.reading.units.units import dimension, per_unit


def with_lye_weighed(book: Book) -> Book:
    """Weigh the lye of a book that is measured by volume and whose strength is known; all else stays.

    It is taken at 20 °C, and stays marked as measured by volume: a scale is surer.
    """
    lines = book.components
    asked = lines["by_volume"] & lines["grams"].isna() & lines["substance"].isin([NAOH, KOH])
    asked &= (lines["strength"] < STRONGEST_SOLUTION) & lines["value"].gt(0)
    if not asked.any():
        return book
    lye = lines[asked]
    kinds = np.where(lye["substance"] == KOH, "KOH", "NaOH")
    millilitres = [v * per_unit(str(u)) if dimension(str(u)) == "volume" else np.nan
                   for v, u in zip(lye["value"], lye["unit"], strict=True)]  # fmt: skip
    heavy = [float(density(100 * s, alkali=str(kind))) for s, kind in zip(lye["strength"], kinds, strict=True)]
    grams = pd.Series(np.multiply(millilitres, heavy), index=lye.index).dropna()
    problem = lines["problem"].astype(object)
    problem.loc[grams.index] = None
    weighed = lines["grams"].copy()
    weighed.loc[grams.index] = grams
    read = lye.loc[grams.index]
    places = {(s, address(r, c)) for s, r, c in zip(read["sheet"], read["row"], read["column"], strict=True)}
    return replace(
        book,
        components=lines.assign(grams=weighed, problem=problem),
        recipes=book.recipes.assign(
            unread=book.recipes["unread"].sub(read.groupby("recipe").size(), fill_value=0).astype("int64")
        ),
        not_understood=tuple(n for n in book.not_understood if (n.sheet, n.cell) not in places),
    )
