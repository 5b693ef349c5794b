"""What comes out of a batch: its mass, what it loses in curing, and what free alkali stays in the soap."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sheetcheck.chemistry.ranges import Floats, keep
from sheetcheck.reference import constants


def free_alkali_percent(alkali: ArrayLike, needed: ArrayLike, batch: ArrayLike) -> Floats:
    r"""Alkali that fats and acids do not take up, as a share of the batch.

    .. math:: f = \frac{100 \max(a - a_0, 0)}{m}

    Parameters
    ----------
    alkali, needed
        Pure alkali in the recipe and taken up completely [g], any shape, both as NaOH.
    batch
        All that goes into the pot [g].

    Returns
    -------
    Floats
        [% of the batch, as NaOH]; 0 where nothing is left over, NaN where any is unknown.

    References
    ----------
    ISO 456 defines free caustic alkali, as NaOH, in percent of the soap; IS 2888 allows 0.05 % in toilet soap
    (second hand).

    Examples
    --------
    >>> round(float(free_alkali_percent(120, 110, 1000)), 2)
    1.0
    """
    whole = keep("mass", batch)
    left = np.maximum(keep("mass", alkali) - keep("mass", needed), 0)
    return 100 * left / np.where(whole > 0, whole, np.nan)


def cured_mass(batch: ArrayLike, water: ArrayLike, water_left: ArrayLike = 0.0) -> Floats:
    r"""Mass of the soap once it has dried.

    .. math:: m_c = \min\left(m, \frac{m - w}{1 - x}\right)

    Saponifying fat neither takes up water nor gives it off; soap loses what was in the lye.

    Parameters
    ----------
    batch
        All that went into the pot [g], any shape.
    water
        Water in it [g].
    water_left
        Share of water in the cured soap, 0 up to but not 1. 0 gives the lower bound.

    Returns
    -------
    Floats
        [g], never more than the batch.

    References
    ----------
    Mass balance: ester and NaOH become soap and glycerol, and no water comes or goes.

    Examples
    --------
    >>> float(cured_mass(1000, 230))
    770.0
    >>> round(float(cured_mass(1000, 230, 0.10)))
    856
    """
    whole, wet, left = keep("mass", batch), keep("mass", water), keep("share", water_left)
    dry = np.where(wet <= whole, whole - wet, np.nan)
    return np.minimum(whole, dry / np.where(left < 1, 1 - left, np.nan))


def curing_loss_bounds(batch: ArrayLike, water: ArrayLike) -> tuple[Floats, Floats]:
    r"""Least and most that a batch can lose in curing: nothing, and all its water.

    A bar that is dry to the touch still holds water, so neither end is reached; how much stays depends on room and
    time, and no standard fixes it for soap made this way.

    .. math:: 0 \le l \le \frac{100\,w}{m}

    Parameters
    ----------
    batch, water
        [g], any shape, as in `cured_mass`.

    Returns
    -------
    tuple of Floats
        Least and most [% of the batch].

    References
    ----------
    As `cured_mass`.

    Examples
    --------
    >>> least, most = curing_loss_bounds(1000, 230)
    >>> float(least), float(most)
    (0.0, 23.0)
    """
    whole = keep("positive", batch)
    most = 100 * (1 - cured_mass(whole, water) / whole)
    return np.zeros_like(most), most


@dataclass(frozen=True, slots=True)
class Shares:
    """What a fresh soap consists of, each in percent of the batch."""

    soap: Floats
    fat: Floats
    glycerol: Floats
    free_alkali: Floats
    rest: Floats  # water, and all that takes no part


def shares(fat: ArrayLike, alkali: ArrayLike, needed: ArrayLike, batch: ArrayLike, kind: str = "NaOH") -> Shares:
    r"""Shares of soap, fat and glycerol in a fresh soap, for fats that are triglycerides.

    Three alkali and one fat make three soap and one glycerol, so with :math:`a' = \min(a, a_0)` used up, glycerol is
    :math:`a' M_{gly} / 3 M`, fat left over :math:`m (1 - a'/a_0)`, and soap the rest of what reacted.

    .. math:: g = \frac{a' M_{gly}}{3 M}, \quad f = m \left(1 - \frac{a'}{a_0}\right), \quad s = m - f + a' - g

    Parameters
    ----------
    fat
        [g], any shape.
    alkali, needed
        Pure alkali in the recipe and what the fats alone take up completely [g].
    batch
        All that goes into the pot [g].
    kind
        "NaOH" or "KOH": which alkali that is.

    Returns
    -------
    Shares
        [% of the batch]. Free fatty acids and waxes give less glycerol than this.

    References
    ----------
    Stoichiometry; molar masses from IUPAC standard atomic weights.

    Examples
    --------
    1000 g of olive oil, 130 g of NaOH where 137 g would be taken up, 303 g of water:

    >>> made = shares(1000, 130, 137, 1433)
    >>> [round(float(part), 1) for part in (made.soap, made.fat, made.glycerol, made.rest)]
    [68.3, 3.6, 7.0, 21.1]
    """
    molar_mass = constants().naoh_molar_mass if kind == "NaOH" else constants().koh_molar_mass
    whole, fats, demand = keep("positive", batch), keep("mass", fat), keep("positive", needed)
    used = np.minimum(keep("mass", alkali), demand)
    glycerol = used / (3 * molar_mass) * constants().glycerol_molar_mass
    left = fats * (1 - used / demand)
    soap = fats - left + used - glycerol
    free = keep("mass", alkali) - used
    parts = (soap, left, glycerol, free, whole - soap - left - glycerol - free)
    return Shares(*(100 * part / whole for part in parts))
