"""A report held against the truth of its book: what was lost, misnamed, invented, read wrongly, missed, or flagged.

A number that is wrong in silence is worse than one that is not checked; a finding that only says that a name was not
understood catches no slip; of a recipe that is lost the numbers are unread and the slip is missed.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tests.benchmarks.unlike_books.model import GRAMS

RANK = {None: 0, "NOTICE": 1, "CAUTION": 2, "WARNING": 3, "DANGER": 4}
NUMBERS = (("fat_g", 0.006), ("alkali_g", 0.006), ("liquid_g", 0.02))  # relative tolerance
NOT_UNDERSTOOD = {
    "ambiguous-name", "unknown-ingredient", "alkali-not-computable", "not-checked", "name-twice", "fats-missing",
}  # fmt: skip
Json = Mapping[str, Any]


@dataclass
class Measured:
    """Counts by layout, and what went wrong in words."""

    counts: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    talk: list[str] = field(default_factory=list)

    def add(self, other: Measured) -> None:
        """Take in what another book came to."""
        for layout, counted in other.counts.items():
            self.counts[layout].update(counted)
        self.talk += other.talk

    def whole(self) -> Counter[str]:
        """Counts over all layouts."""
        return sum(self.counts.values(), Counter())


def key(name: object) -> str:
    """A name without what hands do differently: case, spaces, signs."""
    return re.sub(r"[^\w]+", " ", str(name)).strip().casefold()


def near(found: float | None, true: float | None, tolerance: float) -> bool:
    """Whether two numbers agree; unknown agrees with unknown."""
    if found is None or true is None:
        return found == true
    return abs(found - true) <= tolerance * max(abs(true), 1e-9)


def measure(truth: Json, report: Json | None) -> Measured:
    """Hold a report (None: the book could not be audited) against the truth of its book."""
    measured = Measured()
    book_layout = truth["traits"]["layout"]
    of_book = measured.counts[book_layout]
    of_book["books"] += 1
    if report is None:
        of_book["books not audited"] += 1
        for true in truth["recipes"]:
            _lost(measured, true, truth)
        return measured
    by_recipe: dict[int, list[Json]] = defaultdict(list)
    for finding in report["findings"]:
        for recipe in finding["recipes"] or [finding["recipe"]]:
            by_recipe[recipe].append(finding)
    used: set[int] = set()
    for true in truth["recipes"]:
        found = _counterpart(measured, true, truth, report["recipes"], used)
        if found is None:
            _lost(measured, true, truth)
        else:
            used.add(found["id"])
            _compare(measured, true, truth, found, by_recipe[found["id"]])
    for recipe in report["recipes"]:
        if recipe["id"] not in used:
            measured.counts[truth["sheets"].get(recipe["sheet"], book_layout)]["invented"] += 1
            measured.talk.append(f"{truth['book']}: invented {recipe['name']!r} on {recipe['sheet']!r}")
    of_book["questions"] += len(report.get("questions", ()))
    of_book["assumed"] += len(report.get("assumed", ()))
    return measured


def _counterpart(measured: Measured, true: Json, truth: Json, recipes: Sequence[Json], used: set[int]) -> Json | None:
    """The recipe of the report that is meant: by name, else by sheet and amounts under another name."""
    free = [x for x in recipes if x["id"] not in used]
    called = [x for x in free if key(x["name"]) == key(true["name"])]
    here = [x for x in called if x["sheet"] == true["sheet"]] or called
    if here:
        return here[0]
    names = {key(t["name"]) for t in truth["recipes"]}
    others = [
        x
        for x in free
        if x["sheet"] == true["sheet"]
        and key(x["name"]) not in names
        and all(near(x[number], true[number], 0.006) for number in ("fat_g", "alkali_g"))
    ]
    if not others:
        return None
    measured.counts[true["layout"]]["misnamed"] += 1
    measured.talk.append(f"{truth['book']}: {true['name']!r} is called {others[0]['name']!r}")
    return others[0]


def _lost(measured: Measured, true: Json, truth: Json) -> None:
    counts = measured.counts[true["layout"]]
    counts["recipes"] += 1
    counts["lost"] += 1
    counts["numbers"] += sum(true[number] is not None for number, _ in NUMBERS)
    counts[_class(true)] += 1
    if true["expect"] == "fine":
        counts["sound not checked"] += 1
    counts["repairable"] += len(true["faults"])
    measured.talk.append(f"{truth['book']}: lost {true['name']!r} on {true['sheet']!r} ({true['layout']})")


def _class(true: Json) -> str:
    return {"fine": "sound", "flagged": "faulty", "unjudgeable": "unjudgeable"}[true["expect"]]


def _compare(measured: Measured, true: Json, truth: Json, found: Json, findings: Sequence[Json]) -> None:
    counts, where = measured.counts[true["layout"]], f"{truth['book']}: {true['name']!r} ({true['layout']})"
    counts["recipes"] += 1
    counts[_class(true)] += 1
    unchecked = found["verdict"] == "not checked"
    for number, tolerance in NUMBERS:
        if true[number] is None:
            continue
        counts["numbers"] += 1
        right = near(found[number], true[number], tolerance)
        counts["numbers right"] += right
        counts["wrong in silence"] += not right and found[number] is not None and not unchecked
        if not right:
            measured.talk.append(f"{where} {number} {found[number]} for {true[number]} ({found['verdict']})")
    worst = max((RANK[finding["signal"]] for finding in findings), default=0)
    if true["expect"] == "fine":
        counts["false CAUTION"] += worst >= 2
        counts["false WARNING"] += worst >= 3
        counts["sound not checked"] += unchecked
        if worst >= 2:
            rules = sorted({f["rule"] for f in findings if RANK[f["signal"]] >= 2})
            measured.talk.append(f"{where} flagged without cause {rules}")
    elif true["expect"] == "flagged":
        said = max((RANK[f["signal"]] for f in findings if f["rule"] not in NOT_UNDERSTOOD), default=0)
        caught = said >= (3 if true["at_least"] == "DANGER" else 2)
        counts["caught"] += caught
        if not caught:
            measured.talk.append(f"{where} missed {true['why']}")
        _repairs(counts, true, findings)
    else:
        counts["unjudgeable said"] += unchecked or worst >= 2


def _repairs(counts: Counter[str], true: Json, findings: Sequence[Json]) -> None:
    """Whether the first repair names the wrong cell, and what it should say."""
    offered = sorted((r for f in findings for r in f["repairs"] or ()), key=lambda r: -(r["probability"] or 0))
    changes = offered[0]["changes"] if offered else []
    for fault in true["faults"]:
        counts["repairable"] += 1
        named = {change["cell"] for change in changes}
        if not named or not named <= set(fault["cells"]):
            continue
        counts["cell first"] += 1
        meant = fault["right"]["value"] * GRAMS[fault["right"]["unit"]]
        counts["value first"] += any(near(_grams(change), meant, 0.01) for change in changes)


def _grams(change: Json) -> float | None:
    value, unit = change["value"], change["unit"]
    return float(value) * GRAMS[unit] if isinstance(value, int | float) and unit in GRAMS else None
