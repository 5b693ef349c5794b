"""What stands on the maker's bench: the scale and its steps, the pot, what is left in it, and the headspace."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt

from sheetcheck.errors import SettingError
from sheetcheck.reading.amounts.amount import read_amount
from sheetcheck.reading.units.units import to_grams
from sheetcheck.rules.support.wording import plain
from sheetcheck.words import later, tr

Floats = npt.NDArray[np.float64]

WEIGH_IN = ("as written", "oz", "g", "lb oz")
POT_FOR = ("set", "mould")
_SAME_STEP = 1e-9  # of a step: what is so near to a step is on it
_FINER = {"g": (1.0, 0.5, 0.1, 0.05, 0.01, 0.001), "oz": (0.1, 0.05, 0.01, 0.005, 0.001)}  # steps that scales have
_SCALE_EXAMPLE = later(
    "for example “0.01 oz to 16 oz, 0.1 oz to 11 lb”: steps, finest first, each with how far it goes"
)
_POT_EXAMPLE = later("should say how much batter the pot may hold, for example 8 qt or 7.5 L")
_SHARE_EXAMPLE = later("should be a percentage from 0 to 50, for example 3 %")
_LOSS_EXAMPLE = later("should be a percentage from 0 to 50, or a range of them, for example 8-12 %")


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a scale and the heaviest weight that it shows in it, both in the scale's unit."""

    step: float
    up_to: float


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale, or two beside each other: steps by range of weight, finest first, in grams or in ounces."""

    unit: str  # g or oz
    steps: tuple[Step, ...]

    @property
    def capacity(self) -> float:
        """Heaviest weight that it takes, in its unit; infinite where nothing is said."""
        return self.steps[-1].up_to

    def step_for(self, weight: Floats) -> Floats:
        """Return the step in which each weight is shown; beyond the capacity, the coarsest."""
        limits = np.array([s.up_to for s in self.steps[:-1]])
        return np.array([s.step for s in self.steps])[np.searchsorted(limits, weight)]

    def nearest(self, weight: Floats) -> Floats:
        """Round to the nearest step, but never to nothing."""
        return _on_step(np.maximum(np.rint(weight / self.step_for(weight)), 1), self.step_for(weight))

    def down(self, weight: Floats) -> Floats:
        """Round down to a step."""
        return _on_step(np.floor(weight / self.step_for(weight) + _SAME_STEP), self.step_for(weight))

    def finer(self, at_most: float) -> float:
        """Return the largest step of a real scale that is not above this; NaN where none is."""
        return next((step for step in _FINER[self.unit] if step <= at_most), math.nan)

    def __str__(self) -> str:
        return ", ".join(
            f"{plain(s.step, 4)} {self.unit}" if math.isinf(s.up_to) else self._up_to(s) for s in self.steps
        )

    def _up_to(self, step: Step) -> str:
        shown, limit = (f"{plain(size, digits)} {self.unit}" for size, digits in ((step.step, 4), (step.up_to, 2)))
        return tr("{step} to {limit}", step=shown, limit=limit)


def _on_step(count: Floats, step: Floats) -> Floats:
    return np.round(count * step, 10)


USUAL_SCALES: Mapping[str, Scale] = {  # a fine scale beside a kitchen scale; common practice, no source
    "oz": Scale("oz", (Step(0.01, 16), Step(0.1, math.inf))),
    "g": Scale("g", (Step(0.1, 500), Step(1, math.inf))),
}


@dataclass(frozen=True, kw_only=True)
class Bench:
    """All that rescaling has to know besides the recipes; shares are percent."""

    scales: Mapping[str, Scale] = field(default_factory=lambda: USUAL_SCALES)
    weigh_in: str = "as written"
    headspace: float = 0.0  # of a mould's volume; sizes are given up to the height of the filling already
    left_in_pot: float = 2.0  # of the batter; common practice, no source
    pot_ml: float = math.inf
    pot_for: str = "set"  # one of `POT_FOR`: a pot for all moulds of a set, or one for each mould
    cure_loss: tuple[float, float] | None = None  # of a bar's fresh weight, the maker's own figure; None: not said

    def unit_for(self, written: object) -> str:
        """Return the unit to weigh a recipe in: g, oz, or "lb oz" for pounds and ounces."""
        if self.weigh_in != "as written":
            return self.weigh_in
        return {"oz": "oz", "lb": "lb oz", "lb oz": "lb oz"}.get(str(written), "g")

    def table_unit_for(self, written: object) -> str:
        """Return the unit of a table in the maker's shape: that of the scale, but her kilograms and decimal pounds."""
        own = str(written)
        return own if self.weigh_in == "as written" and own in ("kg", "lb") else self.unit_for(written)

    def scale_for(self, unit: str) -> Scale:
        """Return the scale that shows this unit."""
        return self.scales["g" if unit == "g" else "oz"]


