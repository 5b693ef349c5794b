"""Superfat: the share of the fats' demand for alkali that is left unmet."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sheetcheck.chemistry.ranges import Floats, keep
from sheetcheck.words import later


def superfat_percent(alkali: ArrayLike, needed: ArrayLike) -> Floats:
    r"""Share of the demand for alkali that the recipe leaves unmet.

    .. math:: s = 100 \left(1 - \frac{a}{a_0}\right)

    Parameters
    ----------
    alkali
        Pure alkali in the recipe [g], any shape; not negative.
    needed
        Pure alkali that fats and acids take up completely [g], the same alkali; above 0.

    Returns
    -------
    Floats
        [%]; negative means free lye. NaN where either is unknown or nothing takes up lye.

    References
    ----------
    The definition that all else here is reduced to; common practice, no source.

    Examples
    --------
    >>> round(float(superfat_percent(8.1, 8.34)), 1)
    2.9
    """
    demand = keep("mass", needed)
    return 100 * (1 - keep("mass", alkali) / np.where(demand > 0, demand, np.nan))


def alkali_for(superfat: ArrayLike, needed: ArrayLike) -> Floats:
    r"""Pure alkali that leaves a wanted superfat; the inverse of `superfat_percent`.

    .. math:: a = a_0 \left(1 - \frac{s}{100}\right)

    Parameters
    ----------
    superfat
        [%], any shape; -100 to 100.
    needed
        [g], not negative.

    Returns
    -------
    Floats
        [g].

    References
    ----------
    As `superfat_percent`.

    Examples
    --------
    >>> round(float(alkali_for(5, 8.34)), 2)
    7.92
    """
    return keep("mass", needed) * (1 - keep("superfat", superfat) / 100)


def superfat_from_lye_discount(discount: ArrayLike) -> Floats:
    r"""Superfat of a "lye discount": so much less lye than the fats take up. It is the same number.

    .. math:: a = a_0 (1 - d/100) \Rightarrow s = d

    Parameters
    ----------
    discount
        [%], any shape; -100 to 100.

    Returns
    -------
    Floats
        [%].

    References
    ----------
    From the definition: `superfat_percent`.

    Examples
    --------
    >>> float(superfat_from_lye_discount(5))
    5.0
    """
    return keep("superfat", discount)


def superfat_from_excess_lye(excess: ArrayLike) -> Floats:
    r"""Superfat of an "excess of lye", as liquid soap is sometimes cooked: the same number, negative.

    Such soap is neutralised afterwards; as it stands it has free lye, and it is judged as it stands.

    .. math:: a = a_0 (1 + e/100) \Rightarrow s = -e

    Parameters
    ----------
    excess
        [% of what the fats take up], any shape; 0 to 100.

    Returns
    -------
    Floats
        [%].

    References
    ----------
    From the definition: `superfat_percent`.

    Examples
    --------
    >>> float(superfat_from_excess_lye(2))
    -2.0
    """
    return -keep("superfat", excess)


def superfat_from_fat_surplus(surplus: ArrayLike) -> Floats:
    r"""Superfat of a "surplus of fat": so much more fat than the lye can take, in percent of the fat it can take.

    .. math:: s = \frac{100 f}{100 + f}

    Parameters
    ----------
    surplus
        [%], any shape; -50 to 100.

    Returns
    -------
    Floats
        [%], a little less than the surplus.

    References
    ----------
    From the definition: `superfat_percent`.

    Examples
    --------
    >>> round(float(superfat_from_fat_surplus(5)), 2)
    4.76
    """
    surplus = keep("fat_surplus", surplus)
    return 100 * surplus / (100 + surplus)


def superfat_with_fat_at_trace(before: ArrayLike, added: ArrayLike, relative_demand: ArrayLike = 1.0) -> Floats:
    r"""Superfat once more fat is stirred in at trace, on top of the fats that the lye was computed for.

    .. math:: s = 100 \left(1 - \frac{1 - s_0/100}{1 + r f/100}\right)

    At trace most of the lye is still free, so it takes the late fat as well as the rest: all fats count alike.

    Parameters
    ----------
    before
        Superfat without the late fat [%], any shape; -100 to 100.
    added
        Late fat [% of the other fats, by mass], not negative.
    relative_demand
        Saponification value of the late fat over that of the others.

    Returns
    -------
    Floats
        [%].

    References
    ----------
    From the definition: `superfat_percent`.

    Examples
    --------
    5 % at trace on a recipe without superfat:

    >>> round(float(superfat_with_fat_at_trace(0, 5)), 2)
    4.76
    """
    more = 1 + keep("mass", relative_demand) * keep("mass", added) / 100
    return 100 * (1 - (1 - keep("superfat", before) / 100) / more)


@dataclass(frozen=True, slots=True)
class Phrase:
    """One way in which books speak of superfat, and what it is here."""

    phrase: str
    meaning: str
    superfat: Callable[[ArrayLike], Floats] | None  # from the percentage stated; None where amounts decide


PHRASES: tuple[Phrase, ...] = (
    Phrase("superfat 5 %", later("5 % of the lye that the fats take up is left out"), superfat_from_lye_discount),
    Phrase(
        "lye discount 5 %", later("the same number: 5 % less lye than the fats take up"), superfat_from_lye_discount
    ),
    Phrase(
        "5 % surplus of fat",
        later("5 % more fat than the lye can take: a superfat of 4.8 %"),
        superfat_from_fat_surplus,
    ),
    Phrase(
        "5 % fat at trace, on top",
        later("the lye takes it like any other fat: a superfat of 4.8 % where there was none before"),
        superfat_from_fat_surplus,
    ),
    Phrase("superfat oil, named apart", later("it counts among the fats, with its own saponification value"), None),
    Phrase("2 % excess of lye", later("a superfat of -2 %: free lye, judged as it stands"), superfat_from_excess_lye),
)
