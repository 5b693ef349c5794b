"""Gathers every sentence into `sheetcheck/locale/sheetcheck.pot`: `python -m tests.catalogue`, or `--check`.

Each translation beside it is brought up to it (a new sentence waits there untranslated, one that is gone is left out)
and compiled. The check says what is not as it should be: every sentence is translated, with its parts and no other, and
what is compiled is what is written.

What is written in calls of `tr`, `tr_count`, `later` and `Sentence` is found as Python reads it, inside f-strings too,
and as the template library reads the pages.
To it are added the manual of the rules, the help of the commands and the texts of the reference tables, which stand in
places of their own and are said through `tr` as well.
"""

from __future__ import annotations

import ast
import datetime as dt
import gettext
import io
import string
import sys
from collections.abc import Iterable, Iterator
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from typing import get_args

import typer.main
from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from jinja2 import Environment
from jinja2.ext import extract_from_ast

from sheetcheck.chemistry.ranges import RANGES
from sheetcheck.cli import app
from sheetcheck.model import Role, StatementKind, UnitFrom
from sheetcheck.reading import layouts
from sheetcheck.reading.names.qualified import questions
from sheetcheck.reference import cautions, limits, sources, substances
from sheetcheck.reference.slips import slip_names, slip_table
from sheetcheck.reference.tables import rows
from sheetcheck.rules import all_rules
from sheetcheck.rules.manual import HEADINGS
from sheetcheck.words import CATALOGUES, DOMAIN

PACKAGE = CATALOGUES.parent
TARGET = CATALOGUES / f"{DOMAIN}.pot"
SAYING = {"tr": 1, "later": 1, "Sentence": 1, "tr_count": 2}  # and how many of their arguments are sentences
A_COUNT_OF_EACH_FORM = (1, 1_000_000, 2)  # Spanish has a form for millions, between that of one and that of many
MADE = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)  # one date, so that the same sentences give the same file

Sentences = str | tuple[str, str]  # one, or that of one and that of many


def catalogue() -> Catalog:
    """Return the catalogue of all sentences, each with the files it is in; nothing is translated."""
    made = Catalog(
        project="sheetcheck",
        version="",
        charset="utf-8",
        creation_date=MADE,
        header_comment="# Sentences of sheetcheck, for translation. Parts in braces stay as they are.",
    )
    for place, message in _all():
        found = made.get(message) or made.add(message)
        assert found is not None
        if "{" in str(message):
            found.flags.add("python-brace-format")
        if (place, None) not in found.locations:
            found.locations.append((place, None))
    return made


def _all() -> Iterator[tuple[str, Sentences]]:
    for path in sorted(PACKAGE.rglob("*.py")):
        yield from ((f"sheetcheck/{path.relative_to(PACKAGE).as_posix()}", message) for message in _in_code(path))
    for path in sorted((*PACKAGE.rglob("*.html"), *PACKAGE.rglob("*.jinja"))):
        yield from ((f"sheetcheck/{path.relative_to(PACKAGE).as_posix()}", message) for message in _in_template(path))
    for rule in all_rules():
        place = f"sheetcheck/rules/{rule.name.replace('-', '_')}.py"
        yield place, rule.title
        yield place, rule.manual.problem
        yield from ((place, text) for _heading, text in rule.manual.sections())
    yield from (("sheetcheck/rules/manual.py", heading) for heading in HEADINGS)
    yield from (("sheetcheck/cli/app.py", text) for text in _helps(typer.main.get_command(app)))
    for words in (Role, UnitFrom, StatementKind):
        yield from (("sheetcheck/model/frames.py", word) for word in get_args(words))
    yield from (("sheetcheck/reading/layouts", layout) for layout in _layouts())
    yield from (("sheetcheck/chemistry/ranges.py", quantity.replace("_", " ")) for quantity in RANGES)
    yield from ((f"sheetcheck/reference/{table}.csv", text) for table, text in _tables() if text)


def calls(path: Path) -> Iterator[tuple[str, ast.Call]]:
    """Yield the calls in a file that say something, each with the name of the function, from the top down."""
    found = (node for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(node, ast.Call))
    for call in sorted(found, key=lambda call: (call.lineno, call.col_offset)):
        if isinstance(call.func, ast.Name) and call.func.id in SAYING:
            yield call.func.id, call


def _in_code(path: Path) -> Iterator[Sentences]:
    for name, call in calls(path):
        texts = [a.value for a in call.args[: SAYING[name]] if isinstance(a, ast.Constant) and isinstance(a.value, str)]
        if len(texts) == SAYING[name] and all(texts):
            yield texts[0] if len(texts) == 1 else (texts[0], texts[1])


def _in_template(path: Path) -> Iterator[Sentences]:
    parsed = Environment(autoescape=True).parse(path.read_text(encoding="utf-8"))
    for _, name, texts in extract_from_ast(parsed, tuple(SAYING)):
        said = [text for text in ([texts] if isinstance(texts, str) else texts or ()) if text][: SAYING[name]]
        if len(said) == SAYING[name]:
            yield said[0] if len(said) == 1 else (said[0], said[1])


