"""The page to read first, as it stands in the file: links that lead to the right cells, counts, one printed page."""

import datetime as dt
import re
import shutil
import subprocess
import zipfile
from collections import Counter
from pathlib import Path

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

import sheetcheck
from sheetcheck.model import Audit
from sheetcheck.report.finding_words import suggested
from sheetcheck.report.marks import plan
from sheetcheck.report.places import CAUTIONS, SUMMARY
from sheetcheck.workbook import write_copy
from sheetcheck.workbook.palette import SIGNAL_FILLS

DAY = dt.date(2026, 1, 2)
EXAMPLES = ("shore_book/shore_book.xlsx", "clean_book/clean_book.xlsx", "rescale/orchard_book.xlsx")
SIGNALS = ("DANGER", "WARNING", "CAUTION", "NOTICE")


@pytest.fixture(scope="module")
def farm(root: Path) -> Audit:
    return sheetcheck.audit(root / "examples/shore_book/shore_book.xlsx")


@pytest.fixture(scope="module")
def copy(root: Path, farm: Audit, tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("summary") / "copy.xlsx"
    write_copy(root / "examples/shore_book/shore_book.xlsx", target, plan(farm, DAY))
    return target


def word(value: object) -> str:
    """Return a signal word without its shape."""
    return str(value).partition(" ")[2]


def rows_below(sheet: Worksheet, heading: str) -> list[int]:
    """Numbers of the rows of the block whose first heading this is."""
    first = next(c.row for c in sheet["A"] if c.value == heading) + 1
    last = next(row for row in range(first, sheet.max_row + 2) if word(sheet.cell(row, 1).value) not in SIGNALS)
    return list(range(first, last))


def test_the_things_to_look_at_lead_to_the_cell_that_holds_what_they_say(copy: Path, farm: Audit) -> None:
    workbook = openpyxl.load_workbook(copy, data_only=True)
    sheet = workbook[SUMMARY]
    asked = [f for f in farm.findings if f.rule == "unknown-ingredient"]  # above it, as the question
    looked_at = (f for f in farm.findings if f.signal != "NOTICE" and f not in asked)
    worst = sorted(looked_at, key=lambda f: -f.signal.rank)
    rows = rows_below(sheet, "Worst first")
    assert len(rows) == len(worst) > 10
    for row, finding in zip(rows, worst, strict=True):
        link = sheet.cell(row, 2).hyperlink
        leads_to, cell = re.fullmatch(r"'?(.+?)'?!([A-Z]+[0-9]+)", link.location).groups()
        assert (word(sheet.cell(row, 1).value), leads_to, cell) == (finding.signal, finding.sheet, finding.cell)
        assert suggested(finding) in sheet.cell(row, 4).value
        held = workbook[leads_to][cell].value
        assert not isinstance(held, float) or f"{held:g}" in finding.written


def test_signal_words_are_counted_and_wear_their_colours(copy: Path, farm: Audit) -> None:
    sheet = openpyxl.load_workbook(copy)[SUMMARY]
    counts = Counter(str(f.signal) for f in farm.findings)
    for row in rows_below(sheet, "Signal word"):
        cell, count = sheet.cell(row, 1), sheet.cell(row, 2)
        assert count.value == counts[word(cell.value)]
        assert cell.fill.start_color.rgb.endswith(SIGNAL_FILLS[word(cell.value)])
    assert len(rows_below(sheet, "Signal word")) == len(SIGNALS)


def test_it_says_how_much_was_read(copy: Path, farm: Audit) -> None:
    texts = [c.value for c in openpyxl.load_workbook(copy)[SUMMARY]["A"]]
    unread = farm.book.components[farm.book.components["problem"].notna()]
    assert len(unread) == 1
    said = f"{len(farm.book.components) - 1} of {len(farm.book.components)} amounts were read"
    assert any(str(text).startswith(said) for text in texts)


def test_each_caution_names_its_source_and_the_rest_is_a_click_away(copy: Path) -> None:
    sheet = openpyxl.load_workbook(copy)[SUMMARY]
    first = next(c.row for c in sheet["A"] if c.value == "Working with lye") + 1
    cautions = [sheet.cell(row, 1) for row in range(first, first + 6)]
    said = re.compile(r" Source: .{10,}\.$| \(Usual practice\.\)$")
    assert all(said.search(c.value) for c in cautions[:5])
    assert "New Jersey Department of Health" in " ".join(c.value for c in cautions)
    assert cautions[5].hyperlink.location == f"'{CAUTIONS}'!A1"


def pages(book: Path, soffice: str, folder: Path) -> list[str]:
    """Print a workbook; return the text of each page."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext (Poppler) is not installed")
    command = [soffice, f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", "pdf"]
    subprocess.run([*command, "--outdir", str(folder), str(book)], check=True, capture_output=True, timeout=180)
    pdf = folder / f"{book.stem}.pdf"
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, timeout=60).stdout
    return text.decode().split("\f")


@pytest.mark.parametrize("example", EXAMPLES)
def test_summary_and_cautions_print_on_few_pages_and_nothing_is_cut(
    example: str, root: Path, soffice: str, tmp_path: Path
) -> None:
    book = root / "examples" / example
    write_copy(book, tmp_path / "copy.xlsx", plan(sheetcheck.audit(book), DAY))
    printed = pages(tmp_path / "copy.xlsx", soffice, tmp_path)
    for name, most in ((SUMMARY, 2), (CAUTIONS, 1)):
        count = sum(f"{name}  " in page.rstrip().rpartition("\n")[2] for page in printed)  # the foot of the page
        assert 1 <= count <= most
    assert not any("###" in page for page in printed)
    words = " ".join(" ".join(printed).split())
    for said in ("never liquid into lye", "qualified advice", "Where they say otherwise, follow them."):
        assert said in words


def test_rows_are_as_high_as_their_texts(copy: Path) -> None:
    """The programs do not agree on who computes heights, so each row with a long text brings its own."""
    workbook = openpyxl.load_workbook(copy)
    long = 0
    for sheet in (s for s in workbook if s.title.startswith("Check ")):
        across = {str(r).split(":")[0]: sum(_width(sheet, c) for c in range(r.min_col, r.max_col + 1)) for r in
                  sheet.merged_cells.ranges}  # fmt: skip
        for row in sheet.iter_rows():
            for cell in (c for c in row if isinstance(c.value, str) and c.alignment.wrap_text):
                width = across.get(cell.coordinate, _width(sheet, cell.column))
                if not width or sheet.column_dimensions[cell.column_letter].hidden:
                    continue
                lines = sum(max(1, len(part) / (1.25 * width)) for part in cell.value.split("\n"))  # at the least
                height = sheet.row_dimensions[cell.row].height or 15
                assert height >= 15 * int(lines), f"{sheet.title}!{cell.coordinate}"
                long += lines > 1
    assert long > 30


def _width(sheet: Worksheet, column: int) -> float:
    return float(sheet.column_dimensions[openpyxl.utils.get_column_letter(column)].width)


def test_the_record_of_what_was_added_is_hidden(copy: Path) -> None:
    with zipfile.ZipFile(copy) as package:
        workbook = package.read("xl/workbook.xml").decode()
    assert workbook.count('state="veryHidden"') == 1
