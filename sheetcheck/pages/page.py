"""What stands on the page of a recipe, in the maker's words and units."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sheetcheck.model import Audit, Change, Finding, Signal, address
from sheetcheck.pages.scales import LyeBar, SuperfatScale, lye_bar, superfat_scale
from sheetcheck.reading.answers import LOOK_LATER, ON_PURPOSE, YES
from sheetcheck.reading.units.units import dimension, to_grams
from sheetcheck.reference import cautions
from sheetcheck.report.cells import unit_of
from sheetcheck.report.finding_words import in_brackets, in_short, meant, suggested_changes, to_be_made
from sheetcheck.report.findings_sheet import worst_first
from sheetcheck.report.results import WEIGHED_AS_IT_IS
from sheetcheck.report.weighed import alkali_weighed, as_weighed
from sheetcheck.report.words import NOT_CHECKED, verdict_in_words
from sheetcheck.rules.support.wording import joined, mass, percent, span
from sheetcheck.words import number, tr, with_own_mark

Components = Sequence[Mapping[Any, Any]]  # lines of the frame of components

HOT = 100.0  # °C
FIRST_AID = ("splash", "swallowed")  # groups of cautions that stand at the foot


@dataclass(frozen=True, slots=True)
class Line:
    """One amount of a recipe."""

    name: str
    cell: str
    amount: str
    doubted: bool = False
    meant: str = ""  # what was probably meant instead, and how sure that is


@dataclass(frozen=True, slots=True)
class Page:
    """The page of one recipe; what is not known is empty, or None."""

    name: str
    where: str
    verdict: str
    look: str  # danger | warning | caution | unchecked | fine
    command: str  # what to do with the recipe, in capitals
    reasons: tuple[str, ...]
    to_weigh: bool  # False: the amounts are shown, and not to be weighed from
    lines: tuple[Line, ...]
    lye_bar: LyeBar | None
    lye_said: str
    scale: SuperfatScale | None
    superfat_said: str
    if_meant: str  # what the superfat is if the suggestion is right
    choices: tuple[str, ...]  # answers to tick, where something is suggested; to be chosen in the copy
    facts: tuple[str, ...]
    steps: tuple[str, ...]
    first_aid: tuple[str, ...]


def pages_of(audit: Audit, only: Sequence[str] = ()) -> list[Page]:
    """Return the pages of all recipes in the order of the book, or of those with these names.

    To be called while the book's voice speaks (`audit.book.manner.voice()`).
    """
    wanted = {name.casefold() for name in only}
    findings = _by_recipe(audit.findings)
    weighed, thin = alkali_weighed(audit), audit.settings.limit("superfat_notice_below")
    components: dict[int, list[Mapping[Any, Any]]] = {}
    for c in audit.book.components.to_dict("records"):
        components.setdefault(int(c["recipe"]), []).append(c)
    return [
        _page(int(recipe), r, findings.get(int(recipe), []), components.get(int(recipe), []), weighed, thin=thin)
        for recipe, r in zip(audit.recipes.index, audit.recipes.to_dict("records"), strict=True)
        if not wanted or str(r["name"]).casefold() in wanted
    ]


def _by_recipe(findings: Iterable[Finding]) -> dict[int, list[Finding]]:
    found: dict[int, list[Finding]] = {}
    for finding in worst_first(findings):
        for recipe in finding.about():
            found.setdefault(recipe, []).append(finding)
    return found


def _page(  # noqa: PLR0913 - all that a page is made of
    recipe: int,
    r: Mapping[Any, Any],
    findings: Sequence[Finding],
    components: Components,
    weighed: Mapping[int, float],
    *,
    thin: float,
) -> Page:
    look = _look(r)
    lye_g = weighed.get(recipe, math.nan)
    taken_g = as_weighed(float(r["needed_typical_g"]), r, lye_g)
    low, typical, high = (float(r[f"superfat_{end}"]) for end in ("low", "typical", "high"))
    little = typical < thin or low < 0
    best = next((f for f in findings if suggested_changes(f)), None)
    return Page(
        name=str(r["name"]),
        where=f"{r['sheet']}, {address(int(r['row']), int(r['column']))}",
        verdict=verdict_in_words(str(r["verdict"]), r["signal"], little_margin=little),
        look=look,
        command=_command(look, findings, little_margin=little),
        reasons=_reasons(r, findings),
        to_weigh=look in ("fine", "caution"),
        lines=tuple(_lines(components, findings)),
        lye_bar=lye_bar(lye_g, taken_g),
        lye_said=_lye_said(r, lye_g, taken_g),
        scale=superfat_scale(low, typical, high, math.nan if best is None else best.repairs[0].superfat_percent),
        superfat_said=_superfat_said(low, typical, high),
        if_meant=_if_meant(best),
        choices=() if best is None else tuple(_choices(best)),
        facts=tuple(_facts(r, components)),
        steps=tuple(_steps(r)),
        first_aid=tuple(tr(c.sentence) for c in cautions() if c.group in FIRST_AID),
    )


def _look(r: Mapping[Any, Any]) -> str:
    if r["signal"] == Signal.DANGER:
        return "danger"
    if r["verdict"] == NOT_CHECKED:
        return "unchecked"
    return {Signal.WARNING: "warning", Signal.CAUTION: "caution"}.get(r["signal"], "fine")


def _command(look: str, findings: Sequence[Finding], *, little_margin: bool) -> str:
    if look == "danger":
        return tr("DO NOT MAKE: TOO MUCH LYE")
    if look == "unchecked":
        return tr("NOT CHECKED: DO NOT WEIGH FROM THIS")
    if look == "warning":
        return tr("PUT IT RIGHT FIRST")
    if look == "caution" and findings:
        return tr("LOOK BEFORE YOU WEIGH")
    return tr("LITTLE MARGIN: WEIGH EXACTLY") if little_margin else ""


def _reasons(r: Mapping[Any, Any], findings: Sequence[Finding]) -> tuple[str, ...]:
    why = r["why_not_checked"]
    first = [tr("Not checked: {reason}.", reason=why)] if isinstance(why, str) else []
    return (*first, *(in_short(f) for f in findings if f.signal is not Signal.NOTICE))[:4]


# --------------------------------------------------------------------------- amounts


def _lines(components: Components, findings: Sequence[Finding]) -> Iterable[Line]:
    suggestions: dict[tuple[str, str], tuple[Change, Finding]] = {}
    for finding in findings:
        for change in suggested_changes(finding):
            suggestions.setdefault((change.sheet, change.cell), (change, finding))
    for c in components:
        cell = address(int(c["row"]), int(c["column"]))
        suggestion = suggestions.get((str(c["sheet"]), cell))
        said = _meant(*suggestion) if suggestion is not None else ""
        yield Line(str(c["name"] or ""), cell, _amount(c), doubted=bool(said), meant=said)


def _amount(c: Mapping[Any, Any]) -> str:
    """Say an amount as the maker wrote it, with the unit where its cell does not say it."""
    if isinstance(c["written"], str):
        text = c["written"]
        bare = c["unit_from"] != "cell text" and isinstance(c["unit"], str)
        return f"{text} {c['unit']}" if bare else text
    if math.isnan(c["value"]):
        return "?"
    return with_own_mark(f"{c['value']:.10g} {c['unit'] if isinstance(c['unit'], str) else ''}".rstrip())


def _meant(change: Change, finding: Finding) -> str:
    if finding.answer == YES:
        return tr("{meant}: your decision", meant=_with_other_unit(change))
    return tr("{meant} meant? ({certainty})", meant=_with_other_unit(change), certainty=in_brackets(finding))


def _with_other_unit(change: Change) -> str:
    """Say what was meant; of an amount in another unit than is written, in that one too."""
    said = meant(change)
    own = change.written.rpartition(" ")[2]
    if change.value is None or change.unit is None or change.unit in {own, "lb oz"}:
        return said
    known = change.unit in _MASS and own in _MASS and dimension(own) == "mass"
    return tr("{meant} = {other}", meant=said, other=mass(to_grams(change.value, change.unit), own)) if known else said


_MASS = frozenset({"g", "kg", "oz", "lb"})


# --------------------------------------------------------------------------- drawings and facts


def _lye_said(r: Mapping[Any, Any], lye_g: float, taken_g: float) -> str:
    if math.isnan(lye_g) or math.isnan(taken_g):
        return ""
    unit = unit_of(r["unit"])
    return tr(
        "black: written, {written} · grey: what these fats take, {taken}",
        written=mass(lye_g, unit),
        taken=mass(taken_g, unit),
    )


def _superfat_said(low: float, typical: float, high: float) -> str:
    if math.isnan(typical):
        return ""
    if typical < 0:
        return tr("No fat is left over: superfat {superfat}.", superfat=percent(typical))
    if math.isnan(low) or math.isnan(high):
        return tr("{superfat} of the fat is left over.", superfat=percent(typical))
    range_ = span(low, high)
    return tr("{superfat} of the fat is left over ({range} as fats vary).", superfat=percent(typical), range=range_)


def _if_meant(finding: Finding | None) -> str:
    if finding is None or finding.repairs[0].superfat_percent is None:
        return ""
    best = finding.repairs[0]
    said = {
        "meant": "; ".join(meant(c) for c in to_be_made(best.changes)),
        "superfat": percent(float(best.superfat_percent or 0)),
    }
    return tr(
        "If {meant} was meant: {superfat} of the fat is left over. Change your own book, and check again.", **said
    )


def _choices(finding: Finding) -> Iterable[str]:
    """Yield what can be answered; that free lye is on purpose is not offered."""
    for answer in (YES, *(() if finding.signal is Signal.DANGER else (ON_PURPOSE,)), LOOK_LATER):
        yield tr(answer)


def _facts(r: Mapping[Any, Any], components: Components) -> Iterable[str]:
    strength = float(r["lye_concentration"])
    if not math.isnan(strength):
        yield tr("Lye in lye and water: {share}.", share=percent(strength))
    for c in components:
        if c["role"] == "alkali" and c["strength"] < WEIGHED_AS_IT_IS:
            said = {"name": c["name"], "share": percent(100 * float(c["strength"]))}
            pure = mass(float(c["grams"]) * float(c["strength"]), unit_of(r["unit"]))
            yield tr("{name} is {share} lye: {pure} pure.", **said, pure=pure)
    hottest = float(r["hottest_lye"])
    if not math.isnan(hottest):
        yield tr(
            "By itself the lye can reach {fahrenheit} °F ({celsius} °C) at most.",
            celsius=number(hottest, 0),
            fahrenheit=number(hottest * 9 / 5 + 32, 0),
        )


def _steps(r: Mapping[Any, Any]) -> Iterable[str]:
    yield tr("Goggles, gloves, sleeves on; window open; children and pets out; running water near.")
    yield tr("Weigh everything first. Weigh lye and fats twice.")
    boils = float(r["hottest_lye"]) >= HOT
    sugar = float(r["sugar_g"]) > 0 or float(r["alcohol_g"]) > 0
    yield joined(
        tr("Lye into the cold liquid, a little at a time and stirring. Never liquid into lye."),
        tr("It may boil and spit: go slowly, stand the jug in cold water.") if boils else "",
        tr("Its milk, sugar or alcohol makes it hotter: chill or freeze it first.") if sugar else "",
    )
    yield tr("Melt the fats. When both have cooled as your recipe says, lye into fats, stirring.")
    yield tr("Additions as your recipe says, then into the moulds. Gloves until it is cut.")
