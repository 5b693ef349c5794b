"""Clean books with the oddities of real ones: no sound recipe is lost, none gets WARNING or worse.

Lye and liquid are reckoned here from middle saponification values of the trade (common practice, no source), apart from
the package's own tables, so that a makers' usual factors are what is tried.
"""

from collections.abc import Sequence
from pathlib import Path

import pytest

import sheetcheck
from sheetcheck.model import Audit, Signal
from tests.books import write_book

NAOH_PER_G = {"Olive": 0.1353, "Coconut": 0.183, "Lard": 0.140, "Palm": 0.1415, "Castor": 0.1286, "Tallow": 0.1405}
FATS = tuple(NAOH_PER_G)
MIXES: tuple[dict[str, float], ...] = (
    {"Olive": 500, "Coconut": 250, "Palm": 250},
    {"Lard": 700, "Coconut": 300},
    {"Olive": 700, "Coconut": 250, "Castor": 50},
    {"Tallow": 800, "Coconut": 200},
    {"Olive": 1000},
    {"Lard": 500, "Olive": 300, "Coconut": 200},
    {"Palm": 400, "Coconut": 300, "Olive": 300},
    {"Olive": 600, "Lard": 400},
)


def lye_for(mix: dict[str, float], superfat: float) -> float:
    return sum(NAOH_PER_G[fat] * grams for fat, grams in mix.items()) * (1 - superfat / 100)


def row(name: str, mix: dict[str, float], lye: float, water: float, *rest: object) -> list[object]:
    return [name, *(mix.get(fat) for fat in FATS), lye, water, *rest]


def heading(*rest: str, unit: str = "g") -> list[object]:
    return ["Soap", *(f"{fat} ({unit})" for fat in FATS), f"Lye ({unit})", f"Water ({unit})", *rest]


def plain(superfat: float = 5, concentration: float = 31, step: float = 1, *, start: int = 0) -> list[list[object]]:
    rows = []
    for number, mix in enumerate(MIXES, start):
        lye = round(lye_for(mix, superfat) / step) * step
        rows.append(row(f"Soap {number}", mix, lye, round(lye * (100 - concentration) / concentration)))
    return rows


def stated(rows: Sequence[list[object]], superfat: object) -> list[list[object]]:
    return [[*cells, superfat] for cells in rows]


def in_ounces(rows: Sequence[list[object]]) -> list[list[object]]:
    return [[c if not isinstance(c, int | float) else round(c / 28.349523125, 2) for c in cells] for cells in rows]


def split_liquid() -> list[list[object]]:
    return [[*cells[:-1], round(float(str(cells[-1])) / 2), round(float(str(cells[-1])) / 2)] for cells in plain()]


BOOKS: dict[str, list[list[object]]] = {
    "plain": [heading(), *plain()],
    "laundry soap with 0 to 2 %, stated": [
        heading("Superfat %"),
        *stated(plain(5), 5),
        *stated(plain(2, start=20), 2),
        *stated(plain(1, start=40), 1),
    ],
    "15 to 20 % on purpose, stated": [
        heading("Superfat %"),
        *stated(plain(5), 5),
        *stated(plain(15, start=20)[:2], 15),
        *stated(plain(18, start=40)[:2], 18),
        *stated(plain(20, start=60)[:1], 20),
    ],
    "strong and weak solutions": [heading(), *plain(5, 38), *plain(5, 26, start=20)],
    "liquid in two parts": [heading("Goat milk (g)"), *split_liquid()],
    "lye rounded to 5 g": [heading(), *plain(6, 30, 5)],
    "duplicates on purpose": [heading(), *plain(), *plain()],
    "notes in number columns": [
        heading("Bars"),
        *([*cells, "see p. 4"] for cells in plain()),
    ],
    "ounces above, grams below": [
        heading(unit="oz"),
        *in_ounces(plain()),
        [],
        heading(unit="g"),
        *plain(start=30),
    ],
    "nothing but amounts": [heading(), *plain(7, 33)],
}


@pytest.fixture(scope="module", params=BOOKS)
def audited(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Audit]:
    folder: Path = tmp_path_factory.mktemp("clean")
    return request.param, sheetcheck.audit(write_book(folder / "book.xlsx", {"Recipes": BOOKS[request.param]}))


def test_no_recipe_is_lost(audited: tuple[str, Audit]) -> None:
    name, audit = audited
    written = sum(1 for cells in BOOKS[name] if cells and str(cells[0]).startswith("Soap "))
    assert len(audit.recipes) == written
    assert set(audit.recipes["verdict"]) <= {"fine", "flagged"}


def test_no_sound_recipe_gets_warning(audited: tuple[str, Audit]) -> None:
    _name, audit = audited
    loud = [(f.rule, f.cell, f.message) for f in audit.findings if f.signal.rank >= Signal.WARNING.rank]
    assert loud == []


def test_every_amount_is_read(audited: tuple[str, Audit]) -> None:
    _name, audit = audited
    assert audit.book.components["grams"].notna().all()
