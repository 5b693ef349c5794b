"""What her book says that things cost: prices by weight, on any sheet, so that a batch has its cost."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import pandas as pd

from sheetcheck.reading.amounts.amount import Reading, read_amount
from sheetcheck.reading.names.identify import identify
from sheetcheck.reading.text import clean, fold
from sheetcheck.reading.units.units import dimension, to_grams, unit_of_spelling
from sheetcheck.reference import substances
from sheetcheck.workbook.grid import Cell, Grid, Kind, Workbook

_PRICE = re.compile(
    r"\b(?:prices?|costs?|paid|preis|kosten|prix|cout|precio|coste|costo|prezzo|preco|custo|prijs)\b|[£$€]"
)
_PACK = re.compile(r"\b(?:sizes?|packs?|quantity|qty|amount|bought|weight|packung|menge|taille|cantidad|quantita)\b")
_OF_A_BATCH = re.compile(r"\b(?:batch|bar|soap|total|sum|recipe)\b")
_RATE = re.compile(
    r"(?:/|\bper\b|\ba\b|\bpro\b|\bje\b|\bpar\b|\bpor\b|\bal\b)\s*(?P<amount>\d+(?:[.,]\d+)?)?\s*(?P<unit>[a-z.]+)"
)
_MONEY = re.compile(r"(?P<before>[£$€])?\s*(?P<value>\d+(?:[.,]\d{1,3})?)\s*(?P<after>[£$€]|eur|usd|gbp)?")
_FREE = frozenset({"water"})  # out of the tap


@dataclass(frozen=True)
class Prices:
    """Prices of a book: for each gram of a substance, in the book's money (its sign, "" where it shows none)."""

    per_g: Mapping[str, float] = field(default_factory=dict)
    sign: str = ""

    def __bool__(self) -> bool:
        return bool(self.per_g)


@dataclass(frozen=True, slots=True)
class Cost:
    """What a batch costs, and which of its ingredients have no price in the book."""

    money: float
    unpriced: tuple[str, ...]


def cost_of(lines: pd.DataFrame, prices: Prices) -> Cost | None:
    """Return the cost of a batch; None where the book prices nothing in it."""
    money, unpriced, priced = 0.0, [], False
    for name, substance, grams in zip(lines["name"], lines["substance"], lines["grams"], strict=True):
        price = prices.per_g.get(substance) if isinstance(substance, str) else None
        if price is not None and grams > 0:
            money, priced = money + price * grams, True
        elif substance not in _FREE:
            unpriced.append(str(name))
    return Cost(money, tuple(dict.fromkeys(unpriced))) if priced else None


def prices_of(workbook: Workbook) -> Prices:
    """Return the prices that a workbook lists; of several for one thing, the one listed last.

    A price counts where the book says what it buys: "per kg" in its heading or beside it, or the size of the pack in a
    column of its own. What it does not say is not guessed.
    """
    found: dict[str, float] = {}
    signs: list[str] = []
    for grid in workbook.grids:
        for substance, per_g, sign in _of_grid(grid):
            found[substance] = per_g
            signs.append(sign)
    said = [sign for sign in signs if sign]
    return Prices(found, max(set(said), key=said.count) if said else "")


def _of_grid(grid: Grid) -> Iterator[tuple[str, float, str]]:
    heading: dict[int, str] = {}
    price, pack = 0, 0
    for row in grid.rows():
        cells = grid.row_cells(row)
        texts = {c.column: clean(c.text).lower() for c in cells if c.kind is Kind.TEXT}
        priced = [column for column, text in texts.items() if _is_price_heading(text)]
        if priced and len(texts) > 1:
            by_rate = [column for column in priced if _rate(texts[column])]
            price, heading = (by_rate or priced)[0], texts
            pack = next((c for c, text in texts.items() if _PACK.search(fold(text)) and c != price), 0)
            continue
        if price:
            yield from _of_row(cells, heading, price, pack)


def _is_price_heading(text: str) -> bool:
    return (
        bool(_PRICE.search(text))
        and not _OF_A_BATCH.search(text)
        and not re.search(r"\d{3}|\d\s*[£$€]|[£$€]\s*\d", text)
    )


def _of_row(
    cells: Sequence[Cell], heading: Mapping[int, str], price: int, pack: int
) -> Iterator[tuple[str, float, str]]:
    named = next((c for c in cells if c.kind is Kind.TEXT and c.column not in (price, pack)), None)
    cell = next((c for c in cells if c.column == price), None)
    if named is None or cell is None:
        return
    substance = identify(named.text).substance
    said = clean(cell.text).lower()
    money = _MONEY.match(said) if said else None
    value = float(money["value"].replace(",", ".")) if money else cell.number
    if substance is None or not value > 0:
        return
    buys = _rate(said) or _rate(heading[price]) or _size(cells, heading, pack)
    grams = _grams(buys, substance) if buys else math.nan
    if grams > 0:
        sign = (money["before"] or money["after"] if money else None) or _sign(heading[price], cell)
        yield substance, value / grams, sign or ""


def _rate(text: str) -> tuple[float, str] | None:
    """Read what a price is for: "per kg", "/ 100 g", "£/lb"."""
    for found in _RATE.finditer(text):
        unit = unit_of_spelling(found["unit"].strip("."))
        if unit is not None:
            return float((found["amount"] or "1").replace(",", ".")), unit
    return None


def _size(cells: Sequence[Cell], heading: Mapping[int, str], pack: int) -> tuple[float, str] | None:
    """Read the size of the pack: "5 kg", or a number below a heading with its unit."""
    cell = next((c for c in cells if c.column == pack), None) if pack else None
    if cell is None:
        return None
    if cell.kind is Kind.TEXT:
        readings: tuple[Reading, ...] = read_amount(clean(cell.text)).readings
        return (readings[0].value, readings[0].unit) if len(readings) == 1 and readings[0].unit else None
    unit = re.search(r"[(\[]?\b([a-z]+)\b[)\]]?$", heading[pack])
    symbol = unit_of_spelling(unit[1]) if unit else None
    return (cell.number, symbol) if symbol is not None and cell.number > 0 else None


def _grams(buys: tuple[float, str], substance: str) -> float:
    value, unit = buys
    if unit == "lb oz":
        return to_grams(value, "lb")
    if dimension(unit) not in ("mass", "volume"):
        return math.nan
    return to_grams(value, unit, substances().get(substance))


def _sign(heading: str, cell: Cell) -> str | None:
    found = re.search(r"[£$€]", heading) or re.search(r"[£€]|(?<!\[)\$", cell.style.number_format)
    return found[0] if found else None
