"""The recipe pages, as data, as HTML, and in a real browser: on a screen, on a phone, printed."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import sheetcheck
from sheetcheck.errors import BrowserError, CopyNotWritableError, SettingError
from sheetcheck.model import Audit
from sheetcheck.pages import pages_of, to_html, to_pdf
from sheetcheck.pages.scales import ENDS, lye_bar, place, superfat_scale
from sheetcheck.pipeline import recipe_pages
from tests.books import write_book

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

DAY = "2026-01-02"
PHONE, DESK = (390, 844), (1100, 900)  # pixels


@pytest.fixture(scope="module")
def farm(root: Path) -> Audit:
    return sheetcheck.audit(root / "examples/shore_book/shore_book.xlsx")


@pytest.fixture(scope="module")
def html(farm: Audit) -> str:
    return to_html(farm, DAY)


# --------------------------------------------------------------------------- as data


def test_each_recipe_has_a_page_in_the_order_of_the_book(farm: Audit) -> None:
    assert [page.name for page in pages_of(farm)] == list(farm.recipes["name"])


def test_free_lye_and_what_was_not_checked_give_no_weights_to_weigh_from(farm: Audit) -> None:
    for page in pages_of(farm):
        r = farm.recipes[farm.recipes["name"] == page.name].iloc[0]
        bad = r["signal"] in ("DANGER", "WARNING") or r["verdict"] == "not checked"
        assert page.to_weigh == (not bad), page.name
        assert bool(page.command) == (bad or page.look == "caution")


def test_the_doubted_amount_is_struck_through_with_what_was_meant(farm: Audit) -> None:
    (page,) = pages_of(farm, ["Cockle Row"])
    (line,) = (line for line in page.lines if line.doubted)
    assert (line.name, line.cell, line.amount) == ("Lye", "L8", "128.4 oz")
    assert line.meant == "128.4 g = 4.53 oz meant? (sure)"  # 128.4 / 28.3495 (ounce by NIST Handbook 44)
    assert page.command == "DO NOT MAKE: TOO MUCH LYE"


def test_a_page_of_little_margin_says_so(tmp_path: Path) -> None:
    rows = [["Soap", "Lard (g)", "Lye (g)", "Water (g)"], ["Thin", 1000, 139.5, 320], ["Plain", 1000, 132, 320]]
    thin, plain = pages_of(sheetcheck.audit(write_book(tmp_path / "b.xlsx", {"S": rows})))
    assert thin.command
    assert plain.command == ""


def test_what_is_suggested_can_be_ticked_and_free_lye_is_never_on_purpose(farm: Audit) -> None:
    by_name = {page.name: page for page in pages_of(farm)}
    assert by_name["Cockle Row"].choices == ("yes, that was it", "look later")
    assert by_name["Groyne"].choices == ("yes, that was it", "on purpose", "look later")
    assert by_name["Samphire"].choices == ()


def test_amounts_are_as_she_wrote_them(farm: Audit) -> None:
    (page,) = pages_of(farm, ["Heron Bank"])
    assert [(line.name, line.amount) for line in page.lines] == [
        ("Olive", "2 lb"),
        ("Lye", "4.17 oz"),
        ("Water", "8.5 oz"),
    ]


def test_first_aid_is_whole() -> None:
    book = sheetcheck.reference.cautions()
    said = " ".join(c.sentence for c in book if c.group in ("splash", "swallowed"))
    for words in ("30 minutes", "lids held open", "lenses", "brush dry lye off", "Never neutralise", "rinse the mouth"):
        assert words in said


@pytest.mark.parametrize(
    ("written", "taken", "off", "wider"),
    [(5.6, 5.97, False, "taken"), (7, 5, False, "written"), (128, 4.8, True, "written")],
)
def test_the_bar_shows_which_is_more(written: float, taken: float, *, off: bool, wider: str) -> None:
    bar = lye_bar(written, taken)
    assert bar is not None
    assert bar.off_the_page == off
    assert (bar.written > bar.taken) == (wider == "written")
    assert max(bar.written, bar.taken) <= 100
    if not off:
        assert bar.written / bar.taken == pytest.approx(written / taken)


@pytest.mark.parametrize("unknown", [(float("nan"), 5.0), (5.0, float("nan")), (0.0, 5.0)])
def test_no_bar_without_both_of_its_amounts(unknown: tuple[float, float]) -> None:
    assert lye_bar(*unknown) is None


def test_the_scale_is_linear_and_closed_at_its_ends() -> None:
    assert [place(x) for x in (ENDS[0], sum(ENDS) / 2, ENDS[1])] == [0, 50, 100]
    assert place(-2577) == 0
    scale = superfat_scale(-2600, -2577, -2500)
    assert scale is not None
    assert scale.beyond
    assert superfat_scale(float("nan"), float("nan"), float("nan")) is None


# --------------------------------------------------------------------------- as a file


class _Outside(HTMLParser):
    """Notes everything that a page would fetch."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.scripts = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.scripts += tag == "script"
        for name, value in attrs:
            if name in ("src", "href", "action", "data") and value and not value.startswith("#"):
                self.found.append(value)


