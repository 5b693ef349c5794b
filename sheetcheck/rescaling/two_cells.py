"""Pounds in one column and ounces in the next: one amount, not two."""

from __future__ import annotations

import numpy as np
import pandas as pd

_OUNCES_PER_POUND = 16
_SAME = ["recipe", "sheet", "row", "name", "role"]


def in_one_cell(components: pd.DataFrame) -> pd.DataFrame:
    """Join pounds and the ounces of the same ingredient in the cell beside them into one amount in pounds and ounces.

    What stands alone in one of two such columns is in pounds and ounces too, in the place of the first.
    """
    unit = components["unit"].astype(object)
    pounds, ounces = components[unit == "lb"], components[unit == "oz"]
    beside = pounds[_SAME].assign(column=pounds["column"] + 1, pound=pounds.index)
    both = ounces[[*_SAME, "column"]].assign(ounce=ounces.index).merge(beside, on=[*_SAME, "column"])
    if both.empty:
        return components
    joined = components.assign(unit=unit)
    for column, per_pound in (("grams", 1), ("other_grams", 1), ("value", _OUNCES_PER_POUND)):
        joined.loc[both["pound"], column] += joined.loc[both["ounce"], column].to_numpy() / per_pound
    of_ounces = set(zip(both["sheet"], both["column"], strict=True))
    places = zip(joined["sheet"], joined["column"], strict=True)
    right, left = np.array([(place in of_ounces, (place[0], place[1] + 1) in of_ounces) for place in places]).T
    alone = right & (unit == "oz").to_numpy()
    joined.loc[alone, ["column", "name_column"]] -= 1
    joined.loc[alone, "value"] /= _OUNCES_PER_POUND
    joined.loc[alone | (left & (unit == "lb").to_numpy()), "unit"] = "lb oz"
    return joined.drop(index=both["ounce"].tolist())
