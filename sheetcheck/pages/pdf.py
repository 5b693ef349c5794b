"""The pages as a PDF, printed by a browser that is on the machine: the same layout as on the screen."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from pathlib import Path

from sheetcheck.errors import BrowserError
from sheetcheck.words import tr

BROWSERS = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "msedge",
    "microsoft-edge",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    r"C:\Program Files\Google\Chrome\Application\chrome.exe",
    r"C:\Program Files (x86)\Microsoft\Edge\Application\msedge.exe",
)
SECONDS = 120


def to_pdf(html: str, browser: str | None = None) -> bytes:
    """Return a page of HTML as a PDF.

    Raises
    ------
    BrowserError
        There is no browser that can print it, or it failed; the HTML file itself can be opened and printed.
    """
    program = browser or next((found for name in BROWSERS if (found := shutil.which(name))), None)
    if program is None:
        raise BrowserError(tr("no browser was found that prints to PDF: write an .html file, open it and print it"))
    with tempfile.TemporaryDirectory(prefix="sheetcheck-", ignore_cleanup_errors=True) as folder:
        page, pdf = Path(folder) / "pages.html", Path(folder) / "pages.pdf"
        page.write_text(html, encoding="utf-8")
        command = [program, "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder}/profile"]
        command += ["--no-pdf-header-footer", f"--print-to-pdf={pdf}", page.as_uri()]
        try:
            subprocess.run(command, check=True, capture_output=True, timeout=SECONDS)  # noqa: S603 - a browser, by name
            return pdf.read_bytes()
        except (OSError, subprocess.SubprocessError) as error:
            raise BrowserError(
                tr("{browser} could not print the pages: {error}", browser=program, error=error)
            ) from error
