"""The columns of the frames that pass between the stages.

Masses are grams, shares are percent, rows and columns count from 1. Unknown is NaN (or None), and NaN is never "fine".

A large book has a million amounts: what repeats is a category (a byte a line, compared as a number), so that an unknown
one reads as NaN, not None.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

Verdict = Literal["fine", "flagged", "not checked"]
Role = Literal["fat", "alkali", "liquid", "acid", "additive", "unknown"]
UnitFrom = Literal["cell text", "number format", "unit column", "heading", "sheet note", "setting"]
RowKind = Literal["number", "text", "formula"]
StatementKind = Literal[
    "superfat", "fats total", "batch total", "lye concentration", "liquid to lye", "share of fats", "alkali strength",
    "same amount", "liquid to fats", "yield",
]  # fmt: skip

COMPONENT_COLUMNS: Mapping[str, str] = {
    # one line per amount of a recipe, in reading order
    "recipe": "int64",  # index of the recipe in the frame of recipes
    "sheet": "category",
    "row": "int32",  # the cell that holds the amount
    "column": "int32",
    "name_row": "int32",  # the cell that names the ingredient (a heading, or the cell beside); 0 where none
    "name_column": "int32",
    "name": "category",  # the ingredient as the sheet names it
    "role": "category",  # Role
    "substance": "category",  # key in the reference tables, None where not known for certain
    "name_certainty": "category",  # exact | read as | ambiguous | unknown
    "written": "object",  # the text as it stands; None for a plain number, which `value` then gives
    "stored": "category",  # RowKind: how the cell holds it
    "value": "float64",  # the amount in `unit`
    "unit": "category",  # a canonical symbol of reference/units.txt, None where none could be found
    "unit_from": "category",  # UnitFrom
    "units_said": "object",  # None, or a tuple of (UnitFrom, unit), where two sources contradict each other
    "grams": "float64",  # NaN where the amount was not read
    "other_grams": "float64",  # a second possible reading (`1.250 g`), else NaN
    "by_volume": "bool",  # turned into grams with a density or a published weight per measure
    "strength": "float64",  # share of pure substance, 0 to 1, where the name or a cell says it; else NaN
    "decimals": "int8",  # decimals as written
    "bears": "bool",  # bears on lye or water: fats, alkali, liquids, acids and anything unknown
    "problem": "object",  # why grams is NaN, in the maker's words; None where it was read
}

DEMAND_OFF = "demand_off"  # a further column where a name leaves two fats open: float64, g NaOH for 1 g, else NaN

STATEMENT_COLUMNS: Mapping[str, str] = {
    # one line per thing that the sheet says about a recipe beyond its amounts
    "recipe": "int64",
    "sheet": "category",
    "row": "int32",
    "column": "int32",
    "kind": "category",  # StatementKind
    "about_row": "int32",  # of a share of fats, or an amount stated again: the cell of the amount (or name), else 0
    "about_column": "int32",
    "written": "object",
    "stored": "category",
    "value": "float64",  # percent for shares, grams for totals and amounts, a plain ratio for liquid to lye
    "other_value": "float64",  # a second reading: a bare 0.05 is 5 % or 0.05 %
    "unit": "category",  # unit that a total is written in
    "place": "category",  # column | line | remark | section | sheet
}

RECIPE_READ_COLUMNS: Mapping[str, str] = {
    # one line per recipe, filled by reading/
    "name": "object",  # as the workbook has it
    "sheet": "object",
    "layout": "object",
    "row": "int64",  # the anchor: the cell with the recipe's name
    "column": "int64",
    "first_row": "int64",  # the range it covers
    "first_column": "int64",
    "last_row": "int64",
    "last_column": "int64",
    "table": "int64",  # number of the table on its sheet that the recipe stands in, else 0
    "section": "object",  # section title above it, "" where none
    "remarks": "object",  # everything said beside it, joined
    "struck": "bool",  # crossed out by the maker
    "unit": "object",  # the mass unit most of its amounts are written in
    "stated_superfat": "float64",  # percent; NaN where the sheet states none
    "stated_superfat_other": "float64",  # the second reading of an ambiguous statement
    "stated_concentration": "float64",  # percent, of a stated lye concentration or ratio of liquid to lye; else NaN
    "no_margin_stated": "bool",  # the sheet itself states 0 to 1 % (column, remark or section title)
    "unread": "int64",  # amounts that bear on lye or water and were not read
}

RECIPE_COMPUTED_COLUMNS: Mapping[str, str] = {
    # filled by chemistry/; names and meaning as in the audit report; chemistry/batch.py adds and describes more
    "fat_g": "float64",
    "fat_in_liquids_g": "float64",
    "alkali": "object",  # NaOH | KOH | mixed | None
    "alkali_g": "float64",
    "needed_low_g": "float64",
    "needed_typical_g": "float64",
    "needed_high_g": "float64",
    "water_g": "float64",
    "liquid_g": "float64",
    "superfat_low": "float64",
    "superfat_typical": "float64",
    "superfat_high": "float64",
    "lye_concentration": "float64",
    "water_per_lye": "float64",
    "free_alkali_percent": "float64",  # of the whole batch; 0 where superfat is not negative
    "batch_g": "float64",
    "alkali_recomputed_g": "float64",
    "liquid_recomputed_g": "float64",
}

RECIPE_JUDGED_COLUMNS: Mapping[str, str] = {
    # filled by the pipeline once rules and repairs have spoken
    "verdict": "object",  # Verdict
    "signal": "object",  # the worst Signal of its findings, or None
    "why_not_checked": "object",  # None where it was checked
}
