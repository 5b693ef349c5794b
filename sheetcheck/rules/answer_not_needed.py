"""An answer from an earlier copy is no longer needed: what it was about has changed, or is gone.

Why it matters
--------------
An answer holds for the recipe as it was. When an amount or a name changes, the recipe is judged afresh, and what was
meant so before may be a slip now.

Example
-------
"On purpose" was answered to a superfat of 18 %; since then the lye was changed, and the superfat is 6 %.

What to do
----------
Nothing, if the change was meant. The answer is dropped; this is said once.

Source
------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence

from sheetcheck.model import Finding, Signal
from sheetcheck.rules.support.evidence import Evidence
from sheetcheck.rules.support.findings import finding
from sheetcheck.rules.support.wording import listed
from sheetcheck.words import later, tr

TITLE = later("An answer that is no longer needed")
NEEDS = ()


def answer_not_needed(evidence: Evidence, answers: Sequence[tuple[str, str]]) -> list[Finding]:
    """Make one NOTICE for all answers that are dropped, each an answer with what it was about."""
    if not answers or evidence.recipes.empty:
        return []
    said = listed([tr("“{answer}” to {about}", answer=tr(answer), about=about) for answer, about in answers])
    message = tr(
        "No longer needed, since what they were about has changed or is gone: your answers {answers}.", answers=said
    )
    return [finding(__name__, Signal.NOTICE, evidence.anchor(int(evidence.recipes.index[0])), (), message)]
