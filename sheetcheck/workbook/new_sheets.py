"""New sheets, built by a well-kept writer into a small workbook of their own; graft.py moves them over."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from sheetcheck.errors import BookError
from sheetcheck.model import Formula, Link, NewSheet, Signal, Styled, column_letters
from sheetcheck.workbook.cell_xml import MOST_CHARACTERS, looks_like_formula
from sheetcheck.workbook.charts import add_chart
from sheetcheck.workbook.package import Package
from sheetcheck.workbook.palette import SIGNAL_FILLS, STYLES
from sheetcheck.workbook.ranges import Area, parse_area, quoted
from sheetcheck.workbook.replacing import replacing, store

OURS = "sheetcheck"  # category of a workbook that holds nothing but new sheets: what tells it from hers
SAMPLES = "Samples of styles"  # a sheet that is built and not grafted: its cells show which format a style became
_NO_TIME = (1980, 1, 1, 0, 0, 0)  # of the parts of a file of the writer's: the earliest that a zip archive can tell
_PAPERS = {"a4": 9, "letter": 1}  # numbers of paper sizes, ECMA-376 part 1, 18.3.1.63
_MOST_LINKS = 65_000  # of one sheet (Excel specifications and limits: 65,530)
_LONGEST_LIST = 255  # characters of a drop-down whose choices are written in it

StyleKey = tuple[str, bool]  # style name, and whether its text looks like a formula and must be kept as text


@dataclass(frozen=True)
class HiddenSheet:
    """A sheet that no menu shows."""

    name: str
    rows: Sequence[Sequence[object]]


@dataclass(frozen=True)
class Built:
    """A workbook with the new sheets, as bytes."""

    data: bytes
    names: tuple[str, ...]  # of the sheets to graft
    samples: tuple[StyleKey, ...]  # row n of the sheet of samples shows this style


def plain_style(value: object) -> str:
    """Return the style of a value for which none is given."""
    if isinstance(value, Link):
        return "link"
    inner = value.value if isinstance(value, Formula) else value
    return "number" if isinstance(inner, int | float) and not isinstance(inner, bool) else "text"


def style_key(content: object) -> StyleKey:
    """Return the style of a cell's content."""
    value, style = (content.value, content.style) if isinstance(content, Styled) else (content, plain_style(content))
    text = value.text if isinstance(value, Link) else value
    return (style if style in STYLES else "text"), looks_like_formula(text)


def is_ours_unchanged(path: Path) -> bool:
    """Whether `write_sheets` made a file and no program has saved it since.

    Others write when they saved it, to the second; those that could do so within that second stamp the parts of the
    file with the time too, which our writer never does.
    """
    try:
        with Package.open(path) as package:
            told = {str(e.tag).rpartition("}")[2]: e.text for e in package.tree("docProps/core.xml")}
            stamped = any(info.date_time != _NO_TIME for info in package.archive.entries.values())
    except (BookError, KeyError, ValueError):
        return False
    return told.get("category") == OURS and told.get("created") == told.get("modified") is not None and not stamped


def build(
    sheets: Sequence[NewSheet],
    samples: Iterable[StyleKey],
    font: tuple[str, float],
    hidden: HiddenSheet | None = None,
    *,
    samples_shown: bool = True,
) -> Built:
    """Build a workbook of new sheets in the book's own font, and one cell for each style asked for."""
    data = io.BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "default_format_properties": {"font_name": font[0], "font_size": font[1]},
    }
    workbook = xlsxwriter.Workbook(data, options)
    workbook.set_properties({"category": OURS})
    writer = _Writer(workbook, font)
    for sheet in sheets:
        writer.add(sheet)
    samples = tuple(samples)
    if samples_shown:
        shown = workbook.add_worksheet(SAMPLES)
        for row, key in enumerate(samples):
            shown.write_blank(row, 0, None, writer.format(key))
    if hidden is not None:
        writer.add_hidden(hidden)
    workbook.close()
    names = tuple(sheet.name for sheet in sheets) + ((hidden.name,) if hidden else ())
    return Built(data.getvalue(), names, samples)


def write_sheets(sheets: Sequence[NewSheet], target: Path) -> None:
    """Write a workbook that holds nothing but new sheets.

    Raises
    ------
    CopyNotWritableError
        The target cannot be written.
    """
    built = build(sheets, (), ("Calibri", 11.0), samples_shown=False)
    with replacing(target) as (file, _):
        file.write(built.data)
        store(file)


