"""What may take up lye and may not, line by line: vinegar of unknown strength, fat that may be raw, borax."""

from __future__ import annotations

import numpy as np
import pandas as pd

from sheetcheck.chemistry.lines import read_lines
from sheetcheck.chemistry.said import questions
from sheetcheck.chemistry.table import table
from sheetcheck.reference import substances
from sheetcheck.settings import Settings


def in_doubt(recipes: pd.DataFrame, components: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Return the lines of which a gram may take up more than it surely does.

    Parameters
    ----------
    recipes
        As `batch.compute` gives them; used: doubtful_points.
    components
        Columns of `model.COMPONENT_COLUMNS`.
    settings
        As in `batch.compute`.

    Returns
    -------
    DataFrame
        Some of the components, with two columns more: points (how many points of superfat the line leaves open [%]),
        and ask (what is to be said of it, in English).
    """
    lines = read_lines(recipes.index, components, table(), settings)
    amount = lines.of(lines.doubtful)
    every = lines.total(np.nan_to_num(amount))[lines.recipe]
    points = recipes["doubtful_points"].reindex(components["recipe"]).to_numpy(dtype=np.float64)
    with np.errstate(invalid="ignore", divide="ignore"):
        made = components.assign(points=points * amount / every)[amount > 0]
    asked = questions(made)
    return made.assign(
        ask=[ask or substances()[str(key)].note for ask, key in zip(asked, made["substance"], strict=True)]
    )
