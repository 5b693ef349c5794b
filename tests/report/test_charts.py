"""The charts of a copy: names that do not hide each other, XML that all programs take alike, nothing left behind."""

import subprocess
import zipfile
from itertools import combinations
from pathlib import Path

import pytest

import sheetcheck
from sheetcheck.report.chart_labels import Label, Plot
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


@pytest.fixture(scope="module")
def copy(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    book = root / "examples/farm_book/farm_book.xlsx"
    target = tmp_path_factory.mktemp("charts") / "copy.xlsx"
    write_copy(book, target, plan(sheetcheck.audit(book)))
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