class _Writer:
    def __init__(self, workbook: xlsxwriter.Workbook, font: tuple[str, float]) -> None:
        self.workbook = workbook
        self.font = font
        self._formats: dict[StyleKey, Format] = {}

    def format(self, key: StyleKey) -> Format:
        """Return the writer's format for a style."""
        if key not in self._formats:
            properties = dict(STYLES[key[0]])
            bigger = properties.pop("bigger", 0)
            size = self.font[1] + (bigger if isinstance(bigger, int) else 0)
            look: Mapping[str, object] = {
                **properties,
                "font_name": self.font[0],
                "font_size": size,
                "quote_prefix": key[1],
            }
            self._formats[key] = self.workbook.add_format(look)
        return self._formats[key]

    def add(self, spec: NewSheet) -> None:
        """Write one sheet."""
        sheet = self.workbook.add_worksheet(spec.name)
        for column, width in enumerate(spec.widths):
            sheet.set_column(column, column, width or None, None, None if width else {"hidden": True})
        for row, height in spec.heights.items():
            sheet.set_row(row - 1, height)
        for range_ in spec.merges:
            area = _area(range_)
            if area[0:2] != area[2:4]:
                sheet.merge_range(*area, None, self.format(_key_at(spec, *area[:2])))
        links = 0
        for row, cells in enumerate(spec.rows):
            for column, content in enumerate(cells):
                links += _has_link(content)
                self.write(sheet, row, column, content, may_link=links < _MOST_LINKS)
        self._add_choices(sheet, spec)
        for chart in spec.charts:
            add_chart(self.workbook, sheet, chart, self.font[0])
        _add_furniture(sheet, spec)

    def write(self, sheet: Worksheet, row: int, column: int, content: object, *, may_link: bool) -> None:
        """Write one cell."""
        look = self.format(style_key(content))
        value = content.value if isinstance(content, Styled) else content
        if value is None:
            if isinstance(content, Styled):
                sheet.write_blank(row, column, None, look)
        elif isinstance(value, Link):
            if may_link:
                target = f"internal:{quoted(value.sheet)}!{value.cell}"
                sheet.write_url(row, column, target, look, string=_text(value.text))
            else:
                sheet.write_string(row, column, _text(value.text), look)
        elif isinstance(value, Formula):
            if value.link is not None and may_link:
                sheet.write_url(row, column, f"internal:{quoted(value.link.sheet)}!{value.link.cell}", look)
            cached = "" if value.value is None else value.value
            sheet.write_formula(row, column, f"={value.text.removeprefix('=')}", look, cached)
        elif isinstance(value, bool):
            sheet.write_boolean(row, column, value, look)
        elif isinstance(value, int | float):
            if value - value == 0:
                sheet.write_number(row, column, value, look)
            else:
                sheet.write_blank(row, column, None, look)
        else:
            sheet.write_string(row, column, _text(str(value)), look)

    def _add_choices(self, sheet: Worksheet, spec: NewSheet) -> None:
        """Add the drop-downs; a list that a drop-down cannot hold stands in a hidden column of the sheet."""
        beside = max(len(spec.widths), *map(len, spec.rows), 0) + 1
        lists: dict[tuple[str, ...], str] = {}
        for choice in spec.choices:
            source: str | list[str] = list(choice.options)
            too_long = len(",".join(choice.options)) > _LONGEST_LIST
            if too_long or any("," in option for option in choice.options):
                if choice.options not in lists:
                    lists[choice.options] = self._hidden_list(sheet, beside + len(lists), choice.options)
                source = lists[choice.options]
            rule = {"validate": "list", "source": source, "ignore_blank": True, "show_error": not choice.free}
            sheet.data_validation(*_area(choice.range), rule)

    def _hidden_list(self, sheet: Worksheet, column: int, options: Sequence[str]) -> str:
        """Write what a drop-down offers into a hidden column; return the range as a formula."""
        look = self.format(("text", False))
        for row, option in enumerate(options):
            sheet.write_string(row, column, _text(option), look)
        sheet.set_column(column, column, None, None, {"hidden": True})
        letters = column_letters(column + 1)
        return f"=${letters}$1:${letters}${len(options)}"

    def add_hidden(self, secret: HiddenSheet) -> None:
        """Write a sheet that no menu shows."""
        sheet = self.workbook.add_worksheet(secret.name)
        for row, cells in enumerate(secret.rows):
            for column, value in enumerate(cells):
                self.write(sheet, row, column, value, may_link=False)
        sheet.very_hidden()


def _has_link(content: object) -> bool:
    value = content.value if isinstance(content, Styled) else content
    return isinstance(value, Link) or (isinstance(value, Formula) and value.link is not None)


def _add_furniture(sheet: Worksheet, spec: NewSheet) -> None:
    """Freeze, filter, and set up the page."""
    if not spec.grid:
        sheet.hide_gridlines(2)
    if spec.freeze:
        sheet.freeze_panes(*_area(spec.freeze)[:2])
    if spec.filter:
        sheet.autofilter(*_area(spec.filter))
    sheet.set_paper(_PAPERS[spec.paper])
    sheet.set_margins(left=0.4, right=0.4, top=0.5, bottom=0.6)
    sheet.set_footer("&L&F&C&A&R&P / &N")
    _set_up_print(sheet, spec)
    if spec.hidden:
        sheet.hide()
    if spec.tab:
        sheet.set_tab_color(f"#{SIGNAL_FILLS[Signal(spec.tab).value]}")


def _set_up_print(sheet: Worksheet, spec: NewSheet) -> None:
    if spec.landscape:
        sheet.set_landscape()
    if spec.fit:
        sheet.fit_to_pages(1, 1 if spec.one_page else 0)
    if spec.repeat_columns:
        sheet.repeat_columns(0, spec.repeat_columns - 1)
    if spec.print_area:
        sheet.print_area(*_area(spec.print_area))
    if spec.repeat_rows:
        sheet.repeat_rows(spec.repeat_rows[0] - 1, spec.repeat_rows[1] - 1)


def _key_at(spec: NewSheet, row: int, column: int) -> StyleKey:
    cells = spec.rows[row] if row < len(spec.rows) else ()
    return style_key(cells[column] if column < len(cells) else None)


def _area(range_: str) -> tuple[int, int, int, int]:
    """Return corners counted from zero."""
    area = parse_area(range_)
    if area is None:
        raise ValueError(f"{range_!r} is no range of cells")
    return Area(*(n - 1 for n in area))


def _text(text: str) -> str:
    return re.sub("[\ufffe\uffff\ud800-\udfff]", "\N{REPLACEMENT CHARACTER}", text[:MOST_CHARACTERS])
