"""What a copy and the terminal say of one finding: in short as a pencil would, and what its cells should hold.

A suggestion always names the cell, the ingredient, what is written and what was probably meant, and how sure that is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from sheetcheck.model import Certainty, Change, Finding, Repair, RepairKind, Signal
from sheetcheck.reading.answers import YES
from sheetcheck.reading.units.units import to_grams
from sheetcheck.rules import title_of
from sheetcheck.rules.support.wording import joined, listed, mass, percent, plain
from sheetcheck.words import later, number, tr, tr_count

POUNDS_AND_OUNCES = "lb oz"
DIGITS = 4
A_GUESS = 0.5  # probability below which the best single reading is no more than that
LONGEST_IN_SHORT = 25  # words
OTHERS_SHOWN = 3
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
GUESS, IN_BRACKETS_A_GUESS = later("A guess"), later("a guess")


# --------------------------------------------------------------------------- what cells should hold


def repair_sentence(repair: Repair) -> str:
    """Say what the repair changes: "P10 Lye: 303 oz → 303 g"."""
    return "; ".join(_step(change) for change in to_be_made(repair.changes))


def to_be_made(changes: Sequence[Change]) -> list[Change]:
    """Return the changes without those that a formula makes by itself, once a cell that it reads is changed."""
    changed = {(change.sheet, change.cell) for change in changes}
    return [c for c in changes if not any((c.sheet, cell) in changed for cell in c.reads_from if cell != c.cell)]


def _step(change: Change) -> str:
    said = {"cell": where(change), "written": change.shown or tr("blank"), "meant": meant(change)}
    if not said["meant"]:
        return tr("{cell}: look at it", cell=said["cell"])
    return tr("{cell}: {written} → {meant}", **said)


def where(change: Change) -> str:
    """Name the cell of a change and what stands there: "P10 Lye"."""
    return f"{change.cell} {change.name}".rstrip()


def meant(change: Change) -> str:
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


def suggested_changes(finding: Finding) -> tuple[Change, ...]:
    """Return what is suggested; nothing where no single slip stands out."""
    return tuple(to_be_made(finding.repairs[0].changes)) if finding.certainty is not None else ()


def suggested(finding: Finding) -> str:
    """Say what is suggested and how sure it is: "L8 Lye: 128.4 oz → 128.4 g (sure)"."""
    if finding.certainty is None:
        return ""
    best = finding.repairs[0]
    said = tr("{repair} ({certainty})", repair=repair_sentence(best), certainty=in_brackets(finding))
    formula = through_a_formula(best.changes)
    return joined(f"{said}.", formula) if formula else said


def suggested_in_short(finding: Finding) -> str:
    """Say the first thing that is suggested, and the cells that change with it."""
    first, *others = to_be_made(finding.repairs[0].changes)
    step = _step(first)
    if first.reads_from:
        step = tr("{step}, by way of {cells}", step=step, cells=listed(first.reads_from))
    if others:
        step = tr("{step}; with it {cells}", step=step, cells=listed([change.cell for change in others]))
    return tr("{repair} ({certainty})", repair=step, certainty=in_brackets(finding))


def in_brackets(finding: Finding) -> str:
    """Say how sure a suggestion is, as it stands in brackets behind it."""
    if finding.certainty is None or finding.repairs[0].probability < A_GUESS:
        return tr(IN_BRACKETS_A_GUESS)
    return tr(IN_BRACKETS[finding.certainty])


def through_a_formula(changes: Iterable[Change]) -> str:
    """Say where to look in place of the cells that hold a formula; nothing where none does."""
    return joined(
        *(
            tr("{cell} holds a formula: look at {sources}, which it reads.", cell=c.cell, sources=listed(c.reads_from))
            for c in to_be_made(list(changes))
            if c.reads_from
        )
    )


def decided(finding: Finding) -> str:
    """Say what the maker has decided a cell should hold; nothing where she has not."""
    if not is_decided(finding):
        return ""
    return tr("Your decision: {repair}. It is not yet in your book.", repair=repair_sentence(finding.repairs[0]))


def decided_in_short(finding: Finding) -> str:
    """Say it where there is little room; that it is not yet in her book is said once, above."""
    return tr("Your decision: {repair}", repair=repair_sentence(finding.repairs[0])) if is_decided(finding) else ""


def is_decided(finding: Finding) -> bool:
    """Tell whether the maker has said yes to what is suggested; while it is found, it is not yet in her book."""
    return finding.answer == YES and finding.certainty is not None


def decided_sentence(findings: Iterable[Finding]) -> str:
    """Say how many findings wait for nothing but her pencil; nothing where none does."""
    count = sum(map(is_decided, findings))
    if not count:
        return ""
    return tr_count(
        "{count} of these you have decided: put it into your book, then check again.",
        "{count} of these you have decided: put them into your book, then check again.",
        count,
    )


class Companions:
    """Which findings fall away by themselves with the change that another one suggests."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self._changes: dict[tuple[str, str], tuple[Finding, Change]] = {}
        for finding in findings:
            if finding.certainty in ("sure", "likely"):
                for change in suggested_changes(finding):
                    self._changes.setdefault((change.sheet, change.cell), (finding, change))

    def goes_with(self, finding: Finding) -> str:
        """Say with what a finding goes: "Goes with L23: M23 Water: 5.02 oz → 11.25 oz."; nothing where with none."""
        found = self._changes.get((finding.sheet, finding.cell))
        if found is None or finding.certainty is not None or found[0].recipe != finding.recipe:
            return ""
        suggesting, change = found
        return tr("Goes with {cell}: {step}.", cell=suggesting.cell, step=_step(change))


