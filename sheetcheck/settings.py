"""What a user may set: in a TOML file, on a sheet of the workbook, on the command line.

No setting lowers or hides free lye: the limits of that rule are not here.
"""

from __future__ import annotations

import dataclasses
import math
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from sheetcheck.errors import SettingError
from sheetcheck.reference import limits
from sheetcheck.reference.slips import slip_names
from sheetcheck.words import as_typed, languages, tr

MASS_UNITS = ("g", "kg", "oz", "lb")
PAPERS = ("a4", "letter")
_USUAL_SUPERFAT = 5.0  # percent; common practice, no source


@dataclass(frozen=True, kw_only=True)
class Settings:
    """All settings with their defaults; shares are percent."""

    default_unit: str | None = None  # unit of amounts where the book says none; None: worked out from their size
    target_superfat: float | None = None  # her own: for what fits, and a recomputed lye where nothing states one
    superfats: Mapping[str, float] = field(default_factory=dict)  # by sheet: for what fits, where keepers differ
    target_lye_concentration: float = 30.0  # for a recomputed liquid where neither row nor book has a sound one
    naoh_purity: float = 100.0
    koh_purity: float | None = None  # never taken as pure in silence
    lye_moisture: float = 0.0  # what if dry lye had taken up so much from the air, percent of its weight when fresh:
    lye_carbon_dioxide: float = 0.0  # shown as a second superfat, never in place of the one as written
    use_own_values: bool = False  # compute with the saponification values found in the book
    leave_out_sheets: tuple[str, ...] = ()
    leave_out_columns: tuple[str, ...] = ()  # "Sheet!D"
    only_sheets: tuple[str, ...] = ()
    names: Mapping[str, str] = field(default_factory=dict)  # the maker's word -> substance
    roles: Mapping[str, str] = field(default_factory=dict)  # "Sheet!D" -> role
    limits: Mapping[str, float] = field(default_factory=dict)  # overrides of reference/limits.csv
    slips: Mapping[str, float] = field(default_factory=dict)  # weights, overrides of reference/slips.csv
    units: Mapping[str, str] = field(
        default_factory=dict
    )  # her own measures: reading/units/own_measures.py checks them
    bench: Mapping[str, str] = field(default_factory=dict)  # scale, pot, moulds: rescaling/bench.py checks them
    file_limits: Mapping[str, int] = field(default_factory=dict)  # overrides of workbook/limits.py, which checks them
    paper: str | None = None  # of new sheets, one of `PAPERS`; None: Letter for a book in ounces or pounds, else A4
    for_many_books: bool = False  # sheets that are named may be missing from a book
    language: str = "en"  # of all sentences; words.languages() lists those there is a catalogue for
    places: Mapping[str, str] = field(default_factory=dict, compare=False, repr=False)  # "names.white" -> where it says

    def where(self, setting: str) -> str:
        """Return where a setting stands, for an error about it: "settings.toml, line 4: roles.Ounces!B"."""
        place = self.places.get(setting)
        return f"{place}: {setting}" if place else setting

    @property
    def superfat_to_aim_at(self) -> float:
        """Superfat for a recomputed lye where neither row nor book states one."""
        return _USUAL_SUPERFAT if self.target_superfat is None else self.target_superfat

    def superfat_of(self, sheet: str) -> float | None:
        """Return the superfat that the maker says she uses on a sheet; None where she has not said it."""
        return self.superfats.get(sheet, self.target_superfat)

    def limit(self, name: str) -> float:
        """Return a limit: the user's, else the one of the cited table."""
        return float(self.limits[name]) if name in self.limits else limits()[name].value


def load(path: Path, base: Settings | None = None) -> Settings:
    """Read settings from a TOML file and lay them over `base` (else the defaults).

    Raises
    ------
    SettingError
        Naming the file and the key: unknown, or with a value that cannot be right.
    """
    try:
        text = path.read_text(encoding="utf-8")
        data = tomllib.loads(text)
    except FileNotFoundError:
        raise SettingError(path.name, tr("there is no such file")) from None
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise SettingError(path.name, tr("cannot be read as TOML: {error}", error=error)) from error
    places = {setting: tr("{file}, line {line}", file=path.name, line=line) for setting, line in _lines(text).items()}
    try:
        settings = from_mapping(data, path.name, base)
    except SettingError as error:
        setting = error.where.removeprefix(f"{path.name}: ")
        place = places.get(setting) or places.get(setting.partition(".")[0])
        raise SettingError(f"{place}: {setting}" if place else error.where, error.problem) from None
    return dataclasses.replace(settings, places={**settings.places, **places})


def _lines(text: str) -> dict[str, int]:
    """Return the line of each setting in a file: of a table, of each of its entries too."""
    found: dict[str, int] = {}
    table = ""
    for line, said in enumerate(text.splitlines(), 1):
        if head := _TABLE.match(said):
            table = head[1].strip().strip("\"'")
            found.setdefault(table, line)
        elif entry := _ENTRY.match(said):
            name = entry[1].strip().strip("\"'")
            found.setdefault(f"{table}.{name}" if table else name, line)
    return found


_TABLE = re.compile(r"\s*\[([^\[\]]+)\]")
_ENTRY = re.compile(r"\s*(\"[^\"]*\"|'[^']*'|[^=#\s][^=#]*?)\s*=")


