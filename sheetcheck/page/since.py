"""What has become of a book since it was dropped the last time, recipe by recipe."""

from __future__ import annotations

from sheetcheck.model import Audit, Signal
from sheetcheck.words import tr, tr_count

_AMISS = frozenset({Signal.DANGER, Signal.WARNING, Signal.CAUTION})


def since_last_time(before: Audit, now: Audit) -> str:
    """Say how many recipes were put right, are new to look at, and are as before, by sheet and name."""
    was, stands = _amiss(before), _amiss(now)
    right = len(was - stands)
    new, same = len(stands - was), len(was & stands)
    said = [
        tr_count("{count} put right", "{count} put right", right),
        tr_count("{count} newly to look at", "{count} newly to look at", new),
        tr_count("{count} as before", "{count} as before", same),
    ]
    return tr("Since last time: {counts}.", counts=", ".join(said))


def _amiss(audit: Audit) -> set[tuple[str, str]]:
    """Return the recipes to look at or not checked."""
    r = audit.recipes
    amiss = r["signal"].isin(list(_AMISS)) | (r["verdict"] == "not checked")
    return set(zip(r.loc[amiss, "sheet"].astype(str), r.loc[amiss, "name"].astype(str), strict=True))
