"""Names beside the points of a chart, placed so that they do not hide each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

LETTER, LINE, GAP = 5.6, 12.0, 7.0  # pixels of a letter of 8 points, of a line, between a point and its name
MARGINS = (80.0, 130.0)  # pixels of a chart that its plot does not have: at both sides, above and below
TRIES = 13
MARK = "oo"  # about as wide as a point is drawn


@dataclass(frozen=True, slots=True)
class Label:
    """A text that begins at a place of the chart, in the units of its axes."""

    x: float
    y: float
    text: str


@dataclass(frozen=True, slots=True)
class Plot:
    """The part of a chart that points stand in."""

    size: tuple[int, int]  # of the chart, pixels
    x_ends: tuple[float, float]
    y_ends: tuple[float, float]

    @property
    def per_pixel(self) -> tuple[float, float]:
        """How far a pixel goes, in the units of both axes."""
        width, height = self.size[0] - MARGINS[0], self.size[1] - MARGINS[1]
        return (self.x_ends[1] - self.x_ends[0]) / width, (self.y_ends[1] - self.y_ends[0]) / height

    def placed(self, wanted: Sequence[Label], points: Sequence[tuple[float, float]] = ()) -> list[Label]:
        """Move labels left of their points where the plot ends, and up or down where points and others stand."""
        half = len(MARK) * LETTER / 2 * self.per_pixel[0]
        taken = [Label(x - half, y, MARK) for x, y in points]
        found: list[Label] = []
        for label in wanted:
            found.append(self._free(label, [*taken, *found]))
        return found

    def _free(self, label: Label, taken: Sequence[Label]) -> Label:
        """Return the place nearest to the point that nothing else has; beside it where all are taken."""
        step = LINE * self.per_pixel[1]
        for number in range(TRIES):
            away = step * ((number + 1) // 2)
            y = label.y + (away if number % 2 else -away)
            for x in self._starts(label):
                tried = Label(x, y, label.text)
                if self._inside(y) and not any(self._meet(tried, other) for other in taken):
                    return tried
        return Label(self._starts(label)[0], label.y, label.text)

    def _starts(self, label: Label) -> list[float]:
        """Return where the text may begin: right of its point, left of it, as far as the plot has room."""
        gap, width = GAP * self.per_pixel[0], self._width(label.text)
        right, left = label.x + gap, label.x - gap - width
        fits = [x for x in (right, left) if x >= self.x_ends[0] and x + width <= self.x_ends[1]]
        return fits or [max(left, self.x_ends[0])]

    def _width(self, text: str) -> float:
        return len(text) * LETTER * self.per_pixel[0]

    def _inside(self, y: float) -> bool:
        half = LINE / 2 * self.per_pixel[1]
        return self.y_ends[0] + half <= y <= self.y_ends[1]  # the axis below has marks that cross a text

    def _meet(self, one: Label, other: Label) -> bool:
        apart = abs(one.y - other.y) >= LINE * self.per_pixel[1] * 0.95
        beside = one.x + self._width(one.text) <= other.x or other.x + self._width(other.text) <= one.x
        return not (apart or beside)
