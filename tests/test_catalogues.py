"""The translations that are shipped: each is whole, says the same numbers, and leaves no English on the terminal."""

from __future__ import annotations

import contextvars
import re
import shutil
import string
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from openpyxl.worksheet.worksheet import Worksheet
from typer.testing import CliRunner

from sheetcheck import words
from sheetcheck.cli import app
from sheetcheck.reading.answers import ANSWERS, ROLES
from sheetcheck.reference import substances
from sheetcheck.report import places
from sheetcheck.report.fitting import INDENT, ROOM, WRAPPED
from sheetcheck.report.words import QUESTION, SHAPES, SIGNAL_WORDS
from sheetcheck.words import Manner, of_the_translation, speaking, tr
from tests.catalogue import catalogue, faults, lacking, pairs, read, stale, translations

SHORE_BOOK = Path(__file__).parent.parent / "examples/shore_book/shore_book.xlsx"
MILL_BOOK = SHORE_BOOK.parent.parent / "whole_chemistry/mill_book.xlsx"
SHIPPED = translations()
LONGEST_SHEET_NAME = 31  # characters; a limit of Excel
NOT_IN_A_SHEET_NAME = set("[]:*?/\\")
LONGEST_IN_A_FORMULA = 255  # characters of a text within a formula; a limit of Excel

_NUMBER = re.compile(r"\d+(?:[.,]\d+)*")
_TYPED = re.compile(
    r"--[a-z][a-z-]+|(?<!\w)\.[a-z]{3,5}\b|`(?:sheetcheck )?[a-z_]+"
)  # options, endings, commands, names
_IN_FORMULA = re.compile(r'"((?:[^"]|"")*)"')
_SAID_AT_LENGTH = re.compile(r"[^\W\d_]+(?:[ ,;:]+[^\W\d_]+){2,}")  # three words and more

each = pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.parent.parent.name)


def _language(path: Path) -> str:
    return path.parent.parent.name


def _said(path: Path) -> Iterator[tuple[str, str]]:
    return (pair for message in read(path) if message.id for pair in pairs(message))


def _parts(sentence: str) -> list[tuple[str, str | None, str | None]]:
    parsed = string.Formatter().parse(sentence)
    return sorted({(name, how, turned) for _, name, how, turned in parsed if name is not None}, key=str)


def _numbers(text: str) -> list[str]:
    """Return the numbers of a text, whatever the decimal mark, without its parts."""
    return sorted(n.replace(",", "").replace(".", "") for n in _NUMBER.findall(re.sub(r"\{[^}]*\}", "", text)))


# --------------------------------------------------------------------------- as they are written


def test_there_are_translations() -> None:
    assert [_language(path) for path in SHIPPED] == words.languages()[1:] != []


@each
def test_every_sentence_is_translated_and_compiled(path: Path) -> None:
    translation = read(path)
    assert lacking(translation) == []
    assert faults(translation) == []
    assert not stale(translation, path.with_suffix(".mo"))
    assert translation.locale is not None
    assert translation.plural_expr == Catalog(locale=translation.locale).plural_expr  # that of Unicode CLDR, by Babel


@each
def test_no_sentence_is_left_that_the_program_does_not_say(path: Path) -> None:
    wanted = catalogue()
    assert [message.id for message in read(path) if message.id and wanted.get(message.id) is None] == []


@each
def test_parts_and_numbers_and_what_is_typed_are_those_of_the_sentence(path: Path) -> None:
    for english, said in _said(path):
        assert _parts(said) == _parts(english), english
        assert _numbers(said) == _numbers(english), english
        assert sorted(_TYPED.findall(said)) == sorted(_TYPED.findall(english)), english


@each
def test_a_sentence_ends_as_it_does_in_english(path: Path) -> None:
    for english, said in _said(path):
        if english[-1] in ".:?":
            assert said.endswith(english[-1]), english


