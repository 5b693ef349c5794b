"""What words beside each amount say of a gram of it, as arrays: strength of an acid, fat in a liquid, what is open."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from sheetcheck.chemistry.ranges import Floats
from sheetcheck.reading.names.qualified import NOTHING_SAID, Qualified, doubtful_alone, may_qualify, qualified
from sheetcheck.reading.text import fold


@dataclass(frozen=True, slots=True)
class Said:
    """One entry for each amount; NaN, and factors of 1, where nothing is said."""

    strength: Floats
    fat: Floats
    least: Floats
    most: Floats


def said_beside(components: pd.DataFrame) -> Said:
    """Read what names, and words with the amounts, say; a book of a million amounts has few different ones.

    Parameters
    ----------
    components
        Columns of `model.COMPONENT_COLUMNS`; used: name, substance, and written where it is there.
    """
    count = len(components)
    found = Said(np.full(count, np.nan), np.full(count, np.nan), np.ones(count), np.ones(count))
    for lines, said in _different(components):
        found.strength[lines], found.fat[lines] = said.strength, said.fat
        found.least[lines], found.most[lines] = said.least, said.most
    return found


def questions(components: pd.DataFrame) -> pd.Series[str]:
    """Return what each amount's words leave open, as a question in English; "" where they leave nothing open."""
    asked = pd.Series("", index=components.index, dtype=object)
    for lines, said in _different(components):
        asked.iloc[lines] = said.ask
    return asked


def _different(components: pd.DataFrame) -> list[tuple[npt.NDArray[np.intp], Qualified]]:
    """Return the lines of which something is said, by what that is."""
    name, substance = (components[column].astype("category").cat for column in ("name", "substance"))
    pairs = name.codes.to_numpy().astype(np.int64) * (len(substance.categories) + 1) + substance.codes.to_numpy() + 1
    different, which = np.unique(pairs, return_inverse=True)
    named = [divmod(pair, len(substance.categories) + 1) for pair in different.tolist()]
    pairs_named = [
        ("", "") if at < 0 or key == 0 else (str(name.categories[at]), str(substance.categories[key - 1]))
        for at, key in named
    ]
    certainty = components["name_certainty"] if "name_certainty" in components else pd.Series("", components.index)
    settled = (certainty == "read as").to_numpy()  # a word alone whose recipes told what it means
    found = []
    for number, (text, key) in enumerate(pairs_named):
        said = qualified(text, key) if text else NOTHING_SAID
        if said is not NOTHING_SAID:
            here = which == number
            found.append((np.flatnonzero(here & ~settled if fold(text) in doubtful_alone() else here), said))
    return found + _with_amounts(components)


def _with_amounts(components: pd.DataFrame) -> list[tuple[npt.NDArray[np.intp], Qualified]]:
    """Return the lines of which the words with the amount say something: `40 g (50 % solution)`.

    A text that names the ingredient, or others too, was taken apart when it was read: its name says it all.
    """
    if "written" not in components:
        return []
    texts = components.loc[components["substance"].notna() & (components["unit"] != "%"), "written"].dropna()
    telling = texts[texts.isin([text for text in texts.unique() if may_qualify(text)])]
    found = []
    for place, text in zip(components.index.get_indexer(telling.index), telling, strict=True):
        name, key = components["name"].iloc[place], components["substance"].iloc[place]
        said = qualified(text, key)
        if said is not NOTHING_SAID and not set(fold(str(name)).split()) & set(fold(text).split()):
            found.append((np.array([place]), said))
    return found
