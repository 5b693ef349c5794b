"""Run by a test in a process of its own: are all members of an engine that the plugin reached in both real engines?"""

import inspect
import re
import sys
import tempfile
from pathlib import Path
from typing import Any

import platformdirs
import xlwings as xw

from sheetcheck.plugins.excel import attach, button
from sheetcheck.plugins.excel.auditing import audited
from sheetcheck.plugins.excel.marking import mark, unmark
from sheetcheck.report.marks import plan
from tests.plugins.excel import platforms
from tests.plugins.excel.conftest import activated
from tests.plugins.excel.stand_in import TOUCHED, StandIn
from tests.plugins.recipe_book import make_book


def use_everything(folder: Path) -> None:
    """Go through all that the plugin does, on both stand-ins."""
    for platform in ("windows", "mac"):
        place = folder / platform
        place.mkdir()
        platformdirs.user_data_path = lambda *_, place=place, **__: place
        engine = StandIn(platform)
        with activated(engine):
            book = xw.books.open(str(make_book(place / "recipes.xlsx")))
            book.set_mock_caller()
            engine.answers = ["yes"]
            button.main()
            del xw.Book._mock_caller
            book = attach.open_book("recipes")
            book.impl._tall = 1_000_000
            book.sheets[0]["D2"].value = 13
            with audited(book) as done:
                mark(book, plan(done.audit))
            unmark(book)


def is_there(kind: type, member: str) -> bool:
    """Whether an engine's class has a member that does more than say that it is not implemented."""
    name, setter = member.rstrip("="), member.endswith("=")
    for base in kind.__mro__[:-1]:
        if name in vars(base):
            found = vars(base)[name]
            function = (found.fset if setter else found.fget) if isinstance(found, property) else found
            if function is None:
                return False
            try:
                body = inspect.getsource(function).split(":\n", 1)[-1]
            except (TypeError, OSError):
                return True
            return not re.match(r'\s*(?:"""[^"]*"""\s*)?raise NotImplementedError', body)
    return bool(re.search(rf"self\.{name}\s*=", inspect.getsource(kind.__init__)))


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        use_everything(Path(folder))
    touched = sorted(TOUCHED)
    engines: dict[str, Any] = {"windows": platforms.windows(), "mac": platforms.mac()}
    missing = [
        f"{name}: {kind}.{member}"
        for kind, member in touched
        for name, engine in engines.items()
        if not is_there(getattr(engine, kind), member)
    ]
    print(f"{len(touched)} members touched; missing: {missing}")  # noqa: T201 - the test reads it
    return 1 if missing or len(touched) < 25 else 0


if __name__ == "__main__":
    sys.exit(main())
