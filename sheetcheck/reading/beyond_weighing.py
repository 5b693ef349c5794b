"""Amounts that nobody weighs: what is larger than a lorry's load or lighter than dust is not reckoned with."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sheetcheck.words import tr

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import NDArray

MOST_G, LEAST_G = 1e8, 1e-6  # a hundred tonnes, a millionth of a gram


def take_out(components: pd.DataFrame, statements: pd.DataFrame) -> None:
    """Take what is beyond all weighing for not read, in place: left in, it would overflow what is reckoned with it."""
    beyond = _beyond(components, "grams") | _beyond(components, "value")
    if beyond.any():
        at = np.flatnonzero(beyond)
        components.loc[at, ["grams", "other_grams"]] = np.nan
        components.loc[at, "problem"] = tr("no amount that anyone weighs")
    said = _beyond(statements, "value")
    if said.any():
        statements.loc[np.flatnonzero(said), "value"] = np.nan


def _beyond(frame: pd.DataFrame, column: str) -> NDArray[np.bool_]:
    size = np.abs(frame[column].to_numpy(dtype=np.float64))
    beyond: NDArray[np.bool_] = ~np.isnan(size) & (size != 0) & ~((size >= LEAST_G) & (size <= MOST_G))
    return beyond
