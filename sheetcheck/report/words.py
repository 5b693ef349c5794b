"""Numbers and sentences as they are shown to the maker: in her units, rounded as a kitchen scale shows them."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sheetcheck.model import Change, Finding, Repair, RepairKind, Signal
from sheetcheck.reading.answers import ANSWER_HEADING, KEY_HEADING

GRAMS_PER = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}  # exact by definition (NIST Handbook 44)
DECIMALS = {"g": 1, "kg": 3, "oz": 2, "lb": 3}

SIGNAL_MEANING = {
    Signal.DANGER: "free lye if the recipe is followed as written: do not make it",
    Signal.WARNING: "hardly any margin, lye that cannot dissolve, or an unmistakable slip: put it right first",
    Signal.CAUTION: "poor soap or an unusual amount: look before you weigh",
    Signal.NOTICE: "for your information",
}

CAUTION_GROUPS = {
    "before": "Before you begin",
    "mixing": "Mixing the lye",
    "splash": "Lye on the skin or in the eyes",
    "swallowed": "Lye swallowed",
    "liquids": "Milk, sugar and other liquids",
    "soap": "The soap",
    "defer": "Who has the last word",
}

REMINDER = (
    "Gloves and goggles on, a window open; lye into liquid, never liquid into lye. "
    "The copy has the rest of the cautions."
)

CAVEAT = (
    "sheetcheck computes with published values for fats that vary by nature. It cannot see a mistake that leaves the "
    "numbers in balance, and it does not replace your own reckoning, local rules or qualified advice."
)


# --------------------------------------------------------------------------- results

CHANGED, CHANGED_LONG = "changed since the audit", "Changed since the audit: run it again."
UNKNOWN = "?"
RESULT_HEADINGS = (
    "Lye recomputed",
    "Liquid recomputed",
    "Superfat %",
    "Superfat range %",
    "Lye concentration %",
    "Verdict",
    "Reason",
)


def verdict_heading(on: str) -> str:
    """Head the column of verdicts with the day on which they were given."""
    return f"Verdict of {on}"


# --------------------------------------------------------------------------- sheets

TITLES = {
    "summary": "Recipe check",
    "findings": "What to look at, worst first",
    "results": "Results",
    "reading": "How the book was read",
    "values": "Values used",
    "workings": "Workings",
    "cautions": "Working with lye",
    "chart data": "What the charts show",
}
FINDINGS_HEADINGS = (
    "Signal",
    "Recipe",
    "Cell",
    "Written",
    "Expected",
    "What is the matter",
    "Most likely cause",
    "Suggested",
    ANSWER_HEADING,
    "Rule",
    KEY_HEADING,
)
HOW_TO_WORK = (
    "Work down the list; a click on the cell leads there. Correct your own book and run the check again; or correct "
    "this copy and take the marks off with `sheetcheck unmark`. An answer that you choose here is taken up by the next "
    "check: “on purpose” makes it a NOTICE as long as the amounts stay as they are (never free lye), “look later” "
    "stays, “corrected” is looked at again. No amount of yours was changed."
)
NOTHING_TO_DO = "Nothing to look at."
NO_CAUSE = "no single slip stands out"
CAUSES: Mapping[RepairKind, str] = {
    "unit": "the right number in the wrong unit",
    "decimal": "the decimal point, or a zero, in the wrong place",
    "digit": "one slip of a digit",
    "swap": "amounts in each other's place",
    "stale": "left from before the recipe was changed",
    "alkali": "the amount for the other alkali",
    "substance": "another fat than is written",
    "copied": "the amount of the recipe beside it",
    "other": "a slip",
}
FIRST_HEADINGS = ("Do first", "Cell", "Recipe", "What is the matter", "Suggested")
SIGNAL_HEADINGS = ("Signal word", "Findings", "What it means here", "Recipes", "")
AS_WRITTEN_HEADINGS = ("Recipe", "Fats as written", "Lye as written", "Liquid as written")
CAUTIONS_HEADING = "Working with lye"
NOTHING_TO_PUT_RIGHT = "Nothing to put right."
LIVE = (
    "Superfat, concentration and recomputed amounts are live formulas: change an amount and see. The verdict is of "
    "this day and is not computed anew; it says so when an amount has changed."
)
NOT_LIVE = (
    "With so many recipes the results are plain values, so that the copy opens quickly: run the check again after a "
    "change."
)
NO_CHARTS = "With so many recipes the charts are left out: points would hide each other."
SUMMARY_CAUTIONS = ("before", "mixing", "splash", "swallowed", "defer")  # groups, of which the first sentences stand
VALUES_SENTENCE = (
    "Low, typical and high are saponification values in mg of potassium hydroxide per gram of fat, from the source at "
    "the right; “used” is what this check computed with. What a gram takes up is in grams of sodium hydroxide. The "
    "formulas of the results refer to these cells: change one and see what it does."
)
VALUES_HEADINGS = (
    "Substance",
    "Kind",
    "Low",
    "Typical",
    "High",
    "Your own",
    "Used",
    "Fat",
    "Water",
    "A gram takes up",
    "up to so much less",
    "up to so much more",
    "Source",
)
SETTINGS_HEADING = "Settings in force"
WORKINGS_SENTENCE = (
    "Amounts that are written as text, in grams, as they were read. The formulas of the results take them from here. "
    "When the text changes, the grams are not known until the check is run again."
)
WORKINGS_HEADINGS = ("Recipe", "Cell", "As written", "Grams")
HEADINGS_SENTENCE = "TRUE while the values, and the headings of the tables, are what they were in this check."
READING_SENTENCE = (
    "One block for each sheet: what was not read stands first, then which column or line was taken for what, and where "
    "its unit comes from. If something is taken wrongly, `sheetcheck read BOOK --write-settings` makes a file in which "
    "you can say so."
)
READING_HEADINGS = ("Column or line", "Heading", "Read as", "Unit, and from where")
NOT_READ_HEADINGS = ("Not read", "Where", "What stands there", "Why")
ALL_READ = "Every amount on the recipe sheets was read."
CHART_DATA_SENTENCE = (
    "The numbers behind the charts, as of this check. A superfat beyond the ends of a chart is drawn at its edge, and "
    "its label says how much it is."
)
SUPERFAT_CHART = "Superfat of every recipe, with the range of its fats"
LYE_CHART = "Lye concentration and superfat, the odd ones named"
IN_ORDER = "Recipes, in the order of the book"
CHART_FRAME = "usual for soap"
SUPERFAT_AXIS, CONCENTRATION_AXIS = "Superfat, %", "Lye concentration, %"
CHART_HEADINGS = (
    "Recipe",
    "Number",
    "Range, down",
    "Range, up",
    "Lye concentration %",
    "Usual: number",
    "Usual: superfat",
    "Usual: concentration",
    "Usual: superfat",
    "Name at: number",
    "Name at: superfat",
    "Name at: concentration",
    "Name at: superfat",
)
CHART_WORDS: Mapping[str, str] = {
    "fine": "fine",
    "NOTICE": "NOTICE",
    "CAUTION": "CAUTION",
    "WARNING": "WARNING",
    "DANGER": "DANGER",
}


def sentence_case(text: str) -> str:
    """Begin a text with a capital; the rest stays."""
    return f"{text[:1].upper()}{text[1:]}"


def checked_on(book: str, day: str) -> str:
    """Say which book was checked, and when."""
    return f"{book}, checked on {day}. The sheets whose names begin with “Check” were added; nothing else was changed."


def more_on(sheet: str) -> str:
    """Say where the rest stands."""
    return f"The rest of the cautions, with their sources: “{sheet}”."


def recipes_in_words(counts: Mapping[str, int], reading: str) -> tuple[str, str, str, str]:
    """Say how the recipes stand, in one sentence for each verdict, and how much was read."""
    unread = counts["amount_cells"] - counts["amount_cells_read"]
    rest = f"; those not read stand on “{reading}”" if unread else ""
    return (
        f"{counts['fine']} fine: nothing at CAUTION or above",
        f"{counts['flagged']} to look at: a finding at CAUTION or above",
        f"{counts['not_checked']} not checked: lye or superfat could not be judged",
        f"{counts['amount_cells_read']} of {counts['amount_cells']} amounts were read{rest}",
    )


def own_values_in_use(*, in_use: bool) -> str:
    """Say whether the maker's own saponification values are computed with."""
    return f"Your own saponification values are {'used' if in_use else 'shown, not used'}."


