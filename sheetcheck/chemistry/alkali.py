"""Alkali: purity, NaOH for KOH and back, and what air does to it."""

import numpy as np
from numpy.typing import ArrayLike

from sheetcheck.chemistry.ranges import Floats, keep
from sheetcheck.reference import constants


def pure_mass(mass: ArrayLike, purity: ArrayLike) -> Floats:
    r"""Pure alkali in what is weighed out.

    .. math:: a = m \cdot p

    Parameters
    ----------
    mass
        As weighed [g], any shape.
    purity
        Share of pure alkali, 0 to 1, by what is stated on the pack; of a solution, its strength.

    Returns
    -------
    Floats
        [g].

    References
    ----------
    Definition of the assay, as in the United States Pharmacopeia, Sodium Hydroxide and Potassium Hydroxide.

    Examples
    --------
    >>> float(pure_mass(200, 0.85))
    170.0
    """
    return keep("mass", mass) * keep("purity", purity)


def weighed_mass(pure: ArrayLike, purity: ArrayLike) -> Floats:
    r"""Mass to weigh out for a mass of pure alkali; the inverse of `pure_mass`.

    .. math:: m = \frac{a}{p}

    Parameters
    ----------
    pure
        [g], any shape.
    purity
        Above 0, to 1.

    Returns
    -------
    Floats
        [g].

    References
    ----------
    As `pure_mass`.

    Examples
    --------
    >>> float(weighed_mass(170, 0.85))
    200.0
    """
    share = keep("purity", purity)
    return keep("mass", pure) / np.where(share > 0, share, np.nan)


def naoh_from_koh(koh: ArrayLike) -> Floats:
    r"""NaOH that does the work of a mass of KOH.

    .. math:: a_{NaOH} = a_{KOH} \frac{M_{NaOH}}{M_{KOH}}

    Parameters
    ----------
    koh
        Pure KOH [g], any shape.

    Returns
    -------
    Floats
        [g].

    References
    ----------
    Molar masses from IUPAC standard atomic weights.

    Examples
    --------
    >>> round(float(naoh_from_koh(100)), 2)
    71.29
    """
    return keep("mass", koh) * constants().naoh_per_koh


def koh_from_naoh(naoh: ArrayLike) -> Floats:
    r"""KOH that does the work of a mass of NaOH; the inverse of `naoh_from_koh`.

    .. math:: a_{KOH} = a_{NaOH} \frac{M_{KOH}}{M_{NaOH}}

    Parameters
    ----------
    naoh
        Pure NaOH [g], any shape.

    Returns
    -------
    Floats
        [g].

    References
    ----------
    Molar masses from IUPAC standard atomic weights.

    Examples
    --------
    >>> round(float(koh_from_naoh(100)), 2)
    140.27
    """
    return keep("mass", naoh) / constants().naoh_per_koh


def purity_after_ageing(
    purity: ArrayLike, moisture: ArrayLike, carbon_dioxide: ArrayLike, alkali: str = "NaOH"
) -> Floats:
    r"""Purity of an alkali that has stood in air and took up so much moisture and carbon dioxide.

    .. math:: p' = \frac{p - c \cdot 2 M_{alkali} / M_{CO_2}}{1 + m + c}

    Two NaOH and one CO2 become sodium carbonate, which does not make soap of fat, and water, which stays; so with KOH.

    Parameters
    ----------
    purity
        When fresh [g/g], any shape; 0 to 1.
    moisture, carbon_dioxide
        Taken up, `m` and `c` [g per g of what was there], broadcast against `purity`; not negative.
    alkali
        "NaOH" or "KOH".

    Returns
    -------
    Floats
        Share of the alkali in what there is now; NaN where more carbon dioxide is said to be taken up than it can take.

    References
    ----------
    Stoichiometry. Carbonate is titrated apart from NaOH in ISO 456 and ISO 684.

    Examples
    --------
    Pure NaOH that grew by 3 % in moisture and 2 % in carbon dioxide:

    >>> round(float(purity_after_ageing(1.0, 0.03, 0.02)), 3)
    0.918
    >>> round(float(purity_after_ageing(0.9, 0.03, 0.02, "KOH")), 3)
    0.809
    """
    fresh, water, gas = keep("purity", purity), keep("mass", moisture), keep("mass", carbon_dioxide)
    molar_mass = constants().naoh_molar_mass if alkali == "NaOH" else constants().koh_molar_mass
    per_gas = 2 * molar_mass / constants().carbon_dioxide_molar_mass
    return keep("purity", (fresh - per_gas * gas) / (1 + water + gas))


def purity_after_gain(purity: ArrayLike, gain: ArrayLike) -> tuple[Floats, Floats]:
    r"""Lowest and highest purity of NaOH that grew heavier in air: all carbon dioxide, or all moisture.

    .. math:: p'_{low} = p'(m = 0, c = g), \quad p'_{high} = p'(m = g, c = 0)

    Parameters
    ----------
    purity
        When fresh [g/g], any shape; 0 to 1.
    gain
        [g per g of what was there], as found on the scale.

    Returns
    -------
    tuple of Floats
        Lowest and highest share of NaOH in what there is now.

    References
    ----------
    Stoichiometry: `purity_after_ageing`.

    Examples
    --------
    A jar that went from 1000 g to 1050 g:

    >>> low, high = purity_after_gain(1.0, 0.05)
    >>> round(float(low), 3), round(float(high), 3)
    (0.866, 0.952)
    """
    nothing = np.zeros_like(np.asarray(gain, dtype=np.float64))
    return purity_after_ageing(purity, nothing, gain), purity_after_ageing(purity, gain, nothing)
