"""The audit as one JSON object for other programs: a contract to which keys may be added, and none changed."""

from __future__ import annotations

import json
import math
import os
import sys
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sheetcheck.errors import CopyNotWritableError, StandsThereError
from sheetcheck.model import (
    Assumed,
    Audit,
    Finding,
    Question,
    Repair,
    SheetAccount,
    Signal,
    address,
    range_address,
)
from sheetcheck.report.words import written
from sheetcheck.words import tr
from sheetcheck.workbook.target import is_same_file

if TYPE_CHECKING:
    import pandas as pd

FORMAT, VERSION = "sheetcheck-report", 1
STANDARD_OUTPUT = "-"
GRAMS_DIGITS, PERCENT_DIGITS = 2, 4  # 0.01 g is finer than a kitchen scale; keeps the bytes the same everywhere


def build(audit: Audit) -> dict[str, Any]:
    """Return the report as plain data: masses in grams, shares in percent, unknown as None."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "workbook": {"name": audit.book.name, "sha256": audit.book.sha256},
        "summary": summary(audit),
        "recipes": list(_recipes(audit)),
        "findings": [_finding(f) for f in audit.findings],
        "not_understood": [
            {"sheet": n.sheet, "cell": n.cell, "what": n.what, "why": n.why} for n in audit.book.not_understood
        ],
        "assumed": [_assumed(a) for a in audit.book.assumed],
        "questions": [_question(q) for q in audit.book.questions],
        "account": [_account(a) for a in audit.book.account],
        "since_last": None if audit.since_last is None else asdict(audit.since_last),
        "missing": list(audit.missing),
        "faults": [{"cost": fault.cost, "where": fault.where} for fault in audit.faults],
    }


def dumps(audit: Audit) -> str:
    """Return the report as JSON text; the same audit gives the same text."""
    return json.dumps(build(audit), ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def check_report_place(report: str | None, *taken: Path, overwrite: bool = False) -> None:
    """Refuse a place for the report that cannot be written to, or where the book, its copy or a file of hers stands.

    An earlier report is replaced; another file only with `overwrite`, and the book and its copy never.

    Raises
    ------
    CopyNotWritableError
    """
    if report is None or report == STANDARD_OUTPUT:
        return
    place = Path(report)
    if place.is_dir() or not place.absolute().parent.is_dir():
        raise CopyNotWritableError(place, tr("no such folder") if not place.is_dir() else tr("a folder stands there"))
    if any(is_same_file(other, place) for other in taken):
        raise CopyNotWritableError(place, tr("the book or its copy stands there"))
    if place.exists() and not overwrite and not _is_report(place):
        raise StandsThereError(place)


def _is_report(place: Path) -> bool:
    """Tell whether a file begins as our reports do."""
    try:
        with place.open("rb") as file:
            return f'"format": "{FORMAT}"'.encode() in file.read(100)
    except OSError:
        return False


def write_report(audit: Audit, report: str) -> None:
    """Write the report to a path, or to standard output for "-"; the file appears whole or not at all.

    Raises
    ------
    CopyNotWritableError
    """
    text = dumps(audit)
    if report == STANDARD_OUTPUT:
        sys.stdout.buffer.write(text.encode())
        sys.stdout.buffer.flush()
        return
    place = Path(report)
    part = place.with_name(f".{place.name}.{os.getpid()}.part")
    try:
        part.write_text(text, encoding="utf-8")
        part.replace(place)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise CopyNotWritableError(place, error.strerror or "") from error


def summary(audit: Audit) -> dict[str, int]:
    """Count recipes by verdict, amount cells, and findings by signal word."""
    verdicts = Counter(audit.recipes["verdict"])
    components = audit.book.components
    signals = Counter(f.signal for f in audit.findings)
    return {
        "recipes": len(audit.recipes),
        "fine": verdicts["fine"],
        "flagged": verdicts["flagged"],
        "not_checked": verdicts["not checked"],
        "flagged_below_danger": verdicts["flagged"] - _in_danger(audit, "flagged"),
        "not_checked_below_danger": verdicts["not checked"] - _in_danger(audit, "not checked"),
        "amount_cells": len(components) + sum(a.not_read for a in audit.book.account),
        "amount_cells_read": int(components["grams"].notna().sum() + _read_without_grams(components)),
        **{signal.value: signals[signal] for signal in Signal},
        "incomplete": len(audit.missing),
    }


def in_danger(audit: Audit) -> int:
    """Count the recipes with free lye, checked or not."""
    return int((audit.recipes["signal"] == Signal.DANGER).sum())


def _in_danger(audit: Audit, verdict: str) -> int:
    return int(((audit.recipes["signal"] == Signal.DANGER) & (audit.recipes["verdict"] == verdict)).sum())


def _read_without_grams(components: pd.DataFrame) -> int:
    """Count additions that were understood and have no weight ("1 tbsp poppy seed", "scent to taste")."""
    return int((components["grams"].isna() & components["problem"].isna()).sum())


def _recipes(audit: Audit) -> Iterable[dict[str, Any]]:
    components = _components_by_recipe(audit.book.components)
    for number, r in zip(audit.recipes.index, audit.recipes.to_dict("records"), strict=True):
        yield _recipe(int(number), r, components[int(number)])


def _recipe(number: int, r: dict[Hashable, Any], components: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "id": number,
        "name": r["name"],
        "sheet": r["sheet"],
        "range": range_address(r["first_row"], r["first_column"], r["last_row"], r["last_column"]),
        "anchor": address(r["row"], r["column"]),
        "verdict": r["verdict"],
        "signal": _word(r["signal"]),
        "fat_g": grams(r["fat_g"]),
        "fat_in_liquids_g": grams(r["fat_in_liquids_g"]),
        "alkali": _word(r["alkali"]),
        "alkali_g": grams(r["alkali_g"]),
        "alkali_needed_g": {k: grams(r[f"needed_{k}_g"]) for k in ("low", "typical", "high")},
        "water_g": grams(r["water_g"]),
        "liquid_g": grams(r["liquid_g"]),
        "superfat_percent": {k: percent(r[f"superfat_{k}"]) for k in ("low", "typical", "high")},
        "stated_superfat_percent": percent(r["stated_superfat"]),
        "lye_concentration_percent": percent(r["lye_concentration"]),
        "alkali_recomputed_g": grams(r["alkali_recomputed_g"]),
        "liquid_recomputed_g": grams(r["liquid_recomputed_g"]),
        "comes_out": {
            "batch_g": grams(r["batch_g"]),
            "dry_g": grams(r["cured_least_g"]),
            "batter_ml": grams(r["batter_ml"]),
            "free_alkali_percent": percent(r["free_alkali_percent"]),
            "superfat_points_from_liquids": percent(r["superfat_from_liquids"]),
            "superfat_points_from_acids": percent(r["superfat_from_acids"]),
            "superfat_percent_if_lye_aged": percent(r["superfat_if_aged"]),
            "hottest_lye_celsius": percent(r["hottest_lye"]),
        },
        "why_not_checked": _word(r["why_not_checked"]),
        "components": components,
    }


def _components_by_recipe(components: pd.DataFrame) -> dict[int, list[dict[str, Any]]]:
    by_recipe: dict[int, list[dict[str, Any]]] = defaultdict(list)
    for c in components.to_dict("records"):
        by_recipe[int(c["recipe"])].append(
            {
                "cell": address(c["row"], c["column"]),
                "written": written(c["written"], c["value"]),
                "role": c["role"],
                "substance": _word(c["substance"]),
                "grams": grams(c["grams"]),
                "unit": _word(c["unit"]),
                "unit_from": _word(c["unit_from"]),
                "name": c["name"],
                "problem": _word(c["problem"]),
            }
        )
    return by_recipe


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "signal": finding.signal.value,
        "recipe": finding.recipe,
        "recipes": list(finding.about()),
        "sheet": finding.sheet,
        "cell": finding.cell,
        "message": finding.message,
        "certainty": finding.certainty,
        "repairs": [_repair(r) for r in finding.repairs],
        "answer": finding.answer or None,
    }


def _assumed(assumed: Assumed) -> dict[str, Any]:
    return {
        "text": assumed.text,
        "means": assumed.means,
        "cells": list(assumed.cells),
        "recipes": list(assumed.recipes),
        "ground": assumed.ground,
        "probability": round(assumed.probability, 4),
    }


def _question(question: Question) -> dict[str, Any]:
    return {
        "text": question.text,
        "ask": question.ask,
        "cells": list(question.cells),
        "recipes": list(question.recipes),
        "choices": [
            {"means": c.means, "probability": round(c.probability, 4), "fits": c.fits} for c in question.choices
        ],
    }


def _account(account: SheetAccount) -> dict[str, Any]:
    return {
        "sheet": account.sheet,
        "numbers": account.numbers,
        "used": account.used,
        "explained": account.explained,
        "not_read": account.not_read,
    }


def _repair(repair: Repair) -> dict[str, Any]:
    return {
        "kind": repair.kind,
        "changes": [
            {
                "cell": c.cell,
                "written": c.written,
                "value": c.value,
                "unit": c.unit,
                "substance": c.substance,
                "name": c.name,
                "reads_from": list(c.reads_from),
            }
            for c in repair.changes
        ],
        "superfat_percent": percent(repair.superfat_percent),
        "probability": round(repair.probability, 4),
        "why": repair.why,
        "only": repair.only,
    }


def grams(value: float | None) -> float | None:
    """Round grams for the report; what is no number is None."""
    return None if value is None or not math.isfinite(value) else round(float(value), GRAMS_DIGITS)


def percent(value: float | None) -> float | None:
    """Round a percentage for the report; what is no number is None."""
    return None if value is None or not math.isfinite(value) else round(float(value), PERCENT_DIGITS)


def _word(value: object) -> str | None:
    return value if isinstance(value, str) else None