def from_mapping(data: Mapping[str, object], where: str, base: Settings | None = None) -> Settings:
    """Lay settings over `base` (else the defaults), checking each one.

    Parameters
    ----------
    where
        What an error names as the place: a file, a sheet, the command line.
    """
    changes: dict[str, Any] = {}
    for key, value in data.items():
        if key not in _CHECKS:
            raise SettingError(f"{where}: {key}", _no_such(key))
        changes[key] = _CHECKS[key](value, f"{where}: {key}")
    return dataclasses.replace(base or Settings(), **changes)


def _no_such(key: str) -> str:
    near = get_close_matches(key, _CHECKS, n=1)
    if near:
        return tr("is not a setting; did you mean {near}?", near=near[0])
    return tr("is not a setting. Known: {known}", known=", ".join(sorted(_CHECKS)))


def _percent(low: float, high: float) -> Callable[[object, str], float]:
    def check(value: object, place: str) -> float:
        number = _number(value)
        if number is None or not low <= number <= high:
            raise SettingError(
                place,
                tr(
                    "{value} should be a percentage from {low} to {high}",
                    value=repr(value),
                    low=as_typed(low),
                    high=as_typed(high),
                ),
            )
        return number

    return check


def _table_of_percents(value: object, place: str) -> dict[str, float]:
    if not isinstance(value, Mapping):
        raise SettingError(place, tr("should be a table of sheets, each with a percentage"))
    check = _percent(0, 50)
    return {str(name): check(number, f"{place}.{name}") for name, number in value.items()}


def _mass_unit(value: object, place: str) -> str:
    if value not in MASS_UNITS:
        raise SettingError(
            place, tr("{value} should be one of {known}", value=repr(value), known=", ".join(MASS_UNITS))
        )
    return str(value)


def _paper(value: object, place: str) -> str:
    if value not in PAPERS:
        raise SettingError(place, tr("{value} should be one of {known}", value=repr(value), known=", ".join(PAPERS)))
    return str(value)


def _yes_or_no(value: object, place: str) -> bool:
    if not isinstance(value, bool):
        raise SettingError(place, tr("{value} should be true or false", value=repr(value)))
    return value


def _list_of_names(value: object, place: str) -> tuple[str, ...]:
    if not isinstance(value, list | tuple) or not all(isinstance(v, str) for v in value):
        raise SettingError(place, tr("should be a list of names"))
    return tuple(value)


def _table_of_words(value: object, place: str) -> dict[str, str]:
    if not isinstance(value, Mapping) or not all(isinstance(v, str) for v in value.values()):
        raise SettingError(place, tr("should be a table of words, each with a word"))
    return dict(value)


def _table_of_limits(value: object, place: str) -> dict[str, float]:
    if not isinstance(value, Mapping):
        raise SettingError(place, tr("should be a table of limits, each with a number"))
    return {name: _limit(name, number, f"{place}.{name}") for name, number in value.items()}


def _table_of_counts(value: object, place: str) -> dict[str, int]:
    if not isinstance(value, Mapping) or not all(type(v) is int for v in value.values()):
        raise SettingError(place, tr("should be a table of limits, each with a whole number"))
    return dict(value)


def _limit(name: str, value: object, place: str) -> float:
    known = limits()
    if name not in known:
        raise SettingError(place, tr("is not a limit. Known: {known}", known=", ".join(known)))
    if not known[name].settable:
        raise SettingError(place, tr("cannot be set: free lye is never lowered or hidden"))
    number = _number(value)
    if number is None:
        raise SettingError(place, tr("{value} should be a number ({unit})", value=repr(value), unit=known[name].unit))
    return number


def _table_of_weights(value: object, place: str) -> dict[str, float]:
    if not isinstance(value, Mapping):
        raise SettingError(place, tr("should be a table of slips, each with a weight"))
    return {name: _weight(name, number, f"{place}.{name}") for name, number in value.items()}


def _weight(name: str, value: object, place: str) -> float:
    if name not in slip_names():
        raise SettingError(place, tr("is not a slip. Known: {known}", known=", ".join(slip_names())))
    number = _number(value)
    if number is None or not 0 < number < math.inf:
        raise SettingError(place, tr("{value} should be a number above 0", value=repr(value)))
    return number


def _language(value: object, place: str) -> str:
    if value not in languages():
        raise SettingError(
            place, tr("{value} should be one of {known}", value=repr(value), known=", ".join(languages()))
        )
    return str(value)


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


_CHECKS: Mapping[str, Callable[[object, str], object]] = {
    "default_unit": _mass_unit,
    "target_superfat": _percent(0, 50),
    "superfats": _table_of_percents,
    "target_lye_concentration": _percent(10, 50),
    "naoh_purity": _percent(50, 100),
    "koh_purity": _percent(50, 100),
    "lye_moisture": _percent(0, 50),
    "lye_carbon_dioxide": _percent(0, 50),
    "use_own_values": _yes_or_no,
    "leave_out_sheets": _list_of_names,
    "leave_out_columns": _list_of_names,
    "only_sheets": _list_of_names,
    "names": _table_of_words,
    "roles": _table_of_words,
    "limits": _table_of_limits,
    "file_limits": _table_of_counts,
    "slips": _table_of_weights,
    "bench": _table_of_words,
    "units": _table_of_words,
    "paper": _paper,
    "for_many_books": _yes_or_no,
    "language": _language,
}
