"""Whatever is wrong with a file, the answer is grids or a clear refusal; and odd XML reads as in the plain form."""

import tempfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from raw_ods import HEAD, write_ods
from raw_packages import sheet, write_package
from raw_xls import write_old_xls

from sheetcheck.errors import BookError, DamagedBookError
from sheetcheck.workbook import read_workbook
from sheetcheck.workbook.budget import Budget
from sheetcheck.workbook.canonical import canonical
from sheetcheck.workbook.cells import CellArrays, CellGatherer
from sheetcheck.workbook.limits import DEFAULT_LIMITS

ROWS = (
    '<row r="1" spans="1:3"><c r="A1" t="s"><v>0</v></c><c r="B1" s="1"><v>80.5</v></c></row>'
    '<row r="2" hidden="1"><c r="A2" t="inlineStr"><is><r><t>a &amp; b</t></r></is></c>'
    '<c r="B2"><f>B1*2</f><v>161</v></c>'
    '<c r="C2" t="e"><f t="shared" ref="C2:C3" si="0">1/0</f><v>#DIV/0!</v></c></row>'
    '<row r="3"><c r="C3" t="str"><f t="shared" si="0"/><v/></c><c r="D3" s="2"/></row>'
)
GOOD = sheet(
    ROWS,
    head='<cols><col min="2" max="2" hidden="1"/></cols>',
    tail='<mergeCells><mergeCell ref="A1:B1"/></mergeCells>',
)
BITS = [
    "<",
    ">",
    "/",
    '"',
    "'",
    "=",
    "&",
    ";",
    "c",
    "row",
    "<v>",
    "</c>",
    "<!--",
    "<![CDATA[",
    "]]>",
    "\x00",
    "\r",
    "é",
    " ",
    "0",
]
TRIED = settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))


def grids_or_refusal(path: Path) -> bool:
    before, sentence = path.read_bytes(), ""
    try:
        read_workbook(path)
    except BookError as error:
        sentence = str(error)
    assert path.read_bytes() == before
    assert not sentence or sentence.startswith(f"{path.name}: ")
    return not sentence


@TRIED
@given(st.lists(st.tuples(st.integers(0, len(GOOD)), st.integers(0, 6), st.sampled_from(BITS)), min_size=1, max_size=4))
def test_changed_worksheet(changes: list[tuple[int, int, str]]) -> None:
    xml = GOOD
    for place, length, bit in changes:
        xml = xml[:place] + bit + xml[place + length :]
    with tempfile.TemporaryDirectory() as folder:
        grids_or_refusal(write_package(Path(folder) / "b.xlsx", xml, strings="<si><t>x</t></si>"))


@TRIED
@given(
    st.sampled_from(
        ["[Content_Types].xml", "_rels/.rels", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml"]
    ),
    st.one_of(st.binary(max_size=200), st.text(max_size=100).map(lambda t: f"<a>{t}</a>".encode("utf-8", "replace"))),
)
def test_other_parts_replaced(part: str, data: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        grids_or_refusal(write_package(Path(folder) / "b.xlsx", GOOD, strings="", styles="", parts={part: data}))


@TRIED
@given(st.integers(0, 10_000), st.binary(min_size=1, max_size=8), st.sampled_from(["xlsx", "ods", "xls"]))
def test_changed_file(place: int, data: bytes, suffix: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"b.{suffix}"
        match suffix:
            case "xlsx":
                write_package(path, GOOD)
            case "ods":
                write_ods(path, "<table:table-row><table:table-cell/></table:table-row>")
            case _:
                write_old_xls(path)
        good = path.read_bytes()
        place %= len(good)
        path.write_bytes(good[:place] + data + good[place + len(data) :])
        grids_or_refusal(path)


@TRIED
@given(st.binary(max_size=300), st.sampled_from(["csv", "tsv", "xlsx", "ods", "xls"]))
def test_any_bytes(data: bytes, suffix: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"b.{suffix}"
        path.write_bytes(data)
        grids_or_refusal(path)


def test_good_forms_of_the_above_are_read(tmp_path: Path) -> None:
    assert grids_or_refusal(write_package(tmp_path / "b.xlsx", GOOD, strings="<si><t>x</t></si>"))
    assert grids_or_refusal(write_ods(tmp_path / "b.ods", ""))
    assert HEAD.startswith("<office:document-content")


# --------------------------------------------------------------------------- the plain form

numbers = st.floats(allow_nan=False, allow_infinity=False).map(repr)
words = st.text(st.characters(codec="utf-8", exclude_characters="<&>", min_codepoint=32), min_size=1, max_size=9)
cells = st.one_of(
    st.tuples(st.just('t="n"'), numbers.map("<v>{}</v>".format)),
    st.tuples(st.just(""), numbers.map("<f>A1&lt;2</f><v>{}</v>".format)),
    st.tuples(st.just('t="s"'), st.sampled_from(["<v>0</v>", "<v>1</v>"])),
    st.tuples(st.just('t="inlineStr"'), words.map('<is><t xml:space="preserve">{}</t></is>'.format)),
    st.tuples(st.just('t="str"'), words.map("<f>A1&amp;B1</f><v>{}</v>".format)),
    st.tuples(st.just('t="b" s="2"'), st.just("<v>1</v>")),
    st.tuples(st.just('s="1"'), st.just("")),
)


def gathered(xml: bytes) -> CellArrays:
    gatherer = CellGatherer(["Lard", "oz"], Budget(Path("b.xlsx"), DEFAULT_LIMITS))
    gatherer.add(xml)
    return gatherer.finish()


@TRIED
@given(st.lists(st.lists(cells, max_size=4), max_size=4))
def test_rewritten_sheet_holds_the_same(rows: list[list[tuple[str, str]]]) -> None:
    written = "".join(
        f'<row r="{row}" hidden="1">'
        + "".join(
            f'<c r="{"ABCD"[column]}{row}" {kind}>{inside}</c>' for column, (kind, inside) in enumerate(given_row)
        )
        + "</row>"
        for row, given_row in enumerate(rows, 3)
    )
    odd = written.replace("<v>", "<!-- --> <v>\n").replace("<row", "\n<row").replace("<c ", " <c ")
    before, after = "<worksheet><sheetData>", "</sheetData></worksheet>"
    whole = b"".join(canonical([f"{before}{odd}{after}".encode()])).decode()
    rewritten = gathered(whole.removeprefix(before).removesuffix(after).encode())
    plain = gathered(written.replace(" >", ">").encode())
    for name in ("row", "column", "kind", "number", "style"):
        np.testing.assert_array_equal(getattr(plain, name), getattr(rewritten, name))
    strip = [text.strip() for text in rewritten.text.tolist()]
    assert [text.strip() for text in plain.text.tolist()] == strip
    assert dict(plain.formulas) == dict(rewritten.formulas)
    assert plain.hidden_rows == rewritten.hidden_rows


def test_damage_is_told_with_its_part(tmp_path: Path) -> None:
    path = write_package(tmp_path / "b.xlsx", GOOD, parts={"xl/styles.xml": "<a"}, styles="")
    with pytest.raises(DamagedBookError, match=r"xl/styles\.xml"):
        read_workbook(path)
