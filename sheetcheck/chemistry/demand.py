"""How much alkali fats and acids take up."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from sheetcheck.chemistry.ranges import Floats, keep
from sheetcheck.reference import constants

MG_PER_G = 1000.0


def naoh_per_g(saponification_value: ArrayLike) -> Floats:
    r"""Alkali that one gram of fat takes up, as NaOH.

    .. math:: n = \frac{SV}{1000} \cdot \frac{M_{NaOH}}{M_{KOH}}

    Parameters
    ----------
    saponification_value
        [mg KOH/g], any shape. Range 0 to 600: acetic acid, the lightest that counts, has 934 and is an acid, not a fat.

    Returns
    -------
    Floats
        [g NaOH/g fat], same shape; NaN outside the range.

    References
    ----------
    ISO 3657 (definition of the saponification value); molar masses from IUPAC standard atomic weights.

    Examples
    --------
    Lard of 195 mg KOH/g:

    >>> round(float(naoh_per_g(195)), 4)
    0.139
    """
    return keep("saponification_value", saponification_value) / MG_PER_G * constants().naoh_per_koh


def alkali_needed(mass: ArrayLike, saponification_value: ArrayLike, alkali: str = "NaOH") -> Floats:
    r"""Pure alkali that a mass of fat takes up completely.

    .. math:: a = m \cdot \frac{SV}{1000} \cdot \frac{M_{alkali}}{M_{KOH}}

    Parameters
    ----------
    mass
        Fat [g], any shape; not negative.
    saponification_value
        [mg KOH/g], broadcast against `mass`; 0 to 600.
    alkali
        "NaOH" or "KOH".

    Returns
    -------
    Floats
        Pure alkali [g]; NaN where either is unknown or outside its range.

    References
    ----------
    ISO 3657; E. G. Thomssen, Soap-Making Manual, 1922, p. 231 (the same sum by mean molecular weight).

    Examples
    --------
    60 oz of lard of 195 mg KOH/g take up 8.34 oz of NaOH (any unit of mass does):

    >>> round(float(alkali_needed(60, 195)), 2)
    8.34
    """
    as_naoh = keep("mass", mass) * naoh_per_g(saponification_value)
    return as_naoh if alkali == "NaOH" else as_naoh / constants().naoh_per_koh


def saponification_value_from_molecular_weight(molecular_weight: ArrayLike, acids: ArrayLike = 3) -> Floats:
    r"""Saponification value of a pure fat, ester or acid from its molecular weight.

    .. math:: SV = \frac{1000 \cdot k \cdot M_{KOH}}{M}

    Parameters
    ----------
    molecular_weight
        Of the whole molecule [g/mol], any shape; 60 to 1500.
    acids
        Acid groups `k`, bound or free, in the molecule: 3 in a triglyceride, 1 in a fatty acid.

    Returns
    -------
    Floats
        [mg KOH/g]; NaN outside the range.

    References
    ----------
    ISO 3657:2020 Annex B (calculation from composition).

    Examples
    --------
    Trilaurin, 639.0 g/mol:

    >>> round(float(saponification_value_from_molecular_weight(639.0)), 1)
    263.4
    """
    return keep(
        "saponification_value",
        MG_PER_G * np.asarray(acids) * constants().koh_molar_mass / keep("molecular_weight", molecular_weight),
    )


def saponification_value_by_titration(
    blank_ml: ArrayLike, sample_ml: ArrayLike, molarity: ArrayLike, mass: ArrayLike
) -> Floats:
    r"""Saponification value from a titration, and the acid value with a blank of what was used and a sample of none.

    .. math:: SV = \frac{(B - S) \cdot c \cdot M_{KOH}}{m}

    Parameters
    ----------
    blank_ml, sample_ml
        Acid used by the blank and by the sample [mL], any shape. For the acid value: alkali used, and 0.
    molarity
        Of that acid or alkali [mol/L].
    mass
        Fat weighed out [g].

    Returns
    -------
    Floats
        [mg KOH/g]; NaN where it comes out negative, above 600, or where no fat was weighed.

    References
    ----------
    ISO 3657; W. H. Simmons & H. A. Appleton, The Handbook of Soap Manufacture, 1908, p. 118.

    Examples
    --------
    The handbook's own: 1.8976 g, 25.6 and 18.95 mL of normal acid; acid value with 5.2 mL of N/10 alkali.

    >>> round(float(saponification_value_by_titration(25.6, 18.95, 1.0, 1.8976)), 1)
    196.6
    >>> round(float(saponification_value_by_titration(5.2, 0.0, 0.1, 1.8976)), 1)
    15.4
    """
    weighed = keep("mass", mass)
    used = np.asarray(blank_ml, dtype=np.float64) - np.asarray(sample_ml, dtype=np.float64)
    per_g = used * np.asarray(molarity) * constants().koh_molar_mass / np.where(weighed > 0, weighed, np.nan)
    return keep("saponification_value", per_g)


def saponification_value_of_blend(masses: ArrayLike, saponification_values: ArrayLike) -> Floats:
    r"""Saponification value of a blend: the mean of its fats, weighted by mass.

    .. math:: SV = \frac{\sum_i m_i SV_i}{\sum_i m_i}

    Parameters
    ----------
    masses
        [g], fats along the last axis.
    saponification_values
        [mg KOH/g], broadcast against `masses`.

    Returns
    -------
    Floats
        [mg KOH/g], without the last axis; NaN where any is unknown, or where the blend is empty.

    References
    ----------
    ISO 3657: the value is a mass of KOH per mass of fat, so it adds up by mass.

    Examples
    --------
    >>> round(float(saponification_value_of_blend([3, 1], [190, 258])), 1)
    207.0
    """
    weights = keep("mass", masses)
    total = weights.sum(axis=-1)
    taken = (weights * keep("saponification_value", saponification_values)).sum(axis=-1)
    return np.asarray(taken / np.where(total > 0, total, np.nan))


def oleic_percent(acid_value: ArrayLike) -> Floats:
    r"""Free fatty acid as oleic acid from the acid value.

    .. math:: f = \frac{100 \cdot AV \cdot M_{oleic}}{1000 \cdot M_{KOH}}

    Free fatty acids are part of the saponification value already: they take up no lye on top.

    Parameters
    ----------
    acid_value
        [mg KOH/g], any shape; 0 to 600.

    Returns
    -------
    Floats
        [% of the fat].

    References
    ----------
    Simmons & Appleton, 1908, p. 118.

    Examples
    --------
    >>> round(float(oleic_percent(15.3)), 1)
    7.7
    """
    oleic_molar_mass = 282.4621  # g/mol, C18H34O2, from IUPAC standard atomic weights
    return 100 * keep("saponification_value", acid_value) * oleic_molar_mass / (MG_PER_G * constants().koh_molar_mass)


def spread(distances: Sequence[ArrayLike]) -> Floats:
    r"""Distance from typical of a sum of independent terms: their distances combined in quadrature.

    .. math:: d = \sqrt{\sum_i d_i^2}

    Parameters
    ----------
    distances
        One array for each fat, all of one shape: mass times distance of its saponification value from typical. The
        same fat in two places is one term, its distances added first: it is not independent of itself.

    Returns
    -------
    Floats
        In the unit of the distances [g].

    References
    ----------
    JCGM 100:2008 (GUM), 5.1.2.

    Examples
    --------
    >>> float(spread([3.0, 4.0]))
    5.0
    """
    terms = [np.asarray(distance, dtype=np.float64) for distance in distances]
    return np.asarray(np.sqrt(sum((term**2 for term in terms), np.zeros(()))))
