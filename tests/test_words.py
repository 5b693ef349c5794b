"""Sentences: well formed where they stand, and said in the language and the decimal mark that are asked for."""

from __future__ import annotations

import ast
import doctest
import gettext
import locale
from pathlib import Path

import pytest
from babel import Locale, UnknownLocaleError
from babel.messages.catalog import Catalog
from babel.numbers import get_decimal_symbol

from sheetcheck import words
from sheetcheck.errors import SettingError
from sheetcheck.reading.amounts.decimal_mark import mark_of_language
from sheetcheck.rules.support.wording import listed, mass, percent, plain, span, times
from sheetcheck.settings import Settings, from_mapping
from sheetcheck.words import Manner, Voice, as_typed, number, speaking, tr, tr_count, with_own_mark
from tests import pseudo
from tests.catalogue import SAYING, calls, catalogue, faults, parts_of

PACKAGE = Path(words.__file__).parent
FILES = sorted(PACKAGE.rglob("*.py"))
COMMA = Voice(decimal_mark=",")


# --------------------------------------------------------------------------- as they stand


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_sentences_are_whole_and_have_theirparts_of(path: Path) -> None:
    for name, call in calls(path):
        said = call.args[: SAYING[name]]
        where = f"{path.name}:{call.lineno}"
        for sentence in said:
            assert not isinstance(sentence, ast.BinOp | ast.JoinedStr), f"{where}: a sentence is glued together"
        texts = [s.value for s in said if isinstance(s, ast.Constant) and isinstance(s.value, str)]
        if name == "later" or len(texts) < len(said):
            continue
        given = {keyword.arg for keyword in call.keywords if keyword.arg is not None}
        wanted = set.union(*map(parts_of, texts)) - ({"count"} if name == "tr_count" else set())
        if any(keyword.arg is None for keyword in call.keywords):
            assert given <= wanted, where
        else:
            assert given == wanted, where


def test_parts_of_sentences_have_names() -> None:
    for message in catalogue():
        forms = message.id if isinstance(message.id, tuple) else (message.id,)
        for form in forms:
            assert all(part.isidentifier() for part in parts_of(str(form))), form


# --------------------------------------------------------------------------- as they are said


def test_examples_in_the_docstrings() -> None:
    assert doctest.testmod(words).failed == 0


def test_numbers_have_the_decimal_mark_of_the_book() -> None:
    with speaking(COMMA):
        assert number(1250.5, 1) == "1\N{NO-BREAK SPACE}250,5"
        assert plain(12.50, 2) == "12,5"
        assert plain(1200.0, 1) == "1\N{NO-BREAK SPACE}200"
        assert mass(307.9, "oz") == "10,86 oz"
        assert mass(992.23, "lb oz") == "2 lb 3 oz"
        assert percent(5.26) == "5,3 %"
        assert span(1, 4.25) == "1,0 to 4,2 %"
        assert times(3.2) == "3,2 times as much"
        assert (as_typed(9.5), with_own_mark("0.5 lb")) == ("9,5", "0,5 lb")
        assert listed(list("ABCDEF")) == "A, B, C, D and 2 more"
    assert number(1250.5, 1) == "1,250.5"


def test_another_language_is_spoken_where_it_is_set(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(words, "CATALOGUES", pseudo.write_language(tmp_path))

    assert words.languages() == ["en", pseudo.LANGUAGE]
    settings = from_mapping({"language": pseudo.LANGUAGE}, "here")
    with speaking(Manner(settings.language, ",").voice()):
        assert tr("{place} holds {text}.", place="B4", text="12 oz") == "B4⟦ holds ⟧12 oz⟦.⟧"
        assert tr_count("{count} recipe", "{count} recipes", 3) == "3⟦ recipes⟧"
        assert percent(2.5) == "2,5⟦ %⟧"
    assert percent(2.5) == "2.5 %"


def test_a_book_that_names_no_language_keeps_the_one_that_is_spoken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(words, "CATALOGUES", pseudo.write_language(tmp_path))
    with speaking(Manner(pseudo.LANGUAGE).voice()), speaking(Manner(decimal_mark=",").voice()):
        assert percent(2.5) == "2,5⟦ %⟧"


class _Careless(gettext.NullTranslations):
    """Says everything with parts that nobody gives."""

    def gettext(self, message: str) -> str:
        return f"{message} {{whatever}} {{"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


def test_a_faulty_translation_gives_way_to_english() -> None:
    with speaking(Voice(catalogue=_Careless())):
        assert tr("{place} holds {text}.", place="B4", text="12 oz") == "B4 holds 12 oz."
        assert tr_count("{count} recipe", "{count} recipes", 3) == "3 recipes"


@pytest.mark.parametrize(
    ("sentence", "translation", "faulty"),
    [
        ("{place} holds {text}.", "In {place} steht {text}.", False),
        ("{place} holds {text}.", "", False),
        ("{place} holds {text}.", "In {place} steht etwas.", True),
        ("{place} holds {text}.", "In {place} steht {inhalt}.", True),
        (("{count} recipe", "{count} recipes"), ("ein Rezept", "{count} Rezepte"), False),
        (("{count} cell of {book}", "{count} cells of {book}"), ("eine Zelle", "{count} Zellen von {book}"), True),
    ],
)
def test_a_translation_has_the_parts_of_its_sentence(
    sentence: str | tuple[str, str],
    translation: str | tuple[str, str],
    faulty: bool,  # noqa: FBT001 - a case
) -> None:
    translated = Catalog(locale="de")
    translated.add(sentence, translation)
    assert bool(faults(translated)) == faulty


@pytest.mark.parametrize("language", ["xx", "", 5, None])
def test_a_language_without_a_catalogue_is_refused(language: object) -> None:
    assert Settings().language == "en"
    with pytest.raises(SettingError, match="should be one of en"):
        from_mapping({"language": language}, "here")


# --------------------------------------------------------------------------- which mark a language has


@pytest.mark.parametrize(("code", "name"), sorted(locale.windows_locale.items()))
def test_decimal_marks_are_those_of_cldr(code: int, name: str) -> None:
    # Unicode CLDR, by Babel.
    mark = mark_of_language(code)
    if mark is not None:
        try:
            assert mark == get_decimal_symbol(Locale.parse(name)), name
        except UnknownLocaleError:
            pytest.fail(f"{name} is not known to CLDR, and a mark is told for it")
