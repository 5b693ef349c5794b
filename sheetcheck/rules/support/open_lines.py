"""The lines that leave open how much lye they take up, reckoned once for all rules."""

from __future__ import annotations

import pandas as pd

from sheetcheck.chemistry.doubt import in_doubt
from sheetcheck.rules.support.evidence import Evidence, once


@once
def open_lines(evidence: Evidence) -> pd.DataFrame:
    """Return the lines that may take up more than they surely do, as `chemistry.doubt.in_doubt` has them."""
    return in_doubt(evidence.recipes, evidence.components, evidence.settings)
