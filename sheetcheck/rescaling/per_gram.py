"""What a gram of each line takes up and brings: what superfat, strength and tolerance on a weigh sheet come from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from sheetcheck.chemistry.lines import read_lines
from sheetcheck.chemistry.table import table
from sheetcheck.model import Audit
from sheetcheck.reference import constants
from sheetcheck.rescaling.bench import Floats


@dataclass(frozen=True)
class PerGram:
    """One entry for each line of a frame of lines.

    Parameters
    ----------
    takes_up, brings
        NaOH that one gram takes up, and that it brings (KOH as the NaOH that it stands for).
    pure
        Pure alkali of its own kind in one gram.
    water
        Water in one gram.
    """

    is_alkali: npt.NDArray[np.bool_]
    takes_up: Floats
    brings: Floats
    pure: Floats
    water: Floats


def per_gram(audit: Audit, jobs: pd.Index, lines: pd.DataFrame) -> PerGram:
    """Look up every line; what is not known of it counts as nothing."""
    values = table(tuple(audit.book.own_values) if audit.settings.use_own_values else ())
    known = read_lines(jobs, lines, values, audit.settings)
    pure = np.where(known.is_alkali, np.nan_to_num(known.strength), 0.0)
    return PerGram(
        is_alkali=np.asarray(known.is_alkali, dtype=bool),
        takes_up=np.where(known.is_alkali, 0.0, np.nan_to_num(known.typical)),
        brings=pure * np.where(known.is_koh, constants().naoh_per_koh, 1.0),
        pure=pure,
        water=np.nan_to_num(known.water),
    )
