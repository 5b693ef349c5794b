"""What a user may set: in a TOML file, on a sheet of the workbook, on the command line.

No setting lowers or hides free lye: the limits of that rule are not here.
"""

from __future__ import annotations

import dataclasses
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sheetcheck.errors import SettingError
from sheetcheck.reference import limits

MASS_UNITS = ("g", "kg", "oz", "lb")


@dataclass(frozen=True, kw_only=True)
class Settings:
    """All settings with their defaults; shares are percent."""

    default_unit: str | None = None  # unit of amounts where the book says none; None: worked out from their size
    target_superfat: float = 5.0  # for a recomputed lye where neither row nor book states a superfat
    target_lye_concentration: float = 30.0  # for a recomputed liquid where neither row nor book has a sound one
    naoh_purity: float = 100.0
    koh_purity: float | None = None  # never taken as pure in silence
    use_own_values: bool = False  # compute with the saponification values found in the book
    leave_out_sheets: tuple[str, ...] = ()
    leave_out_columns: tuple[str, ...] = ()  # "Sheet!D"
    only_sheets: tuple[str, ...] = ()
    names: Mapping[str, str] = field(default_factory=dict)  # the maker's word -> substance
    roles: Mapping[str, str] = field(default_factory=dict)  # "Sheet!D" -> role
    limits: Mapping[str, float] = field(default_factory=dict)  # overrides of reference/limits.csv
    bench: Mapping[str, str] = field(default_factory=dict)  # scale, pot, moulds: rescaling/bench.py checks them
    file_limits: Mapping[str, int] = field(default_factory=dict)  # overrides of workbook/limits.py, which checks them

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
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise SettingError(path.name, "there is no such file") from None
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise SettingError(path.name, f"cannot be read as TOML: {error}") from error
    return from_mapping(data, path.name, base)


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
            raise SettingError(f"{where}: {key}", f"is not a setting. Known: {', '.join(sorted(_CHECKS))}")
        changes[key] = _CHECKS[key](value, f"{where}: {key}")
    return dataclasses.replace(base or Settings(), **changes)


def _percent(low: float, high: float) -> Callable[[object, str], float]:
    def check(value: object, place: str) -> float:
        number = _number(value)
        if number is None or not low <= number <= high:
            raise SettingError(place, f"{value!r} should be a percentage from {low:g} to {high:g}")
        return number

    return check


def _mass_unit(value: object, place: str) -> str:
    if value not in MASS_UNITS:
        raise SettingError(place, f"{value!r} should be one of {', '.join(MASS_UNITS)}")
    return str(value)


def _yes_or_no(value: object, place: str) -> bool:
    if not isinstance(value, bool):
        raise SettingError(place, f"{value!r} should be true or false")
    return value


def _list_of_names(value: object, place: str) -> tuple[str, ...]:
    if not isinstance(value, list | tuple) or not all(isinstance(v, str) for v in value):
        raise SettingError(place, "should be a list of names")
    return tuple(value)


def _table_of_words(value: object, place: str) -> dict[str, str]:
    if not isinstance(value, Mapping) or not all(isinstance(v, str) for v in value.values()):
        raise SettingError(place, "should be a table of words, each with a word")
    return dict(value)


def _table_of_limits(value: object, place: str) -> dict[str, float]:
    if not isinstance(value, Mapping):
        raise SettingError(place, "should be a table of limits, each with a number")
    return {name: _limit(name, number, f"{place}.{name}") for name, number in value.items()}


def _table_of_counts(value: object, place: str) -> dict[str, int]:
    if not isinstance(value, Mapping) or not all(type(v) is int for v in value.values()):
        raise SettingError(place, "should be a table of limits, each with a whole number")
    return dict(value)


def _limit(name: str, value: object, place: str) -> float:
    known = limits()
    if name not in known:
        raise SettingError(place, f"is not a limit. Known: {', '.join(known)}")
    if not known[name].settable:
        raise SettingError(place, "cannot be set: free lye is never lowered or hidden")
    number = _number(value)
    if number is None:
        raise SettingError(place, f"{value!r} should be a number ({known[name].unit})")
    return number


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


_CHECKS: Mapping[str, Callable[[object, str], object]] = {
    "default_unit": _mass_unit,
    "target_superfat": _percent(0, 50),
    "target_lye_concentration": _percent(10, 50),
    "naoh_purity": _percent(50, 100),
    "koh_purity": _percent(50, 100),
    "use_own_values": _yes_or_no,
    "leave_out_sheets": _list_of_names,
    "leave_out_columns": _list_of_names,
    "only_sheets": _list_of_names,
    "names": _table_of_words,
    "roles": _table_of_words,
    "limits": _table_of_limits,
    "file_limits": _table_of_counts,
    "bench": _table_of_words,
}
