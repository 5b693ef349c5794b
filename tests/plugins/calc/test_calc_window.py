"""The menu in a window of LibreOffice Calc, on a screen that nobody sees (Xvfb): what the maker sees is looked at."""

import os
import shutil
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, TypeVar

import pytest

from sheetcheck.plugins.calc import install
from sheetcheck.workbook.palette import SIGNAL_FILLS
from tests.plugins.office import Office
from tests.plugins.recipe_book import make_book

DIALOGS, BUTTON = (
    {1, 12, 13},
    44,
)  # com.sun.star.accessibility.AccessibleRole: ALERT, DIALOG and FILE_CHOOSER; PUSH_BUTTON
T = TypeVar("T")


@pytest.fixture(scope="module")
def display() -> Iterator[str]:
    for program in ("Xvfb", "xwd", "xwdtopnm"):
        if shutil.which(program) is None:
            if os.environ.get("SHEETCHECK_NEEDS_OFFICE"):
                pytest.fail(f"{program} is not installed, and CI needs it")
            pytest.skip(f"{program} is not installed")
    reading, writing = os.pipe()
    command = ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1280x800x24", "-nolisten", "tcp"]
    process = subprocess.Popen(command, pass_fds=[writing], stderr=subprocess.DEVNULL)
    os.close(writing)
    try:
        with os.fdopen(reading) as number:
            yield f":{number.readline().strip()}"
    finally:
        process.terminate()
        process.wait(20)


@pytest.fixture(scope="module")
def window(unprivileged: Path, display: str) -> Iterator[Office]:
    profile = unprivileged / "profile-with-window"
    install.install(profile)
    with Office(profile, DISPLAY=display, HOME=str(unprivileged)) as office:
        yield office


def until(ask: Callable[[], T | None], seconds: float = 30) -> T:
    """Ask until there is an answer; a window that is opening or closing gives none."""
    give_up = time.monotonic() + seconds
    while (answer := _answer(ask)) is None:
        assert time.monotonic() < give_up, "nothing happened"
        time.sleep(0.1)
    return answer


def within(accessible: Any, depth: int = 4) -> Iterator[Any]:
    """All that a screen reader finds in a window."""
    yield accessible
    for number in range(min(accessible.AccessibleChildCount, 100) if depth else 0):
        child = accessible.getAccessibleChild(number)
        if child is not None:
            yield from within(child.AccessibleContext, depth - 1)


def _answer(ask: Callable[[], T | None]) -> T | None:
    from com.sun.star.uno import RuntimeException

    try:
        return ask()
    except RuntimeException:
        return None


def box_of(office: Office) -> Any:
    """The message box, None where there is none."""
    return _answer(lambda: _box_of(office))


def _box_of(office: Office) -> Any:
    toolkit = office.service("com.sun.star.awt.Toolkit")
    windows = [toolkit.getTopWindow(number) for number in range(toolkit.TopWindowCount)]
    found = (window.AccessibleContext for window in windows if window is not None)
    is_ours = (w for w in found if w is not None and w.AccessibleRole in DIALOGS and w.AccessibleName == "Sheetcheck")
    return next(is_ours, None)


def answered(office: Office, button: str | None = None) -> list[str]:
    """Wait for the box, press its button, wait until it is gone, and return what it said."""

    def said() -> tuple[Any, list[str]] | None:
        box = _box_of(office)
        parts = [] if box is None else list(within(box))
        buttons = [p for p in parts if p.AccessibleRole == BUTTON and button in (None, p.AccessibleName)]
        words = [p.AccessibleName for p in parts if p.AccessibleRole not in {*DIALOGS, BUTTON}]
        return (buttons[0], words) if buttons else None

    pressed, words = until(said, 60)
    _answer(lambda: pressed.doAccessibleAction(0))
    until(lambda: True if box_of(office) is None else None)
    return words


def press(office: Office, document: Any, entry: str, button: str | None = None) -> str:
    """Press an entry, close the box that it shows, and return what the box said."""
    pressed = threading.Thread(target=office.press, args=(document, entry))
    pressed.start()
    said = answered(office, button)
    pressed.join(20)
    assert not pressed.is_alive()
    return "\n".join(said)


def screenshot(display: str, target: Path) -> set[tuple[int, int, int]]:
    """Photograph the screen; return the colours on it."""
    dump = subprocess.run(["xwd", "-root", "-silent", "-display", display], capture_output=True, check=True, timeout=30)
    picture = subprocess.run(["xwdtopnm", "-quiet"], input=dump.stdout, capture_output=True, check=True, timeout=30)
    target.write_bytes(picture.stdout)
    pixels = picture.stdout[-1280 * 800 * 3 :]
    return set(zip(pixels[::3], pixels[1::3], pixels[2::3], strict=True))


def test_menu_verdict_and_marked_copy(window: Office, display: str, tmp_path: Path) -> None:
    book = make_book(tmp_path / "recipes.xlsx")
    document = window.open(book)
    frame = document.CurrentController.Frame.ContainerWindow
    frame.setPosSize(0, 0, 1280, 780, 15)
    menu = until(
        lambda: next((a for a in within(frame.AccessibleContext, 3) if a.AccessibleName == "Sheetcheck"), None)
    )
    entries = [menu.getAccessibleChild(n).AccessibleContext.AccessibleName for n in range(menu.AccessibleChildCount)]
    assert entries == ["Check this workbook", "Write the checked copy", "Rescale this workbook …", "Take the marks off"]

    window.press(document, "audit")
    assert box_of(window) is None, "the menu is closed while it works"
    answered(window)

    document.Sheets.getByName("Batches").getCellRangeByName("D2").Value = 13
    said = press(window, document, "audit")
    assert "2 of 3 recipes hold too much lye" in said
    assert "Batches!D2" in said
    assert "never liquid into lye" in said

    assert "To what size?" in press(window, document, "rescale", "OK")
    assert "Rescaled book: " in "\n".join(answered(window))

    said = press(window, document, "copy")
    assert "Checked copy: " in said
    copy = next(d for d in window.documents() if ".checked " in d.Title)
    shown = copy.CurrentController.Frame.ContainerWindow
    shown.setPosSize(0, 0, 1280, 780, 15)
    shown.toFront()
    danger = bytes.fromhex(SIGNAL_FILLS["DANGER"])

    def marked() -> bool | None:
        colours = screenshot(display, tmp_path / "copy.ppm")
        near = any(all(0 <= d - c < 8 for d, c in zip(danger, colour, strict=True)) for colour in colours)
        return near or None

    until(marked)
