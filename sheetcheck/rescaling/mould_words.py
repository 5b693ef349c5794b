"""Moulds as people write them: sizes, what they hold, the water that fills them, the fats of a recipe that does."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from sheetcheck.chemistry.volume import WATER_DENSITY
from sheetcheck.errors import SettingError
from sheetcheck.reading.amounts.amount import read_amount
from sheetcheck.reading.text import clean
from sheetcheck.rescaling.bench import mass_of
from sheetcheck.rescaling.moulds import SHAPES, Mould, MouldSet, volume
from sheetcheck.words import later, tr

EXAMPLE = later(
    "write it as: box 24x8x7 cm (length, width, height of the filling), cylinder 7.5x30 cm (diameter, height), "
    "1.5 L, holds 60 oz of fats, or water 950 g (the water that fills it); with how many in front: 2 box 10x3.5x2.5 in"
)
SHAPE_WORDS: Mapping[str, str] = {
    **dict.fromkeys(("box", "loaf", "slab", "block", "tray", "rectangle", "rectangular", "bar"), "box"),
    **dict.fromkeys(("cylinder", "tube", "pipe", "round", "column"), "cylinder"),
}
_UNIT = r"centimetres?|centimeters?|millimetres?|millimeters?|inches|inch|ins?|cms?|mms?|\""
_UNITS = {"c": "cm", "m": "mm", "i": "in", '"': "in"}
_NUMBER = r"(?:\d+[ -])?\d+\s*/\s*\d+|\d+(?:[.,]\d+)?|[.,]\d+"
_LABELS: Mapping[str, str] = {
    **dict.fromkeys(("long", "length", "l"), "length"),
    **dict.fromkeys(("wide", "width", "w"), "width"),
    **dict.fromkeys(("high", "height", "tall", "deep", "depth", "h", "d"), "height"),
    **dict.fromkeys(("diameter", "diam", "dia", "across", "ø", "⌀"), "diameter"),
}
_LABEL = r"long|length|wide|width|high|height|tall|deep|depth|diameter|diam|dia|across|ø|⌀|[lwhd]\b"
_SIZE = re.compile(
    rf"\s*(?P<before>{_LABEL})?\.?\s*(?P<number>{_NUMBER})(?!\s*[.,]?\d)\s*(?P<unit>{_UNIT})?\.?\s*(?:in\s+)?(?P<after>{_LABEL})?\.?"
    r"\s*(?:[x×*,]|by\b|and\b)?"
)
_SHAPE = re.compile(rf"\b(?:{'|'.join(SHAPE_WORDS)})s?\b")
_LARGEST_ML = 200_000  # of a mould: `1.344 L` is not 1,344 litres
_MOULDS = re.compile(r"\b(?:moulds?|molds?)\b(?:\s+of\b)?:?")
_COUNT = re.compile(r"(?P<count>\d+)(?:\s*[x×*]\s*|\s+(?:of\s+)?)(?P<rest>.+)")
_BARS = re.compile(r"[,;]?\s*\(?(?P<bars>\d+)\s*bars?(?:\s+each)?\)?$")
_HOLDS = re.compile(r"^(?:it\s+)?(?:holds|takes|fits|for)\s+")
_OF_FATS = re.compile(r"\b(?:of\s+)?(?:fats?|oils?(?:\s+and\s+fats?)?)$")
_WATER = re.compile(r"^water\s+(?P<mass>.+)$|^(?P<also>.+?)\s+(?:of\s+)?water$")


@dataclass(frozen=True, slots=True)
class Size:
    """One size of a mould, as written: its number, its unit, what it is the size of; "" where that is not said."""

    value: float
    unit: str
    label: str


def read_mould(text: str, where: str) -> Mould:
    """Read one mould, such as "2 box 24x8x7 cm", "24 x 8 x 7 cm", "1.5 L", "holds 60 oz of fats".

    Raises
    ------
    SettingError
        Showing how a mould is written.
    """
    said = clean(text).lower().strip(" .")
    bars = _BARS.search(said)
    said = _MOULDS.sub(" ", said[: bars.start()] if bars else said).strip()
    mould = _plain(said, where)
    if mould is None:
        counted = _COUNT.fullmatch(said)
        mould = _plain(counted["rest"].strip(), where) if counted else None
        if mould is None or counted is None:
            why = tr("“{text}” is no mould that can be read; {example}", text=text.strip(), example=tr(EXAMPLE))
            raise SettingError(where, why)
        mould = replace(mould, count=int(counted["count"]))
    if not mould.count:
        raise SettingError(where, tr("how many moulds there are should be 1 or more"))
    return replace(mould, bars=int(bars["bars"])) if bars else mould


def read_moulds(text: str, where: str) -> MouldSet:
    """Read moulds joined by `+` as a set of their own."""
    moulds = tuple(read_mould(part, where) for part in text.split("+"))
    return MouldSet(" + ".join(m.shown for m in moulds), moulds)


def _plain(said: str, where: str) -> Mould | None:
    """Read a mould without a count; None where it is none."""
    by_content = _by_content(said)
    if by_content is not None:
        return by_content
    shape = _SHAPE.search(said)
    bare = (said[: shape.start()] + " " + said[shape.end() :]).strip(" :,") if shape else said
    word = shape[0].split()[0] if shape else ""
    kind = SHAPE_WORDS.get(word) or SHAPE_WORDS.get(word.rstrip("s"), "")
    held = _by_content(bare) if shape else None
    if held is not None:
        return replace(held, what=f"{word} {held.what}")
    sizes = _sizes(bare)
    return _of_sizes(kind, word, sizes, where) if sizes else None


def _by_content(said: str) -> Mould | None:
    """Read what a mould holds: water by weight, fats by weight, a volume."""
    water = _WATER.match(said)
    if water:
        mass = water["mass"] or water["also"]
        grams = _grams(_HOLDS.sub("", mass))
        return None if grams is None else water_mould(mass, grams)
    held = _HOLDS.sub("", said)
    fats = _OF_FATS.search(held)
    if fats:
        mass = held[: fats.start()].strip()
        grams = _grams(mass)
        return None if grams is None else fats_mould(mass, grams)
    read = read_amount(held)
    volumes = [r.millilitres for r in read.readings if 0 < r.millilitres <= _LARGEST_ML]
    if len(volumes) == 1 and not read.rest:
        return Mould(tr("mould of {volume}", volume=re.sub(r"l$", "L", held)), volumes[0])
    return None


def water_mould(mass: str, grams: float) -> Mould:
    """Return a mould known by the water that fills it."""
    return Mould(tr("mould for {mass} of water", mass=mass.strip()), grams / WATER_DENSITY)


def fats_mould(mass: str, grams: float) -> Mould:
    """Return a mould known by the fats of a recipe that fills it."""
    return Mould(tr("mould for {mass} of fats", mass=mass.strip()), fats_g=grams)


def _grams(text: str) -> float | None:
    try:
        return mass_of(text, "", "")[0]
    except SettingError:
        return None


def number_of(text: str) -> float:
    """Return a size: `3.5`, `3,5`, `3 1/2`, `1/2`; NaN where a fraction has no value."""
    parts = re.fullmatch(r"(?:(\d+)[ -])?(\d+)\s*/\s*(\d+)", text.strip())
    if parts:
        return int(parts[1] or 0) + int(parts[2]) / int(parts[3]) if int(parts[3]) else math.nan
    return float(text.replace(",", "."))


def _sizes(said: str) -> tuple[Size, ...]:
    """Read sizes one after the other, up to the end of the text; nothing where it holds anything else."""
    found, at = [], 0
    said = re.sub(rf"({_NUMBER})(\s*)(?=[x×*])", r"\1 ", said)
    while at < len(said):
        one = _SIZE.match(said, at)
        if one is None or one.end() == at:
            return ()
        unit = _UNITS[one["unit"][0]] if one["unit"] else ""
        found.append(Size(number_of(one["number"]), unit, _LABELS.get(one["before"] or one["after"] or "", "")))
        at = one.end()
        at += len(said[at:]) - len(said[at:].lstrip())
    return tuple(found)


def _of_sizes(kind: str, word: str, sizes: Sequence[Size], where: str) -> Mould | None:
    units = {size.unit for size in sizes if size.unit}
    if len(units) != 1 or (not sizes[-1].unit and not all(size.unit for size in sizes[:-1])):
        return None
    labels = {size.label for size in sizes}
    count = 1
    if len(sizes) == 4 and not labels - {""} and sizes[0].value == int(sizes[0].value):  # 2 x 24 x 8 x 7 cm
        count, sizes = int(sizes[0].value), sizes[1:]
    if not kind:
        kind = "cylinder" if "diameter" in labels else "box" if len(sizes) == SHAPES["box"] else ""
    if not kind:
        return None
    order = ("diameter", "height") if kind == "cylinder" else ("length", "width", "height")
    mould = shaped(kind, word or kind, _in_order(sizes, order), units.pop(), where)
    return replace(mould, count=count)


def _in_order(sizes: Sequence[Size], order: tuple[str, ...]) -> tuple[float, ...]:
    """Return the sizes in the order of a shape: by what they are called, the others as they come."""
    named = {size.label: size.value for size in sizes if size.label in order}
    others = [size.value for size in sizes if size.label not in order]
    left = iter(others)
    found = [named[label] if label in named else next(left, math.nan) for label in order]
    return (*found, *left)


def shaped(kind: str, word: str, sizes: Sequence[float], unit: str, where: str) -> Mould:
    """Return a mould of a shape; raises SettingError where a size is missing or is none."""
    if len(sizes) != SHAPES[kind] or not all(size > 0 for size in sizes):
        why = tr(
            "a mould of the shape {shape} has {count} sizes above zero; {example}",
            shape=word,
            count=SHAPES[kind],
            example=tr(EXAMPLE),
        )
        raise SettingError(where, why)
    shown = "×".join(f"{size:g}" for size in sizes)
    return Mould(f"{word} {shown} {unit}", volume(kind, sizes, unit), height=sizes[-1], unit=unit)
