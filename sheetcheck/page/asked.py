"""What the page asks her, and what her answers become: meanings of words are settings.

Nothing of it is kept on the machine unless she says so: then the meanings of her words are, in a settings file of hers
that `--settings` takes as well.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import platformdirs

from sheetcheck.errors import SettingError
from sheetcheck.settings import Settings, from_mapping
from sheetcheck.words import number, tr

if TYPE_CHECKING:
    from sheetcheck.model import Book

KEPT = "words.toml"
_DOUBTFUL, _KNOWN = frozenset({"unknown", "ambiguous"}), frozenset({"exact", "read as"})
MOST_ASKED = 40


@dataclass(frozen=True)
class Choice:
    """What a word may mean."""

    means: str
    said: str


@dataclass(frozen=True)
class Asked:
    """One thing to ask: a word as it stands, the question, where it stands, how many recipes wait, what it may mean."""

    text: str
    ask: str
    cells: tuple[str, ...]
    recipes: int
    choices: tuple[Choice, ...] = ()
    taken_for: str = ""  # what it was taken for; then it is shown to be corrected, not asked


def questions(book: Book) -> list[Asked]:
    """Return what is to be asked: the reader's questions, then names that nothing is known of, each once."""
    from sheetcheck.reading.answers import understood  # noqa: PLC0415 - the page opens before an audit's parts load
    from sheetcheck.reading.text import fold  # noqa: PLC0415 - as above

    asked = [
        Asked(
            q.text,
            q.ask,
            q.cells,
            len(q.recipes),
            tuple(_choice(c.means, c.fits) for c in q.choices if understood(c.means)),
        )
        for q in book.questions
    ]
    known = {fold(a.text) for a in asked}
    return [*asked, *(a for a in _doubtful_names(book) if fold(a.text) not in known)][:MOST_ASKED]


def assumptions(book: Book) -> list[Asked]:
    """Return what was assumed, to be corrected where it is wrong."""
    return [Asked(a.text, a.ground, a.cells, len(a.recipes), taken_for=a.means) for a in book.assumed]


def _choice(means: str, fits: int) -> Choice:
    if not fits:
        return Choice(means, tr(means))
    return Choice(means, tr("{meaning} (then {count} recipes come out)", meaning=tr(means), count=number(fits, 0)))


def _doubtful_names(book: Book) -> Iterator[Asked]:
    c = book.components
    lines = c[c["name_certainty"].isin(list(_DOUBTFUL)) & c["bears"]]
    for name, group in lines.groupby("name", sort=False, observed=True):
        if str(name).strip():
            places = zip(group["sheet"], group["name_row"], group["name_column"], strict=True)
            yield Asked(
                str(name),
                tr("What is “{word}”?", word=name),
                tuple(dict.fromkeys(_place(*place) for place in places if place[1])),
                group["recipe"].nunique(),
            )


def _place(sheet: object, row: int, column: int) -> str:
    from sheetcheck.model import address  # noqa: PLC0415 - as above

    return f"{sheet}!{address(row, column)}"


# --------------------------------------------------------------------------- her answers


def with_meanings(settings: Settings, meanings: Mapping[str, str], offered: Mapping[str, frozenset[str]]) -> Settings:
    """Lay what her words mean over the settings; a blank takes an earlier answer back.

    Parameters
    ----------
    offered
        By word, the meanings that were offered; anything else has to be an ingredient that is known.

    Raises
    ------
    SettingError
        A meaning that is not known.
    """
    from sheetcheck.reading.names.identify import identify  # noqa: PLC0415 - as above
    from sheetcheck.reading.own_superfat import is_word, percent_said  # noqa: PLC0415 - as above

    names = dict(settings.names)
    for word, said in meanings.items():
        meaning = said.strip()
        if not meaning:
            names.pop(word, None)
            continue
        known = percent_said(meaning) is not None if is_word(word) else identify(meaning).certainty in _KNOWN
        if not known and meaning not in offered.get(word, frozenset()):
            raise SettingError(
                tr("“{word}”", word=word),
                tr("“{meaning}” is no ingredient that is known; choose one of the list", meaning=meaning),
            )
        names[word] = meaning
    return replace(settings, names=names)


def as_answers(said: Mapping[str, str]) -> dict[str, str]:
    """Return the answers to findings by their keys, without what is none."""
    from sheetcheck.reading.answers import ANSWERS  # noqa: PLC0415 - as above

    return {key: answer for key, answer in said.items() if answer in ANSWERS}


# --------------------------------------------------------------------------- kept, where she says so


def kept_place() -> Path:
    """Return where the meanings of her words are kept."""
    return Path(platformdirs.user_data_path("sheetcheck", appauthor=False)) / KEPT


def keep(names: Mapping[str, str]) -> None:
    """Keep what her words mean on this machine, with what was kept before. Raises OSError."""
    place = kept_place()
    place.parent.mkdir(parents=True, exist_ok=True)
    lines = (f"{_quoted(word)} = {_quoted(meaning)}\n" for word, meaning in sorted({**kept(), **names}.items()))
    part = place.with_suffix(".part")
    part.write_text(f"[names]\n{''.join(lines)}", encoding="utf-8")
    part.replace(place)


def kept() -> dict[str, str]:
    """Return what is kept; nothing where the file is missing or cannot be read."""
    try:
        data = tomllib.loads(kept_place().read_text(encoding="utf-8"))
        return dict(from_mapping({"names": data.get("names", {})}, KEPT).names)
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError, SettingError):
        return {}


def forget() -> None:
    """Delete what is kept."""
    kept_place().unlink(missing_ok=True)


def _quoted(text: str) -> str:
    """Return a basic string of TOML, whose escapes are those of JSON but for DEL (TOML 1.0, "String")."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
