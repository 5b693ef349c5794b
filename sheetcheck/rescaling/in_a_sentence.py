"""How a rescaling came out, in one sentence."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from sheetcheck.words import number, tr, tr_count

if TYPE_CHECKING:
    from sheetcheck.rescaling.scaling import Rescaled


def summary_sentence(rescaled: Rescaled, coarse: int, unread: int) -> str:
    """Say how many batches were made and how many left out, and why, and what may be a recipe and was not read."""
    made = tr_count("{count} batch size made", "{count} batch sizes made", len(rescaled.jobs))
    if coarse:
        made = tr("{made} ({coarse} on too coarse a scale)", made=made, coarse=number(coarse, 0))
    if unread:
        places = tr_count(
            "{count} place in your book that was not read", "{count} places in your book that were not read", unread
        )
        made = tr("{made}, beside {places}", made=made, places=places)
    if not rescaled.left_out:
        return tr("{made}, no recipe left out.", made=made) if unread else tr("{made}, nothing left out.", made=made)
    because = Counter(left.because for left in rescaled.left_out)
    whys = ", ".join(f"{number(count, 0)} {why}" for why, count in because.most_common())
    return tr("{made}, {left} left out: {whys}.", made=made, left=number(len(rescaled.left_out), 0), whys=whys)
