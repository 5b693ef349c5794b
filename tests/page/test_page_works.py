"""The page does what the command line does, by the same functions."""

import json
from pathlib import Path

import openpyxl
import pytest

from sheetcheck.page import asked
from sheetcheck.page.server import Server
from sheetcheck.page.shelf import MOST_OPEN
from sheetcheck.pipeline import audit, check
from sheetcheck.report.json_report import dumps
from sheetcheck.settings import Settings
from sheetcheck.words import Manner, of_the_translation, speaking, tr
from sheetcheck.workbook.copy import is_checked_copy
from tests.catalogue import translations
from tests.page.served import ask, key_of, own, post, serving, shore_book, upload


def test_the_copy_and_the_report_are_those_of_the_command(server: Server, root: Path, tmp_path: Path) -> None:
    book = tmp_path / "book.xlsx"
    book.write_bytes(shore_book(root))
    key = key_of(upload(server, "book.xlsx", book.read_bytes()))
    copy = ask(server, "GET", own(server, f"/book/{key}/copy"))
    assert copy.headers["content-disposition"] == 'attachment; filename="book.checked.xlsx"'
    assert copy.body == check(book).copy.read_bytes()
    report = ask(server, "GET", own(server, f"/book/{key}/report"))
    assert report.text == dumps(audit(book))
    again = ask(server, "GET", own(server, f"/book/{key}/copy"))
    assert again.body == copy.body


def test_a_checked_copy_gives_her_workbook_back(server: Server, root: Path, tmp_path: Path) -> None:
    book = tmp_path / "book.xlsx"
    book.write_bytes(shore_book(root))
    key = key_of(upload(server, "copy.xlsx", check(book).copy.read_bytes()))
    assert ask(server, "GET", own(server, f"/book/{key}/unmarked")).body == book.read_bytes()
    plain = key_of(upload(server, "book.xlsx", book.read_bytes()))
    refused = ask(server, "GET", own(server, f"/book/{plain}/unmarked"))
    assert refused.status == 422
    assert "holds no record of marks" in refused.text


def test_answers_are_taken_up_and_stand_in_the_copy(server: Server, root: Path, tmp_path: Path) -> None:
    key = key_of(upload(server, "book.xlsx", shore_book(root)))
    opened = server.shelf.get(key)
    assert opened is not None
    assert opened.result is not None
    before = json.loads(ask(server, "GET", own(server, f"/book/{key}/report")).text)
    from sheetcheck.reading.answers import keys_of  # noqa: PLC0415 - here alone

    done = opened.result.audit
    keys = dict(zip(keys_of(done.findings, done.book), done.findings, strict=True))
    quiet = next(k for k, f in keys.items() if f.signal.value == "CAUTION")
    danger = next(k for k, f in keys.items() if f.signal.value == "DANGER")
    said = {f"finding:{quiet}": "on purpose", f"finding:{danger}": "on purpose", "finding:nonsense": "yes"}
    post(server, f"/book/{key}/answers", **said)
    after = json.loads(ask(server, "GET", own(server, f"/book/{key}/report")).text)
    assert after["summary"]["CAUTION"] == before["summary"]["CAUTION"] - 1
    assert after["summary"]["DANGER"] == before["summary"]["DANGER"]  # free lye is never lowered
    place = tmp_path / "b.checked.xlsx"
    place.write_bytes(ask(server, "GET", own(server, f"/book/{key}/copy")).body)
    sheet = openpyxl.load_workbook(place)["Check findings"]
    assert "on purpose" in [row[6] for row in sheet.iter_rows(min_row=4, values_only=True)]
    dropped = upload(server, "b.xlsx", place.read_bytes())  # her answers come along with the copy
    taken = json.loads(ask(server, "GET", own(server, f"/book/{key_of(dropped)}/report")).text)
    assert taken["summary"] == after["summary"]


def test_a_word_is_explained_and_kept_where_she_says_so(server: Server, root: Path) -> None:
    key = key_of(upload(server, "book.xlsx", shore_book(root)))
    wrong = post(server, f"/book/{key}/answers", **{"other:Aunt's blend": "good lather"})
    assert wrong.status == 400
    assert "is no ingredient that is known" in wrong.text
    answered = post(server, f"/book/{key}/answers", **{"other:Aunt's blend": "olive oil"})
    assert "What is “Aunt" not in answered.text
    assert "2 not checked" in answered.text
    assert asked.kept() == {}
    post(server, f"/book/{key}/answers", **{"word:Aunt's blend": "olive oil", "keep": "yes"})
    assert asked.kept() == {"Aunt's blend": "olive oil"}
    other = upload(server, "other.xlsx", shore_book(root))
    assert "What is “Aunt" not in other.text
    assert "Aunt&#39;s blend = olive oil" in ask(server, "GET", own(server)).text
    post(server, "/forget")
    assert asked.kept() == {}
    taken_back = post(server, f"/book/{key}/answers", **{"word:Aunt's blend": ""})
    assert "What is “Aunt" in taken_back.text


def test_a_choice_that_is_offered(server: Server, root: Path) -> None:
    shown = upload(server, "book.xlsx", shore_book(root))
    assert 'name="word:Aunt&#39;s blend" value="not an ingredient"' in shown.text
    answered = post(server, f"/book/{key_of(shown)}/answers", **{"word:Aunt's blend": "not an ingredient"})
    assert answered.status == 200
    assert "What is “Aunt" not in answered.text