def test_nothing_comes_from_outside(html: str) -> None:
    seen = _Outside()
    seen.feed(html)
    assert (seen.found, seen.scripts) == ([], 0)
    assert not re.search(r"url\(|@import|https?://", html)


def test_names_that_look_like_markup_are_shown_as_they_are(tmp_path: Path) -> None:
    name = "<script>alert(1)</script> & Söhne"
    rows = [["Soap", "Lard (g)", "Lye (g)", "Water (g)"], [name, 1000, 132, 320], ["Plain", 1000, 132, 320]]
    text = to_html(sheetcheck.audit(write_book(tmp_path / "b.xlsx", {"S": rows})), DAY)
    assert "<script>" not in text
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; Söhne" in text


def test_the_same_book_gives_the_same_file(farm: Audit, html: str) -> None:
    assert to_html(farm, DAY) == html


def test_a_file_that_stands_there_is_left(root: Path, tmp_path: Path) -> None:
    book, out = root / "examples/clean_book/clean_book.xlsx", tmp_path / "pages.html"
    recipe_pages(book, out)
    before = out.read_bytes()
    with pytest.raises(CopyNotWritableError):
        recipe_pages(book, out)
    assert out.read_bytes() == before
    recipe_pages(book, out, only=["Jib"], overwrite=True)
    assert out.read_text(encoding="utf-8").count("<article") == 1


@pytest.mark.parametrize(("out", "only"), [("pages.docx", []), ("pages.html", ["No such soap"])])
def test_what_cannot_be_written_is_said(out: str, only: list[str], root: Path, tmp_path: Path) -> None:
    with pytest.raises(SettingError):
        recipe_pages(root / "examples/clean_book/clean_book.xlsx", tmp_path / out, only=only)
    assert list(tmp_path.iterdir()) == []


def test_without_a_browser_a_pdf_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda _: None)
    with pytest.raises(BrowserError, match=r"write an \.html file, open it and print it"):
        to_pdf("<p>")


# --------------------------------------------------------------------------- in a browser


@pytest.fixture(scope="module")
def file(html: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("pages") / "pages.html"
    target.write_text(html, encoding="utf-8")
    return target


@pytest.fixture
def page(browser: Browser, file: Path) -> Iterator[Page]:
    """The pages, opened."""
    opened = browser.new_page()
    opened.goto(file.as_uri())
    yield opened
    opened.close()


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_nothing_runs_off_the_screen(size: tuple[int, int], page: Page) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    sizes = page.evaluate(
        "[...document.querySelectorAll('.amounts .number')].map(e => parseFloat(getComputedStyle(e).fontSize))"
    )
    assert min(sizes) >= 17, "amounts are read from a bench"


def test_the_drawings_are_where_the_numbers_say(page: Page, farm: Audit) -> None:
    places = page.evaluate(
        "[...document.querySelectorAll('article')].map(a => { const s = a.querySelector('.scale'),"
        " d = a.querySelector('.dot'); if (!s) return null; const r = s.getBoundingClientRect(),"
        " p = d.getBoundingClientRect(); return (p.left + p.width / 2 - r.left) / r.width; })"
    )
    known = 0
    for at, superfat in zip(places, farm.recipes["superfat_typical"], strict=True):
        if at is not None:
            assert 100 * at == pytest.approx(place(float(superfat)), abs=0.6)
            known += 1
    assert known == farm.recipes["superfat_typical"].notna().sum()


def test_it_says_nothing_to_the_console_and_is_photographed(browser: Browser, file: Path) -> None:
    opened, said = browser.new_page(), []
    opened.on("console", lambda message: said.append(message.text))
    opened.on("pageerror", lambda error: said.append(str(error)))
    opened.goto(file.as_uri())
    photograph = opened.locator("article.danger").first.screenshot()
    opened.close()
    assert said == []
    assert len(photograph) > 10_000, "a page with something on it"


@pytest.mark.usefixtures("browser")  # it is what prints
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_each_recipe_prints_on_a_page_of_its_own(paper: str, html: str, farm: Audit, tmp_path: Path) -> None:
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext (Poppler) is not installed")
    (tmp_path / "p.pdf").write_bytes(to_pdf(html.replace("@page {", f"@page {{ size: {paper};")))
    done = subprocess.run(["pdftotext", "-layout", str(tmp_path / "p.pdf"), "-"], check=True, capture_output=True)
    printed = [page for page in done.stdout.decode().split("\f") if page.strip()]
    assert len(printed) == len(farm.recipes)
    for page, name in zip(printed, farm.recipes["name"], strict=True):
        assert page.split("\n")[0].strip().startswith(str(name))
        assert "Poison centre" in page
        assert "30 minutes" in page
