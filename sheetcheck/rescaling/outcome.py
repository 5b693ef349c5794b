"""The formulas of a weigh sheet that judge what was weighed: superfat, strength of the lye, total, each in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sheetcheck.reference import limits
from sheetcheck.rescaling.weighing import Weighing
from sheetcheck.words import later, tr

SUPERFAT_POINTS = 0.5  # either way that count as planned; common practice, no source, as the next two
STRENGTH_POINTS = 1.5
TOTAL_SHARE = 0.01
AS_PLANNED = later("As planned.")
_BLANKS = later("Not yet. Still to write in: {count}.")


@dataclass(frozen=True, slots=True)
class Columns:
    """Ranges of cells of a weigh sheet, a cell for each weight: what it counts as, and figures of one unit of it."""

    counts: str
    takes_up: str
    brings: str
    pure: str
    water: str
    blank: str  # 1 where nothing is written in yet, else 0


@dataclass(frozen=True, slots=True)
class Outcome:
    """One thing that is judged: its label, the formula of its value and that of its words, and both as planned."""

    label: str
    formula: str
    value: float
    decimals: int
    words: str
    said: str


def outcomes(
    lines: Sequence[Weighing], unweighed: float, unit: str, columns: Columns, cells: Sequence[str]
) -> list[Outcome]:
    """Return what is judged.

    Parameters
    ----------
    lines
        The weights to weigh.
    unweighed
        NaOH that spoons and the like take up, in the unit of the weights.
    cells
        Where the values will stand, one for each outcome.
    """
    needed, lye, pure, wet, total = (
        sum(figure * w.weight for figure, w in zip(figures, lines, strict=True))
        for figures in (
            [w.takes_up for w in lines], [w.brings for w in lines], [w.pure for w in lines],
            [w.water for w in lines], [1.0] * len(lines),
        )
    )  # fmt: skip
    in_all = {
        name: f"SUMPRODUCT({columns.counts},{getattr(columns, name)})"
        for name in ("takes_up", "brings", "pure", "water")
    }
    blanks = f"SUM({columns.blank})"
    more = f"+{unweighed!r}" if unweighed else ""
    superfat = 100 * (1 - lye / (needed + unweighed))
    said = tr(_BLANKS, count=len(lines))
    found = [
        Outcome(
            tr("Superfat that results, %"),
            f"=100*(1-{in_all['brings']}/({in_all['takes_up']}{more}))",
            superfat,
            1,
            _of_superfat(cells[0], superfat, blanks),
            said,
        )
    ]
    if wet > 0 and pure > 0:
        strength = 100 * pure / (pure + wet)
        formula = f"=100*{in_all['pure']}/({in_all['pure']}+{in_all['water']})"
        found.append(
            Outcome(tr("Lye, % of lye and water"), formula, strength, 1, _of_strength(cells[1], strength, blanks), said)
        )
    cell = cells[len(found)]
    label = tr("Total of all weights, {unit}", unit=unit)
    found.append(Outcome(label, f"=SUM({columns.counts})", total, 2, _of_total(cell, total, blanks), said))
    return found


def _of_superfat(cell: str, planned: float, blanks: str) -> str:
    danger, warning = limits()["superfat_danger_below"].value, limits()["superfat_warning_below"].value
    return _chosen(
        (f"{cell}<{danger:g}", _text(tr("Too much lye: do not go on."))),
        (f"{blanks}>0", _count(blanks)),
        (f"{cell}<{min(warning, planned - 0.01):.6g}", _text(tr("Hardly any margin: weigh again."))),
        (f"ABS({cell}-{planned!r})<={SUPERFAT_POINTS:g}", _text(tr(AS_PLANNED))),
        otherwise=_text(tr("Not as planned: weigh again.")),
    )


def _of_strength(cell: str, planned: float, blanks: str) -> str:
    strong = max(limits()["lye_strong_caution"].value, planned + STRENGTH_POINTS)
    return _chosen(
        (f"{cell}>{strong:.6g}", _text(tr("Too strong: liquid is missing. Do not go on."))),
        (f"{blanks}>0", _count(blanks)),
        (f"ABS({cell}-{planned!r})<={STRENGTH_POINTS:g}", _text(tr(AS_PLANNED))),
        (f"{cell}>{planned!r}", _text(tr("Stronger than planned: weigh the liquid again."))),
        otherwise=_text(tr("Weaker than planned: weigh the liquid again.")),
    )


def _of_total(cell: str, planned: float, blanks: str) -> str:
    return _chosen(
        (f"{blanks}>0", _count(blanks)),
        (f"ABS({cell}-{planned!r})<={TOTAL_SHARE * planned!r}", _text(tr(AS_PLANNED))),
        (f"{cell}>{planned!r}", _text(tr("More than planned: weigh again."))),
        otherwise=_text(tr("Less than planned: weigh again.")),
    )


def _chosen(*cases: tuple[str, str], otherwise: str) -> str:
    """Return a formula that says the first text whose condition holds."""
    opened = "".join(f"IF({condition},{text}," for condition, text in cases)
    return f"={opened}{otherwise}{')' * len(cases)}"


def _text(sentence: str) -> str:
    doubled = sentence.replace('"', '""')
    return f'"{doubled}"'


def _count(blanks: str) -> str:
    """Return the sentence that counts what is still blank."""
    before, after = tr(_BLANKS, count="\x00").split("\x00")
    return f"{_text(before)}&{blanks}&{_text(after)}"
