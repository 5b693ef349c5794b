"""The words of a copy and of the terminal: headings, and the sentences that speak of a book as a whole.

A constant is marked with `later` and said through `tr` where it is shown. What is said of one finding is in
`finding_words.py`; how numbers are written, in `rules/support/wording.py`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from sheetcheck.model import Signal
from sheetcheck.reading.answers import ANSWER_HEADING, KEY_HEADING
from sheetcheck.words import later, number, tr, tr_count

GRAMS_PER = {"g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}  # exact by definition (NIST Handbook 44)
DECIMALS = {"g": 1, "kg": 3, "oz": 2, "lb": 3}

SIGNAL_WORDS = {
    Signal.DANGER: later("DANGER"),
    Signal.WARNING: later("WARNING"),
    Signal.CAUTION: later("CAUTION"),
    Signal.NOTICE: later("NOTICE"),
}
SIGNAL_MEANING = {
    Signal.DANGER: later("Free lye if the recipe is followed as written: do not make it"),
    Signal.WARNING: later("Hardly any margin, lye that cannot dissolve, or an unmistakable slip: put it right first"),
    Signal.CAUTION: later("Poor soap or an unusual amount: look before you weigh"),
    Signal.NOTICE: later("For your information"),
}

CAUTION_GROUPS = {
    "before": later("Before you begin"),
    "mixing": later("Mixing the lye"),
    "splash": later("Lye on the skin or in the eyes"),
    "swallowed": later("Lye swallowed"),
    "liquids": later("Milk, sugar and other liquids"),
    "soap": later("The soap"),
    "defer": later("Who has the last word"),
}

REMINDER = later(
    "Gloves and goggles on, a window open; lye into liquid, never liquid into lye. "
    "The copy has the rest of the cautions."
)

CAVEAT = later(
    "sheetcheck computes with published values for fats that vary by nature. It cannot see a mistake that leaves the "
    "numbers in balance, and it does not replace your own reckoning, local rules or qualified advice."
)


# --------------------------------------------------------------------------- results

CHANGED, CHANGED_LONG = later("changed since the audit"), later("Changed since the audit: run it again.")
UNKNOWN = "?"
FINE, FLAGGED, NOT_CHECKED = later("fine"), later("flagged"), later("not checked")
SIGNAL_NOT_CHECKED = later("{signal}, not checked")
LYE_HEADINGS = (later("Lye recomputed"), later("Lye recomputed ({unit})"))
LIQUID_HEADINGS = (later("Liquid recomputed"), later("Liquid recomputed ({unit})"))
SUPERFAT_HEADING, RANGE_HEADING = later("Superfat %"), later("Superfat range %")
CONCENTRATION_HEADING = later("Lye concentration %")
VERDICT_HEADING, REASON_HEADING = later("Verdict of {day}"), later("Reason")
LOW_TO_HIGH = later("{low} to {high}")
BOTH_ALKALIS = later("{naoh} NaOH, {koh} KOH")


def result_headings(day: str, unit: str | None = None) -> list[str]:
    """Head the results; a unit that all amounts have stands here and not in their cells."""
    lye, liquid = (
        tr(plain) if unit is None else tr(with_unit, unit=unit) for plain, with_unit in (LYE_HEADINGS, LIQUID_HEADINGS)
    )
    numbers = (tr(heading) for heading in (SUPERFAT_HEADING, RANGE_HEADING, CONCENTRATION_HEADING))
    return [lye, liquid, *numbers, tr(VERDICT_HEADING, day=day), tr(REASON_HEADING)]


def verdict_in_words(verdict: str, signal: str | None) -> str:
    """Say a verdict; a recipe that was not checked says so beside its signal word."""
    if signal in (Signal.DANGER, Signal.WARNING, Signal.CAUTION):
        word = signal_word(Signal(signal))
        return tr(SIGNAL_NOT_CHECKED, signal=word) if verdict == NOT_CHECKED else word
    return tr(verdict)


def signal_word(signal: Signal) -> str:
    """Say a signal word."""
    return tr(SIGNAL_WORDS[signal])


def range_text(low: float, high: float) -> str | None:
    """Return "2.1 to 6.0", or nothing."""
    if math.isnan(low) or math.isnan(high):
        return None
    return tr(LOW_TO_HIGH, low=number(low, 1), high=number(high, 1))


def both_alkalis(naoh: float, koh: float, unit: str) -> str:
    """Say what to weigh of two alkalis, both in a unit."""
    said = (f"{number(amount, DECIMALS[unit])} {unit}" for amount in (naoh, koh))
    return tr(BOTH_ALKALIS, **dict(zip(("naoh", "koh"), said, strict=True)))


# --------------------------------------------------------------------------- sheets

TITLES = {
    "summary": later("Recipe check"),
    "findings": later("What to look at, worst first"),
    "reading": later("How the book was read"),
    "values": later("Values used"),
    "workings": later("Workings"),
    "cautions": later("Working with lye"),
    "chart data": later("What the charts show"),
}
FINDINGS_HEADINGS = (
    later("Signal"),
    later("Recipe"),
    later("Cell"),
    later("Written"),
    later("Expected"),
    later("What is the matter"),
    later("Most likely cause"),
    later("Suggested"),
    ANSWER_HEADING,
    later("Rule"),
    KEY_HEADING,
)
HOW_TO_WORK = (
    later("Work down the list; a click on the cell leads there, and a click on a verdict leads back here."),
    later(
        "Correct your own book and run the check again; or correct this copy and take the marks off with "
        "`sheetcheck unmark`. No amount of yours was changed."
    ),
    later(
        "An answer that you choose here is read before a copy is replaced, and taken up by the next check: “on "
        "purpose” makes it a NOTICE as long as the amounts stay as they are (never free lye), “look later” stays, "
        "“corrected” is looked at again."
    ),
)
NOTHING_TO_DO = later("Nothing to look at.")
WHOLE_BOOK = later("the whole book")
FIRST_HEADINGS = (
    later("Do first"),
    later("Cell"),
    later("Recipe"),
    later("What is the matter"),
    later("Suggested"),
)
SIGNAL_HEADINGS = (later("Signal word"), later("Findings"), later("What it means here"), "", "")
AS_WRITTEN_HEADINGS = (
    later("Recipe"),
    later("Fats as written"),
    later("Lye as written"),
    later("Liquid as written"),
)
CAUTIONS_HEADING = later("Working with lye")
NOTHING_TO_DRAW = later("No chart: no superfat could be worked out.")
NOTHING_TO_PUT_RIGHT = later("Nothing to put right.")
WHAT_FINE_MEANS = later(
    "Fine: nothing at CAUTION or above was found. Not checked: the lye or the superfat could not be judged."
)
LIVE = later(
    "Superfat, concentration and recomputed amounts are live formulas: change an amount and see. The verdict is of "
    "this day and is not computed anew; it says so when an amount has changed."
)
NOT_LIVE = later(
    "With so many recipes the results are plain values, so that the copy opens quickly: run the check again after a "
    "change."
)
NO_CHARTS = later("With so many recipes the charts are left out: points would hide each other.")
SUMMARY_CAUTIONS = ("before", "mixing", "splash", "swallowed", "defer")  # groups, of which the first sentences stand
CAUTION_WITH_SOURCE = later("{caution} Source: {source}.")
CAUTION_OF_PRACTICE = later("{caution} (Common practice, no published source.)")
VALUES_SENTENCE = later(
    "Low, typical and high are saponification values in mg of potassium hydroxide per gram of fat, from the source at "
    "the right; “used” is what this check computed with. What a gram takes up is in grams of sodium hydroxide. The "
    "formulas of the results refer to these cells: change one and see what it does."
)
VALUES_HEADINGS = (
    later("Substance"),
    later("Kind"),
    later("Low"),
    later("Typical"),
    later("High"),
    later("Your own"),
    later("Used"),
    later("Fat"),
    later("Water"),
    later("A gram takes up"),
    later("up to so much less"),
    later("up to so much more"),
    later("Source"),
)
KINDS = {
    "fat": later("fat"),
    "alkali": later("alkali"),
    "liquid": later("liquid"),
    "acid": later("acid"),
    "additive": later("additive"),
    "refused": later("not for soap"),
}
NO_SETTING = later("none")
SETTINGS_HEADING = later("Settings in force")
SETTINGS_SHOWN = {  # by the keys of `places`
    "naoh per koh": later("Grams of NaOH that do the work of one gram of KOH"),
    "naoh purity": later("Purity of sodium hydroxide, where a recipe states none"),
    "koh purity": later("Purity of potassium hydroxide, where a recipe states none"),
    "usual superfat": later("Usual superfat of this book, %"),
    "target superfat": later("Superfat where neither recipe nor book has one, %"),
    "usual concentration": later("Usual lye concentration of this book, %"),
    "target concentration": later("Lye concentration where neither recipe nor book has a sound one, %"),
    "lye moisture": later("What if: moisture that dry lye has taken up, % (changes no verdict)"),
    "lye carbon dioxide": later("What if: carbon dioxide that dry lye has taken up, % (changes no verdict)"),
}
SLIP_WEIGHT = later("Weight of the slip “{slip}”, against the other slips")
OWN_VALUES_USED = later("Your own saponification values are used.")
OWN_VALUES_SHOWN = later("Your own saponification values are shown, not used.")
WORKINGS_SENTENCE = later(
    "Amounts that are written as text, in grams, as they were read. The formulas of the results take them from here. "
    "When the text changes, the grams are not known until the check is run again."
)
WORKINGS_HEADINGS = (later("Recipe"), later("Cell"), later("As written"), later("Grams"))
HEADINGS_SENTENCE = later("TRUE while the values, and the headings of the tables, are what they were in this check.")
READING_SENTENCE = later(
    "What was not read stands first. Then there is a block for each sheet: which column or line was taken for what, "
    "and where its unit comes from. If something is taken wrongly, `sheetcheck read BOOK --write-settings FILE` makes "
    "a file in which you can say so."
)
READING_HEADINGS = (later("Column or line"), later("Heading"), later("Read as"), later("Unit, and from where"))
NOT_READ_HEADINGS = (later("Not read"), later("Where"), later("What stands there"), later("Why"))
NOT_READ = later("not read")
ALL_READ = later("Every amount on the recipe sheets was read.")
UNIT_FROM = {
    "cell text": later("{unit} (in the cells)"),
    "number format": later("{unit} (number format)"),
    "unit column": later("{unit} (unit column)"),
    "heading": later("{unit} (heading)"),
    "sheet note": later("{unit} (a note on the sheet)"),
    "setting": later("{unit} (setting)"),
}
READ_AS = later("{role}: {substance}")
PASSED_OVER = {"ignore": later("passed over")}  # roles that are said in other words than their name
CHART_DATA_SENTENCE = later(
    "The numbers behind the charts, as of this check. A superfat beyond the ends of a chart is drawn at its edge, and "
    "its label says how much it is."
)
SUPERFAT_CHART = later("Superfat of every recipe, with the range of its fats")
LYE_CHART = later("Lye concentration and superfat, the odd ones named")
IN_ORDER = later("Recipes, in the order of the book")
CHART_FRAME = later("usual for soap")
SUPERFAT_AXIS, CONCENTRATION_AXIS = later("Superfat, %"), later("Lye concentration, %")
CHART_HEADINGS = (
    later("Recipe"),
    later("Number"),
    later("Range, down"),
    later("Range, up"),
    later("Lye concentration %"),
    later("Usual: number"),
    later("Usual: superfat"),
    later("Usual: concentration"),
    later("Usual: superfat"),
    later("Name at: number"),
    later("Name at: superfat"),
    later("Name at: concentration"),
    later("Name at: superfat"),
)
CHART_SUPERFAT = later("Superfat: {look}")
LABEL_WITH_VALUE = later("{recipe} {superfat} %")


def sentence_case(text: str) -> str:
    """Begin a text with a capital; the rest stays."""
    return f"{text[:1].upper()}{text[1:]}"


def checked_on(book: str, day: str, first: str) -> str:
    """Say which book was checked and when, and what was added; `first` is the first of the new sheets."""
    return tr(
        "{book}, checked on {day}. Colours, notes, results beside your recipes and the sheets from “{first}” on were "
        "added; nothing of yours was changed.",
        book=book,
        day=day,
        first=first,
    )


def more_on(sheet: str) -> str:
    """Say where the rest stands."""
    return tr("The rest of the cautions, with their sources: “{sheet}”.", sheet=sheet)


def amounts_read(counts: Mapping[str, int], reading: str) -> str:
    """Say how much was read; `reading` is the sheet with what was not."""
    read, all_ = counts["amount_cells_read"], counts["amount_cells"]
    said = {"read": number(read, 0), "all": number(all_, 0)}
    if read == all_:
        return tr("{read} of {all} amounts were read.", **said)
    return tr("{read} of {all} amounts were read; those not read stand on “{sheet}”.", **said, sheet=reading)


def recipes(count: int) -> str:
    """Say a number of recipes."""
    return tr_count("{count} recipe", "{count} recipes", count)


def and_more(names: Sequence[str], more: int) -> str:
    """Say names, and how many more there are."""
    shown = ", ".join(names)
    return tr("{names} and {more} more", names=shown, more=number(more, 0)) if more else shown


def verdict_sentence(counts: Mapping[str, int], in_danger: int) -> str:
    """Say in one sentence how the book stands; `in_danger` counts the recipes with free lye."""
    all_ = recipes(counts["recipes"])
    if counts["fine"] == counts["recipes"]:
        return tr("Nothing amiss in {recipes}.", recipes=all_)
    parts = [tr_count("{count} fine", "{count} fine", counts["fine"])]
    if counts["flagged"]:
        parts.append(tr_count("{count} to look at", "{count} to look at", counts["flagged"]))
    if counts["not_checked"]:
        parts.append(tr_count("{count} not checked", "{count} not checked", counts["not_checked"]))
    said = {"recipes": all_, "counts": ", ".join(parts)}
    if not in_danger:
        return tr("Of {recipes}: {counts}.", **said)
    return tr(
        "Of {recipes}: {counts}; {danger} in DANGER: do not make as written.", **said, danger=number(in_danger, 0)
    )


# --------------------------------------------------------------------------- what cells hold


def in_unit(grams: float, unit: str | None) -> float:
    """Grams in a mass unit of the sheet (grams where it has none)."""
    return grams / GRAMS_PER.get(unit or "g", 1.0)


def written(text: object, value: float) -> str:
    """Show what a cell holds: its text, else its number as a person would type it."""
    if isinstance(text, str):
        return text
    if math.isnan(value):
        return ""
    return f"{value:.10g}"


def do_not_weigh_yet(count: int) -> str:
    """Say that so many recipes could not be checked."""
    return tr_count(
        "{count} recipe could not be checked. Do not weigh from it yet: its row says why.",
        "{count} recipes could not be checked. Do not weigh from them yet: their rows say why.",
        count,
    )