@each
def test_it_says_that_no_native_maker_has_read_it(path: Path) -> None:
    assert "has not been read by a native soap maker" in read(path).header_comment.replace("\n#", "")
    assert of_the_translation() == ""
    with speaking(Manner(_language(path)).voice()):
        assert of_the_translation()


@each
def test_names_of_sheets_are_names_that_a_sheet_can_have(path: Path) -> None:
    english = [name for name in vars(places).values() if isinstance(name, str) and name.startswith("Check ")]
    with speaking(Manner(_language(path)).voice()):
        said = [tr(name) for name in english]
    assert len(set(said)) == len(english) > 5
    assert all(len(name) <= LONGEST_SHEET_NAME and not set(name) & NOT_IN_A_SHEET_NAME for name in said)


@each
def test_words_that_are_told_apart_are_not_said_alike(path: Path) -> None:
    fats = [s.name for s in substances().values() if s.kind == "fat"]
    with speaking(Manner(_language(path)).voice()):
        for english in ((*SIGNAL_WORDS.values(), QUESTION), ANSWERS, ROLES, fats):
            assert len({tr(word).casefold() for word in english}) == len(english)


# --------------------------------------------------------------------------- what would be found


def test_what_is_missing_or_a_guess_is_found() -> None:
    translation = read(SHIPPED[0])
    first, second, several = "is not known", "water is ice below that", ("{count} recipe", "{count} recipes")
    for sentence, string_, flags in (
        (first, "", set()),
        (second, "vielleicht", {"fuzzy"}),
        (several, ("1", ""), set()),
    ):
        translation.delete(sentence)
        translation.add(sentence, string_, flags=flags)
    assert set(lacking(translation)) == {first, second, several[0]}


def test_a_compiled_catalogue_of_before_is_found(tmp_path: Path) -> None:
    translation, compiled = read(SHIPPED[0]), tmp_path / "sheetcheck.mo"
    assert stale(translation, compiled)
    with compiled.open("wb") as file:
        write_mo(file, translation)
    assert not stale(translation, compiled)
    message = translation.get("is not known")
    assert message is not None
    message.string = "weiß niemand"
    assert stale(translation, compiled)


# --------------------------------------------------------------------------- as they are said


def _english_in(text: str, path: Path) -> set[str]:
    """Return what is English in a text by the catalogue: three words of a sentence and more, or a whole line."""
    whole = {line.strip() for line in text.splitlines()}
    german = "\n".join(said for _, said in _said(path))
    pieces = {
        piece.group()
        for english, said in _said(path)
        if english != said
        for literal, *_ in string.Formatter().parse(english)
        for piece in _SAID_AT_LENGTH.finditer(literal)
    }
    found = {piece for piece in pieces if piece in text and piece not in german}
    return found | {english for english, said in _said(path) if english != said and english in whole}


@each
@pytest.mark.parametrize("command", ["audit", "read", "rescale"])
def test_no_english_on_the_terminal(path: Path, command: str, tmp_path: Path) -> None:
    settings = tmp_path / "settings.toml"
    settings.write_text(f'language = "{_language(path)}"\n', encoding="utf-8")
    book = shutil.copy(SHORE_BOOK, tmp_path)
    options = {
        "audit": ["--out", str(tmp_path / "copy.xlsx")],
        "read": [],
        "rescale": ["--to", "x2", "--out", str(tmp_path / "rescaled.xlsx")],
    }[command]

    def shown(*settings: str) -> str:
        runner = CliRunner(env={"COLUMNS": "4000"})
        done = contextvars.copy_context().run(runner.invoke, app, [command, str(book), *options, *settings])
        assert done.exit_code in (0, 1), done.output
        return done.output

    own = shown("--settings", str(settings))
    for file in (*tmp_path.glob("copy.xlsx"), *tmp_path.glob("rescaled.xlsx")):
        file.unlink()
    assert len(_english_in(shown(), path)) > 2  # English is found where it is spoken
    assert _english_in(own, path) == set()


