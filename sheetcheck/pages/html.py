"""The pages as one HTML file: everything in it, nothing from outside."""

from __future__ import annotations

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined, Template

from sheetcheck.model import Audit
from sheetcheck.pages.page import Page, pages_of
from sheetcheck.pages.scales import TICKS, place
from sheetcheck.words import MINUS, speaking, tr

TEMPLATE = "recipe_pages.html.jinja"


def to_html(audit: Audit, day: str, only: tuple[str, ...] = ()) -> str:
    """Return the pages of a book as the text of an HTML file.

    Parameters
    ----------
    day
        Of the check, as the pages say it.
    only
        Names of recipes; all of them where there are none.
    """
    with speaking(audit.book.manner.voice()):
        return html_of(pages_of(audit, only), audit.book.name, day, audit.settings.language)


def html_of(pages: list[Page], book: str, day: str, language: str) -> str:
    """Return pages as the text of an HTML file; what is said beside them is said in the voice of the moment."""
    ticks = [(place(tick), str(tick).replace("-", MINUS)) for tick in TICKS]
    return _template().render(pages=pages, book=book, day=day, language=language, ticks=ticks, zone=place, tr=tr)


@cache
def _template() -> Template:
    environment = Environment(
        loader=PackageLoader("sheetcheck.pages"), autoescape=True, undefined=StrictUndefined, trim_blocks=True
    )
    return environment.get_template(TEMPLATE)
