"""Moulds: what one holds, what a set of them holds, and how a batch is shared out among them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from sheetcheck.reading.text import fold

CENTIMETRES = {"cm": 1.0, "mm": 0.1, "in": 2.54}  # exact by definition
SHAPES = {"box": 3, "cylinder": 2}  # with how many sizes each has

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Mould:
    """One kind of mould: what one holds up to the height of the filling, how many there are, bars cut from each.

    Parameters
    ----------
    ml
        NaN where it is known by the fats of a recipe that fills it, `fats_g`.
    height
        Of the filling, in `unit`; NaN where the shape is not known.
    """

    what: str
    ml: float = math.nan
    count: int = 1
    bars: int = 0
    fats_g: float = math.nan
    height: float = math.nan
    unit: str = ""

    @property
    def shown(self) -> str:
        """What it is, and how many."""
        return f"{self.count} × {self.what}" if self.count > 1 else self.what


@dataclass(frozen=True, slots=True)
class MouldSet:
    """Moulds that are filled together, and the recipes that go into them; none named means all."""

    name: str
    moulds: tuple[Mould, ...]
    recipes: frozenset[str] = frozenset()

    @property
    def ml(self) -> float:
        """Volume of all its moulds; NaN where one is known by its fats."""
        return sum(m.ml * m.count for m in self.moulds)

    @property
    def bars(self) -> int:
        """Bars cut from all its moulds; 0 where a mould does not say."""
        return sum(m.bars * m.count for m in self.moulds) if all(m.bars for m in self.moulds) else 0

    @property
    def by_fats(self) -> bool:
        """Tell whether all its moulds are known by the fats that fill them, so that no volume is needed."""
        return all(not math.isnan(m.fats_g) for m in self.moulds)

    def takes(self, recipe: str) -> bool:
        """Tell whether a recipe goes into this set."""
        return not self.recipes or fold(recipe) in self.recipes

    def full(self, batter_per_fat: Any, made: float) -> Floats:  # noqa: ANN401 - a number, or an array of them
        """Return the batter [mL] in the pot that fills all moulds of the set.

        Parameters
        ----------
        batter_per_fat
            Batter of the recipe for each gram of its fats [mL/g], any shape.
        made
            Share of the batter that leaves the pot. A mould that "holds 60 oz of fats" is full with what leaves it.
        """
        return np.asarray(sum(m.count * _room(m, np.asarray(batter_per_fat), made) for m in self.moulds)) / made

    def apart(self) -> tuple[MouldSet, ...]:
        """Return a set for each kind of mould."""
        if len(self.moulds) == 1:
            return (self,)
        return tuple(MouldSet(f"{self.name}: {m.shown}", (m,), self.recipes) for m in self.moulds)


def _room(mould: Mould, batter_per_fat: Floats, made: float) -> Floats:
    if math.isnan(mould.fats_g):
        return np.asarray(mould.ml, dtype=np.float64)
    return mould.fats_g * batter_per_fat * made


@dataclass(frozen=True, slots=True)
class Pour:
    """What goes into each mould of a kind.

    Parameters
    ----------
    grams, ml
        In one mould; ml NaN where the volume of the batter is not known.
    fill
        Percent of what the mould holds to the height of its filling.
    stands
        Height [unit of the mould] up to which the batter stands; NaN where the shape is not known.
    """

    mould: Mould
    grams: float
    ml: float
    fill: float
    stands: float


def pours(moulds: MouldSet, grams: float, ml: float, fats_g: float, made: float) -> tuple[Pour, ...]:
    """Share a batch out among the moulds of a set, each filled alike.

    Parameters
    ----------
    grams, ml, fats_g
        The whole batch, as it is in the pot: mass, volume (NaN where not known), fats.
    made
        Share of it that leaves the pot.
    """
    per_fat = ml / fats_g if fats_g > 0 else math.nan
    by_fats = moulds.by_fats
    rooms = [m.fats_g if by_fats else float(_room(m, np.asarray(per_fat), made)) for m in moulds.moulds]
    whole = sum(room * m.count for room, m in zip(rooms, moulds.moulds, strict=True))
    full = fats_g / whole if by_fats else ml * made / whole
    return tuple(
        Pour(m, grams * made * room / whole, ml * made * room / whole, 100 * full, m.height * full)
        for room, m in zip(rooms, moulds.moulds, strict=True)
    )


def volume(shape: str, sizes: Sequence[float], unit: str) -> float:
    """Volume [mL] of a mould up to the height of its filling.

    Parameters
    ----------
    shape
        box: length, width, height; cylinder: diameter, height.
    sizes
        Inner sizes, in that order.
    unit
        cm, mm or in.

    Examples
    --------
    >>> round(volume("box", (10, 3.5, 2.5), "in"))
    1434
    """
    scale = CENTIMETRES[unit]
    if shape == "cylinder":
        diameter, height = (size * scale for size in sizes)
        return math.pi / 4 * diameter**2 * height
    return math.prod(size * scale for size in sizes)
