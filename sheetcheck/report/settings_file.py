"""A settings file to start from: every setting with its default, and how the columns of this book were read."""

from __future__ import annotations

import json
from collections.abc import Iterator

from sheetcheck.model import Book
from sheetcheck.reference import limits
from sheetcheck.reference.slips import slip_table
from sheetcheck.words import languages, later, of_the_translation, tr

_LANGUAGE = 'language = "en"'
_SETTINGS = {
    'default_unit = "oz"': later("unit of amounts where the book says none"),
    "target_superfat = 5.0": later("percent: the superfat you use where a recipe states none"),
    "target_lye_concentration = 30.0": later("percent of lye in lye and water"),
    "naoh_purity = 100.0": later("percent"),
    "koh_purity = 90.0": later("percent; without it a recipe with KOH is not checked"),
    "lye_moisture = 0.0": later("percent that dry lye has taken up: a second superfat is shown, none replaced"),
    "lye_carbon_dioxide = 0.0": later("percent, likewise"),
    "use_own_values = false": later("compute with the saponification values found in the book"),
    'paper = "letter"': later("of new sheets: a4 or letter; without it, letter for a book in ounces or pounds"),
    "for_many_books = false": later("the sheets named below may be missing from a book"),
    "leave_out_sheets = []": later("sheets that are not read"),
    "leave_out_columns = []": later('columns that are not read: ["Sheet!D"]'),
}


def settings_to_start_from(book: Book) -> str:
    """Return a settings file in TOML; what is behind a # is the default or a reading, to be changed at need."""
    return "\n".join(_lines(book)) + "\n"


def _lines(book: Book) -> Iterator[str]:
    yield f"# {tr('Settings for {book}. Take away the # of a line and change it.', book=book.name)}"
    if of_the_translation():
        yield f"# {of_the_translation()}"
    yield ""
    yield f"# {_LANGUAGE:<34}# {tr('language of all sentences: {known}', known=', '.join(languages()))}"
    for setting, meaning in _SETTINGS.items():
        yield f"# {setting:<34}# {tr(meaning)}"
    yield ""
    yield f"[names]  # {tr('your word = a substance that `sheetcheck fats` knows')}"
    yield '# "white stuff" = "coconut oil"'
    yield ""
    yield f"[superfats]  # {tr('percent, by sheet: where keepers of recipes have their own')}"
    for name in list(dict.fromkeys(sheet.sheet for sheet in book.sheets if sheet.recipes))[:3]:
        yield f"# {json.dumps(name, ensure_ascii=False)} = 5.0"
    yield ""
    yield f"[units]  # {tr('your own measures = what they come to, of anything or of one ingredient')}"
    yield '# "small pot" = "1.4 L"'
    yield '# "dipper lard" = "205 g"'
    yield ""
    yield f"[roles]  # {tr('columns as they were read')}"
    for sheet in book.sheets:
        for column in sheet.columns:
            role = column.substance or column.role
            yield f"# {json.dumps(f'{sheet.sheet}!{column.place}', ensure_ascii=False)} = {json.dumps(role)}"
    yield ""
    yield "[limits]"
    for limit in limits().values():
        if limit.settable:
            yield f"# {limit.name} = {limit.value:g}  # {limit.unit}: {tr(limit.meaning)}"
    yield ""
    yield f"[slips]  # {tr('how often each slip is made, against the others')}"
    for slip in slip_table().values():
        if slip.group == "slip":
            yield f'# "{slip.name}" = {slip.value:g}  # {tr(slip.meaning)}'
