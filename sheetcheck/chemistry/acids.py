"""Acids take up lye before the fats do; the salts made from them take up none."""

from collections.abc import Mapping

from numpy.typing import ArrayLike

from sheetcheck.chemistry.ranges import Floats, keep
from sheetcheck.reference import constants

# g NaOH that one gram may take up, by what the books say; how much of it happens in a batch is not known.
MAY_TAKE_UP: Mapping[str, float] = {
    "borax": 0.2098,  # Na2B4O7·10H2O (381.37 g/mol) + 2 NaOH -> 4 NaBO2 + 11 H2O, if all of it reacts
    "sodium silicate": 0.06,  # 20 parts of lye of 36 °Bé (29.93 %) on 100 parts; Thomssen 1922, pp. 50 and 73
}

# g NaOH that one gram of a salt of magnesium may bind: Mg(2+) + 2 NaOH -> Mg(OH)2, which hardly dissolves (solubility
# product about 6e-12, CRC Handbook, from memory). MgCl2·6H2O (203.30 g/mol) is the richest salt sold for baths;
# MgSO4·7H2O (246.47): 0.3246. What makes a scum of soap instead binds none. Lye is judged as if it bound none.
MAGNESIUM_BINDS = 0.3935


def naoh_per_g_of_acid(molar_mass: ArrayLike, acid_groups: ArrayLike) -> Floats:
    r"""Alkali that one gram of a pure acid takes up, as NaOH.

    .. math:: n = \frac{k \cdot M_{NaOH}}{M}

    Parameters
    ----------
    molar_mass
        Of the acid as weighed, with its crystal water [g/mol], any shape; 60 to 1500.
    acid_groups
        Protons that strong lye takes: 3 in citric acid, 1 in lactic, acetic, ascorbic and fatty acids and in baking
        soda, 2 in tartaric and malic acid.

    Returns
    -------
    Floats
        [g NaOH/g].

    References
    ----------
    Stoichiometry; molar masses from IUPAC standard atomic weights.

    Examples
    --------
    Citric acid, anhydrous:

    >>> round(float(naoh_per_g_of_acid(192.1238, 3)), 4)
    0.6246
    """
    return constants().naoh_molar_mass * keep("acid_groups", acid_groups) / keep("molecular_weight", molar_mass)


def naoh_taken_by(mass: ArrayLike, per_g: ArrayLike, strength: ArrayLike = 1.0) -> Floats:
    r"""Alkali that an acid, or a solution of one, takes up, as NaOH.

    .. math:: a = m \cdot n \cdot p

    Parameters
    ----------
    mass
        As weighed [g], any shape.
    per_g
        Taken up by one gram of the pure acid [g NaOH/g], as `naoh_per_g_of_acid`; 0 for sodium lactate and other
        salts.
    strength
        Share of pure acid, 0 to 1: 0.05 for vinegar of 5 %.

    Returns
    -------
    Floats
        [g NaOH].

    References
    ----------
    Stoichiometry: `naoh_per_g_of_acid`; strength as a share by mass.

    Examples
    --------
    A US cup of vinegar (238 g) of 5 % acetic acid:

    >>> round(float(naoh_taken_by(238, 0.66604, 0.05)), 2)
    7.93
    """
    return keep("mass", mass) * keep("mass", per_g) * keep("purity", strength)


def superfat_shift(mass: ArrayLike, per_g: ArrayLike, needed: ArrayLike, alkali: ArrayLike) -> Floats:
    r"""How far an acid moves superfat, the lye left as it is.

    .. math:: \Delta s = 100\,a \left(\frac{1}{a_0} - \frac{1}{a_0 + m\,n}\right)

    Parameters
    ----------
    mass, per_g
        As in `naoh_taken_by`; any shape.
    needed
        NaOH that all the rest takes up [g].
    alkali
        NaOH in the recipe [g].

    Returns
    -------
    Floats
        [percentage points], never negative.

    References
    ----------
    From the definition of superfat: `superfat.superfat_percent`.

    Examples
    --------
    20 g of citric acid, anhydrous, in a recipe that needs 140 g and has 133 g:

    >>> round(float(superfat_shift(20, 0.62455, 140, 133)), 1)
    7.8
    """
    rest = keep("positive", needed)
    return 100 * keep("mass", alkali) * (1 / rest - 1 / (rest + naoh_taken_by(mass, per_g)))
