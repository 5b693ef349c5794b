"""The page in a real browser: dropped, answered, corrected, downloaded, reloaded, in two tabs, looked at."""

import base64
import re
import time
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from sheetcheck.page.server import Server
from sheetcheck.page.site import Present
from tests.page.served import serving

WIDE, PHONE = {"width": 1280, "height": 900}, {"width": 390, "height": 844}
DROP = """async ([name, data]) => {
    const bytes = Uint8Array.from(atob(data), (c) => c.charCodeAt(0));
    const held = new DataTransfer();
    held.items.add(new File([bytes], name));
    for (const kind of ["dragover", "drop"])
        document.body.dispatchEvent(new DragEvent(kind, {dataTransfer: held, bubbles: true, cancelable: true}));
}"""
LARGE = """() => {
    const file = new File(["x"], "book.xlsx");
    Object.defineProperty(file, "size", {value: 3e9});
    const input = document.querySelector("#book");
    Object.defineProperty(input, "files", {value: [file]});
    input.removeAttribute("required");
    document.querySelector("form.drop").requestSubmit();
}"""


@pytest.fixture
def page(browser: Browser, server: Server) -> Iterator[Page]:
    with browser.new_context(viewport=WIDE, accept_downloads=True) as context:  # type: ignore[arg-type]  # a plain dict is taken
        opened = context.new_page()
        complaints: list[str] = []
        opened.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
        opened.on("pageerror", lambda error: complaints.append(str(error)))
        opened.goto(server.address)
        yield opened
        expected = ("status of 4",)  # what the browser says of a page that tells of a refusal
        assert [c for c in complaints if not any(e in c for e in expected)] == []


def drop(page: Page, name: str, data: bytes) -> None:
    page.wait_for_load_state()
    page.evaluate(DROP, [name, base64.b64encode(data).decode()])


def lard_book(lye: float) -> bytes:
    return f"Recipe,Lard (g),Water (g),Lye (g)\nPlain,2268,689,308\nHeavy,1814,680,{lye}\n".encode()


def test_dropped_answered_and_downloaded(page: Page, root: Path, tmp_path: Path) -> None:
    book = root / "examples/shore_book/shore_book.xlsx"
    drop(page, "shore_book.xlsx", book.read_bytes())
    expect(page.locator("#stands")).to_contain_text(
        "4 of 40 recipes hold too much lye: DO NOT MAKE THEM. 7 more to look at, 3 not checked"
    )
    first = page.locator("article.strip").first
    expect(first.locator("h3")).to_contain_text("Cockle Row")
    expect(first.locator("td.doubted")).to_contain_text("128.40")
    expect(first.locator("td.edge").last).to_contain_text("L8 Lye: 128.4 oz → 128.4 g")
    asked = page.get_by_role("group", name=re.compile("What is “Aunt's blend”"))
    asked.get_by_label("something else").fill("olive oil")
    page.get_by_role("button", name="Check again with these answers").click()
    expect(page.locator("#stands")).to_contain_text("2 not checked")
    with page.expect_download() as download:
        page.get_by_role("link", name="Download the checked copy").click()
    copy = tmp_path / download.value.suggested_filename
    download.value.save_as(copy)
    assert copy.name == "shore_book.checked.xlsx"
    assert "Check summary" in openpyxl.load_workbook(copy).sheetnames
    page.reload()
    expect(page.locator("#stands")).to_contain_text("2 not checked")


def test_corrected_and_dropped_again(page: Page) -> None:
    drop(page, "book.csv", lard_book(369))
    expect(page.locator("#stands")).to_contain_text("1 of 2 recipes holds too much lye")
    drop(page, "book.csv", lard_book(246))
    expect(page.locator("#stands")).to_contain_text("Nothing amiss in 2 recipes.")
    expect(page.locator(".since")).to_contain_text("1 put right")


def test_with_the_keyboard_alone(page: Page, tmp_path: Path) -> None:
    book = tmp_path / "book.csv"
    book.write_bytes(lard_book(369))
    reached = []
    for _ in range(12):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.textContent.trim() || document.activeElement.id"))
    assert reached[0] == "To the contents"
    assert "book" in reached
    assert "Check it" in reached
    page.locator("#book").set_input_files(book)
    page.get_by_role("button", name="Check it").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#stands")).to_contain_text("1 of 2 recipes holds too much lye")


def test_two_tabs(page: Page, server: Server) -> None:
    other = page.context.new_page()
    other.goto(server.address)
    drop(page, "one.csv", lard_book(369))
    drop(other, "two.csv", lard_book(246))
    expect(page.locator("h1")).to_have_text("one.csv")
    expect(other.locator("h1")).to_have_text("two.csv")
    page.reload()
    expect(page.locator("#stands")).to_contain_text("1 of 2 recipes holds too much lye")
    other.goto(server.address)
    expect(other.locator("ul.plain a")).to_have_text(["two.csv", "one.csv"])
    other.close()


def test_what_cannot_be_read(page: Page, server: Server, root: Path) -> None:
    book = (root / "examples/shore_book/shore_book.xlsx").read_bytes()
    drop(page, "cut.xlsx", book[:5000])
    expect(page.get_by_role("alert")).to_contain_text("cut.xlsx: is damaged")
    page.goto(server.address)
    page.evaluate(LARGE)
    expect(page.get_by_role("alert")).to_contain_text("larger than a recipe book can be")


