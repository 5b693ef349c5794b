"""The sheets added at the end of a copy: summary, findings, results, how it was read, values used, cautions."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from sheetcheck.model import Audit, CellContent, Finding, Link, NewSheet, Signal, Styled, address
from sheetcheck.reference import cautions, sources, substances
from sheetcheck.report.cells import count_of, percent_cell, range_text, verdict_cell
from sheetcheck.report.fitting import heights
from sheetcheck.report.json_report import in_danger, summary
from sheetcheck.report.words import CAUTION_GROUPS, CAVEAT, SIGNAL_MEANING, mass, most_likely, verdict_sentence

if TYPE_CHECKING:
    import pandas as pd

SUMMARY, FINDINGS, RESULTS = "Check summary", "Check findings", "Check results"
READING, VALUES, CAUTIONS = "Check reading", "Check values", "Check cautions"
FIRST_THINGS = 5
FINDINGS_WIDTHS = (12, 22, 20, 16, 30, 64, 48, 24)
RESULT_WIDTHS = (26, 13, 14, 15, 15, 17, 11, 16, 13, 22, 80)
READING_WIDTHS = (20, 34, 38, 64)
VALUES_WIDTHS = (28, 12, 9, 9, 9, 15, 10, 90)
CAUTIONS_WIDTHS = (100, 46)
TITLE_HEIGHT = {1: 26.0}

Row = list[CellContent]


def new_sheets(audit: Audit) -> list[NewSheet]:
    """Return the sheets for every copy, in the order in which they are read."""
    return [summary_sheet(audit), findings_sheet(audit), reading_sheet(audit), values_sheet(audit), cautions_sheet()]


# --------------------------------------------------------------------------- summary


def summary_sheet(audit: Audit) -> NewSheet:
    """Return the page to read first."""
    counts = summary(audit)
    rows: list[Row] = [
        [Styled("Recipe check", "title")],
        [Styled(verdict_sentence(counts, in_danger(audit)), "strong")],
        [],
        [Styled("Signal word", "heading"), Styled("Findings", "heading"), Styled("What it means here", "heading")],
    ]
    rows.extend(
        [Styled(s.value, s.value), Styled(counts[s.value], "number"), Styled(SIGNAL_MEANING[s], "wrap")] for s in Signal
    )
    rows += [
        [],
        [Styled("Recipes", "heading"), Styled("How many", "heading"), Styled("", "heading")],
        [Styled("fine", "fine"), Styled(counts["fine"], "number"), "nothing at CAUTION or above"],
        [Styled("flagged", "text"), Styled(counts["flagged"], "number"), "a finding at CAUTION or above"],
        [
            Styled("not checked", "not checked"),
            Styled(counts["not_checked"], "number"),
            "lye or superfat could not be judged",
        ],
        [],
        [
            Styled("Amounts read", "text"),
            Styled(counts["amount_cells_read"], "number"),
            f"of {counts['amount_cells']} amount cells; those not read are listed on “{READING}”",
        ],
        [],
        *_first_things(audit),
        [],
        *_what_next(),
        [],
        [Styled(CAVEAT, "wrap")],
    ]
    rows.extend([Styled(notice, "wrap")] for notice in audit.book.notices)
    widths = (18, 24, 88)
    across = {i: float(sum(widths)) for i, row in enumerate(rows, 1) if len(row) == 1}
    return NewSheet(
        SUMMARY,
        rows,
        widths=widths,
        merges=tuple(f"A{i}:C{i}" for i in across),
        heights=TITLE_HEIGHT | heights(rows, widths, across),
        one_page=True,
        landscape=True,
    )


def _first_things(audit: Audit) -> list[Row]:
    worst = sorted((f for f in audit.findings if f.signal is not Signal.NOTICE), key=lambda f: -f.signal.rank)
    if not worst:
        return [[Styled("Nothing to put right.", "strong")]]
    rows: list[Row] = [[Styled("Do first", "heading"), Styled("Where", "heading"), Styled("What", "heading")]]
    rows += [
        [Styled(f.signal.value, f.signal.value), Link(f.sheet, f.cell, _who(f, audit)), Styled(f.message, "wrap")]
        for f in worst[:FIRST_THINGS]
    ]
    return rows


def _what_next() -> list[Row]:
    return [
        [
            Styled(
                f"Work down “{FINDINGS}”. Correct your own book and run the check again, or correct this copy and take "
                "the marks off with `sheetcheck unmark`. No amount of yours was changed.",
                "wrap",
            )
        ]
    ]


def _who(finding: Finding, audit: Audit) -> str:
    recipes = finding.about()
    if len(recipes) == 1 and recipes[0] in audit.recipes.index:
        return f"{audit.recipes.at[recipes[0], 'name']!s}, {finding.cell}"
    return f"{len(recipes)} recipes, {finding.cell}" if recipes else f"{finding.sheet}, {finding.cell}"


# --------------------------------------------------------------------------- findings


def findings_sheet(audit: Audit) -> NewSheet:
    """Return the list to work down, worst first."""
    heading = ("Signal", "Recipe", "Cell", "Written", "Expected", "What is the matter", "Most likely", "Rule")
    rows: list[Row] = [[Styled(h, "heading") for h in heading]]
    rows += [
        [
            Styled(f.signal.value, f.signal.value),
            Styled(_names(f, audit), "wrap"),
            Link(f.sheet, f.cell, f"{f.sheet}!{f.cell}"),
            Styled(f.written, "wrap"),
            Styled(f.expected, "wrap"),
            Styled(f.message, "wrap"),
            Styled(most_likely(f), "wrap"),
            Styled(f.rule, "muted"),
        ]
        for f in sorted(audit.findings, key=lambda f: -f.signal.rank)
    ]
    if len(rows) == 1:
        rows.append([Styled("", "text"), Styled("No findings.", "text")])
    return NewSheet(
        FINDINGS,
        rows,
        widths=FINDINGS_WIDTHS,
        heights=heights(rows, FINDINGS_WIDTHS),
        freeze="A2",
        filter=f"A1:H{len(rows)}",
        landscape=True,
        repeat_rows=(1, 1),
    )


def _names(finding: Finding, audit: Audit) -> str:
    recipes = finding.about()
    names = [str(audit.recipes.at[r, "name"]) for r in recipes[:6] if r in audit.recipes.index]
    more = len(recipes) - len(names)
    return ", ".join(names) + (f" and {more} more" if more > 0 else "")


# --------------------------------------------------------------------------- results


def result_sheet(recipes: pd.DataFrame, reasons: Mapping[int, str]) -> NewSheet:
    """Return the results of recipes that are not rows of a table: cards, sheets, columns."""
    heading = (
        "Recipe",
        "Fats",
        "Lye as written",
        "Lye, recomputed",
        "Liquid as written",
        "Liquid, recomputed",
        "Superfat %",
        "Superfat range %",
        "Lye concentration %",
        "Verdict",
        "Reason",
    )
    rows: list[Row] = [[Styled(h, "heading") for h in heading]]
    for number, r in zip(recipes.index, recipes.to_dict("records"), strict=True):
        unit = r["unit"] if isinstance(r["unit"], str) else None
        rows.append(
            [
                Link(r["sheet"], address(r["row"], r["column"]), str(r["name"])),
                Styled(mass(r["fat_g"], unit), "text"),
                Styled(mass(r["alkali_g"], unit), "text"),
                Styled(mass(r["alkali_recomputed_g"], unit), "text"),
                Styled(mass(r["liquid_g"], unit), "text"),
                Styled(mass(r["liquid_recomputed_g"], unit), "text"),
                percent_cell(r["superfat_typical"]),
                range_text(r["superfat_low"], r["superfat_high"]),
                percent_cell(r["lye_concentration"]),
                verdict_cell(r["verdict"], r["signal"]),
                Styled(reasons.get(int(number), ""), "wrap"),
            ]
        )
    return NewSheet(
        RESULTS,
        rows,
        widths=RESULT_WIDTHS,
        heights=heights(rows, RESULT_WIDTHS),
        freeze="B2",
        filter=f"A1:K{len(rows)}",
        landscape=True,
        repeat_rows=(1, 1),
    )


# --------------------------------------------------------------------------- how it was read


def reading_sheet(audit: Audit) -> NewSheet:
    """Return how each sheet was understood, what was not understood first."""
    rows: list[Row] = [[Styled("How the book was read", "title")], []]
    merges = []
    if audit.book.not_understood:
        rows.append([Styled(h, "heading") for h in ("Not read", "Where", "What stands there", "Why")])
        rows += [
            [
                Styled("not read", "not checked"),
                Link(n.sheet, n.cell, f"{n.sheet}!{n.cell}"),
                Styled(n.what, "wrap"),
                Styled(n.why, "wrap"),
            ]
            for n in audit.book.not_understood
        ]
    else:
        rows.append([Styled("Everything on the recipe sheets was read.", "strong")])
    for sheet in audit.book.sheets:
        rows += [[], [Styled(sheet.sheet, "strong"), Styled(sheet.layout, "text"), count_of(sheet.recipes, "recipe")]]
        rows += [[None, Styled(line, "wrap")] for line in sheet.evidence]
        merges += [f"B{len(rows) - i}:D{len(rows) - i}" for i in range(len(sheet.evidence))]
        if sheet.columns:
            rows.append(
                [Styled(h, "heading") for h in ("Column or line", "Heading", "Read as", "Unit, and from where")]
            )
            rows += [
                [
                    Styled(c.place, "text"),
                    Styled(c.heading, "wrap"),
                    Styled(c.role + (f": {c.substance}" if c.substance else ""), "wrap"),
                    Styled(" ".join(filter(None, (c.unit, f"({c.unit_from})" if c.unit_from else "", c.why))), "wrap"),
                ]
                for c in sheet.columns
            ]
    return NewSheet(
        READING,
        rows,
        widths=READING_WIDTHS,
        heights=TITLE_HEIGHT | heights(rows, READING_WIDTHS),
        merges=tuple(merges),
        landscape=True,
    )


# --------------------------------------------------------------------------- values and cautions


def values_sheet(audit: Audit) -> NewSheet:
    """Return the values that this audit computed with, each with its source."""
    used = [k for k in dict.fromkeys(audit.book.components["substance"]) if isinstance(k, str)]
    own = {v.substance: v for v in audit.book.own_values}
    heading = (
        "Substance",
        "Kind",
        "Low",
        "Typical",
        "High",
        "Your own value",
        "Water %",
        "Source",
    )
    rows: list[Row] = [
        [Styled("Values used", "title")],
        [
            Styled(
                "Low, typical and high are saponification values in mg of potassium hydroxide per gram of fat. One "
                "gram of NaOH does the work of 1.403 g of KOH.",
                "wrap",
            )
        ],
        [],
        [Styled(h, "heading") for h in heading],
    ]
    table = substances()
    for key in sorted(used, key=lambda k: (table[k].kind, k) if k in table else ("", k)):
        if key not in table:
            continue
        s = table[key]
        rows.append(
            [
                Styled(s.names["en"][0] if "en" in s.names else key, "text"),
                Styled(s.kind, "text"),
                _number(s.sap_low),
                _number(s.sap_typical),
                _number(s.sap_high),
                Styled(own[key].mg_koh_per_g, "percent") if key in own else None,
                _number(100 * s.water),
                Styled(str(sources()[s.source]), "wrap"),
            ]
        )
    rows += [[], *_settings_rows(audit)]
    across = {2: float(sum(VALUES_WIDTHS))}
    return NewSheet(
        VALUES,
        rows,
        widths=VALUES_WIDTHS,
        heights=TITLE_HEIGHT | heights(rows, VALUES_WIDTHS, across),
        merges=("A2:H2",),
        landscape=True,
    )


def _settings_rows(audit: Audit) -> list[Row]:
    s = audit.settings
    shown = (
        ("Superfat where a row and the book state none", f"{s.target_superfat:g} %"),
        ("Lye concentration where a row and the book have no sound one", f"{s.target_lye_concentration:g} %"),
        ("Purity of sodium hydroxide", f"{s.naoh_purity:g} %"),
        ("Purity of potassium hydroxide", "not stated" if s.koh_purity is None else f"{s.koh_purity:g} %"),
        ("Your own saponification values", "used" if s.use_own_values else "shown, not used"),
    )
    rows: list[Row] = [[Styled("Settings in force", "heading"), Styled("", "heading")]]
    rows += [[Styled(what, "wrap"), Styled(value, "text")] for what, value in shown]
    return rows


def _number(value: float) -> CellContent:
    return None if math.isnan(value) else Styled(round(value, 1), "percent")


def cautions_sheet() -> NewSheet:
    """Return the safety sentences, each with its source."""
    rows: list[Row] = [[Styled("Working with lye", "title")], []]
    last = ""
    for caution in cautions():
        if caution.group != last:
            rows.append([Styled(CAUTION_GROUPS[caution.group], "heading"), Styled("", "heading")])
            last = caution.group
        title = str(sources()[caution.source])
        rows.append([Styled(caution.sentence, "wrap"), Styled(title, "muted")])
    return NewSheet(
        CAUTIONS,
        rows,
        widths=CAUTIONS_WIDTHS,
        heights=TITLE_HEIGHT | heights(rows, CAUTIONS_WIDTHS),
        one_page=True,
        landscape=True,
    )
