"""Why an amount that bears on lye or water could not be used: one cause per amount, so that one rule speaks of it."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from sheetcheck.reference import substances
from sheetcheck.rules.support.choice import first_that_holds
from sheetcheck.rules.support.evidence import Evidence, once

if TYPE_CHECKING:
    import pandas as pd

_ERROR = r"#[A-Z/0?!]+[!?A]?"


class Cause(StrEnum):
    """Causes; where several would hold, the first one listed does."""

    NO_STORED_VALUE = "a formula without a stored value"
    ERROR_VALUE = "an error value"
    NOT_POSITIVE = "zero or negative"
    NOT_COMPUTABLE = "recognised, and cannot be computed with"
    AMBIGUOUS_NAME = "a name that may mean several things"
    WHICH_LYE = "lye, and nothing says which"
    UNKNOWN_NAME = "a name that is not known"
    NOT_READ = "an amount that was not read"
    NONE = ""


@once
def causes(evidence: Evidence) -> pd.Series[str]:
    """Give each component its cause; none for what was understood, and for what bears on neither lye nor water."""
    lines = evidence.components
    bears, unread = lines["bears"], lines["grams"].isna()
    without_value = bears & unread & lines["value"].isna()
    written = lines.loc[without_value, "written"].fillna("").astype(str)
    blank, error = written == "", written.str.fullmatch(_ERROR)
    certainty = lines["name_certainty"]
    conditions = [
        (Cause.NO_STORED_VALUE, blank.reindex(lines.index, fill_value=False) & (lines["stored"] == "formula")),
        (Cause.ERROR_VALUE, error.reindex(lines.index, fill_value=False)),
        (Cause.NOT_POSITIVE, bears & (lines["value"] <= 0)),
        (Cause.NOT_COMPUTABLE, is_refused(lines)),
        (Cause.AMBIGUOUS_NAME, bears & (certainty == "ambiguous")),
        (Cause.WHICH_LYE, bears & (lines["role"] == "alkali") & lines["substance"].isna() & (lines["value"] > 0)),
        (Cause.UNKNOWN_NAME, bears & (lines["role"] == "unknown") | bears & (certainty == "unknown")),
        (Cause.NOT_READ, bears & unread),
    ]
    return first_that_holds(conditions, Cause.NONE)


def is_refused(lines: pd.DataFrame) -> pd.Series[bool]:
    """Tell which components are recognised and cannot be computed with: washing soda, a can of lye, borax."""
    refused = [key for key, substance in substances().items() if substance.kind == "refused"]
    return lines["substance"].isin(refused)
