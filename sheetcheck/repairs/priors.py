"""The chance of each slip: the share of wrong numbers, and the weights of the table or of the maker's settings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property

from sheetcheck.reference.slips import slip_names, slip_table

# No wrong numbers: an amount that the tool reads wrongly, a line too many, a line too few
_APART = ("second reading", "line typed twice", "fat left out")


@dataclass(frozen=True, eq=False)
class Weights:
    """How often each slip is made, against the others; one and the same object for the same settings."""

    of: Mapping[str, float]

    def chance(self, slip: str) -> float:
        """Probability that one typed number is wrong by this slip."""
        return slip_table()["wrong number"].value * self.of[slip] / self._all

    @cached_property
    def _all(self) -> float:
        return sum(weight for slip, weight in self.of.items() if slip not in _APART)


def weights(changed: Mapping[str, float]) -> Weights:
    """Return the weights of the table, with those of the maker's settings in their place."""
    return _weights(tuple(sorted(changed.items())))


@cache
def _weights(changed: tuple[tuple[str, float], ...]) -> Weights:
    return Weights({name: slip_table()[name].value for name in slip_names()} | dict(changed))


def usual(name: str) -> float:
    """Return what is usual in the trade."""
    return slip_table()[name].value