def _helps(shown: object) -> Iterator[str]:
    """Yield the help of a command, of its options, and of all commands below it, as `cli.spoken` looks it up."""
    for name in ("help", "short_help"):
        text = getattr(shown, name, None)
        if isinstance(text, str) and text.strip():
            yield text.strip()
    for part in (*getattr(shown, "params", ()), *getattr(shown, "commands", {}).values()):
        yield from _helps(part)


def _layouts() -> Iterator[str]:
    for module in iter_modules(layouts.__path__, f"{layouts.__name__}."):
        layout = getattr(import_module(module.name), "LAYOUT", None)
        if layout is not None:
            yield str(layout)


def _tables() -> Iterable[tuple[str, str]]:
    yield from (("cautions", caution.sentence) for caution in cautions())
    yield from (("limits", limit.meaning) for limit in limits().values())
    yield from (("headings", row["role"]) for row in rows("headings.csv"))
    yield from (("words", row["why"]) for row in rows("words.csv"))
    yield from (("qualifiers", question) for question in questions())
    yield from (("slips", name) for name in slip_names())
    yield from (("slips", slip.meaning) for slip in slip_table().values() if slip.group == "slip")
    yield from (("sources", str(source)) for source in sources().values())
    for substance in substances().values():
        yield f"{substance.kind}s", substance.key
        yield f"{substance.kind}s", substance.name
        yield f"{substance.kind}s", substance.note


def parts_of(sentence: str) -> set[str]:
    """Return the names in braces."""
    return {name for _, name, _, _ in string.Formatter().parse(sentence) if name is not None}


def pairs(message: Message) -> Iterator[tuple[str, str]]:
    """Yield the forms of a sentence, each beside its translation."""
    ids = message.id if isinstance(message.id, tuple) else (message.id,)
    said = message.string if isinstance(message.string, tuple) else (message.string,)
    yield from ((ids[min(form, len(ids) - 1)], text or "") for form, text in enumerate(said))


def faults(translation: Catalog) -> list[str]:
    """Return the sentences whose translation has other parts than they have."""
    found = []
    for message in translation:
        wanted = parts_of((message.id if isinstance(message.id, tuple) else (message.id,))[-1])
        if message.id and any(
            text and not wanted - {"count"} <= parts_of(text) <= wanted for _, text in pairs(message)
        ):
            found.append(next(pairs(message))[0])
    return found


def lacking(translation: Catalog) -> list[str]:
    """Return the sentences that a translation does not have, or has only as a guess."""
    found = []
    for wanted in catalogue():
        message = translation.get(wanted.id)
        if wanted.id and (message is None or message.fuzzy or not all(text for _, text in pairs(message))):
            found.append(next(pairs(wanted))[0])
    return found


def stale(translation: Catalog, compiled: Path) -> bool:
    """Tell whether the compiled catalogue says anything else than the written one."""
    if not compiled.is_file():
        return True
    with compiled.open("rb") as file:
        spoken = gettext.GNUTranslations(file)
    return any(
        spoken.gettext(message.id) != message.string
        if isinstance(message.id, str)
        else tuple(spoken.ngettext(*message.id, count) for count in A_COUNT_OF_EACH_FORM[: len(message.string)])
        != message.string
        for message in translation
        if message.id and message.string
    )


def translations() -> list[Path]:
    """List the written catalogues."""
    return sorted(CATALOGUES.rglob("*.po"))


def read(path: Path) -> Catalog:
    """Read a written catalogue."""
    with path.open("rb") as file:
        return read_po(file, locale=path.parent.parent.name)


def bring_up(path: Path) -> None:
    """Give a translation the sentences that there are now, and compile it."""
    translation = read(path)
    translation.update(catalogue(), no_fuzzy_matching=True, update_creation_date=False)
    path.write_text(_text(translation), encoding="utf-8")
    with path.with_suffix(".mo").open("wb") as file:
        write_mo(file, read(path))


def template() -> str:
    """Return the catalogue as it stands in the file."""
    return _text(catalogue())


def _text(translation: Catalog) -> str:
    for message in translation:
        message.flags.discard("python-format")  # a per cent sign here is one
    text = io.BytesIO()
    write_po(text, translation, width=0, include_lineno=False, sort_by_file=True, ignore_obsolete=True)
    lines = text.getvalue().decode("utf-8").splitlines(keepends=True)
    return "".join(line for line in lines if not line.startswith('"Generated-By:'))


def _wrong(path: Path) -> Iterator[str]:
    translation = read(path)
    for sentence in faults(translation):
        yield f"the parts of this sentence are not those of its translation: {sentence}"
    for sentence in lacking(translation):
        yield f"this sentence is not translated: {sentence}"
    if stale(translation, path.with_suffix(".mo")):
        yield "the compiled catalogue is not this one: run python -m tests.catalogue"


def main() -> int:
    """Write the files, or compare them; 1 where they are not as they should be."""
    if "--check" not in sys.argv:
        TARGET.write_text(template(), encoding="utf-8")
        for path in translations():
            bring_up(path)
        return 0
    wrong = [f"{path.relative_to(PACKAGE)}: {fault}" for path in translations() for fault in _wrong(path)]
    if TARGET.read_text(encoding="utf-8") != template():
        wrong.append(f"{TARGET.name} does not hold the sentences of the program: run python -m tests.catalogue")
    sys.stderr.writelines(f"{line}\n" for line in wrong)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
