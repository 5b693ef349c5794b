"""What the form for rescaling says, as the command line would say it."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sheetcheck.errors import SettingError
from sheetcheck.words import later, tr

SHAPES = {  # with how many sizes each has
    "box": later("box: length, width, height"),
    "slab": later("slab: length, width, height"),
    "cylinder": later("cylinder: diameter, height"),
    "water": later("filled with water that weighs"),
    "fats": later("filled by a batch with fats that weigh"),
}
LENGTHS = ("cm", "mm", "in")
WEIGH_IN = {
    "": later("as the recipe is written"),
    "oz": later("ounces"),
    "g": later("grams"),
    "lb oz": later("pounds and ounces"),
}
PAPERS = {"": later("Letter for a book in ounces or pounds, else A4"), "a4": later("A4"), "letter": later("Letter")}
POT_FOR = {"": later("one pot for all moulds of a set"), "mould": later("a pot for each mould")}
_BENCH = ("weigh_in", "scale", "pot", "pot_for", "headspace", "left_in_pot", "cure_loss")
_SAYS_UNIT = re.compile(r"[a-z\"]\s*$", re.IGNORECASE)


@dataclass(frozen=True)
class Wanted:
    """What is to be made: sizes as `rescale --to` takes them, the bench, and for which recipes."""

    to: tuple[str, ...]
    bench: Mapping[str, str]
    only: tuple[str, ...]
    also: tuple[str, ...]
    keep_lye: bool
    paper: str | None  # None: as the settings say
    date: dt.date | None


def wanted(said: Mapping[str, Sequence[str]]) -> Wanted:
    """Read the form; raises SettingError where no size is given."""

    def one(name: str) -> str:
        return next((value.strip() for value in said.get(name, ())), "")

    to = [f"{word}{one(field)}" for field, word in _SIZES.items() if one(field)]
    to += [f"moulds={name}" for name in said.get("moulds", ())]
    if one("mould_sizes"):
        shape, unit = one("mould_shape") or "box", one("mould_unit") or "cm"
        sizes = one("mould_sizes")
        held = {"water": f"water {sizes}", "fats": f"holds {sizes} of fats"}
        of_shape = f"{shape} {sizes}" if _SAYS_UNIT.search(sizes) else f"{shape} {sizes} {unit}"
        to.append(f"mould={one('mould_count') or '1'} {held.get(shape, of_shape)}")
    if not to:
        raise SettingError(tr("How large?"), tr("fill in one of the sizes, or choose moulds"))
    return Wanted(
        to=tuple(to),
        bench={name: one(name) for name in _BENCH if one(name)},
        only=tuple(said.get("only", ())),
        also=tuple(said.get("also", ())),
        keep_lye=bool(one("keep_lye")),
        paper=one("paper") if one("paper") in PAPERS and one("paper") else None,
        date=_date(one("date")),
    )


def _date(said: str) -> dt.date | None:
    """Read the date of a field of the form, as browsers send it; none where it is left empty."""
    try:
        return dt.date.fromisoformat(said) if said else None
    except ValueError:
        raise SettingError(tr("made on"), tr("should be a date such as 2026-05-01")) from None


_SIZES = {"times": "x", "fats": "fats=", "batch": "batch=", "bars": "bars="}
