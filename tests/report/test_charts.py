"""The charts of a copy: names that do not hide each other, XML that all programs take alike, nothing left behind."""

import dataclasses
import re
import subprocess
import zipfile
from itertools import combinations
from pathlib import Path

import openpyxl
import pytest
from lxml import etree
from openpyxl.chart import Reference
from openxml_audit import OpenXmlValidator

import sheetcheck
from sheetcheck.model import Audit
from sheetcheck.report.chart_labels import Label, Plot
from sheetcheck.report.charts import charts_and_data
from sheetcheck.report.marks import plan
from sheetcheck.workbook import remove_marks, write_copy

PLOT = Plot((545, 330), (0.0, 40.0), (-10.0, 30.0))


def box(label: Label) -> tuple[float, float, float, float]:
    across, up = PLOT.per_pixel
    return label.x, label.x + 5.0 * len(label.text) * across, label.y - 5 * up, label.y + 5 * up


@pytest.mark.parametrize("x", [1.0, 20.0, 39.0])
def test_names_at_one_place_stand_apart_and_inside(x: float) -> None:
    placed = PLOT.placed([Label(x, 30.0, f"Recipe {n} 52.5 %") for n in range(4)])
    assert len(placed) == 4
    for one, other in combinations(map(box, placed), 2):
        assert one[1] <= other[0] or other[1] <= one[0] or one[3] <= other[2] or other[3] <= one[2]
    assert all(PLOT.x_ends[0] - 1 <= label.x and box(label)[1] <= PLOT.x_ends[1] for label in placed)


def test_a_name_alone_stands_beside_its_point() -> None:
    (placed,) = PLOT.placed([Label(10.0, 5.0, "Tern")])
    assert placed.y == 5.0
    assert 10.0 < placed.x < 12.0


def test_a_name_keeps_off_other_points() -> None:
    points = [(10.0, 5.0), (11.0, 5.0), (12.0, 5.5)]
    (placed,) = PLOT.placed([Label(10.0, 5.0, "Tern")], points)
    across, up = PLOT.per_pixel
    left, right, low, high = box(placed)
    for x, y in points[1:]:
        assert not (left - 3 * across < x < right + 3 * across and low - 3 * up < y < high + 3 * up)


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
    assert len(found) == 2
    for xml in found.values():
        assert xml.count('<c:smooth val="0"/>') == xml.count("<c:ser>")
        assert '<c:dispBlanksAs val="gap"/>' in xml
        assert xml.count("<c:dLblPos ") == xml.count("<c:showVal ") > 1


def test_a_copy_saved_elsewhere_loses_its_charts_with_its_marks(copy: Path, soffice: str, tmp_path: Path) -> None:
    command = [soffice, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "xlsx"]
    subprocess.run([*command, "--outdir", str(tmp_path), str(copy)], check=True, capture_output=True, timeout=180)
    assert len(charts(tmp_path / "copy.xlsx")) == 2
    remove_marks(tmp_path / "copy.xlsx", tmp_path / "own.xlsx")
    assert charts(tmp_path / "own.xlsx") == {}


NAMESPACES = {
    "c": "http://schemas.openxmlformats.org/drawingml/2006/chart",
    "a": "http://schemas.openxmlformats.org/drawingml/2006/main",
}
PRIVATE_PART = "/sheetcheck/original.bin"  # of a type of its own, which the validator does not know


@pytest.mark.parametrize("example", ["shore_book/shore_book", "clean_book/clean_book", "rescale/orchard_book"])
def test_the_copy_is_valid_by_the_published_schemas(example: str, root: Path, tmp_path: Path) -> None:
    """ECMA-376 and ISO/IEC 29500, as openxml-audit has them: Excel repairs, or refuses, what is not."""
    book = root / "examples" / f"{example}.xlsx"
    write_copy(book, tmp_path / "copy.xlsx", plan(sheetcheck.audit(book)))
    known = {error.description for error in OpenXmlValidator().validate(str(book)).errors}
    found = OpenXmlValidator().validate(str(tmp_path / "copy.xlsx")).errors
    ours = [e for e in found if e.part_uri != PRIVATE_PART and e.description not in known]
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
    assert {e.part_uri for e in found} >= {"/xl/charts/chart1.xml", "/xl/charts/chart2.xml"}


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
    known = farm.recipes[farm.recipes["superfat_typical"].notna()]
    over_recipes, over_concentration = drawn(copy, 1), drawn(copy, 2)
    seen = 0
    for look in ("fine", "CAUTION", "WARNING", "DANGER"):
        points = over_recipes[look]
        for at, y in enumerate(points["y"]):
            if y is None:
                continue
            r = known.iloc[at]
            expected = r["signal"] if r["signal"] in ("CAUTION", "WARNING", "DANGER") else "fine"
            low, typical, high = (min(max(r[f"superfat_{end}"], -10), 30) for end in ("low", "typical", "high"))
            assert look == expected
            assert y == pytest.approx(typical, abs=1e-3)
            assert (y - points["down"][at], y + points["up"][at]) == pytest.approx((low, high), abs=2e-3)
            assert points["x"][at] == at + 1
            assert over_concentration[look]["y"][at] == y
            x = min(max(r["lye_concentration"], 10), 60)
            assert over_concentration[look]["x"][at] == pytest.approx(x, abs=1e-3)
            seen += 1
    assert seen == len(known) == 37


def test_the_frame_is_what_is_usual_by_the_limits_in_force(copy: Path, farm: Audit) -> None:
    low, high = (farm.settings.limit(name) for name in ("superfat_notice_below", "superfat_high_notice"))
    weak, strong = (farm.settings.limit(name) for name in ("lye_weak_notice", "lye_strong_caution"))
    assert drawn(copy, 1)["usual for soap"]["y"] == [low, low, high, high, low]
    frame = drawn(copy, 2)["usual for soap"]
    assert (frame["x"], frame["y"]) == ([weak, strong, strong, weak, weak], [low, low, high, high, low])


def test_every_odd_recipe_is_named_and_no_other(copy: Path, farm: Audit) -> None:
    r = farm.recipes[farm.recipes["superfat_typical"].notna()]
    outside = ~r["superfat_typical"].between(2, 10) | ~r["lye_concentration"].between(25, 40)
    odd = r[outside | r["signal"].isin(["DANGER", "WARNING", "CAUTION"])]
    assert 8 < len(odd) <= 12
    root = etree.fromstring(charts(copy)["xl/charts/chart2.xml"].encode())
    names = ["".join(label.itertext()).strip() for label in root.iterfind(".//c:dLbl/c:tx", NAMESPACES)]
    assert {re.sub("\N{NO-BREAK SPACE}", " ", name) for name in names} == set(odd["name"])


def test_a_recipe_not_checked_is_never_drawn_as_fine(farm: Audit) -> None:
    recipes = farm.recipes.assign(verdict="not checked", signal=None)
    chart = charts_and_data(dataclasses.replace(farm, recipes=recipes))[0][0]
    assert [s.look for s in chart.series if s.look not in ("frame", "label")] == ["not checked"]
