"""What comes out of each recipe: mass, dry soap, volume, shares, free alkali, heat of the lye."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from sheetcheck.chemistry.comes_out import comes_out
from sheetcheck.faults import otherwise
from sheetcheck.model import Audit, CellContent, Link, NewSheet, Styled, address
from sheetcheck.reference import limits
from sheetcheck.report.cells import amount_cell, unit_of
from sheetcheck.report.fitting import LONGEST_TITLE, TITLE_HEIGHT, heights, wide_enough
from sheetcheck.report.words import in_unit
from sheetcheck.words import later, number, tr

BATCHES = later("Check batches")
MOST_LINES = 1000  # recipes; a long book has the rest in its report for other programs

HEADINGS = (
    later("Recipe"),
    later("Into the pot"),
    later("Dry soap, at least"),
    later("Batter, mL"),
    later("Soap, %"),
    later("Fat left over, %"),
    later("Glycerine, %"),
    later("Free alkali, %"),
    later("Superfat that the milk adds, points"),
    later("Superfat that the acids add, points"),
    later("Hottest the lye can get, °C"),
    later("Hottest the lye can get, °F"),
)
WIDTHS = (30, 13, 13, 11, 9, 9, 11, 10, 12, 12, 10, 10)
FIRST = 6  # row of the first recipe


@otherwise(None, later("The sheet of batches is left out of the copy."))
def batch_sheet(audit: Audit) -> NewSheet | None:
    """Return one line for each recipe whose batch is known; None where none is."""
    found = comes_out(audit.recipes).iloc[:MOST_LINES]
    if found.empty:
        return None
    rows: list[list[CellContent]] = [
        [Styled(tr("What comes out of each batch"), "title")],
        [Styled(_sentence(), "sentence")],
        [Styled(_heat(audit), "sentence")],
        [],
        [Styled(tr(h), "heading of numbers" if column else "heading") for column, h in enumerate(HEADINGS)],
        *(_row(audit, recipe, of) for recipe, of in zip(found.index, found.to_dict("records"), strict=True)),
    ]
    names = audit.recipes.loc[found.index, "name"].astype(str)
    widths = (wide_enough(WIDTHS[0], names, LONGEST_TITLE), *WIDTHS[1:])
    across = dict.fromkeys((2, 3), float(sum(widths)))
    return NewSheet(
        BATCHES,
        rows,
        widths=widths,
        heights=TITLE_HEIGHT | heights(rows, widths, across),
        merges=("A2:L2", "A3:L3"),
        freeze=f"B{FIRST}",
        repeat_rows=(FIRST - 1, FIRST - 1),
    )


def _sentence() -> str:
    allowed = number(limits()["free_alkali_toilet_soap"].value, 2)
    return tr(
        "Computed from the amounts as written. A bar dries to somewhere between its weight in the pot and that of the "
        "dry soap. Shares are of the fresh soap, by what lye and fat make of each other; the rest is water and what "
        "takes no part. Of free alkali, standards for toilet soap allow {allowed} %.",
        allowed=allowed,
    )


def _heat(audit: Audit) -> str:
    start = audit.settings.limit("ambient_temperature")
    return tr(
        "Lye can come near boiling by itself, beyond what common plastics stand: lye into cold liquid, never liquid "
        "into lye, a little at a time, with goggles and gloves on. “At most” is with no heat lost, from {start} °C; an "
        "open jug stays below it, milk and sugar add heat of their own.",
        start=number(start, 0),
    )


def _row(audit: Audit, recipe: int, of: Mapping[Any, Any]) -> list[CellContent]:
    r: Mapping[Any, Any] = audit.recipes.loc[recipe].to_dict()
    unit = unit_of(r["unit"])
    hottest = float(of["hottest_lye"])
    return [
        Link(str(r["sheet"]), address(int(r["row"]), int(r["column"])), str(r["name"])),
        *(amount_cell(in_unit(float(of[mass]), unit), unit, with_unit=True) for mass in ("batch_g", "cured_least_g")),
        _whole(float(of["batter_ml"])),
        *(_figure(float(of[f"{part}_percent"]), "percent") for part in ("soap", "fat", "glycerol")),
        _figure(float(of["free_alkali_percent"]), "ounces"),
        *(_figure(float(of[f"superfat_from_{what}"]), "percent") for what in ("liquids", "acids")),
        _whole(hottest),
        _whole(hottest * 9 / 5 + 32),
    ]


def _figure(value: float, style: str) -> CellContent:
    return None if math.isnan(value) else Styled(value, style)


def _whole(value: float) -> CellContent:
    return None if math.isnan(value) else Styled(float(round(value)), "number")
