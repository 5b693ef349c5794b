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
    """Ask until there is an answer."""
    give_up = time.monotonic() + seconds
    while (answer := ask()) is None:
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


def box_of(office: Office) -> Any:
    """The message box, None where there is none; a window that is just closing cannot be asked, and is none."""
    from com.sun.star.uno import RuntimeException

    try:
        return _box_of(office)
    except RuntimeException:
        return None


def _box_of(office: Office) -> Any:
    toolkit = office.service("com.sun.star.awt.Toolkit")
    windows = [toolkit.getTopWindow(number) for number in range(toolkit.TopWindowCount)]
    found = (window.AccessibleContext for window in windows if window is not None)
    is_ours = (w for w in found if w is not None and w.AccessibleRole in DIALOGS and w.AccessibleName == "Sheetcheck")
    return next(is_ours, None)


def press(office: Office, document: Any, entry: str) -> str:
    """Press an entry, close the box that it shows, and return what the box said."""
    pressed = threading.Thread(target=office.press, args=(document, entry))
    pressed.start()
    box = until(lambda: box_of(office), 60)
    parts = list(within(box))
    said = "\n".join(part.AccessibleName for part in parts if part.AccessibleRole not in {*DIALOGS, BUTTON})
    next(part for part in parts if part.AccessibleRole == BUTTON).doAccessibleAction(0)
    pressed.join(20)
    assert not pressed.is_alive()
    return said


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
    box = until(lambda: box_of(window), 60)
    next(part for part in within(box) if part.AccessibleRole == BUTTON).doAccessibleAction(0)
    time.sleep(1)  # while it closes it cannot be asked

    document.Sheets.getByName("Batches").getCellRangeByName("D2").Value = 13
    said = press(window, document, "audit")
    assert "2 of 3 recipes hold too much lye" in said
    assert "Batches!D2" in said
    assert "never liquid into lye" in said

    pressed = threading.Thread(target=window.press, args=(document, "rescale"))
    pressed.start()
    asked = until(lambda: box_of(window), 20)
    words = [part.AccessibleName for part in within(asked)]
    assert any(text.startswith("To what size?") for text in words)
    next(part for part in within(asked) if part.AccessibleName == "OK").doAccessibleAction(0)
    pressed.join(20)
    box = until(lambda: box_of(window), 60)
    words = [part.AccessibleName for part in within(box)]
    assert any("Rescaled book: " in text for text in words)
    next(part for part in within(box) if part.AccessibleRole == BUTTON).doAccessibleAction(0)

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
