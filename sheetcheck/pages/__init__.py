"""A page for each recipe, to stand on a bench: one HTML file without anything from outside, or a PDF printed from it.

`page.py` says what stands on a page, `scales.py` where things are drawn, `html.py` fills the template, `pdf.py` lets a
browser print it.
"""

from sheetcheck.pages.html import to_html
from sheetcheck.pages.page import Page, pages_of
from sheetcheck.pages.pdf import to_pdf

__all__ = ["Page", "pages_of", "to_html", "to_pdf"]
