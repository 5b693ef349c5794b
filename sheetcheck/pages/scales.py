"""Where the two drawings of a page have their parts, in per cent of their width."""

from __future__ import annotations

import math
from dataclasses import dataclass

LONGEST = 2.0  # times what the fats take, beyond which the bar of the lye runs off the page
ENDS = (-5.0, 20.0)  # of the scale of superfat, percent
TICKS = (-5, 0, 2, 5, 10, 15, 20)


@dataclass(frozen=True, slots=True)
class LyeBar:
    """The lye written against the lye that the fats take up."""

    taken: float  # width of what is taken, per cent
    written: float  # width of what is written
    off_the_page: bool


def lye_bar(written_g: float, taken_g: float) -> LyeBar | None:
    """Return the bar; None where one of both is not known."""
    if not (written_g > 0 and taken_g > 0):
        return None
    whole = min(max(written_g, taken_g), LONGEST * taken_g)
    off = written_g > LONGEST * taken_g
    share = 94.0  # room is left for the arrow
    if off and written_g > 10 * taken_g:
        return LyeBar(max(share * taken_g / written_g * 2, 2.0), share, off_the_page=True)
    return LyeBar(share * taken_g / whole, share * min(written_g, whole) / whole, off_the_page=off)


@dataclass(frozen=True, slots=True)
class SuperfatScale:
    """Superfat with its range on the scale."""

    low: float
    typical: float
    high: float
    beyond: bool  # whether the point itself is off the scale
    if_meant: float | None = None  # where it would stand if what is suggested was meant

    @property
    def width(self) -> float:
        """Width of the range."""
        return self.high - self.low


def superfat_scale(low: float, typical: float, high: float, if_meant: float | None = None) -> SuperfatScale | None:
    """Return the places on the scale; None where the superfat is not known."""
    if math.isnan(typical):
        return None
    ends = (typical if math.isnan(end) else end for end in (low, high))
    hollow = None if if_meant is None or math.isnan(if_meant) else place(if_meant)
    left, right = (place(end) for end in ends)
    return SuperfatScale(left, place(typical), right, beyond=not ENDS[0] <= typical <= ENDS[1], if_meant=hollow)


def place(percent: float) -> float:
    """Return where a superfat stands, as per cent of the width of the scale; what is beyond stands at its end."""
    within = min(max(percent, ENDS[0]), ENDS[1])
    return 100 * (within - ENDS[0]) / (ENDS[1] - ENDS[0])
