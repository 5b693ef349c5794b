"""Water and what comes with it: lye concentration, water to lye, and what milk brings."""

import numpy as np
from numpy.typing import ArrayLike

from sheetcheck.chemistry.ranges import Floats, keep


def lye_concentration(alkali: ArrayLike, water: ArrayLike) -> Floats:
    r"""Share of alkali in the lye, by mass.

    .. math:: c = \frac{100 a}{a + w}

    Parameters
    ----------
    alkali
        Pure alkali [g], any shape; actual masses of NaOH and KOH together.
    water
        Water [g], of the liquids and of the alkali's own solution; milk counts with its water only.

    Returns
    -------
    Floats
        [%]; NaN where either is unknown or there is neither.

    References
    ----------
    Mass balance: the definition of the quantities.

    Examples
    --------
    >>> round(float(lye_concentration(8.1, 18.3)), 1)
    30.7
    """
    lye = keep("mass", alkali) + keep("mass", water)
    return 100 * keep("mass", alkali) / np.where(lye > 0, lye, np.nan)


def water_per_lye(alkali: ArrayLike, water: ArrayLike) -> Floats:
    r"""Water to lye, as a ratio of masses.

    .. math:: r = \frac{w}{a}

    Parameters
    ----------
    alkali, water
        [g], any shape, as in `lye_concentration`.

    Returns
    -------
    Floats
        [g/g]; NaN where either is unknown or there is no alkali.

    References
    ----------
    Mass balance: the definition of the quantities.

    Examples
    --------
    >>> round(float(water_per_lye(8.1, 18.3)), 2)
    2.26
    """
    pure = keep("mass", alkali)
    return keep("mass", water) / np.where(pure > 0, pure, np.nan)


def water_for(concentration: ArrayLike, alkali: ArrayLike) -> Floats:
    r"""Water that gives a wanted lye concentration; the inverse of `lye_concentration`.

    .. math:: w = a \frac{100 - c}{c}

    Parameters
    ----------
    concentration
        [%], any shape; above 0, to 100.
    alkali
        Pure alkali [g].

    Returns
    -------
    Floats
        [g].

    References
    ----------
    As `lye_concentration`.

    Examples
    --------
    >>> round(float(water_for(30, 100)), 1)
    233.3
    """
    percent = keep("concentration", concentration)
    return keep("mass", alkali) * (100 - percent) / np.where(percent > 0, percent, np.nan)


def superfat_from_liquid(
    fat_in_liquid: ArrayLike, fats_needed: ArrayLike, fat_takes: ArrayLike, alkali: ArrayLike
) -> Floats:
    r"""How far the fat in a liquid moves superfat.

    .. math:: \Delta s = 100\,a \left(\frac{1}{a_0} - \frac{1}{a_0 + m\,n}\right)

    Parameters
    ----------
    fat_in_liquid
        Fat that the liquid brings [g], any shape.
    fats_needed
        Pure alkali that the listed fats take up [g].
    fat_takes
        What one gram of the liquid's fat takes up, of the same alkali [g/g].
    alkali
        Pure alkali in the recipe [g].

    Returns
    -------
    Floats
        [percentage points], never negative.

    References
    ----------
    From the definition of superfat: `superfat.superfat_percent`.

    Examples
    --------
    18 oz of goat milk (4.1 % fat, 0.164 g NaOH per g) on 60 oz of lard with 8 oz of lye:

    >>> round(float(superfat_from_liquid(18 * 0.0414, 8.34, 0.164, 8.0)), 1)
    1.4
    """
    base = keep("mass", fats_needed)
    base = np.where(base > 0, base, np.nan)
    more = base + keep("mass", fat_in_liquid) * keep("mass", fat_takes)
    return 100 * keep("mass", alkali) * (1 / base - 1 / more)
