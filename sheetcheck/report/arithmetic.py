"""Arithmetic that writes itself down: a number carries the formula of a spreadsheet that gives it.

`100 * (1 - Worked("L5", 4.2) / Worked("B5", 4.4))` has the value 4.54… and the text `100*(1-L5/B5)`. So a formula in a
copy and the number behind it come from one line of code, and the number can be compared with that of the audit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce

_SUM, _PRODUCT, _ATOM = 1, 2, 3  # how tightly the last step of a formula binds


@dataclass(frozen=True, slots=True)
class Worked:
    """A number and the formula that gives it."""

    text: str
    value: float
    binds: int = _ATOM

    def __add__(self, other: Worked | float) -> Worked:
        return _joined(self, "+", other, _SUM)

    def __radd__(self, other: float) -> Worked:
        return constant(other) + self

    def __sub__(self, other: Worked | float) -> Worked:
        return _joined(self, "-", other, _SUM)

    def __rsub__(self, other: float) -> Worked:
        return constant(other) - self

    def __mul__(self, other: Worked | float) -> Worked:
        return _joined(self, "*", other, _PRODUCT)

    def __rmul__(self, other: float) -> Worked:
        return constant(other) * self

    def __truediv__(self, other: Worked | float) -> Worked:
        return _joined(self, "/", other, _PRODUCT)

    def gives(self, value: float) -> bool:
        """Whether this is the number that the audit has."""
        return math.isclose(self.value, value, rel_tol=1e-9, abs_tol=1e-9)


def constant(value: float) -> Worked:
    """Return a number as such."""
    text = repr(float(value)).removesuffix(".0").replace("e", "E")
    return Worked(text, float(value), _ATOM if value >= 0 else _SUM)


def total(parts: Sequence[Worked]) -> Worked:
    """Return the sum of parts; nothing is 0."""
    return reduce(lambda left, right: left + right, parts) if parts else constant(0)


def root_of_squares(parts: Sequence[Worked]) -> Worked:
    """Return the root of the sum of squares: what independent parts come to together."""
    text = f"SQRT(SUMSQ({','.join(part.text for part in parts)}))" if parts else "0"
    return Worked(text, math.hypot(*(part.value for part in parts)))


def _joined(left: Worked, sign: str, right: Worked | float, binds: int) -> Worked:
    other = right if isinstance(right, Worked) else constant(right)
    if other.text == "1" and sign in "*/":
        return left
    if left.text == "1" and sign == "*":
        return other
    looser = other.binds < binds or (other.binds == binds and sign in "-/")
    text = f"{_bracketed(left, left.binds < binds)}{sign}{_bracketed(other, looser)}"
    return Worked(text, _value(left.value, sign, other.value), binds)


def _bracketed(part: Worked, wanted: bool) -> str:  # noqa: FBT001 - read only here
    return f"({part.text})" if wanted else part.text


def _value(left: float, sign: str, right: float) -> float:
    match sign:
        case "+":
            return left + right
        case "-":
            return left - right
        case "*":
            return left * right
    return left / right if right else math.nan
