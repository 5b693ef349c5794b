"""How one maker writes an amount: her scale, her roundings, and where the unit is said."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from tests.benchmarks.unlike_books.model import GRAMS, Amount

PLACES = ("heading", "cell", "note", "sheet name", "number format", "nowhere")
SPELLINGS = {
    "g": {"": ("g", "g", "gr", "grams", "gm"), "de": ("g", "Gramm"), "fr": ("g", "grammes"), "es": ("g", "gramos"),
          "it": ("g", "grammi"), "nl": ("g", "gram")},
    "oz": {"": ("oz", "oz", "ounces", "ozs", "oz."), "de": ("oz", "Unzen"), "fr": ("oz", "onces"),
           "es": ("oz", "onzas"), "it": ("oz", "once"), "nl": ("oz", "ons.")},
    "kg": {"": ("kg", "kilo")},
    "lb": {"": ("lb", "lbs", "pounds")},
}  # fmt: skip
OTHER = {"g": "oz", "oz": "g"}
HEADINGS = ("{label} ({unit})", "{label} {unit}", "{label}, {unit}", "{label} [{unit}]", "{unit} {label}")
PHRASES = ("{amount} {label}", "{label} {amount}", "{label}: {amount}", "{label} - {amount}", "{label} = {amount}")


@dataclass(frozen=True)
class Scribe:
    """A maker's hand."""

    unit: str  # of her scale
    spelt: Mapping[str, str]  # her spelling by unit
    place: str  # one of PLACES: where the unit is said
    steps: Mapping[str, float]  # roundings by role, in her unit
    comma: bool  # 12,5 in text
    spaced: bool  # "500 g", not "500g"
    fractions: bool  # 4 3/8, where a number is text
    heading_form: str
    phrase_form: str

    def rounded(self, value: float, role: str) -> float:
        """A value in her unit as she would weigh it."""
        step = self.steps[role]
        return round(round(value / step) * step, 4)

    def number(self, value: float) -> str:
        """A number in text."""
        if self.fractions and value * 8 == round(value * 8) and value != int(value):
            whole, part = int(value), Fraction(value).limit_denominator(8) - int(value)
            return f"{whole} {part}" if whole else str(part)
        text = f"{value:.3f}".rstrip("0").rstrip(".")
        return text.replace(".", ",") if self.comma else text

    def with_unit(self, amount: Amount) -> str:
        """`500 g`."""
        return f"{self.number(amount.value)}{' ' if self.spaced else ''}{self.spelt[amount.unit]}"

    def cell(self, amount: Amount) -> float | str:
        """What stands in a cell of its own."""
        if self.place == "cell":
            return self.with_unit(amount)
        if self.fractions and self.place != "number format":
            text = self.number(amount.value)
            return text if "/" in text else amount.value
        return int(amount.value) if amount.value == int(amount.value) else amount.value

    def number_format(self) -> str | None:
        """The unit shown by the number format of a cell, for whoever says it so."""
        return f'General" {self.spelt[self.unit]}"' if self.place == "number format" else None

    def in_text(self, amount: Amount) -> str:
        """What stands in a sentence or a pasted line."""
        said_elsewhere = self.place in {"note", "sheet name", "nowhere"}
        return self.number(amount.value) if said_elsewhere else self.with_unit(amount)

    def phrase(self, label: str, amount: Amount) -> str:
        """`500 g olive oil`, in her order."""
        return self.phrase_form.format(label=label, amount=self.in_text(amount))

    def heading(self, label: str) -> str:
        """Heading of a column of amounts."""
        if self.place != "heading":
            return label
        return self.heading_form.format(label=label, unit=self.spelt[self.unit])


def draw(rng: random.Random, language: str) -> Scribe:
    """Draw a maker's hand. Ounces are weighed where English is spoken."""
    unit = rng.choice(("g", "g", "oz", "oz")) if language == "en" else "g"
    place = rng.choices(PLACES, (35, 25, 12, 8, 6, 14))[0]
    fractions = unit == "oz" and rng.random() < 0.15
    if unit == "g":
        fat, fine = rng.choice(((1, 1), (5, 1), (10, 1), (1, 0.5), (1, 0.1), (5, 5)))
    elif fractions:
        fat, fine = 0.5, 0.125
    else:
        fat, fine = rng.choice(((0.1, 0.1), (0.5, 0.1), (1, 0.1), (0.1, 0.05), (0.01, 0.01), (0.25, 0.05)))
    spelt = {}
    for each, spellings in SPELLINGS.items():
        spelt[each] = rng.choice(spellings.get(language, spellings[""]))
    return Scribe(
        unit=unit,
        spelt=spelt,
        place=place,
        steps={"fat": fat, "alkali": fine, "liquid": fat if rng.random() < 0.5 else fine, "additive": fine},
        comma=language != "en",
        spaced=rng.random() < 0.7,
        fractions=fractions,
        heading_form=rng.choice(HEADINGS),
        phrase_form=rng.choice(PHRASES),
    )


def other_unit(amount: Amount, to: str) -> float:
    """An amount in another unit, rounded as people note it beside."""
    value = amount.value * GRAMS[amount.unit] / GRAMS[to]
    return round(value, 2 if to == "oz" else 0)