def test_a_large_book_shows_that_it_is_at_work(page: Page) -> None:
    rows = "\n".join(f"R{n},{2268 + n % 50},689,{308 + (60 if n % 10 == 0 else 0)}" for n in range(4000))
    drop(page, "large.csv", f"Recipe,Lard (g),Water (g),Lye (g)\n{rows}\n".encode())
    expect(page.get_by_role("status")).to_be_visible(timeout=20_000)
    expect(page.locator("#stands")).to_contain_text("400 of 4,000 recipes", timeout=240_000)
    expect(page.get_by_text("more recipes are in the checked copy").first).to_be_visible()


def test_closed_by_its_button(page: Page, server: Server) -> None:
    other = page.context.new_page()
    other.goto(server.address)
    page.get_by_role("button", name="Close sheetcheck").click()
    expect(page.locator("h1")).to_have_text("sheetcheck is closed")
    other.evaluate("document.querySelector('main').dataset.x = 1")
    other.wait_for_timeout(1500)
    other.evaluate("dispatchEvent(new PageTransitionEvent('pageshow', {persisted: true}))")
    expect(other.get_by_role("alert")).to_contain_text("sheetcheck was closed")
    other.close()


def test_closed_with_its_last_tab(browser: Browser) -> None:
    present = Present(left=1.0)
    with serving(present=present) as server, browser.new_context() as context:
        first, second = context.new_page(), context.new_page()
        first.goto(server.address)
        second.goto(server.address)
        first.reload()
        first.close(run_before_unload=True)
        second.wait_for_timeout(2500)
        assert not present.is_over()
        second.close(run_before_unload=True)
        give_up = time.monotonic() + 20
        while not present.is_over():
            assert time.monotonic() < give_up
            time.sleep(0.1)


def test_another_page_cannot_reach_it(browser: Browser, server: Server) -> None:
    """Another page knows port and secret, and still gets nothing and changes nothing."""
    with serving() as elsewhere, browser.new_context() as context:
        foreign = context.new_page()
        foreign.goto(elsewhere.address)  # another origin: the port is another
        tried = foreign.evaluate(
            """async (there) => {
                const one = await fetch(there).then(() => "read", () => "refused");
                const post = {method: "POST", mode: "no-cors"};
                const two = await fetch(there + "close", post).then(() => "sent", () => "refused");
                return [one, two];
            }""",
            server.address,
        )
        assert tried == ["refused", "refused"]  # by its own policy already
        blank = context.new_page()
        blank.route("https://evil.example/", lambda route: route.fulfill(body="<p>evil</p>", content_type="text/html"))
        blank.goto("https://evil.example/")
        blank.evaluate(
            """async (there) => {
                for (const path of ["close", "forget", "here"])
                    await fetch(there + path, {method: "POST", mode: "no-cors"}).catch(() => 0);
                const frame = document.createElement("iframe");
                frame.src = there;
                document.body.append(frame);
                await new Promise((done) => setTimeout(done, 700));
            }""",
            server.address,
        )
        assert not server.present.ended
        shown = [frame.content() for frame in blank.frames[1:]]
        assert not any("Drop your recipe book" in content for content in shown)


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize("size", ["wide", "phone"])
def test_accessible_and_within_its_width(
    browser: Browser, server: Server, root: Path, pictures: Path, look: str, size: str
) -> None:
    """No violation that axe-core knows of (WCAG 2.1 A and AA, best practices), on each page, photographed."""
    viewport = WIDE if size == "wide" else PHONE
    with browser.new_context(viewport=viewport, color_scheme=look) as context:  # type: ignore[arg-type]  # a plain dict is taken
        page = context.new_page()
        page.goto(server.address)
        looked_at(page, pictures / f"start-{size}-{look}.png")
        drop(page, "orchard.xlsx", (root / "examples/rescale/orchard_book.xlsx").read_bytes())
        expect(page.locator("#stands")).to_be_visible()
        page.evaluate("document.querySelectorAll('details').forEach((d) => d.open = true)")
        looked_at(page, pictures / f"result-{size}-{look}.png")
        page.get_by_label("times as much").fill("2")
        page.get_by_role("button", name="Rescale", exact=True).click()
        expect(page.locator("h1")).to_contain_text("Rescaled: orchard.xlsx")
        looked_at(page, pictures / f"rescaled-{size}-{look}.png")
        page.goto(f"{server.address}rule/free-lye")
        looked_at(page, pictures / f"rule-{size}-{look}.png")
        page.goto(f"{server.address}book/none")
        looked_at(page, pictures / f"refused-{size}-{look}.png")


def looked_at(page: Page, picture: Path) -> None:
    page.screenshot(path=picture, full_page=True)
    found = Axe().run(page)
    assert [(v["id"], [n["target"] for n in v["nodes"]]) for v in found.response["violations"]] == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), picture.name


def test_printed(page: Page, root: Path) -> None:
    drop(page, "shore_book.xlsx", (root / "examples/shore_book/shore_book.xlsx").read_bytes())
    expect(page.locator("#stands")).to_be_visible()
    page.emulate_media(media="print")
    for hidden in ("Check again with these answers", "Close sheetcheck"):
        expect(page.get_by_role("button", name=hidden)).to_be_hidden()
    expect(page.locator("td.doubted").first).to_be_visible()
    assert len(re.findall(rb"/Type\s*/Page\b", page.pdf())) >= 1


def test_without_a_script(browser: Browser, server: Server, root: Path) -> None:
    with browser.new_context(java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(server.address)
        page.locator("#book").set_input_files(root / "examples/clean_book/clean_book.xlsx")
        page.get_by_role("button", name="Check it").click()
        expect(page.locator("#stands")).to_contain_text("Nothing amiss", timeout=30_000)
