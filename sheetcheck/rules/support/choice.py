"""One word for each line of a frame: that of the first condition which holds."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

import numpy as np
import pandas as pd


def first_that_holds(conditions: Sequence[tuple[StrEnum, pd.Series[bool]]], otherwise: StrEnum) -> pd.Series[str]:
    """Give each line the word of the first condition that holds for it, `otherwise` where none does.

    Parameters
    ----------
    conditions
        Words with masks of equal index; a word may stand there more than once.
    """
    words = list(dict.fromkeys([*(str(word) for word, _ in conditions), str(otherwise)]))
    masks = [mask.to_numpy(dtype=bool) for _, mask in conditions]
    numbers = [np.int8(words.index(word)) for word, _ in conditions]
    chosen = np.select(masks, numbers, np.int8(words.index(otherwise)))
    return pd.Series(pd.Categorical.from_codes(chosen, pd.Index(words)), index=conditions[0][1].index)
