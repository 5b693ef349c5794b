"""How hot lye can become: an upper bound, with nothing lost to the jug and the air."""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from sheetcheck.chemistry.ranges import Floats, keep
from sheetcheck.reference import constants, solution_figures

LATENT_HEAT_OF_ICE = 333.6  # kJ/kg, melting at 0 °C; CRC Handbook, from memory
CAUTION = (
    "Lye can come near boiling, beyond what common plastics stand: lye into cold liquid, never liquid into lye, a "
    "little at a time, in stainless steel, with goggles and gloves on and the window open."
)


def heat_of_solution(percent: ArrayLike) -> Floats:
    r"""Heat given off when NaOH dissolves in water at 25 °C.

    .. math:: q = \frac{-\Delta H_s(n)}{M_{NaOH}}, \quad n = \frac{(1 - p)\,M_{NaOH}}{p\,M_{H_2O}}

    Parameters
    ----------
    percent
        NaOH in the lye that comes out [% by mass], any shape; 10 to 42.5.

    Returns
    -------
    Floats
        [kJ/kg NaOH]; NaN outside the range.

    References
    ----------
    R. M. Felder & R. W. Rousseau, Elementary Principles of Chemical Processes, Table B.11 (the value at 4 mol water
    per mol as seen in a solved problem, the others from memory); in a straight line between them by mol of water.

    Examples
    --------
    4 mol of water for each mol of NaOH:

    >>> round(float(heat_of_solution(35.69)))
    861
    """
    moles, heats = _heats()
    share = keep("heat_percent", percent) / 100
    water = (1 - share) / constants().water_molar_mass / (share / constants().naoh_molar_mass)
    return np.interp(water, moles, heats) / constants().naoh_molar_mass * 1000


def hottest_lye(percent: ArrayLike, start_temperature: ArrayLike = 20.0, ice: ArrayLike = 0.0) -> Floats:
    r"""Temperature that a lye can reach at most, all the heat of solution kept in it.

    .. math:: t = t_0 + \frac{p\,q - (1 - p)\,i\,L}{c_p}

    Parameters
    ----------
    percent
        NaOH in the lye [% by mass], any shape; 10 to 42.5.
    start_temperature
        Of water and NaOH [°C], broadcast; 0 to 60. With ice, that of the water and ice: 0.
    ice
        Share of the water that is frozen, 0 to 1.

    Returns
    -------
    Floats
        [°C], an upper bound: an open jug loses heat while it is stirred. NaN outside the ranges. Above the boiling
        point of the lye, a little over 100 °C, it boils and spits instead.

    References
    ----------
    Heat of solution: `heat_of_solution`. Heat capacity at 25 °C: M. Laliberté, J. Chem. Eng. Data 54 (2009) 1725.

    Examples
    --------
    31 % in water of 20 °C; the same water half frozen:

    >>> round(float(hottest_lye(31)))
    102
    >>> round(float(hottest_lye(31, 0, 0.5)))
    50
    """
    percents, capacities = _heat_capacities()
    share = keep("heat_percent", percent) / 100
    capacity = np.interp(100 * share, percents, capacities)
    melting = (1 - share) * keep("share", ice) * LATENT_HEAT_OF_ICE
    return keep("start_temperature", start_temperature) + (share * heat_of_solution(percent) - melting) / capacity


@cache
def _heats() -> tuple[Floats, Floats]:
    """Return mol of water per mol of NaOH, ascending, and the heat given off [kJ/mol NaOH]."""
    figures = sorted(solution_figures("heat of solution"), key=lambda figure: figure.x)
    return np.array([f.x for f in figures]), np.array([-f.value for f in figures])


@cache
def _heat_capacities() -> tuple[Floats, Floats]:
    """Return strengths [%], ascending, and heat capacities of the lye [kJ/(kg K)]."""
    figures = sorted(solution_figures("heat capacity"), key=lambda figure: figure.x)
    return np.array([f.x for f in figures]), np.array([f.value for f in figures])
