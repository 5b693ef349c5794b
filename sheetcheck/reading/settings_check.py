"""Settings held against the workbook they are for: a misspelt one is an error, and never passed over in silence."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from difflib import get_close_matches

from sheetcheck.errors import SettingError
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.tables.columns import ROLES
from sheetcheck.reading.weighing.said import NOT_AN_INGREDIENT, SOME_FAT, SOME_LIQUID, TOTAL
from sheetcheck.reference import constants, substances
from sheetcheck.settings import Settings
from sheetcheck.words import number, tr
from sheetcheck.workbook.grid import Workbook

_PLACE = re.compile(r"[A-Za-z]{1,3}|[1-9][0-9]{0,6}")  # a column, or a row of a sheet that is read across
_TAKES_OUT = "ignore"
_MEANINGS = (NOT_AN_INGREDIENT, TOTAL, "total of the fats", SOME_FAT, SOME_LIQUID)


def check_settings(workbook: Workbook, settings: Settings) -> list[str]:
    """Hold settings against a workbook.

    Settings that are for many books may name sheets that one of them does not have.

    Returns
    -------
    sentences
        What the settings take out of the reckoning: nothing is left out of it without a word.

    Raises
    ------
    SettingError
        A sheet, a column, a role or a substance that is not known; with its line and the nearest right word.
    """
    for word, meaning in settings.names.items():
        _check_meaning(settings, f"names.{word}", meaning, _MEANINGS)
    for place, role in settings.roles.items():
        _check_meaning(settings, f"roles.{place}", role, ROLES)
    if not settings.for_many_books:
        sheets = [grid.name for grid in workbook.grids]
        for setting, sheet in _sheets_named(settings):
            if sheet not in sheets:
                raise _unknown(settings, setting, sheet, sheets, tr("the workbook has no sheet “{word}”", word=sheet))
    return list(_taken_out(settings))


def _check_meaning(settings: Settings, setting: str, meaning: str, words: Iterable[str]) -> None:
    may_be = {*words, *map(tr, words)}
    if meaning in may_be or identify(meaning).certainty != "unknown":
        return
    known = [*may_be, *substances()]
    raise _unknown(settings, setting, meaning, known, tr("“{word}” is not known", word=meaning))


def _sheets_named(settings: Settings) -> Iterator[tuple[str, str]]:
    """Yield each setting that names a sheet, with the sheet; a column must look like one."""
    for name in ("leave_out_sheets", "only_sheets"):
        yield from ((name, sheet) for sheet in getattr(settings, name))
    yield from ((f"superfats.{sheet}", sheet) for sheet in settings.superfats)
    columns = [("leave_out_columns", place) for place in settings.leave_out_columns]
    columns += [(f"roles.{place}", place) for place in settings.roles]
    for setting, place in columns:
        sheet, mark, column = place.rpartition("!")
        if not mark or not _PLACE.fullmatch(column):
            raise SettingError(settings.where(setting), tr("“{word}” should be like Recipes!D", word=place))
        yield setting, sheet


def _unknown(settings: Settings, setting: str, word: str, known: Sequence[str], said: str) -> SettingError:
    near = get_close_matches(word.casefold(), {name.casefold() for name in known}, n=1, cutoff=0.6)
    nearest = next((name for name in known if near and name.casefold() == near[0]), None)
    if nearest is not None:
        said = tr("{said}; did you mean “{nearest}”?", said=said, nearest=nearest)
    elif len(known) <= 20:
        said = tr("{said}. Known: {known}", said=said, known=", ".join(known))
    return SettingError(settings.where(setting), said)


def _taken_out(settings: Settings) -> Iterator[str]:
    columns = [*settings.leave_out_columns, *(place for place, role in settings.roles.items() if role == _TAKES_OUT)]
    nothing = {NOT_AN_INGREDIENT, tr(NOT_AN_INGREDIENT)}
    words = [word for word, meaning in settings.names.items() if meaning in nothing]
    if columns:
        yield tr("Left out of the reckoning, as the settings say: {places}.", places=", ".join(columns))
    if words:
        yield tr("Taken for no ingredient, as the settings say: {words}.", words=", ".join(words))
    others = [f"{word} = {meaning}" for word, meaning in settings.names.items() if _means_another(word, meaning)]
    others += [f"{place} = {role}" for place, role in settings.roles.items() if role != _TAKES_OUT]
    if others:
        yield tr(
            "Taken for something else than the tables have, as the settings say: {words}.", words=", ".join(others)
        )
    if settings.leave_out_sheets:
        yield tr("Sheets not read, as the settings say: {sheets}.", sheets=", ".join(settings.leave_out_sheets))
    yield from _weaker_than_sold(settings)


def _means_another(word: str, meaning: str) -> bool:
    """Tell whether a name that the tables know is said to be of another substance."""
    own, said = identify(word), identify(meaning)
    return own.certainty == "exact" and said.substance is not None and own.substance != said.substance


def _weaker_than_sold(settings: Settings) -> Iterator[str]:
    """Yield a sentence for a lye that is set weaker than any that is sold: the less it counts, the calmer the book."""
    sold = constants()
    for name, purity, least in (
        ("sodium hydroxide", settings.naoh_purity, sold.naoh_purity_low),
        ("potassium hydroxide", settings.koh_purity, sold.koh_purity_low),
    ):
        if purity is not None and purity < least:
            yield tr(
                "{lye} counts as {percent} % pure, as the settings say; it is sold at {least} % and more.",
                lye=tr(substances()[name].name),
                percent=number(purity, 1),
                least=number(least, 0),
            )
