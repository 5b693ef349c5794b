"""The workbook: recipes that can be audited again, weigh sheets left out of that, formulas that recalculate."""

import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from rescaled_books import shapes_book

from sheetcheck.errors import CopyIsBookError, CopyNotWritableError
from sheetcheck.model import Audit, Signal
from sheetcheck.pipeline import audit, rescale
from sheetcheck.reference import cautions, sources
from sheetcheck.rescaling.scaling import Rescaled
from sheetcheck.settings import Settings
from sheetcheck.workbook.marked import open_unmarked
from sheetcheck.workbook.read import read_workbook
from tests.books import write_book

SIZES = ("x2", "fats=5 kg", "bars=40x110g", "mould=2 box 24x8x7 cm", "x1/3")


Made = tuple[Audit, Rescaled, Path]


def make(folder: Path, sizes: tuple[str, ...], weigh_in: str) -> Made:
    book = shapes_book(folder / "book.xlsx")
    done, result = rescale(book, sizes, folder / "result.xlsx", bench={"weigh_in": weigh_in})
    return audit(book), done, result


@pytest.fixture(scope="module", params=["as written", "oz", "g", "lb oz"])
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Made:
    return make(tmp_path_factory.mktemp("made"), SIZES, request.param)


@pytest.fixture(scope="module", params=["as written", "lb oz"])
def small(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Made:
    return make(tmp_path_factory.mktemp("small"), ("x1.7",), request.param)


def test_every_shape_is_read_back_with_the_same_numbers(made: Made) -> None:
    before, done, result = made
    assert len(done.jobs) == len(SIZES) * len(before.recipes) == len(SIZES) * 9
    after = audit(result).recipes.set_index("name")
    jobs = done.jobs.set_index("name")
    assert sorted(after.index) == sorted(jobs.index)
    for column in ("superfat_typical", "fat_g", "alkali_g", "liquid_g"):
        assert (after[column].reindex(jobs.index) - jobs[column]).abs().max() < 1e-6, column
    concentration = (after["lye_concentration"].reindex(jobs.index) - jobs["lye_concentration"]).abs()
    assert concentration.max() < 0.01, "the water in a spoon of honey, whose amount is written with two decimals"
    assert after["layout"].reindex(jobs.index).tolist() == jobs["layout"].tolist()


def test_an_audit_of_it_finds_nothing_that_its_source_had_not(made: Made) -> None:
    before, done, result = made
    after = audit(result)
    source = {job.name: job.source for job in done.jobs.itertuples()}
    had = {(f.rule, f.recipe) for f in before.findings}
    new = [
        (f.rule, str(f.signal), f.cell)
        for f in after.findings
        if f.recipe is not None and (f.rule, source[after.recipes.loc[f.recipe, "name"]]) not in had
    ]
    assert new == []
    assert not (after.recipes["verdict"] == "not checked").any()
    assert after.book.notices == (), "the hidden record is no sheet of the maker's"


def test_weigh_sheets_and_overview_are_left_out_of_an_audit(made: Made) -> None:
    _, done, result = made
    everything = {grid.name for grid in read_workbook(result).grids}
    kept = {grid.name for grid in open_unmarked(result).grids}
    assert len([name for name in everything - kept if re.match(r"W\d+ ", name)]) == len(done.jobs)
    assert {"Overview", "Please note"} <= everything - kept
    assert kept == {
        grid.name for grid in read_workbook(result).grids if not re.match(r"W\d+ |Over|Please|sheetch", grid.name)
    }


def test_a_weigh_sheet_is_known_under_another_name_too(made: Made, tmp_path: Path) -> None:
    *_, result = made
    book = openpyxl.load_workbook(result)
    sheet = next(s for s in book.worksheets if s.title.startswith("W1 "))
    record = book["sheetcheck weigh sheets"]
    sheet.title = "My sheet"
    for row in record.iter_rows(min_row=3, max_col=1):  # what a spreadsheet program does on renaming; openpyxl does not
        row[0].value = re.sub(r"'W1 [^']*'", "'My sheet'", str(row[0].value))
    book.save(tmp_path / "renamed.xlsx")
    assert "My sheet" not in {grid.name for grid in open_unmarked(tmp_path / "renamed.xlsx").grids}


def test_never_two_units_in_one_recipe(made: Made) -> None:
    read = audit(made[2]).book.components
    weighed = read[read["unit"].isin(["g", "kg", "oz", "lb", "lb oz"])]
    units = weighed["unit"].astype(str).replace(["lb oz", "lb"], "oz").groupby(weighed["recipe"]).nunique()
    assert (units == 1).all()


# --------------------------------------------------------------------------- what a weigh sheet says


@pytest.fixture(scope="module")
def sheet(made: Made) -> list[str]:
    book = openpyxl.load_workbook(made[2], data_only=True)
    name = next(s for s in book.sheetnames if s.endswith(" Kestrel"))
    return [str(cell) for row in book[name].iter_rows(values_only=True) for cell in row if cell is not None]


def test_unit_in_large_letters_at_the_top(made: Made) -> None:
    book = openpyxl.load_workbook(made[2])
    name = next(s for s in book.sheetnames if s.endswith(" Kestrel"))
    unit = {"g": "GRAMS", "oz": "OUNCES", "lb oz": "POUNDS AND OUNCES", "as written": "GRAMS"}[made[1].bench.weigh_in]
    assert book[name]["A2"].value == f"ALL WEIGHTS IN {unit}"
    assert book[name]["A2"].font.size > 20


def test_every_caution_stands_on_it(sheet: list[str]) -> None:
    text = " ".join(sheet)
    assert [c.sentence for c in cautions() if c.sentence not in text] == []


def test_the_sources_of_the_cautions_are_named_on_it(sheet: list[str]) -> None:
    text = " ".join(sheet)
    assert [c.source for c in cautions() if sources()[c.source].title not in text] == []


def test_order_of_work_and_heat(sheet: list[str]) -> None:
    text = " ".join(sheet)
    assert (
        text.index("Goat milk") < text.index("Lye, into a dry cup") < text.index("Lard") < text.index("Order of work")
    )
    assert "Lye into the cold liquid" in text
    assert "Never liquid into lye" in text
    both_ways = r"it can reach \d+ °[CF] \(\d+ °[FC]\) by itself at most"
    assert re.search(both_ways, text)
    assert "chill or freeze it first" in text, "goat milk holds sugar"


def test_ticks_zeroes_and_tolerances(sheet: list[str]) -> None:
    assert sheet.count("☐") == 4
    assert sheet.count("→ 0 ←") == 4
    told = [text for text in sheet if text.startswith(("± ", "+ ", "− ")) or "too much" in text]
    assert len(told) == 4, "each weight has its tolerance both ways, or why a step is too much"
    assert {"Batch number:", "Date:"} <= set(sheet)


def test_spoons_are_left_to_the_maker(made: Made) -> None:
    book = openpyxl.load_workbook(made[2])
    name = next(s for s in book.sheetnames if s.endswith(" Merlin"))
    text = " ".join(str(c) for row in book[name].iter_rows(values_only=True) for c in row if c is not None)
    assert "4 tsp: scaled; judge it yourself" in text
    notes = " ".join(str(c) for row in book["Please note"].iter_rows(values_only=True) for c in row if c is not None)
    assert "Salt: 4 tsp (was 2 tsp; this batch is 2 times that)" in notes


# --------------------------------------------------------------------------- recalculated and printed by LibreOffice


def convert(soffice: str, book: Path, to: str, folder: Path) -> Path:
    profile = f"-env:UserInstallation=file://{folder}/profile"
    command = [soffice, profile, "--headless", "--convert-to", to, "--outdir", str(folder), str(book)]
    subprocess.run(command, check=True, capture_output=True, timeout=180)
    return folder / f"{book.stem}.{to}"


def formulas(book: openpyxl.Workbook) -> Iterator[tuple[str, str]]:
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            yield from (
                (sheet.title, c.coordinate) for c in row if isinstance(c.value, str) and c.value.startswith("=")
            )


def test_live_formulas_agree_with_python(small: Made, soffice: str, tmp_path: Path) -> None:
    *_, result = small
    live, cached = openpyxl.load_workbook(result), openpyxl.load_workbook(result, data_only=True)
    live.save(tmp_path / "bare.xlsx")  # without the stored values: LibreOffice has to compute them
    (tmp_path / "out").mkdir()
    computed = openpyxl.load_workbook(
        convert(soffice, tmp_path / "bare.xlsx", "xlsx", tmp_path / "out"), data_only=True
    )
    places = list(formulas(live))
    assert len(places) > 60
    for sheet, cell in places:
        ours, theirs = cached[sheet][cell].value, computed[sheet][cell].value
        assert theirs == (pytest.approx(ours, abs=1e-6) if isinstance(ours, int | float) else ours), f"{sheet}!{cell}"


def test_superfat_of_the_sheet_is_that_of_the_audit(made: Made) -> None:
    _, done, result = made
    cached = openpyxl.load_workbook(result, data_only=True)
    for job in done.jobs.itertuples():
        assert result_cell(cached[sheet_of(cached, job.Index)]).value == pytest.approx(job.superfat_typical, abs=1e-6)


TAKEN, WORDS = 9, 6  # columns of a weigh sheet: what was taken, what it is judged as
SHARES = {
    "as planned": {},
    "too much lye": {"alkali": 1.2},
    "half the water": {"liquid": 0.5},
    "a fat twice": {"fat": 2},
}
JUDGED = {
    "as planned": ("As planned.", "As planned.", "As planned."),
    "too much lye": ("Too much lye: do not go on.", "Stronger than planned: weigh the liquid again.", "More than"),
    "half the water": ("As planned.", "Too strong: liquid is missing. Do not go on.", "Less than planned"),
    "a fat twice": ("Not as planned: weigh again.", "As planned.", "More than planned"),
}


@pytest.mark.parametrize("case", SHARES)
def test_what_was_weighed_is_judged_in_words(small: Made, soffice: str, tmp_path: Path, case: str) -> None:
    _, done, result = small
    book = openpyxl.load_workbook(result)
    sheet = book[sheet_of(book, 1)]
    lines = done.lines[(done.lines["recipe"] == 1) & done.lines["weighed"]]
    factors = dict.fromkeys(lines["name"], 1.0)
    for role, share in SHARES[case].items():
        factors[lines.loc[lines["role"] == role, "name"].iloc[0]] = share
    weights = dict(zip(lines["name"], lines["shown"], strict=True))
    for row in range(1, result_cell(sheet).row):
        if sheet.cell(row, 3).value in weights:
            name = sheet.cell(row, 3).value
            sheet.cell(row, TAKEN).value = weights[name] * factors[name]
    book.save(tmp_path / "taken.xlsx")
    (tmp_path / "out").mkdir()
    read = openpyxl.load_workbook(convert(soffice, tmp_path / "taken.xlsx", "xlsx", tmp_path / "out"), data_only=True)
    cell = result_cell(read[sheet.title])
    said = [read[sheet.title].cell(cell.row + line, WORDS).value for line in range(3)]
    assert all(text.startswith(expected) for text, expected in zip(said, JUDGED[case], strict=True)), said
    if case == "too much lye":
        job = done.jobs.loc[1]
        assert cell.value == pytest.approx(100 * (1 - 1.2 * job["alkali_g"] / job["needed_typical_g"]), abs=1e-6)


def test_nothing_is_as_planned_while_a_weight_is_blank(small: Made) -> None:
    *_, result = small
    book = openpyxl.load_workbook(result, data_only=True)
    sheet = book[sheet_of(book, 1)]
    row = result_cell(sheet).row
    assert [sheet.cell(row + line, WORDS).value for line in range(3)] == ["Not yet. Still to write in: 4."] * 3


def test_first_aid_can_be_read_at_arms_length(small: Made, soffice: str, tmp_path: Path) -> None:
    # 9 points and more: the body of a printed book; common practice, no source. Of first aid alone: “do not … vomit,”
    *_, result = small
    pdf = convert(soffice, result, "pdf", tmp_path)
    words = subprocess.run(
        ["pdftotext", "-bbox", str(pdf), "-"], check=True, capture_output=True, text=True, timeout=60
    ).stdout
    heights = [float(b) - float(a) for a, b in re.findall(r'yMin="([\d.]+)".*yMax="([\d.]+)">vomit,<', words)]
    assert heights
    assert min(heights) > 9 * 1.1, "a line of text is a sixth higher than its size in points"


def sheet_of(book: openpyxl.Workbook, job: int) -> str:
    return next(name for name in book.sheetnames if name.startswith(f"W{job} "))


def result_cell(sheet: openpyxl.worksheet.worksheet.Worksheet) -> openpyxl.cell.cell.Cell:
    (row,) = [c.row for c in sheet["A"] if str(c.value).startswith("Superfat that results")]
    return sheet.cell(row, 5)


PAPERS = {"a4": (595, 842), "letter": (612, 792)}  # points, ISO 216 and ANSI/ASME Y14.1


@pytest.mark.parametrize("paper", PAPERS)
def test_a_weigh_sheet_is_one_page(paper: str, soffice: str, tmp_path: Path) -> None:
    book = shapes_book(tmp_path / "book.xlsx")
    done, result = rescale(book, ["x2"], tmp_path / "result.xlsx", Settings(paper=paper))
    pdf = convert(soffice, result, "pdf", tmp_path).read_bytes()
    pages = [tuple(round(float(n)) for n in box.split()[2:]) for box in re.findall(rb"/MediaBox ?\[([^]]*)\]", pdf)]
    pages = [page for page in pages if page[0] != page[1]]  # a square is the frame around pages of both kinds
    upright = [page for page in pages if page == PAPERS[paper]]
    assert len(upright) == len(done.jobs) + 1, "one page for each weigh sheet, and the notes"
    assert {page[::-1] for page in pages if page not in upright} == {PAPERS[paper]}, (
        "overview and tables lie on their side"
    )


# --------------------------------------------------------------------------- where it goes


def test_the_book_is_never_written_to_and_nothing_is_replaced_unasked(tmp_path: Path) -> None:
    rows = [["Soap", "Lard (oz)", "Lye (oz)", "Water (oz)"], ["Sound", 32, 4.2, 9.5]]
    book = write_book(tmp_path / "book.xlsx", {"Soaps": rows})
    before = book.read_bytes()
    with pytest.raises(CopyIsBookError):
        rescale(book, ["x2"], book, overwrite=True)
    _, result = rescale(book, ["x2"])
    assert result == tmp_path / "book.rescaled.xlsx"
    with pytest.raises(CopyNotWritableError, match="--overwrite"):
        rescale(book, ["x3"])
    rescale(book, ["x3"], overwrite=True)
    assert book.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["book.rescaled.xlsx", "book.xlsx"]


def test_a_place_that_cannot_be_written_to(tmp_path: Path) -> None:
    book = shapes_book(tmp_path / "book.xlsx")
    for place in (tmp_path / "nowhere" / "x.xlsx", tmp_path / "x.ods"):
        with pytest.raises(CopyNotWritableError):
            rescale(book, ["x2"], place)


def test_flagged_recipes_stand_in_the_notes(tmp_path: Path) -> None:
    rows = [["Soap", "Lard (oz)", "Lye (oz)", "Water (oz)"], ["Sound", 32, 4.2, 9.5], ["Burning", 32, 5.4, 12]]
    done, result = rescale(write_book(tmp_path / "book.xlsx", {"Soaps": rows}), ["x2"])
    notes = openpyxl.load_workbook(result)["Please note"]
    text = " ".join(str(c) for row in notes.iter_rows(values_only=True) for c in row if c is not None)
    assert f"Burning Soaps: {Signal.DANGER}: Free lye: do not make it." in text
    assert [left.name for left in done.left_out] == ["Burning"]
