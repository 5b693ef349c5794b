"""Volume of the batter: what has to fit into the moulds."""

import numpy as np
from numpy.typing import ArrayLike

from sheetcheck.chemistry.ranges import Floats, keep
from sheetcheck.chemistry.solution import density

ML_PER_CUBIC_INCH = 16.387064  # by definition: 2.54 cm cubed
GRAMS_PER_OUNCE = 28.349523125  # by definition of the international avoirdupois ounce
WATER_DENSITY = 0.9982  # g/mL at 20 °C; computed with IAPWS-95


def volume_of(mass: ArrayLike, density_g_per_ml: ArrayLike) -> Floats:
    r"""Volume of a mass.

    .. math:: V = \frac{m}{\rho}

    Parameters
    ----------
    mass
        [g], any shape.
    density_g_per_ml
        [g/mL], 0.5 to 3.

    Returns
    -------
    Floats
        [mL]; NaN where either is unknown.

    References
    ----------
    Definition of density.

    Examples
    --------
    >>> round(float(volume_of(1000, 0.915)))
    1093
    """
    return keep("mass", mass) / keep("density", density_g_per_ml)


def lye_volume(alkali: ArrayLike, water: ArrayLike, temperature: ArrayLike = 20.0, kind: str = "NaOH") -> Floats:
    r"""Volume of a lye of this much alkali and water.

    .. math:: V = \frac{a + w}{\rho(p, t)}

    Parameters
    ----------
    alkali, water
        Pure alkali and water [g], any shape; 5 to 50 % alkali.
    temperature
        [°C], 15 to 40.
    kind
        "NaOH" or "KOH".

    Returns
    -------
    Floats
        [mL]; NaN outside the ranges.

    References
    ----------
    `solution.density`.

    Examples
    --------
    >>> round(float(lye_volume(30, 70)), 1)
    75.4
    """
    lye = keep("mass", alkali) + keep("mass", water)
    percent = 100 * keep("mass", alkali) / np.where(lye > 0, lye, np.nan)
    return lye / density(percent, temperature, kind)


def batter_volume(fats: ArrayLike, lye: ArrayLike, rest: ArrayLike = 0.0) -> Floats:
    r"""Volume of the batter: its parts side by side.

    .. math:: V = V_{fats} + V_{lye} + V_{rest}

    Soap is a little denser than what it is made of, so the volume poured is what the mould must hold.

    Parameters
    ----------
    fats, lye, rest
        Volumes [mL], any shape.

    Returns
    -------
    Floats
        [mL].

    References
    ----------
    Volumes added; contraction neglected, which is on the safe side for a mould.

    Examples
    --------
    >>> float(batter_volume(1093.0, 322.0))
    1415.0
    """
    return keep("mass", fats) + keep("mass", lye) + keep("mass", rest)


def fats_per_cubic_inch(fat_density: ArrayLike, lye_per_fat: ArrayLike, lye_density: ArrayLike) -> Floats:
    r"""Ounces of fats for each cubic inch of mould.

    .. math:: f = \frac{16.387}{28.350} \cdot \frac{1}{1/\rho_f + r/\rho_l}

    Parameters
    ----------
    fat_density
        Of the fats [g/mL], any shape.
    lye_per_fat
        Lye, with its water, for each gram of fats [g/g].
    lye_density
        [g/mL].

    Returns
    -------
    Floats
        [oz/in³]. Common practice, no source, takes 0.40.

    References
    ----------
    Definitions of the inch and the avoirdupois ounce; densities of the published tables.

    Examples
    --------
    Olive oil, lye of 30 % for 5 % superfat:

    >>> round(float(fats_per_cubic_inch(0.913, 0.1287 / 0.30, 1.326)), 3)
    0.407
    """
    per_g = 1 / keep("density", fat_density) + keep("mass", lye_per_fat) / keep("density", lye_density)
    return ML_PER_CUBIC_INCH / GRAMS_PER_OUNCE / per_g
