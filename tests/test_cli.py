"""The command as its user runs it."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

from tests.books import write_book

SOUND = [["Recipe", "Lard (oz)", "Water (oz)", "Lye (oz)"], ["Plain", 80, 24.29, 10.86]]
FAULTY = [*SOUND, ["Heavy", 64, 24, 13]]


def sheetcheck(*arguments: object, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "sheetcheck", *map(str, arguments)],
        capture_output=True,
        text=True,
        cwd=cwd,
        check=False,
        timeout=120,
    )


@pytest.fixture
def sound(tmp_path: Path) -> Path:
    return write_book(tmp_path / "sound.xlsx", {"Recipes": SOUND})


@pytest.fixture
def faulty(tmp_path: Path) -> Path:
    return write_book(tmp_path / "faulty.xlsx", {"Recipes": FAULTY})


class TestStatus:
    def test_0_where_nothing_is_amiss(self, sound: Path) -> None:
        done = sheetcheck("audit", sound)
        assert done.returncode == 0, done.stderr
        assert (sound.parent / "sound.checked.xlsx").exists()
        assert "Nothing amiss in 1 recipe." in done.stdout

    def test_1_where_something_is_at_the_signal_word(self, faulty: Path) -> None:
        done = sheetcheck("audit", faulty)
        assert done.returncode == 1
        assert "DANGER" in done.stdout
        assert "Recipes!D3" in done.stdout

    def test_fail_on_moves_the_bar(self, tmp_path: Path) -> None:
        high = write_book(tmp_path / "high.xlsx", {"Recipes": [SOUND[0], ["Soft", 80, 24.29, 9.2]]})
        assert sheetcheck("audit", high, "--fail-on", "WARNING").returncode == 0
        assert sheetcheck("audit", high, "--fail-on", "CAUTION").returncode == 1

    def test_1_where_a_recipe_was_not_checked(self, tmp_path: Path) -> None:
        book = write_book(tmp_path / "b.xlsx", {"Recipes": [*SOUND, ["No lye", 64, 20, None]]})
        assert sheetcheck("audit", book, "--fail-on", "DANGER").returncode == 1

    @pytest.mark.parametrize(
        ("name", "content", "sentence"),
        [
            ("missing.xlsx", None, "there is no such file"),
            ("text.xlsx", b"just words", "is not a workbook"),
            ("empty.xlsx", b"", "empty"),
            ("half.xlsx", b"PK\x03\x04" + b"\0" * 40, "is damaged"),
            ("locked.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 2000, "sheetcheck: locked.xlsx"),
        ],
    )
    def test_2_where_the_book_cannot_be_audited(
        self, tmp_path: Path, name: str, content: bytes | None, sentence: str
    ) -> None:
        book = tmp_path / name
        if content is not None:
            book.write_bytes(content)
        before = sorted(tmp_path.iterdir())
        done = sheetcheck("audit", book, "--report", tmp_path / "r.json")
        assert done.returncode == 2
        assert sentence in done.stderr
        assert done.stderr.count("\n") == 1, done.stderr
        assert sorted(tmp_path.iterdir()) == before

    def test_2_where_there_is_no_recipe(self, tmp_path: Path) -> None:
        book = write_book(tmp_path / "prices.xlsx", {"Prices": [["What", "Price"], ["Soap dish", 3.5]]})
        done = sheetcheck("audit", book)
        assert done.returncode == 2
        assert "no recipe was found" in done.stderr
        assert [p.name for p in tmp_path.iterdir()] == ["prices.xlsx"]

    def test_2_for_a_wrong_option(self, sound: Path) -> None:
        assert sheetcheck("audit", sound, "--unit", "stone").returncode == 2
        assert sheetcheck("audit", sound, "--no-such-option").returncode == 2


class TestTheBookIsNeverWrittenTo:
    def test_bytes_and_time_stay(self, faulty: Path) -> None:
        before = faulty.read_bytes(), faulty.stat().st_mtime_ns
        sheetcheck("audit", faulty)
        assert (faulty.read_bytes(), faulty.stat().st_mtime_ns) == before

    def test_copy_path_equal_to_the_book(self, faulty: Path) -> None:
        before = faulty.read_bytes()
        done = sheetcheck("audit", faulty, "--out", faulty)
        assert done.returncode == 2
        assert "the book itself" in done.stderr
        assert faulty.read_bytes() == before

    def test_copy_path_linked_to_the_book(self, faulty: Path) -> None:
        link = faulty.with_name("link.xlsx")
        link.symlink_to(faulty)
        before = faulty.read_bytes()
        assert sheetcheck("audit", faulty, "--out", link).returncode == 2
        assert faulty.read_bytes() == before

    @pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="root may write anywhere")
    def test_folder_that_cannot_be_written_to(self, faulty: Path, tmp_path: Path) -> None:
        shut = tmp_path / "shut"
        shut.mkdir(mode=0o500)
        assert sheetcheck("audit", faulty, "--out", shut / "c.xlsx").returncode == 2

    def test_folder_that_is_not_there(self, faulty: Path, tmp_path: Path) -> None:
        done = sheetcheck("audit", faulty, "--out", tmp_path / "no" / "c.xlsx")
        assert done.returncode == 2
        assert "there is no folder" in done.stderr


class TestWhatStandsInTheWay:
    def test_own_unchanged_copy_is_replaced(self, faulty: Path) -> None:
        sheetcheck("audit", faulty)
        sheetcheck("audit", faulty)
        assert sorted(p.name for p in faulty.parent.iterdir()) == ["faulty.checked.xlsx", "faulty.xlsx"]

    def test_a_file_of_the_makers_is_left_alone(self, faulty: Path, sound: Path) -> None:
        hers = faulty.with_name("faulty.checked.xlsx")
        shutil.copyfile(sound, hers)
        before = hers.read_bytes()
        done = sheetcheck("audit", faulty)
        assert hers.read_bytes() == before
        assert "faulty.checked-2.xlsx" in done.stdout
        assert faulty.with_name("faulty.checked-2.xlsx").exists()

    def test_overwrite_replaces_it(self, faulty: Path, sound: Path) -> None:
        hers = faulty.with_name("faulty.checked.xlsx")
        shutil.copyfile(sound, hers)
        before = hers.read_bytes()
        sheetcheck("audit", faulty, "--overwrite")
        assert hers.read_bytes() != before


PAPERS = {"a4": 9, "letter": 1}  # numbers of paper sizes, ECMA-376 part 1, 18.3.1.63


class TestPaper:
    """New sheets are for the paper that is asked for; without a word for Letter where the book is in ounces."""

    @staticmethod
    def papers(copy: Path) -> dict[str, int | None]:
        sheets = openpyxl.load_workbook(copy).worksheets
        return {sheet.title: sheet.page_setup.paperSize for sheet in sheets if sheet.sheet_state == "visible"}

    @pytest.mark.parametrize(
        ("unit", "said", "paper"),
        [("oz", (), "letter"), ("g", (), "a4"), ("oz", ("a4",), "a4"), ("g", ("letter",), "letter")],
    )
    def test_of_a_checked_copy_and_of_a_rescaled_book(
        self, unit: str, said: tuple[str, ...], paper: str, tmp_path: Path
    ) -> None:
        rows = [[heading.replace("oz", unit) for heading in SOUND[0]], *SOUND[1:]]
        book = write_book(tmp_path / "book.xlsx", {"Recipes": rows})
        words = ["--paper", *said] if said else []
        assert sheetcheck("audit", book, *words, "--out", tmp_path / "checked.xlsx").returncode == 0
        assert sheetcheck("rescale", book, "--to", "x2", *words, "--out", tmp_path / "x2.xlsx").returncode == 0
        hers = self.papers(book)
        checked, rescaled = self.papers(tmp_path / "checked.xlsx"), self.papers(tmp_path / "x2.xlsx")
        assert checked.pop("Recipes") == hers["Recipes"], "her own sheets keep their paper"
        assert set(checked.values()) == set(rescaled.values()) == {PAPERS[paper]}

    def test_of_the_settings_and_one_that_is_not_known(self, sound: Path, tmp_path: Path) -> None:
        settings = tmp_path / "own.toml"
        settings.write_text('paper = "a4"\n', encoding="utf-8")
        assert sheetcheck("audit", sound, "--settings", settings).returncode == 0
        assert PAPERS["a4"] in self.papers(sound.with_name("sound.checked.xlsx")).values()
        done = sheetcheck("audit", sound, "--paper", "vellum")
        assert done.returncode == 2
        assert "a4, letter" in done.stderr


class TestReport:
    def test_keys_of_the_contract(self, faulty: Path, tmp_path: Path) -> None:
        place = tmp_path / "r.json"
        sheetcheck("audit", faulty, "--report", place)
        report = json.loads(place.read_text(encoding="utf-8"))
        assert (report["format"], report["version"]) == ("sheetcheck-report", 1)
        assert report["summary"]["recipes"] == 2
        assert report["summary"]["DANGER"] == 1
        heavy = report["recipes"][1]
        assert heavy["name"] == "Heavy"
        assert heavy["anchor"] == "A3"
        assert heavy["verdict"] == "flagged"
        assert heavy["alkali"] == "NaOH"
        assert heavy["alkali_g"] == pytest.approx(13 * 28.349523125, abs=0.005)
        assert heavy["stated_superfat_percent"] is None
        assert {c["role"] for c in heavy["components"]} == {"fat", "alkali", "liquid"}
        assert {c["unit_from"] for c in heavy["components"]} == {"heading"}

    def test_same_file_same_bytes(self, faulty: Path, tmp_path: Path) -> None:
        for name in ("1.json", "2.json"):
            sheetcheck("audit", faulty, "--report", tmp_path / name, "--out", tmp_path / f"{name}.xlsx")
        assert (tmp_path / "1.json").read_bytes() == (tmp_path / "2.json").read_bytes()

    def test_standard_output_holds_the_report_alone(self, faulty: Path) -> None:
        done = sheetcheck("audit", faulty, "--report", "-")
        assert json.loads(done.stdout)["summary"]["recipes"] == 2
        assert "DANGER" in done.stderr

    def test_never_over_the_book(self, faulty: Path) -> None:
        before = faulty.read_bytes()
        assert sheetcheck("audit", faulty, "--report", faulty).returncode == 2
        assert faulty.read_bytes() == before


class TestOtherCommands:
    def test_explain_lists_and_explains(self) -> None:
        listed = sheetcheck("explain")
        assert listed.returncode == 0
        assert "free-lye" in listed.stdout
        one = sheetcheck("explain", "free-lye")
        for heading in ("Why it matters", "Example", "What to do", "Source"):
            assert heading in one.stdout
        assert "did you mean free-lye" in sheetcheck("explain", "fre-lye").stderr

    def test_fats(self) -> None:
        assert "Lard" in sheetcheck("fats").stdout.title()
        lard = sheetcheck("fats", "lard").stdout
        assert "mg KOH per g" in lard
        assert "source" in lard
        assert "Look on the bottle" in " ".join(sheetcheck("fats", "vegetable oil").stdout.split())
        assert "is not known for certain" in sheetcheck("fats", "moon fat").stderr

    def test_read_judges_nothing_and_writes_nothing(self, faulty: Path) -> None:
        done = sheetcheck("read", faulty)
        assert done.returncode == 0
        assert "one recipe per row" in done.stdout
        assert "DANGER" not in done.stdout
        assert [p.name for p in faulty.parent.iterdir()] == ["faulty.xlsx"]

    def test_read_writes_settings_that_load(self, faulty: Path, tmp_path: Path) -> None:
        place = tmp_path / "settings.toml"
        assert sheetcheck("read", faulty, "--write-settings", place).returncode == 0
        opened = place.read_text(encoding="utf-8").replace("# ", "", 1)
        assert "[limits]" in opened
        assert sheetcheck("audit", faulty, "--settings", place).returncode == 1

    def test_settings_that_are_wrong_name_the_place(self, faulty: Path, tmp_path: Path) -> None:
        place = tmp_path / "s.toml"
        place.write_text("[limits]\nsuperfat_danger_below = -5\n", encoding="utf-8")
        done = sheetcheck("audit", faulty, "--settings", place)
        assert done.returncode == 2
        assert "s.toml, line 2: limits.superfat_danger_below" in done.stderr
        assert "never lowered" in done.stderr

    @pytest.mark.parametrize("shape", ["rows", "list", "cards"])
    def test_start_makes_a_book_that_reads_as_meant(self, tmp_path: Path, shape: str) -> None:
        new = tmp_path / "new.xlsx"
        assert sheetcheck("start", shape, new).returncode == 0
        before = new.read_bytes()
        assert sheetcheck("start", shape, new).returncode == 2
        assert new.read_bytes() == before

    def test_unmark_gives_the_book_back(self, faulty: Path, tmp_path: Path) -> None:
        sheetcheck("audit", faulty)
        back = tmp_path / "back.xlsx"
        done = sheetcheck("unmark", faulty.with_name("faulty.checked.xlsx"), back)
        assert done.returncode == 0, done.stderr
        assert sheetcheck("audit", back, "--out", tmp_path / "again.xlsx").returncode == 1

    def test_help_is_quick_to_load(self) -> None:
        code = (
            "import sys, sheetcheck.cli; print([m for m in ('pandas', 'lxml', 'openpyxl', 'pint') if m in sys.modules])"
        )
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        assert done.stdout.strip() == "[]"
