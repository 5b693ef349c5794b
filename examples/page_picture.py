"""Makes the picture of the page: `python -m examples.page_picture`. Chromium opens it on the shore book."""

from __future__ import annotations

import shutil
import threading
from pathlib import Path

from playwright.sync_api import sync_playwright

from sheetcheck.page.server import Server

HERE = Path(__file__).parent / "shore_book"
SIZE = {"width": 1120, "height": 980}


def main() -> None:
    """Write the picture beside the book."""
    server = Server()
    began = threading.Event()
    thread = threading.Thread(target=server.run, args=(lambda _: began.set(),))
    thread.start()
    began.wait()
    try:
        (HERE / "page.png").write_bytes(photographed(server.address))
    finally:
        server.present.ended = True
        thread.join()


def photographed(address: str) -> bytes:
    """Drop the shore book on the page and return what is seen first."""
    with sync_playwright() as playwright:
        program = shutil.which("chromium") or "chromium"
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        page = browser.new_page(viewport=SIZE)  # type: ignore[arg-type]  # a plain dict is taken
        page.goto(address)
        page.locator("#book").set_input_files(HERE / "shore_book.xlsx")
        page.locator("form.drop button.main").click()
        page.locator("#stands").wait_for()
        return page.screenshot()


if __name__ == "__main__":
    main()
