"""The verdict of an audit in a few lines, for a box or a line on the screen."""

from __future__ import annotations

from sheetcheck.model import Audit, Signal
from sheetcheck.report.json_report import in_danger, summary
from sheetcheck.report.words import REMINDER, in_short, verdict_sentence

WORST_SHOWN = 5


def one_line(audit: Audit) -> str:
    """Say how the book stands in one sentence."""
    return verdict_sentence(summary(audit), in_danger(audit))


def spoken(audit: Audit) -> str:
    """Say how the book stands and what is worst, in the few lines that a box has room for."""
    worst = sorted((f for f in audit.findings if f.signal is not Signal.NOTICE), key=lambda f: -f.signal.rank)
    lines = [f"{f.signal}  {f.sheet}!{f.cell}: {in_short(f)}" for f in worst[:WORST_SHOWN]]
    if len(worst) > WORST_SHOWN:
        lines.append(f"… and {len(worst) - WORST_SHOWN} more, all listed in the checked copy.")
    unchecked = audit.recipes[audit.recipes["verdict"] == "not checked"]
    lines += [f"Not checked: {r['name']}, {r['sheet']}." for r in unchecked.head(WORST_SHOWN).to_dict("records")]
    if len(unchecked) > WORST_SHOWN:
        lines.append(f"… and {len(unchecked) - WORST_SHOWN} more not checked.")
    caution = [REMINDER] if worst else []
    return "\n\n".join([one_line(audit), *(["\n".join(lines)] if lines else []), *caution])