# --------------------------------------------------------------------------- in short, and at length


def title(finding: Finding) -> str:
    """Name the problem in a few words."""
    return tr(title_of(finding.rule))


def in_short(finding: Finding) -> str:
    """Say it in at most 25 words, as a pencil beside the recipe would: the problem, the cell, what was meant."""
    problem = _problem(finding)
    if finding.certainty is not None:
        for suggestion in (suggested(finding), suggested_in_short(finding)):
            said = tr("{problem}: {suggestion}.", problem=problem, suggestion=suggestion.removesuffix("."))
            if len(said.split()) <= LONGEST_IN_SHORT and "\n" not in said:
                break
        return said
    if len(finding.about()) > 1:
        return _short_message(finding) or tr("{problem} (with others).", problem=problem)
    return _short_message(finding) or tr("{problem} ({cell}).", problem=problem, cell=finding.cell)


def _problem(finding: Finding) -> str:
    return tr("Too much lye, do not make it") if finding.signal is Signal.DANGER else title(finding)


def _short_message(finding: Finding) -> str:
    """Return what is the matter where that is short by itself."""
    return finding.message if len(finding.message.split()) <= LONGEST_IN_SHORT and "\n" not in finding.message else ""


def most_likely(finding: Finding) -> str:
    """Say what was probably meant, with how sure that is; empty where nothing stands out."""
    if not finding.repairs:
        return ""
    best = finding.repairs[0]
    if finding.certainty is None:
        repairs = "; ".join(repair_sentence(r) for r in finding.repairs[:OTHERS_SHOWN])
        return tr("Could be one of: {repairs}. Unusual as written; no single slip stands out.", repairs=repairs)
    said = {"certainty": _certainty(finding), "probability": probability(best.probability)}
    repair = repair_sentence(best)
    formula = through_a_formula(best.changes)
    if best.superfat_percent is None:
        return joined(tr("{certainty} ({probability}): {repair}.", **said, repair=repair), formula)
    superfat = percent(best.superfat_percent)
    sentence = tr(
        "{certainty} ({probability}): {repair}, which gives {superfat} superfat.",
        **said,
        repair=repair,
        superfat=superfat,
    )
    return joined(sentence, formula)


def cause(finding: Finding) -> str:
    """Say in the list of findings what most likely happened and how sure that is."""
    if not finding.repairs:
        return ""
    best = finding.repairs[0]
    if finding.certainty is None:
        could_be = "; ".join(repair_sentence(repair) for repair in finding.repairs[:OTHERS_SHOWN])
        return tr("No single slip stands out; could be one of: {repairs}.", repairs=could_be)
    said = {
        "certainty": _certainty(finding),
        "probability": probability(best.probability),
        "cause": tr(CAUSES[best.kind]),
    }
    if best.superfat_percent is None:
        return tr("{certainty} ({probability}): {cause}.", **said)
    superfat = percent(best.superfat_percent)
    return tr("{certainty} ({probability}): {cause}. As suggested, superfat is {superfat}.", **said, superfat=superfat)


def _certainty(finding: Finding) -> str:
    if finding.certainty is None or finding.repairs[0].probability < A_GUESS:
        return tr(GUESS)
    return tr(CERTAINTY[finding.certainty])


def probability(share: float) -> str:
    """Show a probability; nothing is certain."""
    return tr("over 99 %") if share > 0.99 else tr("{percent} %", percent=number(100 * share, 0))
