"""The verdict of an audit in a few lines, for a box or a line on the screen."""

from __future__ import annotations

from sheetcheck.model import Audit, Finding, Signal
from sheetcheck.report.finding_words import in_short
from sheetcheck.report.json_report import in_danger, summary
from sheetcheck.report.words import signal_word, verdict_sentence
from sheetcheck.words import later, number, speaking, tr

WORST_SHOWN = 5
_CAUTION = later("Gloves and goggles on, a window open; lye into liquid, never liquid into lye.")


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
    lines = [_line(f, audit) for f in worst[:WORST_SHOWN]]
    if len(worst) > WORST_SHOWN:
        more = number(len(worst) - WORST_SHOWN, 0)
        lines.append(tr("… and {more} more; a checked copy lists them all.", more=more))
    unchecked = audit.recipes[audit.recipes["verdict"] == "not checked"]
    shown = unchecked.head(WORST_SHOWN).to_dict("records")
    lines += [tr("Not checked: {recipe}, {sheet}.", recipe=r["name"], sheet=r["sheet"]) for r in shown]
    if len(unchecked) > WORST_SHOWN:
        lines.append(tr("… and {more} more not checked.", more=number(len(unchecked) - WORST_SHOWN, 0)))
    caution = [tr(_CAUTION)] if worst else []
    return "\n\n".join([one_line(audit), *(["\n".join(lines)] if lines else []), *caution])


def _line(finding: Finding, audit: Audit) -> str:
    """Say one finding: how bad, in which recipe, where, what."""
    known = [r for r in finding.about() if r in audit.recipes.index]
    said = {
        "signal": signal_word(finding.signal),
        "place": f"{finding.sheet}!{finding.cell}",
        "what": in_short(finding),
    }
    if len(known) != 1:
        return tr("{signal}  {place}: {what}", **said)
    return tr("{signal}  {recipe}, {place}: {what}", **said, recipe=audit.recipes.at[known[0], "name"])
