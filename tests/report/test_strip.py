"""The strip: every recipe by name, worst first; XML that all programs take alike, nothing left behind."""

import dataclasses
import subprocess
import zipfile
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from lxml import etree
from openpyxl.chart import Reference
from openxml_audit import OpenXmlValidator

import sheetcheck
from sheetcheck.model import Audit
from sheetcheck.report import strip
from sheetcheck.report.marks import plan
from sheetcheck.workbook import remove_marks, write_copy


@pytest.fixture(scope="module")
def farm(root: Path) -> Audit:
    return sheetcheck.audit(root / "examples/shore_book/shore_book.xlsx")


@pytest.fixture(scope="module")
def copy(root: Path, farm: Audit, tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("charts") / "copy.xlsx"
    write_copy(root / "examples/shore_book/shore_book.xlsx", target, plan(farm))
    return target


def charts(book: Path) -> dict[str, str]:
    with zipfile.ZipFile(book) as package:
        return {name: package.read(name).decode() for name in package.namelist() if "/charts/chart" in name}


def test_what_programs_take_differently_is_said(copy: Path) -> None:
    found = charts(copy)
    assert len(found) == 1
    for xml in found.values():
        assert xml.count('<c:smooth val="0"/>') == xml.count("<c:ser>")
        assert '<c:dispBlanksAs val="gap"/>' in xml
        assert '<c:plotVisOnly val="0"/>' in xml, "its numbers are on a hidden sheet"
        assert xml.count("<c:dLblPos ") == xml.count("<c:showVal ") > 1


def test_a_copy_saved_elsewhere_loses_its_charts_with_its_marks(copy: Path, soffice: str, tmp_path: Path) -> None:
    command = [soffice, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "xlsx"]
    subprocess.run([*command, "--outdir", str(tmp_path), str(copy)], check=True, capture_output=True, timeout=180)
    assert len(charts(tmp_path / "copy.xlsx")) == 1
    remove_marks(tmp_path / "copy.xlsx", tmp_path / "own.xlsx")
    assert charts(tmp_path / "own.xlsx") == {}


NAMESPACES = {
    "c": "http://schemas.openxmlformats.org/drawingml/2006/chart",
    "a": "http://schemas.openxmlformats.org/drawingml/2006/main",
}


@pytest.mark.parametrize("example", ["shore_book/shore_book", "clean_book/clean_book", "rescale/orchard_book"])
def test_the_copy_is_valid_by_the_published_schemas(example: str, root: Path, tmp_path: Path) -> None:
    """ECMA-376 and ISO/IEC 29500, as openxml-audit has them: Excel repairs, or refuses, what is not."""
    book = root / "examples" / f"{example}.xlsx"
    write_copy(book, tmp_path / "copy.xlsx", plan(sheetcheck.audit(book)))
    known = {error.description for error in OpenXmlValidator().validate(str(book)).errors}
    found = OpenXmlValidator().validate(str(tmp_path / "copy.xlsx")).errors
    ours = [e for e in found if e.description not in known]
    assert [f"{e.part_uri} {e.path}: {e.description}" for e in ours] == []


def test_the_validator_sees_a_chart_out_of_order(copy: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(copy) as package, zipfile.ZipFile(tmp_path / "wrong.xlsx", "w") as wrong:
        for name in package.namelist():
            data = package.read(name)
            if "/charts/chart" in name:
                data = data.replace(b'<c:smooth val="0"/></c:ser>', b"</c:ser>")
                data = data.replace(b"<c:ser>", b'<c:ser><c:smooth val="0"/>')
            wrong.writestr(name, data)
    found = OpenXmlValidator().validate(str(tmp_path / "wrong.xlsx")).errors
    assert {e.part_uri for e in found} >= {"/xl/charts/chart1.xml"}


def held(workbook: openpyxl.Workbook, reference: str) -> list[float | None]:
    """What the cells of a range hold."""
    area = Reference(range_string=reference)
    sheet = workbook[area.sheetname.strip("'")]
    return [sheet.cell(row, area.min_col).value for row in range(area.min_row, area.max_row + 1)]


def drawn(copy: Path, number: int) -> dict[str, dict[str, list[float | None]]]:
    """What a chart draws, by the name of its series: the numbers behind x, y and the error bars."""
    workbook = openpyxl.load_workbook(copy, data_only=True)
    root = etree.fromstring(charts(copy)[f"xl/charts/chart{number}.xml"].encode())
    found = {}
    for series in root.iterfind(".//c:ser", NAMESPACES):
        name = series.findtext("c:tx//c:v", "", NAMESPACES)
        found[name] = {
            part: held(workbook, series.findtext(f"{path}//c:f", "", NAMESPACES))
            for part, path in {"x": "c:xVal", "y": "c:yVal", "up": ".//c:plus", "down": ".//c:minus"}.items()
            if series.find(path, NAMESPACES) is not None
        }
    return found


def test_points_and_ranges_are_those_of_the_audit(copy: Path, farm: Audit) -> None:
    by_name = {str(r["name"]): r for r in farm.recipes.to_dict("records")}
    names = [c.value for c in openpyxl.load_workbook(copy)["Check strip data"]["A"]][3:]
    shown = drawn(copy, 1)
    seen = 0
    for look in ("fine", "CAUTION", "WARNING", "DANGER"):
        points = shown[look]
        for at, x in enumerate(points["x"]):
            if x is None:
                continue
            r = by_name[str(names[at])]
            low, typical, high = (min(max(r[f"superfat_{end}"], -9.2), 24.2) for end in ("low", "typical", "high"))
            assert look == (r["signal"] if r["signal"] in ("CAUTION", "WARNING", "DANGER") else "fine")
            assert x == pytest.approx(typical, abs=1e-3)
            assert (x - points["down"][at], x + points["up"][at]) == pytest.approx((low, high), abs=2e-3)
            assert points["y"][at] == len(names) - at
            seen += 1
    assert seen == 37, "the other three were not checked"


def test_every_recipe_stands_on_it_by_name_worst_first(farm: Audit) -> None:
    lines = strip.lines_of(farm)
    assert {line.name for line in lines} == set(farm.recipes["name"])
    assert [line.name for line in lines[:4]] == ["Cockle Row", "Whelk", "Lighthouse", "Gull"]
    assert [line.beyond() for line in lines if line.name == "Tern"] == ["not checked"]
    assert "26.9 times" in lines[0].beyond()


def test_beyond_sixty_the_forty_worst_are_shown_and_it_says_so(farm: Audit) -> None:
    many = pd.concat([farm.recipes, farm.recipes])
    many.index = pd.RangeIndex(1, len(many) + 1)
    sheet, data = strip.strip_and_data(dataclasses.replace(farm, recipes=many))
    assert len(data.rows) == 3 + strip.WORST
    assert "Of 80 recipes the 40 worst are shown" in str(sheet.rows[1][0].value)  # type: ignore[union-attr]  # a styled cell


def test_without_any_superfat_there_is_no_strip(farm: Audit) -> None:
    unknown = farm.recipes.assign(superfat_typical=float("nan"))
    assert strip.strip_and_data(dataclasses.replace(farm, recipes=unknown)) == []


def test_what_is_for_the_program_is_hidden(copy: Path) -> None:
    hidden = {sheet.title for sheet in openpyxl.load_workbook(copy) if sheet.sheet_state == "hidden"}
    assert hidden == {"Check strip data", "Check workings"}
