"""What a copy and the terminal say of one finding: the likely slip, how sure that is, what the cell should hold."""

from __future__ import annotations

from collections.abc import Mapping

from sheetcheck.model import Certainty, Change, Finding, Repair, RepairKind
from sheetcheck.reading.units.units import to_grams
from sheetcheck.rules.support.wording import mass, percent, plain
from sheetcheck.words import later, number, tr

POUNDS_AND_OUNCES = "lb oz"
DIGITS = 4
CAUSES: Mapping[RepairKind, str] = {
    "unit": later("the right number in the wrong unit"),
    "decimal": later("the decimal point, or a zero, in the wrong place"),
    "digit": later("one slip of a digit"),
    "swap": later("amounts in each other's place"),
    "stale": later("left from before the recipe was changed"),
    "alkali": later("the amount for the other alkali"),
    "substance": later("another fat than is written"),
    "copied": later("the amount of the recipe beside it"),
    "twice": later("an amount typed twice"),
    "missing": later("a fat left out"),
    "other": later("a slip"),
}
CERTAINTY: Mapping[Certainty, str] = {"sure": later("Sure"), "likely": later("Likely"), "possible": later("Possible")}
IN_BRACKETS: Mapping[Certainty, str] = {"sure": later("sure"), "likely": later("likely"), "possible": later("possible")}


def repair_sentence(repair: Repair) -> str:
    """Say what the repair changes: "P10: 303 oz → 303 g"."""
    return "; ".join(_step(change) for change in repair.changes)


def _step(change: Change) -> str:
    meant = _meant(change)
    if not meant:
        return tr("{cell}: look at it", cell=change.cell)
    return tr("{cell}: {written} → {meant}", cell=change.cell, written=change.shown or tr("blank"), meant=meant)


def _meant(change: Change) -> str:
    """Say what a cell should hold; nothing where that is not known."""
    if change.substance is not None:
        return tr(change.substance)
    if change.value is None:
        return ""
    if change.value == 0:  # typed twice: one of the two is too many
        return tr("nothing")
    if change.unit == POUNDS_AND_OUNCES:
        return mass(to_grams(change.value, POUNDS_AND_OUNCES), POUNDS_AND_OUNCES)
    return f"{plain(change.value, DIGITS)} {change.unit or ''}".rstrip()


def suggested(finding: Finding) -> str:
    """Say what the cells should hold, where one slip is named: "128.4 g"."""
    if finding.certainty is None:
        return ""
    changes = finding.repairs[0].changes
    if len(changes) == 1:
        return _meant(changes[0])
    return "; ".join(tr("{cell}: {meant}", cell=change.cell, meant=_meant(change)) for change in changes)


def most_likely(finding: Finding) -> str:
    """Say what was probably meant, with how sure that is; empty where nothing stands out."""
    if not finding.repairs:
        return ""
    best = finding.repairs[0]
    if finding.certainty is None:
        repairs = "; ".join(repair_sentence(r) for r in finding.repairs[:3])
        return tr("Could be one of: {repairs}. Unusual as written; no single slip stands out.", repairs=repairs)
    said = {
        "certainty": tr(CERTAINTY[finding.certainty]),
        "probability": probability(best.probability),
        "repair": repair_sentence(best),
    }
    if best.superfat_percent is None:
        return tr("{certainty} ({probability}): {repair}.", **said)
    superfat = percent(best.superfat_percent)
    return tr("{certainty} ({probability}): {repair}, which gives {superfat} superfat.", **said, superfat=superfat)


def cause(finding: Finding) -> str:
    """Say in the list of findings what most likely happened and how sure that is."""
    if not finding.repairs:
        return ""
    best = finding.repairs[0]
    if finding.certainty is None:
        could_be = "; ".join(repair_sentence(repair) for repair in finding.repairs[:3])
        return tr("No single slip stands out; could be one of: {repairs}.", repairs=could_be)
    said = {
        "certainty": tr(CERTAINTY[finding.certainty]),
        "probability": probability(best.probability),
        "cause": tr(CAUSES[best.kind]),
    }
    if best.superfat_percent is None:
        return tr("{certainty} ({probability}): {cause}.", **said)
    superfat = percent(best.superfat_percent)
    return tr("{certainty} ({probability}): {cause}. As suggested, superfat is {superfat}.", **said, superfat=superfat)


def in_short(finding: Finding) -> str:
    """Say it in a few words for the row beside the recipe: the problem, the cell, and what was probably meant."""
    problem = tr(finding.rule.replace("-", " ").capitalize())
    if len(finding.about()) > 1:
        return tr("{problem} (with others).", problem=problem)
    if finding.certainty is None:
        return tr("{problem} ({cell}).", problem=problem, cell=finding.cell)
    repair, certainty = repair_sentence(finding.repairs[0]), tr(IN_BRACKETS[finding.certainty])
    return tr("{problem}: {repair} ({certainty}).", problem=problem, repair=repair, certainty=certainty)


def probability(share: float) -> str:
    """Show a probability; nothing is certain."""
    return tr("over 99 %") if share > 0.99 else tr("{percent} %", percent=number(100 * share, 0))
