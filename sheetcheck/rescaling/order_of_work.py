"""The order of work on a weigh sheet, with the most heat that the lye of this batch can make."""

from __future__ import annotations

import math

from sheetcheck.rescaling.rows import Job
from sheetcheck.rules.support.wording import joined
from sheetcheck.words import number, tr

_BOILS = 100.0  # °C


def order_of_work(job: Job, start: float) -> list[str]:
    """Return the steps as sentences; `start` is the temperature [°C] of liquid and room."""
    mixing = tr("Lye into the cold liquid, a little at a time and stirring. Never liquid into lye.")
    return [
        tr("Weigh everything first, each part after zeroing the scale. Weigh lye and fats twice."),
        joined(mixing, _heat(job.hottest_lye, start, in_ounces=job.weigh_unit != "g"), _sugar(job)),
        tr("Melt the fats. When both have cooled as your recipe says, lye into fats, stirring."),
        tr("Additions as your recipe says, then into the moulds. Write beside each weight what you weighed."),
    ]


def _heat(hottest: float, start: float, *, in_ounces: bool) -> str:
    if math.isnan(hottest):
        return tr("It can come near boiling by itself.")
    heat = tr(
        "From {start} it can reach {hottest} by itself at most.",
        start=_degrees(start, in_ounces=in_ounces),
        hottest=_degrees(hottest, in_ounces=in_ounces),
    )
    return (
        joined(heat, tr("It may boil and spit: go slowly, stand the jug in cold water.")) if hottest >= _BOILS else heat
    )


def _degrees(celsius: float, *, in_ounces: bool) -> str:
    """Say a temperature on both scales, the one of the book's kitchen first."""
    both = {"celsius": number(celsius, 0), "fahrenheit": number(celsius * 9 / 5 + 32, 0)}
    return tr("{fahrenheit} °F ({celsius} °C)", **both) if in_ounces else tr("{celsius} °C ({fahrenheit} °F)", **both)


def _sugar(job: Job) -> str:
    """Say that liquids with sugar or alcohol make it hotter, where there are such."""
    if not (job.sugar_g > 0 or job.alcohol_g > 0):
        return ""
    return tr("Its milk, sugar or alcohol makes it hotter: chill or freeze it first.")