def settings_shown() -> Mapping[str, str]:
    """Name each setting on the values sheet, by its key in `places`."""
    return {
        "naoh per koh": "Grams of NaOH that do the work of one gram of KOH",
        "naoh purity": "Purity of sodium hydroxide, where a recipe states none",
        "koh purity": "Purity of potassium hydroxide, where a recipe states none",
        "usual superfat": "Usual superfat of this book, %",
        "target superfat": "Superfat where neither recipe nor book has one, %",
        "usual concentration": "Usual lye concentration of this book, %",
        "target concentration": "Lye concentration where neither recipe nor book has a sound one, %",
    }


# --------------------------------------------------------------------------- numbers


def in_unit(grams: float, unit: str | None) -> float:
    """Grams in a mass unit of the sheet (grams where it has none)."""
    return grams / GRAMS_PER.get(unit or "g", 1.0)


def mass(grams: float | None, unit: str | None) -> str:
    """Show a mass in the row's own unit: "10.86 oz", "307.9 g"; "?" where unknown."""
    if grams is None or math.isnan(grams):
        return "?"
    unit = unit if unit in GRAMS_PER else "g"
    return f"{plain(in_unit(grams, unit), DECIMALS[unit])} {unit}"


def plain(value: float, decimals: int) -> str:
    """Show a number with at most so many decimals and no trailing zeros."""
    text = f"{value:,.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def percent(value: float | None) -> str:
    """Show a percentage with one decimal; beyond ±1000 the figure only says "absurd"."""
    if value is None or math.isnan(value):
        return "?"
    return f"{value:,.0f} %" if abs(value) >= 100 else f"{value:.1f} %"


