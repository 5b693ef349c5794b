"""A name was not known as it stands and was read as one that is nearly the same, or as the book's own legend says.

Why it matters
--------------
A slip of spelling, or a short form that the book explains, should not stop the check. If the name was read wrongly,
though, the lye was computed for the wrong fat, so every such reading is shown.

Example
-------
"Olvie oil" was read as olive oil; "OO" was read as olive oil, as the legend in A1 says.

What to do
----------
Nothing, if the reading is right. Otherwise write the name in full, or tell in the settings what it means (`names`).

Source
------
Common practice, no source.
"""

from __future__ import annotations

import pandas as pd

from sheetcheck.model import Finding, ShortForm, Signal
from sheetcheck.reading.text import fold
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.names import by_name, name_place, shown_name
from sheetcheck.words import later, tr

TITLE = later("A name read as another")
NEEDS = ()


def check(evidence: Evidence) -> list[Finding]:
    """Find names that were read as similar ones, or by the book's legend; one finding per name and sheet."""
    lines = evidence.components
    forms = {fold(form.short): form for form in evidence.book.short_forms}
    short = [name for name in lines["name"].dropna().unique() if forms and fold(str(name)) in forms]
    by_legend = by_name(lines[lines["name"].isin(short)]) if short else ()
    taken = (lines["name_certainty"] == "read as") & lines["substance"].notna()
    read_as = by_name(lines[taken & ~lines["name"].isin(short)])
    return [
        *(_read_as(group, tr("whether that is what is meant")) for group in read_as),
        *(_by_legend(group, forms[fold(str(group["name"].iloc[0]))]) for group in by_legend),
    ]


def _read_as(lines: pd.DataFrame, look_at: str) -> Finding:
    place = name_place(lines)
    meaning = shown_name(lines["substance"].iloc[0])
    message = tr("“{name}” was read as {meaning}.", name=place.holds, meaning=meaning)
    return finding(__name__, Signal.NOTICE, place, list(lines["recipe"]), message, look_at=look_at)


def _by_legend(lines: pd.DataFrame, form: ShortForm) -> Finding:
    place, meaning = name_place(lines), lines["substance"].iloc[0]
    where = form.cell if form.sheet == place.sheet else f"{form.sheet}!{form.cell}"
    message = tr(
        "“{name}” was read as {meaning}, as the legend in {cell} says.",
        name=place.holds,
        meaning=shown_name(meaning) if isinstance(meaning, str) else form.meaning,
        cell=where,
    )
    return finding(
        __name__, Signal.NOTICE, place, list(lines["recipe"]), message, look_at=tr("the legend, if that is not meant")
    )
