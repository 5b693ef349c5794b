"""Nothing that we say stands outside the catalogue: audits in a language of brackets, in which all else shows.

What may stand outside the brackets: the maker's own words, numbers, units and addresses; names that are typed into a
command or a settings file (`NAMES`); the hidden record sheet, which is for programs.
"""

from __future__ import annotations

import contextvars
import re
import shutil
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet
from typer.testing import CliRunner

from sheetcheck import errors, words
from sheetcheck.cli import app
from sheetcheck.many import SUMMARY, check_folder
from sheetcheck.model import Finding
from sheetcheck.pipeline import audit, check, rescale
from sheetcheck.reading.book import read_book
from sheetcheck.reading.units.unit_list import unit_lines
from sheetcheck.reference import limits, substances
from sheetcheck.report.finding_words import repair_sentence
from sheetcheck.report.words import PASSED_OVER
from sheetcheck.rules import all_rules, run
from sheetcheck.rules.not_checked import why_not_checked
from sheetcheck.settings import Settings, from_mapping
from sheetcheck.workbook.grid import Workbook
from sheetcheck.workbook.record import RECORD_SHEET
from tests import pseudo
from tests.books import write_book
from tests.builders import Sketch, evidence, recipe
from tests.reading.book_files import FOLDER, load
from tests.repairs.house import book_with, searched, sound, written

ROOT = Path(__file__).parent.parent
BOOKS = ("shore_book/shore_book.xlsx", "clean_book/clean_book.xlsx", "rescale/orchard_book.xlsx")
CASES = sorted((ROOT / "tests/rules/cases").glob("*.toml"))

_WORD = re.compile(r"[^\W\d_]{2,}")
_IN_FORMULA = re.compile(r'"((?:[^"]|"")*)"')
_KEY = re.compile(r"[0-9a-f]{12}(?:-\d+)?")
UNITS = {word for _, spellings in unit_lines() for spelling in spellings for word in spelling.casefold().split("_")}
NAMES = {rule.name for rule in all_rules()}
MEANT = UNITS | {"naoh", "koh"}


