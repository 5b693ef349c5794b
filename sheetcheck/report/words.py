"""The words of a copy and of the terminal: headings, and the sentences that speak of a book as a whole.

A constant is marked with `later` and said through `tr` where it is shown. What is said of one finding is in
`finding_words.py`; how numbers are written, in `rules/support/wording.py`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from sheetcheck.model import Question, Signal, SinceLast
from sheetcheck.reading.answers import ANSWER_HEADING, KEY_HEADING, LISTED_HEADING, ROLES, WORD_HEADING
from sheetcheck.reference import substances
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
    "breathed": later("Lye breathed in"),
    "spill": later("Lye spilled"),
    "liquids": later("Milk, sugar and other liquids"),
    "soap": later("The soap"),
    "defer": later("Who has the last word"),
}

REMINDER = later(
    "Gloves and goggles on, a window open; lye into liquid, never liquid into lye. "
    "The checked copy has the rest of the cautions."
)

CAVEAT = later(
    "sheetcheck computes with published values for fats that vary by nature. It cannot see a mistake that leaves the "
    "numbers in balance, and it does not replace your own reckoning, local rules or qualified advice."
)


# --------------------------------------------------------------------------- results

CHANGED, CHANGED_LONG = later("changed since this check"), later("Changed since this check: check the book again.")
UNKNOWN = "?"
FINE, FLAGGED, NOT_CHECKED = later("fine"), later("flagged"), later("not checked")
LITTLE_MARGIN = later("fine, little margin")
SIGNAL_NOT_CHECKED = later("{signal}, not checked")
SHAPES = {  # a shape for each word, so that grey print and every eye can tell them apart
    "DANGER": "◆",
    "WARNING": "▲",
    "CAUTION": "■",
    "NOTICE": "●",
    NOT_CHECKED: "○",
}
NAME_HEADING = later("Recipe")
VERDICT_HEADING, REASON_HEADING = later("Verdict of {day}"), later("Why")
SUPERFAT_HEADING, RANGE_HEADING = later("Superfat, %"), later("Its range, %")
AIMED_AT_HEADING = later("Aim at, %")
LYE_HEADINGS = (later("Lye for that"), later("Lye for that ({unit})"))
LIQUID_HEADINGS = (later("Liquid for that"), later("Liquid for that ({unit})"))
CONCENTRATION_HEADING = later("Lye strength, %")
WHICH_LYE_HEADING, PURE_HEADINGS = (
    later("That is lye of"),
    (later("Pure lye in it"), later("Pure lye in it ({unit})")),
)
NO_RANGE_BELOW = -100.0  # percent of superfat: twice the lye that the fats take up
LOW_TO_HIGH = later("{low} to {high}")
BOTH_ALKALIS = later("{naoh} NaOH, {koh} KOH")


def result_headings(day: str, unit: str | None = None, *, solution: bool = False) -> list[str]:
    """Head the results; a unit that all amounts have stands here and not in their cells.

    `solution` is for recipes whose lye is weighed as a solution, or of a stated purity.
    """

    def of_amounts(headings: tuple[str, str]) -> str:
        return tr(headings[0]) if unit is None else tr(headings[1], unit=unit)

    return [
        tr(NAME_HEADING),
        tr(VERDICT_HEADING, day=day),
        tr(REASON_HEADING),
        tr(SUPERFAT_HEADING),
        tr(RANGE_HEADING),
        tr(AIMED_AT_HEADING),
        of_amounts(LYE_HEADINGS),
        of_amounts(LIQUID_HEADINGS),
        tr(CONCENTRATION_HEADING),
        *((tr(WHICH_LYE_HEADING), of_amounts(PURE_HEADINGS)) if solution else ()),
    ]


def verdict_in_words(verdict: str, signal: str | None, *, little_margin: bool = False) -> str:
    """Say a verdict, with its shape; a recipe that was not checked says so beside its signal word."""
    if signal in (Signal.DANGER, Signal.WARNING, Signal.CAUTION):
        word = signal_word(Signal(signal))
        return f"{SHAPES[signal]} {tr(SIGNAL_NOT_CHECKED, signal=word) if verdict == NOT_CHECKED else word}"
    if verdict == NOT_CHECKED:
        return f"{SHAPES[verdict]} {tr(verdict)}"
    return tr(LITTLE_MARGIN) if little_margin and verdict == FINE else tr(verdict)


def signal_with_shape(signal: Signal) -> str:
    """Say a signal word behind its shape."""
    return f"{SHAPES[signal.value]} {signal_word(signal)}"


def signal_word(signal: Signal) -> str:
    """Say a signal word."""
    return tr(SIGNAL_WORDS[signal])


def range_text(low: float, high: float) -> str | None:
    """Return "2.1 to 6.0", or nothing: also where there is so much lye that how fats vary is of no use."""
    if math.isnan(low) or math.isnan(high) or high < NO_RANGE_BELOW:
        return None
    return tr(LOW_TO_HIGH, low=number(low, 1), high=number(high, 1))


def both_alkalis(naoh: float, koh: float, unit: str) -> str:
    """Say what to weigh of two alkalis, both in a unit."""
    said = (f"{number(amount, DECIMALS[unit])} {unit}" for amount in (naoh, koh))
    return tr(BOTH_ALKALIS, **dict(zip(("naoh", "koh"), said, strict=True)))


# --------------------------------------------------------------------------- sheets

TITLES = {
    "summary": later("Recipe check"),
    "findings": later("What to answer and to look at, worst first"),
    "reading": later("How the book was read"),
    "values": later("Values used"),
    "workings": later("Workings"),
    "cautions": later("Working with lye"),
    "strip": later("All recipes at a glance"),
    "strip data": later("What the strip shows"),
}
FINDINGS_HEADINGS = (
    later("Signal"),
    later("Recipe"),
    later("Cell"),
    later("Written there"),
    later("What is the matter"),
    later("Suggested, or expected there"),
    ANSWER_HEADING,
    later("In full"),
    later("Rule"),
    KEY_HEADING,
    WORD_HEADING,
    LISTED_HEADING,
)
QUESTION = later("QUESTION")
HOW_TO_WORK = (
    later("Work down the list; a click on the cell leads there, and a click on a verdict leads back here."),
    later(
        "Choose an answer, save this file, and check your book again as you did this time. “Yes, that was it”: the "
        "next copy keeps it beside yours as your decision. “On purpose”: it stays as a remark (never for free lye). "
        "“Look later”: it stays. “Corrected”: it is looked at afresh. To a question, choose or write what the word "
        "means."
    ),
    later(
        "Correct your own book; or correct this copy and take the marks off with `sheetcheck unmark`. No amount of "
        "yours was changed."
    ),
)
NOTHING_TO_DO = later("Nothing to look at.")
WHOLE_BOOK = later("the whole book")
ASK_HEADINGS = (later("Answer first"), later("Cell"), later("Recipe"), later("Question"), "", "", "")
FIRST_HEADINGS = (
    later("Worst first"),
    later("Cell"),
    later("Recipe"),
    later("In short"),
    later("Superfat, %"),
    later("Lye on your sheet"),
    later("These fats can take"),
)
SIGNAL_HEADINGS = (later("Signal word"), later("How many"), later("What it means here"), "", "", "", "")
AS_WRITTEN_HEADINGS = (
    later("Fats on your sheet"),
    later("Lye on your sheet"),
    later("Liquid on your sheet"),
)
CAUTIONS_HEADING = later("Working with lye")
NOTHING_TO_PUT_RIGHT = later("Nothing to put right.")
WHAT_FINE_MEANS = later(
    "Fine: nothing at CAUTION or above was found. Little margin: as far as the fats vary by nature, hardly any fat may "
    "be left over. Not checked: the lye or the superfat could not be judged."
)
LIVE = later(
    "Beside your recipes, and on “{results}”, superfat, lye and liquid are worked out at once when you change a plain "
    "number. Amounts typed with their unit (“5.5 oz”) turn to “?”: check again. The verdict is of this day; where "
    "anything was changed it says so."
)
NOT_LIVE = later(
    "With so many recipes the results are plain values, so that the copy opens quickly: check again after a change."
)
SUMMARY_CAUTIONS = ("before", "mixing", "splash", "swallowed", "defer")  # groups, of which the first sentences stand
CAUTION_WITH_SOURCE = later("{caution} Source: {source}.")
CAUTION_OF_PRACTICE = later("{caution} (Usual practice.)")
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
    later("Lye (NaOH) for 1 g of it"),
    later("as little less as"),
    later("as much more as"),
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
    "For the program: amounts that are written as text, in grams, as they were read. When the text changes, the grams "
    "are not known until you check again."
)
WORKINGS_HEADINGS = (later("Recipe"), later("Cell"), later("As written"), later("Grams"))
HEADINGS_SENTENCE = later("For the program; leave as it is.")
READING_SENTENCE = later(
    "What was not read stands first. Then there is a block for each sheet: which column or line was taken for what, "
    "and where its unit comes from. If something is taken wrongly, `sheetcheck read BOOK --write-settings FILE` makes "
    "a file in which you can say so."
)
ASSUMED_HEADINGS = (
    later("Word"),
    later("Where"),
    later("Taken to mean"),
    later("Why"),
    ANSWER_HEADING,
    KEY_HEADING,
    WORD_HEADING,
)
ASSUMED_SENTENCE = later("Right? Leave it. Wrong? Choose or write what it means, save this file, and check again.")
AS_YOU_ANSWERED = later("as you answered")
NUMBERS_HEADINGS = (
    later("Sheet"),
    later("Numbers on it"),
    later("Used in a recipe"),
    later("Known for something else"),
)
NOT_READ_OF_NUMBERS = later("{count} not read")
ALL_KNOWN = later("every number is accounted for")
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
    """Say how the book stands in parts that add up, worst first; `in_danger` counts the recipes with free lye."""
    all_ = recipes(counts["recipes"])
    if counts["fine"] == counts["recipes"] and counts.get("incomplete"):
        return tr("Nothing amiss in {recipes}, but not all of the book was read.", recipes=all_)
    if counts["fine"] == counts["recipes"]:
        return tr("Nothing amiss in {recipes}.", recipes=all_)
    if counts["not_checked"] == counts["recipes"] and not in_danger:
        return tr_count(
            "This recipe could not be checked. Do not weigh from it yet.",
            "Not one of these {count} recipes could be checked. Do not weigh from them yet.",
            counts["recipes"],
        )
    flagged, unchecked, fine = (counts[k] for k in ("flagged_below_danger", "not_checked_below_danger", "fine"))
    parts = [
        (flagged, tr_count("{count} more to look at", "{count} more to look at", flagged))
        if in_danger
        else (flagged, tr_count("{count} to look at", "{count} to look at", flagged)),
        (unchecked, tr_count("{count} not checked", "{count} not checked", unchecked)),
        (fine, tr_count("{count} fine", "{count} fine", fine)),
    ]
    said = ", ".join(part for count, part in parts if count)
    if not in_danger:
        return tr("Of {recipes}: {counts}.", recipes=all_, counts=said)
    danger = tr_count(
        "{count} of {recipes} holds too much lye: DO NOT MAKE IT.",
        "{count} of {recipes} hold too much lye: DO NOT MAKE THEM.",
        in_danger,
        recipes=all_,
    )
    return tr("{danger} {counts}.", danger=danger, counts=said) if said else danger


def since_last_sentence(since: SinceLast | None) -> str:
    """Say what became of what the last check found; nothing where there was none."""
    if since is None:
        return ""
    return tr(
        "Since last time: {put_right} put right, {new} new, {as_before} as before.",
        put_right=number(since.put_right, 0),
        new=number(since.new, 0),
        as_before=number(since.as_before, 0),
    )


def questions_sentence(questions: Sequence[Question]) -> str:
    """Say how many questions there are and how many recipes wait for an answer; nothing where there are none."""
    if not questions:
        return ""
    waiting = len({recipe for question in questions for recipe in question.recipes})
    asked = tr_count("{count} question first", "{count} questions first", len(questions))
    wait = tr_count("{count} recipe waits for the answer", "{count} recipes wait for the answer", waiting)
    return tr("{questions}: {recipes}.", questions=asked, recipes=wait)


def meaning(said: str) -> str:
    """Say what a word may mean, in the maker's language: a substance, a role, a unit."""
    said = ROLES[0] if said == "total" else said  # as the reader says it in short
    return tr(substances()[said].name) if said in substances() else tr(said)


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
