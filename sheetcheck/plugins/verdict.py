"""The verdict of an audit in a few lines, for a box or a line on the screen."""

from __future__ import annotations

from sheetcheck.model import Audit, Signal
from sheetcheck.report.finding_words import in_short
from sheetcheck.report.json_report import in_danger, summary
from sheetcheck.report.words import REMINDER, signal_word, verdict_sentence
from sheetcheck.words import number, speaking, tr

WORST_SHOWN = 5


def one_line(audit: Audit) -> str:
    """Say how the book stands in one sentence."""
    with speaking(audit.book.manner.voice()):
        return verdict_sentence(summary(audit), in_danger(audit))


def spoken(audit: Audit) -> str:
    """Say how the book stands and what is worst, in the few lines that a box has room for."""
    with speaking(audit.book.manner.voice()):
        return _spoken(audit)


def _spoken(audit: Audit) -> str:
    worst = sorted((f for f in audit.findings if f.signal is not Signal.NOTICE), key=lambda f: -f.signal.rank)
    lines = [f"{signal_word(f.signal)}  {f.sheet}!{f.cell}: {in_short(f)}" for f in worst[:WORST_SHOWN]]
    if len(worst) > WORST_SHOWN:
        more = number(len(worst) - WORST_SHOWN, 0)
        lines.append(tr("… and {more} more, all listed in the checked copy.", more=more))
    unchecked = audit.recipes[audit.recipes["verdict"] == "not checked"]
    shown = unchecked.head(WORST_SHOWN).to_dict("records")
    lines += [tr("Not checked: {recipe}, {sheet}.", recipe=r["name"], sheet=r["sheet"]) for r in shown]
    if len(unchecked) > WORST_SHOWN:
        lines.append(tr("… and {more} more not checked.", more=number(len(unchecked) - WORST_SHOWN, 0)))
    caution = [tr(REMINDER)] if worst else []
    return "\n\n".join([one_line(audit), *(["\n".join(lines)] if lines else []), *caution])