def test_rescaling(server: Server, root: Path, tmp_path: Path) -> None:
    book = (root / "examples/rescale/orchard_book.xlsx").read_bytes()
    shown = upload(server, "orchard.xlsx", book)
    assert "moulds “Two loaves”" in shown.text
    key = key_of(shown)
    assert ask(server, "GET", own(server, f"/book/{key}/rescaled")).status == 404
    nothing = post(server, f"/book/{key}/rescale")
    assert nothing.status == 400
    assert "fill in one of the sizes" in nothing.text
    assert "is no size that can be read" not in post(server, f"/book/{key}/rescale", times="2").text
    wrong = post(server, f"/book/{key}/rescale", fats="much")
    assert wrong.status == 400
    assert "--" not in wrong.text.split('role="alert">')[1].split("<")[0]
    done = post(server, f"/book/{key}/rescale", moulds="Two loaves", weigh_in="g", paper="letter")
    assert "Two loaves: 7 recipes" in done.text
    assert "or tick it under “Which recipes”" in done.text
    assert "--also" not in done.text
    place = tmp_path / "r.xlsx"
    place.write_bytes(ask(server, "GET", own(server, f"/book/{key}/rescaled/book")).body)
    names = openpyxl.load_workbook(place).sheetnames
    assert len([name for name in names if name.startswith("W")]) == 7


def test_a_password(server: Server, root: Path, tmp_path: Path) -> None:
    msoffcrypto = pytest.importorskip("msoffcrypto")
    from msoffcrypto.format.ooxml import OOXMLFile  # noqa: PLC0415 - comes with a test package

    assert msoffcrypto
    locked = tmp_path / "locked.xlsx"
    with (root / "examples/shore_book/shore_book.xlsx").open("rb") as plain, locked.open("wb") as target:
        OOXMLFile(plain).encrypt("secret", target)
    answer = upload(server, "locked.xlsx", locked.read_bytes())
    assert answer.status == 422
    assert "is protected by a password. Open it in the spreadsheet program, save it without the password" in answer.text


def test_tables_kept_as_text_and_what_is_said_beside(server: Server, tmp_path: Path) -> None:
    text = b"Recipe,Lard,Water,Lye\nPlain,2268,689,308\nHeavy,1814,680,369\n"
    answer = upload(server, "book.csv", text, {"unit": "g"})
    assert "1 of 2 recipes holds too much lye: DO NOT MAKE IT. 1 fine." in answer.text
    copy = ask(server, "GET", own(server, f"/book/{key_of(answer)}/copy"))
    place = tmp_path / "c.xlsx"
    place.write_bytes(copy.body)
    assert is_checked_copy(place)
    assert "should be one of g, kg, oz, lb" in upload(server, "book.csv", text, {"unit": "furlong"}).text
    only = upload(server, "book.csv", text, {"sheets": "nowhere"})
    assert only.status == 422


def test_dropped_again(server: Server) -> None:
    text = "Recipe,Lard (g),Water (g),Lye (g)\nPlain,2268,689,308\nHeavy,1814,680,{}\n"
    upload(server, "book.csv", text.format(369).encode())
    again = upload(server, "book.csv", text.format(246).encode())
    assert "Since last time: 1 put right, 0 new, 0 as before." in again.text


def test_put_away(server: Server, root: Path) -> None:
    keys = [
        key_of(upload(server, f"b{n}.csv", b"Recipe,Lard (g),Water (g),Lye (g)\nA,2268,689,308\n")) for n in range(9)
    ]
    assert len(server.shelf.opened()) == MOST_OPEN
    assert ask(server, "GET", own(server, f"/book/{keys[0]}")).status == 404
    post(server, f"/book/{keys[1]}/close")
    assert ask(server, "GET", own(server, f"/book/{keys[1]}")).status == 404
    assert len(list(server.shelf.folder.iterdir())) == MOST_OPEN - 1
    assert root.exists()


def test_why_a_rule_matters(server: Server) -> None:
    answer = ask(server, "GET", own(server, "/rule/free-lye"))
    assert "Why it matters" in answer.text
    assert "What to do" in answer.text


def test_the_language_of_the_settings() -> None:
    with serving(Settings()) as server:
        assert '<html lang="en">' in ask(server, "GET", own(server), Accept_Language="xx,yy;q=0.5").text


def test_pages_for_recipes_are_offered(server: Server, root: Path) -> None:
    shown = upload(server, "book.xlsx", shore_book(root))
    key = key_of(shown)
    assert f"/book/{key}/pages" in shown.text
    pages = ask(server, "GET", own(server, f"/book/{key}/pages"))
    assert pages.headers["content-disposition"] == 'attachment; filename="book.pages.html"'
    assert pages.text.count("<article") == 40
    assert "DO NOT MAKE: TOO MUCH LYE" in pages.text


@pytest.mark.parametrize("path", translations(), ids=lambda path: path.parent.parent.name)
def test_the_page_speaks_the_language_of_the_browser(server: Server, path: Path) -> None:
    language = path.parent.parent.name
    told = ask(server, "GET", own(server), Accept_Language=f"xx,{language}-{language.upper()};q=0.9,en;q=0.8").text
    plain = ask(server, "GET", own(server), Accept_Language="en").text
    with speaking(Manner(language).voice()):
        assert f'<html lang="{language}">' in told
        assert tr("Check a recipe book before you weigh") in told
        assert of_the_translation() in told  # no native maker has read it
        assert of_the_translation() not in plain
        rule = ask(server, "GET", own(server, "/rule/koh-purity-unknown"), Accept_Language=language).text
        assert tr("KOH: purity not stated") in rule
