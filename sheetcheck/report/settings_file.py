"""A settings file to start from: every setting with its default, and how the columns of this book were read."""

from __future__ import annotations

import json
from collections.abc import Iterator

from sheetcheck.model import Book
from sheetcheck.reference import limits


def settings_to_start_from(book: Book) -> str:
    """Return a settings file in TOML; what is behind a # is the default or a reading, to be changed at need."""
    return "\n".join(_lines(book)) + "\n"


def _lines(book: Book) -> Iterator[str]:
    yield f"# Settings for {book.name}. Take away the # of a line and change it."
    yield ""
    yield '# default_unit = "oz"               # unit of amounts where the book says none'
    yield "# target_superfat = 5.0             # percent, where neither the row nor the book states one"
    yield "# target_lye_concentration = 30.0   # percent of lye in lye and water"
    yield "# naoh_purity = 100.0               # percent"
    yield "# koh_purity = 90.0                 # percent; without it a recipe with KOH is not checked"
    yield "# use_own_values = false            # compute with the saponification values found in the book"
    yield "# leave_out_sheets = []"
    yield '# leave_out_columns = []            # ["Sheet!D"]'
    yield ""
    yield "[names]  # your word = a substance that `sheetcheck fats` knows"
    yield '# "white stuff" = "coconut oil"'
    yield ""
    yield "[roles]  # columns as they were read"
    for sheet in book.sheets:
        for column in sheet.columns:
            role = column.substance or column.role
            yield f"# {json.dumps(f'{sheet.sheet}!{column.place}', ensure_ascii=False)} = {json.dumps(role)}"
    yield ""
    yield "[limits]"
    for limit in limits().values():
        if limit.settable:
            yield f"# {limit.name} = {limit.value:g}  # {limit.unit}: {limit.meaning}"
