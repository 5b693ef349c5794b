"""Which superfat she uses, asked once: where recipes that state none are to be looked at and their book leaves it open.

Where most of the sound recipes lie at one superfat, the book has said it. Where the recipes of one sheet lie apart from
those of another, each has its own keeper, and her superfat is asked by sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import pandas as pd

from sheetcheck.model import Finding, PossibleAnswer, Question, Signal
from sheetcheck.reading.own_superfat import as_answer, word_for
from sheetcheck.repairs.entries import Floats
from sheetcheck.repairs.findings import about_amounts
from sheetcheck.rules import Evidence
from sheetcheck.words import number, tr, tr_count

_FEWEST = 3  # sound recipes from which a book suggests a superfat
_OF_A_KEEPER = 5  # the same, for a sheet to be told apart from others
_APART = 2.0  # points between the middles of two keepers
_NEAR = 1.0  # points from a superfat that a recipe aims at
_SAID = 0.8  # share of the recipes at one superfat from which the book has said it
_SOUND = (0.0, 25.0)
_CHOICES = 3
_LEAST = 0.1  # share of the recipes from which a superfat is suggested


def superfats_to_ask(evidence: Evidence, findings: Sequence[Finding]) -> tuple[Question, ...]:
    """Return what is to be asked about her superfat: nothing, one question, or one for each keeper."""
    recipes = evidence.recipes
    silent = recipes["stated_superfat"].isna() & recipes["superfat_typical"].notna()
    said = [sheet for sheet in recipes["sheet"].unique() if evidence.settings.superfat_of(str(sheet)) is not None]
    silent &= ~recipes["sheet"].isin(said)
    amiss = {n for f in about_amounts(findings) if f.signal is not Signal.NOTICE for n in f.about()}
    suggested = {n for f in findings if f.repairs and f.signal is not Signal.NOTICE for n in f.about()}
    sure = {n for f in findings if f.certainty == "sure" for n in f.about()}
    sound = recipes[silent & ~recipes.index.isin(list(amiss)) & recipes["superfat_typical"].between(*_SOUND)]
    waiting = recipes[silent & recipes.index.isin(list(suggested - sure))]
    if waiting.empty:
        return ()
    return tuple(_asked(sound, waiting))


def _asked(sound: pd.DataFrame, waiting: pd.DataFrame) -> Iterator[Question]:
    keepers = _keepers(sound)
    for sheet in keepers or [None]:
        known = sound if sheet is None else sound[sound["sheet"] == sheet]
        wait = waiting if sheet is None else waiting[waiting["sheet"] == sheet]
        aims = _aims(known["superfat_typical"].to_numpy(dtype=np.float64))
        if 0 < len(wait) <= len(known) and aims and aims[0].probability < _SAID:  # else the book suggests nothing
            yield _question(sheet, len(known), aims, [int(n) for n in wait.index])


def _keepers(sound: pd.DataFrame) -> list[str | None]:
    """Return the sheets whose recipes lie apart from those of others; none where all are of one keeper."""
    by_sheet = sound.groupby("sheet", sort=False)["superfat_typical"]
    middles = by_sheet.median()[by_sheet.size() >= _OF_A_KEEPER]
    apart = len(middles) > 1 and middles.max() - middles.min() > _APART
    return [str(sheet) for sheet in sound["sheet"].unique()] if apart else []


def _aims(superfat: Floats) -> list[PossibleAnswer]:
    """Return the whole percentages that most recipes lie near, each recipe counted once."""
    found: list[PossibleAnswer] = []
    left, count = superfat, len(superfat)
    while count >= _FEWEST and len(left) and len(found) < _CHOICES:
        whole = np.arange(0.0, _SOUND[1] + 1)
        near = np.abs(left[None, :] - whole[:, None]) <= _NEAR
        best = int(np.argmax(near.sum(axis=1) - 0.01 * np.abs(left[None, :] - whole[:, None]).mean(axis=1)))
        share = near[best].sum() / count
        if share < _LEAST:
            break
        found.append(PossibleAnswer(as_answer(float(whole[best])), float(share), 0))
        left = left[~near[best]]
    return found


def _question(sheet: str | None, sound: int, aims: Sequence[PossibleAnswer], waiting: list[int]) -> Question:
    ask = tr("Which superfat do you use?") if sheet is None else tr("Which superfat is used on “{sheet}”?", sheet=sheet)
    suggested = tr_count(
        "Of {count} sound recipe that states none, {near} comes to about {superfat}.",
        "Of {count} sound recipes that state none, {near} come to about {superfat}.",
        sound,
        near=number(round(aims[0].probability * sound), 0),
        superfat=aims[0].means,
    )
    return Question(word_for(sheet), f"{ask} {suggested}", (), tuple(waiting), tuple(aims))