def written(text: object, value: float) -> str:
    """Show what a cell holds: its text, else its number as a person would type it."""
    if isinstance(text, str):
        return text
    if math.isnan(value):
        return ""
    return f"{value:.10g}"


def verdict_sentence(counts: Mapping[str, int], in_danger: int) -> str:
    """Say in one sentence how the book stands; `in_danger` counts the recipes with free lye."""
    recipes = f"{counts['recipes']} recipe{'s' if counts['recipes'] != 1 else ''}"
    if counts["fine"] == counts["recipes"]:
        return f"Nothing amiss in {recipes}."
    parts = [f"{counts['fine']} fine"]
    if counts["flagged"]:
        parts.append(f"{counts['flagged']} to look at")
    if counts["not_checked"]:
        parts.append(f"{counts['not_checked']} not checked")
    danger = f"; {in_danger} in DANGER: do not make as written" if in_danger else ""
    return f"Of {recipes}: {', '.join(parts)}{danger}."


def repair_sentence(repair: Repair) -> str:
    """Say what the repair changes: "P10: 303 oz → 303 g"."""
    steps = []
    for change in repair.changes:
        if change.substance is not None:
            steps.append(f"{change.cell}: {change.written} → {change.substance}")
        elif change.value is not None:
            steps.append(f"{change.cell}: {change.written} → {plain(change.value, 4)} {change.unit or ''}".rstrip())
        else:
            steps.append(f"{change.cell}: look at it")
    return "; ".join(steps)


def most_likely(finding: Finding) -> str:
    """Say what was probably meant, with how sure that is; empty where nothing stands out."""
    if not finding.repairs:
        return ""
    best = finding.repairs[0]
    if finding.certainty is None:
        cells = "; ".join(repair_sentence(r) for r in finding.repairs[:3])
        return f"Could be one of: {cells}. Unusual as written; no single slip stands out."
    left = "" if best.superfat_percent is None else f", which gives {percent(best.superfat_percent)} superfat"
    return f"{finding.certainty.capitalize()} ({probability(best.probability)}): {repair_sentence(best)}{left}."


def in_short(finding: Finding) -> str:
    """Say it in a few words for the row beside the recipe: the problem, the cell, and what was probably meant."""
    problem = finding.rule.replace("-", " ").capitalize()
    if len(finding.about()) > 1:
        return f"{problem} (with others)."
    if finding.certainty is None:
        return f"{problem} ({finding.cell})."
    return f"{problem}: {repair_sentence(finding.repairs[0])} ({finding.certainty})."


def suggested(finding: Finding) -> str:
    """Say what the cells should hold, where one slip is named: "128.4 g"."""
    if finding.certainty is None:
        return ""
    changes = finding.repairs[0].changes
    shown = [_suggested(change) for change in changes]
    if len(changes) == 1:
        return shown[0]
    return "; ".join(f"{change.cell}: {text}" for change, text in zip(changes, shown, strict=True))


def _suggested(change: Change) -> str:
    if change.substance is not None:
        return change.substance
    return "" if change.value is None else f"{plain(change.value, 4)} {change.unit or ''}".rstrip()


def cause(finding: Finding) -> str:
    """Say in the list of findings what most likely happened and how sure that is."""
    if not finding.repairs:
        return ""
    best = finding.repairs[0]
    if finding.certainty is None:
        could_be = " or ".join(repair_sentence(repair) for repair in finding.repairs[:3])
        return f"{NO_CAUSE.capitalize()}; could be {could_be}."
    left = "" if best.superfat_percent is None else f" As suggested, superfat is {percent(best.superfat_percent)}."
    return f"{finding.certainty.capitalize()} ({probability(best.probability)}): {CAUSES[best.kind]}.{left}"


def probability(share: float) -> str:
    """Show a probability; nothing is certain."""
    return "over 99 %" if share > 0.99 else f"{100 * share:.0f} %"