@pytest.fixture(autouse=True, scope="module")
def _language(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(words, "CATALOGUES", pseudo.write_language(tmp_path_factory.mktemp("locale")))
        yield


def _words(*texts: object) -> set[str]:
    return {word for text in texts if isinstance(text, str) for word in _WORD.findall(text.casefold())}


def _outside(texts: Iterable[str], known: set[str]) -> dict[str, str]:
    """Return the words that are neither ours nor known, each with a text that has it."""
    return {
        word: text
        for text in texts
        for word in _words(pseudo.not_ours(text))
        if word not in known | MEANT and text not in NAMES and not _KEY.fullmatch(text)
    }


# --------------------------------------------------------------------------- rules


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_rules(path: Path) -> None:
    for case in tomllib.loads(path.read_text(encoding="utf-8"))["case"]:
        sketches = []
        for given in case["recipe"]:
            sketches += [recipe(**{k: v for k, v in given.items() if k != "repeat"})] * given.get("repeat", 1)
        with words.speaking(words.Manner(pseudo.LANGUAGE).voice()):
            book = evidence(sketches, Settings(**case.get("settings", {})))
            findings = run(book).findings
            why = [text for text in why_not_checked(book) if text is not None]
        known = _words(*book.components["name"], *book.components["written"], *book.components["problem"], "Recipes")
        known |= _words(*book.recipes["name"])
        assert _outside([*_said(findings), *why], known) == {}, case["name"]


def _said(findings: Iterable[Finding]) -> Iterator[str]:
    for finding in findings:
        yield from (finding.message, finding.expected, finding.look_at)


def test_manual_of_every_rule() -> None:
    with words.speaking(words.Manner(pseudo.LANGUAGE).voice()):
        texts = [text for rule in all_rules() for section in rule.manual.sections() for text in section]
        assert _outside([words.tr(text) for text in texts], set()) == {}


# --------------------------------------------------------------------------- repairs

FATS = {"olive oil": 500.0, "coconut oil": 300.0, "palm oil": 200.0}  # 143 g of lye, 286 g of water
TWICE = {fat: 2 * grams for fat, grams in FATS.items()}
ODD_ROWS = {
    "unit": [written(FATS, 286, 5.04)],
    "unit, many": [written(FATS, 286, 5.04)] * 8,
    "two": [written(FATS, 28.6, 5.04)],
    "digit": [written(FATS, 286, 184)],
    "decimal": [written(FATS, 286, 14.3)],
    "fat": [written({"olive oil": 250.0, "coconut oil": 750.0}, 280, 140)],
    "other alkali": [written(FATS, 286, 201)],
    "stale": [written(TWICE, 286, 143)],
    "swap": [written(FATS, 143, 286)],
    "total": [sound(FATS, statements=[{"kind": "fats total", "value": 1100.0, "unit": "g"}])],
    "high": [sound(FATS, superfat=17)],
    "high, many": [sound(FATS, superfat=11)] * 10,
    "low, many": [sound(FATS, superfat=-4)] * 10,
    "liquid, many": [written(FATS, 28.6, 143)] * 8,
}


@pytest.mark.parametrize("rows", ODD_ROWS.values(), ids=ODD_ROWS)
def test_repairs(rows: Sequence[Sketch]) -> None:
    with words.speaking(words.Manner(pseudo.LANGUAGE).voice()):
        book = book_with(*rows)
        found, findings = searched(book)
        repairs = [repair for of_recipe in found.by_recipe.values() for repair in of_recipe]
        texts = [*_said(findings), *(repair.why for repair in repairs), *map(repair_sentence, repairs)]
    assert findings
    assert _outside(texts, _words(*book.components["name"], "Recipes")) == {}


# --------------------------------------------------------------------------- reading


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.txt")), ids=lambda path: path.stem)
def test_reading(path: Path) -> None:
    workbook = load(path).workbook
    with words.speaking(words.Manner(pseudo.LANGUAGE).voice()):
        book = read_book(workbook, Settings())
        texts = [
            *(text for n in book.not_understood for text in (n.what, n.why)),
            *(text for s in book.sheets for text in (words.tr(s.layout), *s.evidence)),
            *(
                text
                for s in book.sheets
                for c in s.columns
                for text in (words.tr(PASSED_OVER.get(c.role, c.role)), c.why)
            ),
            *book.components["problem"].dropna(),
            *book.notices,
        ]
    assert _outside(texts, _words_of(workbook)) == {}


def _words_of(workbook: Workbook) -> set[str]:
    return _words(*(text for g in workbook.grids for text in (g.name, *g.text.tolist(), *g.notes.values())))


# --------------------------------------------------------------------------- copies


@pytest.mark.parametrize("name", BOOKS)
def test_everything_in_a_copy(name: str, tmp_path: Path) -> None:
    book = ROOT / "examples" / name
    done = check(book, tmp_path / "copy.xlsx", Settings(language=pseudo.LANGUAGE))
    before, after = openpyxl.load_workbook(book), openpyxl.load_workbook(done.copy)
    known = _words(book.name, *before.sheetnames, *(text for sheet in before for text in _texts(sheet)))
    added = [text for sheet in after if sheet.title != RECORD_SHEET for text in (sheet.title, *_texts(sheet))]
    assert len(added) > 200
    assert sum("⟦" in text for text in added) > 100
    assert _outside(added, known) == {}


def test_everything_in_a_rescaled_book(tmp_path: Path) -> None:
    book = ROOT / "examples/rescale/orchard_book.xlsx"
    settings = Settings(language=pseudo.LANGUAGE)
    _, made = rescale(book, ["x2", "fats=5kg"], tmp_path / "big.xlsx", settings)
    before, after = openpyxl.load_workbook(book), openpyxl.load_workbook(made)
    known = _words(book.name, *before.sheetnames, *(text for sheet in before for text in _texts(sheet)))
    shown = [sheet for sheet in after if sheet.sheet_state == "visible" and sheet.title != "Settings"]  # that is typed
    added = [text for sheet in shown for text in (sheet.title, *_texts(sheet))]
    assert sum("⟦" in text for text in added) > 100
    assert _outside(added, known) == {}


def test_everything_in_the_summary_of_a_folder(tmp_path: Path) -> None:
    books, copies = tmp_path / "books", tmp_path / "copies"
    books.mkdir()
    for name in BOOKS[:2]:
        shutil.copy(ROOT / "examples" / name, books)
    (books / "other.xlsx").write_bytes(b"%PDF-1.7")
    check_folder(books, copies, Settings(language=pseudo.LANGUAGE), jobs=1)
    sheets = openpyxl.load_workbook(copies / SUMMARY)
    known = _words(*(path.name for path in (*books.iterdir(), *copies.iterdir())))
    texts = [text for sheet in sheets for text in (sheet.title, *_texts(sheet))]
    assert sum("⟦" in text for text in texts) > 10
    assert _outside(texts, known) == {}


def test_the_language_may_stand_in_the_book(tmp_path: Path) -> None:
    rows = [["Soap", "Lard (g)", "NaOH (g)", "Water (g)"], ["Plain", 1000, 190, 300]]
    book = write_book(
        tmp_path / "b.xlsx", {"Soaps": rows, "Settings": [["Setting", "Value"], ["language", pseudo.LANGUAGE]]}
    )
    findings = audit(book).findings
    assert any("⟦Free lye: do not make it.⟧" in finding.message for finding in findings)
    assert _outside(_said(findings), _words("Lard NaOH Water")) == {}


def _texts(sheet: Worksheet) -> Iterator[str]:
    """Yield the texts of cells, those inside formulas, notes, and what can be chosen."""
    for cell in (cell for row in sheet.iter_rows() for cell in row):
        if isinstance(cell.value, str):
            yield from _IN_FORMULA.findall(cell.value) if cell.value.startswith("=") else [cell.value]
        if cell.comment is not None:
            yield cell.comment.text
    for choice in sheet.data_validations.dataValidation:
        yield choice.formula1 or ""


# --------------------------------------------------------------------------- terminal, errors


@pytest.mark.parametrize("command", ["audit", "read", "rescale"])
def test_terminal(command: str, tmp_path: Path) -> None:
    book = ROOT / "examples/shore_book/shore_book.xlsx"
    settings = tmp_path / "settings.toml"
    settings.write_text(f'language = "{pseudo.LANGUAGE}"\n', encoding="utf-8")
    options = {
        "audit": ["--out", str(tmp_path / "copy.xlsx")],
        "read": [],
        "rescale": ["--to", "x2", "--out", str(tmp_path / "rescaled.xlsx")],
    }[command]
    done = contextvars.copy_context().run(
        CliRunner(env={"COLUMNS": "4000"}).invoke, app, [command, str(book), "--settings", str(settings), *options]
    )
    assert done.exit_code in (0, 1), done.output
    grids = openpyxl.load_workbook(book)
    known = _words(str(tmp_path), "copy.xlsx rescaled.xlsx", *grids.sheetnames, *(t for s in grids for t in _texts(s)))
    assert "⟦" in done.output
    assert _outside(done.output.splitlines(), known) == {}


@pytest.mark.parametrize(
    "command",
    [["explain"], ["explain", "free-lye"], ["fats"], ["fats", "lard"]],
    ids=" ".join,
)
def test_terminal_without_a_book(command: list[str]) -> None:
    with words.speaking(words.Manner(pseudo.LANGUAGE).voice()):
        done = CliRunner(env={"COLUMNS": "4000"}).invoke(app, command)
    assert "⟦" in done.output
    names = (name for substance in substances().values() for name in (*substance.names["en"], *substance.similar))
    assert _outside(done.output.splitlines(), _words(*NAMES, *names, "sheetcheck mg")) == {}


def _every_error() -> Iterator[errors.SheetcheckError]:
    kinds: list[type[errors.SheetcheckError]] = [errors.SheetcheckError]
    while kinds:
        kind = kinds.pop()
        kinds += kind.__subclasses__()
        if issubclass(kind, errors.BookError | errors.CopyError):
            yield kind("book.xlsx", "")
            yield kind("book.xlsx", "⟦because⟧")


def test_errors() -> None:
    with words.speaking(words.Manner(pseudo.LANGUAGE).voice()):
        said = [str(error) for error in _every_error()]
    assert len(said) > 20
    assert _outside(said, _words("book.xlsx")) == {}


@pytest.mark.parametrize(
    "setting",
    [
        {"superfat": 5},
        {"target_superfat": 95},
        {"default_unit": "stone"},
        {"use_own_values": 1},
        {"leave_out_sheets": 1},
        {"names": {"white": 5}},
        {"limits": {"no_such": 5}},
        {"limits": {"superfat_high_notice": "high"}},
        {"limits": {"superfat_danger_below": 1}},
        {"language": "yy"},
    ],
    ids=str,
)
def test_wrong_settings(setting: dict[str, Any]) -> None:
    with words.speaking(words.Manner(pseudo.LANGUAGE).voice()), pytest.raises(errors.SettingError) as caught:
        from_mapping(setting, "here")
    with words.speaking(words.Manner(pseudo.LANGUAGE).voice()):
        said = str(caught.value)
    known = ", ".join((*Settings.__dataclass_fields__, *limits()))
    assert _outside([said], _words("here high stone yy en xx", str(setting), known.replace("_", " "))) == {}
