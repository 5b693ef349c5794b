"""A total that is stated wrongly while the amounts are right."""

from __future__ import annotations

from collections.abc import Iterator
from math import log

import numpy as np

from sheetcheck.repairs.row import Row, Slip


def hypotheses(row: Row) -> Iterator[Slip]:
    """Yield each typed total as the one thing that is wrong."""
    for term in ("fats_total", "batch_total"):
        if np.isfinite(getattr(row.context, term)):
            log_prior = row.chance("statement wrong") - log(len(row.cells))
            yield Slip("other", (), log_prior, statement=term)
