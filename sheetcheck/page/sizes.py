"""What the form for rescaling says, as the command line would say it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sheetcheck.errors import SettingError
from sheetcheck.words import later, tr

SHAPES = {  # with how many sizes each has
    "box": later("box: length, width, height"),
    "slab": later("slab: length, width, height"),
    "cylinder": later("cylinder: diameter, height"),
    "water": later("filled with water that weighs"),
}
LENGTHS = ("cm", "mm", "in")
WEIGH_IN = {
    "": later("as the recipe is written"),
    "oz": later("ounces"),
    "g": later("grams"),
    "lb oz": later("pounds and ounces"),
}
PAPERS = {"a4": later("A4"), "letter": later("Letter")}
_BENCH = ("weigh_in", "scale", "pot", "headspace", "left_in_pot")


@dataclass(frozen=True)
class Wanted:
    """What is to be made: sizes as `rescale --to` takes them, the bench, and for which recipes."""

    to: tuple[str, ...]
    bench: Mapping[str, str]
    only: tuple[str, ...]
    also: tuple[str, ...]
    keep_lye: bool
    paper: str


def wanted(said: Mapping[str, Sequence[str]]) -> Wanted:
    """Read the form; raises SettingError where no size is given."""

    def one(name: str) -> str:
        return next((value.strip() for value in said.get(name, ())), "")

    to = [f"{word}{one(field)}" for field, word in _SIZES.items() if one(field)]
    to += [f"moulds={name}" for name in said.get("moulds", ())]
    if one("mould_sizes"):
        shape, unit = one("mould_shape") or "box", one("mould_unit") or "cm"
        sizes = one("mould_sizes").replace(" ", "")
        what = f"water {one('mould_sizes')}" if shape == "water" else f"{shape} {sizes} {unit}"
        to.append(f"mould={one('mould_count') or '1'} {what}")
    if not to:
        raise SettingError(tr("How large?"), tr("fill in one of the sizes, or choose moulds"))
    return Wanted(
        to=tuple(to),
        bench={name: one(name) for name in _BENCH if one(name)},
        only=tuple(said.get("only", ())),
        also=tuple(said.get("also", ())),
        keep_lye=bool(one("keep_lye")),
        paper=one("paper") if one("paper") in PAPERS else "a4",
    )


_SIZES = {"times": "x", "fats": "fats=", "batch": "batch=", "bars": "bars="}
