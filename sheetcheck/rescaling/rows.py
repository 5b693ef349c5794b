"""Rows of the frames of `scaling.Rescaled`, with the types of the columns that are shown."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Protocol, cast

import pandas as pd


class Line(Protocol):
    """A row of `Rescaled.lines`: one amount."""

    recipe: int
    row: int
    column: int
    name_row: int
    name_column: int
    name: str
    role: str
    substance: str | None
    written: str | None
    value: float
    unit: str | None
    grams: float
    strength: float
    scaled_value: float
    weighed: bool
    fraction: bool  # she writes it with a fraction
    shown: float
    step: float


class Job(Protocol):
    """A row of `Rescaled.jobs`: one recipe in one size; `Index` is its number."""

    Index: int
    name: str
    own_name: str
    sheet: str
    label: str
    target: int
    source: int
    batches: int
    factor: float
    weigh_unit: str
    table_unit: str
    own_superfat: float
    resized: float
    weighable: float
    stated_superfat: float
    cured_least_g: float
    remarks: str
    alkali: str | None
    alkali_g: float
    naoh_g: float
    koh_g: float
    needed_typical_g: float
    water_g: float
    fat_g: float
    liquid_g: float
    batch_g: float
    batter_ml: float
    sugar_g: float
    alcohol_g: float
    hottest_lye: float
    superfat_low: float
    superfat_typical: float
    superfat_high: float
    lye_concentration: float
    superfat_before: float
    concentration_before: float
    lye_scaled_g: float
    lye_computed_g: float


def job_rows(jobs: pd.DataFrame) -> Iterator[Job]:
    """Yield the rows of a frame of jobs."""
    return cast("Iterator[Job]", jobs.itertuples())


def line_rows(lines: pd.DataFrame) -> Iterator[Line]:
    """Yield the rows of a frame of lines."""
    return cast("Iterator[Line]", lines.itertuples())
