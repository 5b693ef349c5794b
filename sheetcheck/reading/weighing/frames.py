"""The frames of a book while its words are settled: what is known of each recipe, and what was written since."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from sheetcheck.model.frames import DEMAND_OFF
from sheetcheck.reading.candidates import Meaning
from sheetcheck.reading.weighing.doubt import Word
from sheetcheck.reading.weighing.evidence import Known, Lines, Weighing, codes_of_substances
from sheetcheck.reference import constants, limits, substances

_DISSOLVED_BELOW = 0.7  # share of alkali: what is weaker is a solution, the rest of it water
NO_CHOICE = np.empty(0, dtype=np.int64)
NO_LINES = Lines(np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64), np.empty(0, dtype=np.float64))
_OF_ONE_WORD = 20  # lines tell where a word stands
_MOST_RECIPES = 2000  # of a longer book so many, spread over it, are weighed: they tell as much as all


class Frames:
    """The frames of a book while its words are settled."""

    def __init__(self, components: pd.DataFrame, statements: pd.DataFrame) -> None:
        self.components, self.statements = components, statements
        self.recipe = components["recipe"].to_numpy()
        self.grams = components["grams"].to_numpy()
        self.role = np.array(components["role"], dtype=object)
        self.substance = np.array(components["substance"], dtype=object)
        self.strength = components["strength"].to_numpy()
        self.certainty = np.array(components["name_certainty"], dtype=object)
        self.bears = components["bears"].to_numpy().copy()
        self.demand_off = np.full(len(components), np.nan)
        self.sums: list[int] = []
        self.changed = False
        stated = statements[(statements["kind"] == "superfat") & statements["value"].between(0, 40)]
        self.stated = dict(zip(stated["recipe"].tolist(), (stated["value"] / 100).tolist(), strict=True))
        total = statements[(statements["kind"] == "fats total") & statements["value"].notna()]
        self.total = dict(zip(total["recipe"].tolist(), total["value"].tolist(), strict=True))

    def known(self, recipes: NDArray[np.int64], but: NDArray[np.int64]) -> Known:
        """Return what is beyond doubt of some recipes, some lines of theirs left out."""
        place = np.full(int(max(self.recipe.max(initial=0), recipes.max(initial=0))) + 1, -1)
        place[recipes] = np.arange(len(recipes))
        mine = place[self.recipe] >= 0
        mine[but] = False
        at = np.flatnonzero(mine)
        count = len(recipes)
        sums = {name: np.zeros(count) for name in ("fats", "demand", "naoh", "koh", "liquid", "others")}
        lines = {name: np.zeros(count, dtype=np.int64) for name in ("naoh", "koh")}
        whole, named = np.ones(count, dtype=bool), []
        code = codes_of_substances()
        for i, r in zip(at.tolist(), place[self.recipe[at]].tolist(), strict=True):
            role, grams, key = self.role[i], self.grams[i], self.substance[i]
            substance = substances().get(key) if isinstance(key, str) else None
            if not isfinite(grams):
                whole[r] &= not self.bears[i]
            elif role == "fat" and substance is not None and substance.kind == "fat":
                sums["fats"][r] += grams
                sums["demand"][r] += grams * substance.sap_typical / 1000 * constants().naoh_per_koh
                named.append(r * len(code) + code[key])
            elif (
                role == "alkali" and substance is not None and substance.solution_of and not isfinite(self.strength[i])
            ):
                whole[r] = False  # how strong it is may be said elsewhere
            elif role == "alkali" and substance is not None:
                pure = grams * (self.strength[i] if isfinite(self.strength[i]) else 1.0)
                which = "koh" if key == "potassium hydroxide" else "naoh"
                sums[which][r] += pure
                sums["liquid"][r] += grams - pure if pure < _DISSOLVED_BELOW * grams else 0.0
                lines[which][r] += 1
                named.append(r * len(code) + code[key])
            elif role == "liquid":
                sums["liquid"][r] += grams
            elif role == "acid" and substance is not None and isfinite(substance.naoh_per_g):
                sums["demand"][r] += grams * substance.naoh_per_g
            elif role == "additive":
                sums["others"][r] += grams
            elif grams > 0:
                whole[r] = False
        numbers = recipes.tolist()
        stated = np.array([self.stated.get(r, np.nan) for r in numbers])
        total = np.array([self.total.get(r, np.nan) for r in numbers])
        had = np.array(named, dtype=np.int64)
        return Known(
            **sums, stated=stated, total=total, whole=whole, naoh_lines=lines["naoh"], koh_lines=lines["koh"], named=had
        )

    def among_fats(self, at: NDArray[np.int64]) -> float:
        """Return how surely some lines stand among the fats of their recipes: from 1 to -1, behind the lye below these.

        Fats are listed together, mostly above the lye, and additions last.
        """
        told = []
        for i in spread(at, _OF_ONE_WORD).tolist():
            mine = np.flatnonzero(self.recipe == self.recipe[i])
            fats, lye, liquid = (mine[(self.role[mine] == role) & (mine != i)] for role in ("fat", "alkali", "liquid"))
            above = len(lye) > 0 and i < lye[0]
            behind = (lye < i).any() and (liquid < i).any() and (fats < lye[0]).all()
            told.append(1.0 if (i < fats).any() else 0.5 if above else -1.0 if behind else 0.0)
        return float(np.mean(told)) if told else 0.0

    def habit(self, found: Sequence[Word]) -> float:
        """Return the superfat that the rows without doubtful words come out at, a share; NaN where they do not tell."""
        doubtful = np.unique(np.concatenate([self.recipe[w.at] for w in found])) if found else np.empty(0, np.int64)
        clear = spread(np.setdiff1d(np.unique(self.recipe), doubtful))
        if len(clear) < limits()["weighing_rows"].value:
            return np.nan
        weighing = Weighing([], NO_LINES, self.known(clear, np.empty(0, np.int64)))
        superfat = weighing.superfat(NO_CHOICE)
        usual = superfat[(superfat > -0.03) & (superfat < 0.25) & np.isnan(weighing.known.stated)]
        return float(np.median(usual)) if len(usual) >= limits()["weighing_rows"].value else np.nan

    def write(self, at: NDArray[np.int64], meaning: Meaning, demand_off: float = 0.0) -> None:
        """Write what some lines mean, and how far off their demand may be all the same [g NaOH for 1 g]."""
        self.demand_off[at] = demand_off
        if meaning.role == "sum":
            self.sums += at.tolist()
        self.role[at] = "additive" if meaning.role == "sum" else meaning.role
        self.substance[at] = meaning.substance
        self.certainty[at] = "read as" if meaning.substance is not None else "exact"
        self.bears[at] = meaning.role in ("fat", "alkali", "liquid", "acid")
        self.changed = True

    def leave_open(self, at: NDArray[np.int64], likeliest: Meaning) -> None:
        """Take back what likeness or initials made of lines that likelier mean something else: it is asked."""
        other = (self.role[at] != likeliest.role) | (self.substance[at] != likeliest.substance)
        likened = at[((self.certainty[at] == "read as") | (self.role[at] == "additive")) & other]
        self.role[likened], self.substance[likened] = "unknown", None
        self.certainty[likened], self.bears[likened] = "unknown", True
        self.changed |= len(likened) > 0

    def frames(self) -> tuple[pd.DataFrame, pd.DataFrame]:
        """Return the frames; amounts that repeat others have become statements."""
        if not self.changed:
            return self.components, self.statements
        c = self.components
        for name, values in (("role", self.role), ("substance", self.substance), ("name_certainty", self.certainty)):
            c[name] = pd.Categorical(values)
        c["bears"] = self.bears
        if (self.demand_off > 0).any():
            c[DEMAND_OFF] = self.demand_off
        if not self.sums:
            return c, self.statements
        at = sorted(self.sums)
        fats = c[(c["role"] == "fat")].groupby("recipe")["grams"].sum()
        lines = c.iloc[at]
        made = lines[["recipe", "sheet", "row", "column", "written", "stored", "unit"]].copy()
        ratio = lines["grams"].to_numpy() / fats.reindex(lines["recipe"]).to_numpy()
        near_fats = np.abs(ratio - 1) < 0.25
        made["kind"] = np.where(near_fats, "fats total", "batch total")
        made["about_row"], made["about_column"] = 0, 0
        made["value"], made["other_value"], made["place"] = lines["grams"], np.nan, "column"
        statements = pd.concat([self.statements.astype(object), made.astype(object)], ignore_index=True)
        statements = statements.astype(
            {n: t if t != "category" else object for n, t in _types(self.statements).items()}
        )
        for name, kind in _types(self.statements).items():
            if kind == "category":
                statements[name] = statements[name].astype("category")
        statements = statements.sort_values(["recipe", "row", "column"], kind="stable", ignore_index=True)
        return c.drop(index=c.index[at]).reset_index(drop=True), statements[self.statements.columns]


def _types(frame: pd.DataFrame) -> dict[str, str]:
    return {str(name): str(kind) for name, kind in frame.dtypes.items()}


def spread(recipes: NDArray[np.int64], most: int = _MOST_RECIPES) -> NDArray[np.int64]:
    """Return some of many recipes, spread over the book."""
    step = -(-len(recipes) // most)
    return recipes[:: max(step, 1)]