@each
@pytest.mark.parametrize(("book", "status"), [(SHORE_BOOK, 1), (MILL_BOOK, 0)], ids=["rows", "results on a sheet"])
def test_a_copy_in_another_language_is_one_that_excel_opens(
    path: Path, book: Path, status: int, tmp_path: Path
) -> None:
    settings = tmp_path / "settings.toml"
    settings.write_text(f'language = "{_language(path)}"\n', encoding="utf-8")
    options = [str(book), "--settings", str(settings), "--out", str(tmp_path / "copy.xlsx")]
    runner = CliRunner(env={"COLUMNS": "4000"})
    done = contextvars.copy_context().run(runner.invoke, app, ["audit", *options])
    assert done.exit_code == status, done.output
    copy = openpyxl.load_workbook(tmp_path / "copy.xlsx")
    texts = [(text, width) for sheet in copy for text, width in _in_formulas(sheet)]
    assert texts
    assert max(len(text) for text, _ in texts) <= LONGEST_IN_A_FORMULA
    verdicts = [(text, width) for text, width in texts if text[:1] in SHAPES.values()]
    assert bool(verdicts) == bool(status)  # one of the books has nothing to look at
    assert [text for text, width in verdicts if WRAPPED["strong"] * len(text) / ROOM + INDENT > width] == []
    for choice in (c for sheet in copy for c in sheet.data_validations.dataValidation):
        assert len(choice.formula1 or "") <= LONGEST_IN_A_FORMULA + 2  # and the quotes around it
    with speaking(Manner(_language(path)).voice()):
        assert _cut_headings(copy) == []
        assert _cut_signals(copy) == []
        summary = copy[tr(places.SUMMARY)]
        assert of_the_translation() in done.output
        assert of_the_translation() in {cell.value for row in summary.iter_rows() for cell in row}


def _widths(sheet: Worksheet) -> dict[int, float]:
    """Return the widths of the columns that are shown."""
    shown = (d for d in sheet.column_dimensions.values() if not d.hidden)
    return {number: d.width for d in shown for number in range(d.min, d.max + 1)}


def _in_formulas(sheet: Worksheet) -> Iterator[tuple[str, float]]:
    """Yield the texts that formulas show, each with the width of its column."""
    widths = _widths(sheet)
    for cell in (cell for row in sheet.iter_rows() for cell in row if cell.column in widths):
        if isinstance(cell.value, str) and cell.value.startswith("="):
            yield from ((text, widths[cell.column]) for text in _IN_FORMULA.findall(cell.value))


def _cut_signals(copy: openpyxl.Workbook) -> list[str]:
    """Return the signal words and verdicts, on the sheets of a copy, that are wider than the column they stand in."""
    ours = {tr(name) for name in vars(places).values() if isinstance(name, str)}
    return [
        f"{sheet.title}, {cell.coordinate}: {cell.value}"
        for sheet in copy
        if sheet.sheet_state == "visible" and sheet.title in ours
        for widths in [_widths(sheet)]
        for cell in (cell for row in sheet.iter_rows() for cell in row if cell.column in widths)
        if isinstance(cell.value, str) and cell.value[:1] in SHAPES.values()
        if WRAPPED["strong"] * len(cell.value) / ROOM + INDENT > widths[cell.column]
    ]


def _cut_headings(copy: openpyxl.Workbook) -> list[str]:
    """Return the bold texts, on the sheets of a copy, with a word that is wider than the column they stand in."""
    found = []
    ours = {tr(name) for name in vars(places).values() if isinstance(name, str)}
    for sheet in (s for s in copy if s.sheet_state == "visible" and s.title in ours):
        widths = _widths(sheet)
        for cell in (cell for row in sheet.iter_rows() for cell in row if cell.column in widths):
            merged = any(cell.coordinate in block for block in sheet.merged_cells.ranges)
            if isinstance(cell.value, str) and cell.font.b and cell.alignment.wrap_text and not merged:
                longest = max(map(len, cell.value.split()), default=0)
                found += [f"{cell.coordinate}: {cell.value}"] if longest > widths[cell.column] * ROOM else []
    return found