@cache
def grams_per(unit: str) -> float:
    """Grams in one g or oz; for pounds and ounces, in one ounce."""
    return to_grams(1.0, scale_unit(unit))


def scale_unit(unit: str) -> str:
    """Return the unit in which weights are counted: ounces for pounds and ounces."""
    return "g" if unit == "g" else "oz"


def read_bench(said: Mapping[str, str]) -> Bench:
    """Read what the maker says of her bench; what she does not say has its default.

    Parameters
    ----------
    said
        scale: steps of a scale, of several with semicolons between them; weigh_in: one of `WEIGH_IN`; pot: how much
        batter it may hold; pot_for: one of `POT_FOR`; headspace and left_in_pot: percentages; cure_loss: what a bar
        loses until it is cured, a percentage or a range.

    Raises
    ------
    SettingError
        Naming the setting and showing an example.
    """
    unknown = sorted(said.keys() - _READERS.keys())
    if unknown:
        raise SettingError(unknown[0], tr("is not known of a bench. Known: {known}", known=", ".join(_READERS)))
    read = {
        _FIELDS.get(key, key): _READERS[key](text, f"{key.replace('_', '-')} “{text}”") for key, text in said.items()
    }
    return Bench(**read)


def read_scale(text: str, where: str) -> Scale:
    """Read the steps of a scale, such as "0.1 g to 500 g, 1 g to 5 kg"; raises SettingError."""
    steps, unit = [], ""
    for part in text.split(","):
        step_text, _, limit_text = part.partition(" to ")
        step_grams, step_unit = mass_of(step_text, where, tr(_SCALE_EXAMPLE))
        limit_grams = mass_of(limit_text, where, tr(_SCALE_EXAMPLE))[0] if limit_text.strip() else math.inf
        unit = unit or ("g" if step_unit in ("g", "kg") else "oz")
        steps.append(Step(round(step_grams / grams_per(unit), 9), round(limit_grams / grams_per(unit), 9)))
    rising = all(a.step < b.step and a.up_to < b.up_to for a, b in pairwise(steps))
    if not rising or any(s.up_to < s.step for s in steps):
        raise SettingError(where, tr("the steps should rise, {example}", example=tr(_SCALE_EXAMPLE)))
    return Scale(unit, tuple(steps))


def mass_of(text: str, where: str, example: str) -> tuple[float, str]:
    """Return the grams and the unit of a mass above zero; raises SettingError with the example."""
    readings = read_amount(text.strip()).readings
    if len(readings) != 1 or not readings[0].grams > 0 or readings[0].unit is None:
        raise SettingError(where, tr("“{text}” is not a weight: {example}", text=text.strip(), example=example))
    return readings[0].grams, readings[0].unit


def _millilitres(text: str, where: str) -> float:
    readings = read_amount(text.strip()).readings
    if len(readings) != 1 or not readings[0].millilitres > 0:
        raise SettingError(where, tr(_POT_EXAMPLE))
    return readings[0].millilitres


def _share(text: str, where: str) -> float:
    number = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*%?\s*", text)
    value = float(number[1].replace(",", ".")) if number else math.nan
    if not 0 <= value <= 50:
        raise SettingError(where, tr(_SHARE_EXAMPLE))
    return value


def _loss(text: str, where: str) -> tuple[float, float]:
    ends = re.split(r"\s*(?:-|–|to)\s*", text.strip())
    if len(ends) > 2:
        raise SettingError(where, tr(_LOSS_EXAMPLE))
    try:
        low, high = (_share(end, where) for end in (ends[0], ends[-1]))
    except SettingError:
        raise SettingError(where, tr(_LOSS_EXAMPLE)) from None
    return min(low, high), max(low, high)


def _scales(text: str, where: str) -> dict[str, Scale]:
    given = [read_scale(part, where) for part in text.split(";")]
    return {**USUAL_SCALES, **{scale.unit: scale for scale in given}}


def _one_of(choices: tuple[str, ...]) -> Callable[[str, str], str]:
    def check(text: str, where: str) -> str:
        if text not in choices:
            raise SettingError(where, tr("should be one of: {choices}", choices=", ".join(choices)))
        return text

    return check


_READERS: Mapping[str, Callable[[str, str], Any]] = {
    "scale": _scales,
    "weigh_in": _one_of(WEIGH_IN),
    "pot": _millilitres,
    "pot_for": _one_of(POT_FOR),
    "headspace": _share,
    "left_in_pot": _share,
    "cure_loss": _loss,
}
_FIELDS = {"scale": "scales", "pot": "pot_ml"}  # where the field of `Bench` is not called what the maker says
