"""What the recipes were reckoned with beyond themselves, so that the rescaled book is reckoned with the same by itself.

Her settings stand on a sheet as any workbook may have one (`reading.settings_sheet`), her own saponification values on
another, where the settings say that they are used.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields

from sheetcheck.model import Audit
from sheetcheck.rescaling.look import Pages
from sheetcheck.settings import Settings

_NOT_RECKONED_WITH = frozenset({
    "default_unit", "leave_out_sheets", "leave_out_columns", "only_sheets", "roles", "for_many_books", "file_limits",
    "places", "paper", "bench",
})  # fmt: skip  # the rescaled book has other sheets, and its amounts say their unit


def write_reckoned_with(pages: Pages, audit: Audit) -> None:
    """Write the sheets of settings and of values, each where there is something to say."""
    settings = list(_settings(audit.settings))
    if settings:
        _write(pages, "Settings", ("Setting", "Value"), settings)
    if audit.settings.use_own_values and audit.book.own_values:
        values = {own.substance: own.mg_koh_per_g for own in audit.book.own_values}
        _write(pages, "Values", ("Fat", "Saponification value (mg KOH/g)"), list(values.items()))


def _write(pages: Pages, name: str, headings: tuple[str, str], rows: Sequence[tuple[str, object]]) -> None:
    sheet = pages.sheet(pages.name_for(name))
    sheet.write_row(0, 0, headings, pages["heading"])
    for row, (left, right) in enumerate(rows, 1):
        sheet.write_string(row, 0, left, pages["text"])
        sheet.write(row, 1, right, pages["text"])
    sheet.set_column(0, 0, 34)
    sheet.set_column(1, 1, 34)


def _settings(settings: Settings) -> Iterator[tuple[str, object]]:
    """Yield each setting that is not as it is without any, written as a sheet of settings has it."""
    plain = Settings()
    for field in fields(Settings):
        value = getattr(settings, field.name)
        if field.name in _NOT_RECKONED_WITH or value == getattr(plain, field.name):
            continue
        if isinstance(value, Mapping):
            yield from ((f"{field.name}.{key}", part) for key, part in value.items())
        else:
            yield field.name, value
