"""Lye as a solution: density, and strength by degrees Baumé or Twaddell or by specific gravity."""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from sheetcheck.chemistry.ranges import Floats, keep
from sheetcheck.reference import solution_figures

BAUME_MODULUS = 145.0  # American scale for liquids heavier than water, 60 °F; from memory
TWADDELL_PER_GRAVITY = 200.0  # degrees for each unit of specific gravity, by definition
WATER_DENSITY_60F = 0.99902  # g/mL at 15.56 °C, the unit of these scales; computed with IAPWS-95
SCALE_TEMPERATURE = 15.56  # °C: 60 °F, at which these scales hold


def density(percent: ArrayLike, temperature: ArrayLike = 20.0, alkali: str = "NaOH") -> Floats:
    r"""Density of a solution of alkali, between the published values in a straight line.

    .. math:: \rho(p, t) = \rho_i + (p - p_i) \frac{\rho_{i+1} - \rho_i}{p_{i+1} - p_i}

    Parameters
    ----------
    percent
        Pure alkali [% by mass], any shape; 5 to 51.5, from 50 on in a straight line.
    temperature
        [°C], broadcast against `percent`; 15 to 40.
    alkali
        "NaOH" or "KOH".

    Returns
    -------
    Floats
        [g/mL]; NaN outside the ranges.

    References
    ----------
    M. Laliberté, J. Chem. Eng. Data 54 (2009) 1725, evaluated at 5, 10, … 50 % and 15, 20, 25, 30, 40 °C.

    Examples
    --------
    >>> round(float(density(30, 20)), 3)
    1.326
    """
    grid = _densities(alkali)
    return _between(keep("percent", percent), grid.percents, grid.at(keep("temperature", temperature)))


def percent_by_specific_gravity(
    specific_gravity: ArrayLike, temperature: ArrayLike = SCALE_TEMPERATURE, alkali: str = "NaOH"
) -> Floats:
    r"""Strength of a lye by its specific gravity; the inverse of `density`.

    .. math:: \rho(p, t) = SG \cdot \rho_{water}(60\,°F)

    Parameters
    ----------
    specific_gravity
        As a hydrometer for 60/60 °F shows it, any shape; 1 to 1.53.
    temperature
        Of the lye [°C], broadcast; 15 to 40. A warm lye is lighter: unless that is allowed for, it seems weaker.
    alkali
        "NaOH" or "KOH".

    Returns
    -------
    Floats
        [% by mass], 5 to 51.5; NaN outside.

    References
    ----------
    As `density`.

    Examples
    --------
    >>> round(float(percent_by_specific_gravity(1.330)), 1)
    30.2
    >>> round(float(percent_by_specific_gravity(1.330, 40)), 1)
    31.0
    """
    grid = _densities(alkali)
    wanted = keep("specific_gravity", specific_gravity) * WATER_DENSITY_60F
    found = _between(wanted, grid.at(keep("temperature", temperature)), grid.percents)
    return keep("percent", np.round(found, 9))


def specific_gravity_by_baume(baume: ArrayLike, modulus: float = BAUME_MODULUS) -> Floats:
    r"""Specific gravity by degrees Baumé, for liquids heavier than water.

    .. math:: SG = \frac{m}{m - °Bé}

    Parameters
    ----------
    baume
        [°Bé], any shape; 0 to 50.
    modulus
        145 on the American scale, 144.3 on the European one.

    Returns
    -------
    Floats
        At 60/60 °F.

    References
    ----------
    US National Bureau of Standards scale, from memory; the European modulus fitted to Simmons & Appleton, 1908,
    Appendix A.

    Examples
    --------
    >>> round(float(specific_gravity_by_baume(36)), 4)
    1.3303
    """
    return modulus / (modulus - keep("baume", baume))


def baume_by_specific_gravity(specific_gravity: ArrayLike, modulus: float = BAUME_MODULUS) -> Floats:
    r"""Degrees Baumé by specific gravity; the inverse of `specific_gravity_by_baume`.

    .. math:: °Bé = m - \frac{m}{SG}

    Parameters
    ----------
    specific_gravity
        At 60/60 °F [g/g], any shape; 1 to 1.53.
    modulus
        As there.

    Returns
    -------
    Floats
        [°Bé].

    References
    ----------
    As `specific_gravity_by_baume`.

    Examples
    --------
    >>> round(float(baume_by_specific_gravity(1.3303)), 1)
    36.0
    """
    return modulus - modulus / keep("specific_gravity", specific_gravity)


def specific_gravity_by_twaddell(twaddell: ArrayLike) -> Floats:
    r"""Specific gravity by degrees Twaddell.

    .. math:: SG = 1 + \frac{°Tw}{200}

    Parameters
    ----------
    twaddell
        [°Tw], any shape; 0 to 100.

    Returns
    -------
    Floats
        At 60/60 °F.

    References
    ----------
    By definition; Simmons & Appleton, 1908, Appendix C (72 °Tw is 1.360).

    Examples
    --------
    >>> round(float(specific_gravity_by_twaddell(72)), 3)
    1.36
    """
    return 1 + keep("twaddell", twaddell) / TWADDELL_PER_GRAVITY


def percent_by_baume(
    baume: ArrayLike, temperature: ArrayLike = SCALE_TEMPERATURE, alkali: str = "NaOH", modulus: float = BAUME_MODULUS
) -> Floats:
    r"""Strength of a lye by degrees Baumé, by way of its density.

    .. math:: p = p\left(\frac{m}{m - °Bé}, t\right)

    Parameters
    ----------
    baume
        [°Bé], any shape; about 8 to 48 for NaOH.
    temperature
        Of the lye [°C], 15 to 40.
    alkali
        "NaOH" or "KOH".
    modulus
        As in `specific_gravity_by_baume`.

    Returns
    -------
    Floats
        [% by mass], 5 to 51.5; NaN outside.

    References
    ----------
    `specific_gravity_by_baume`, then `percent_by_specific_gravity`.

    Examples
    --------
    >>> round(float(percent_by_baume(36)), 1)
    30.2
    """
    return percent_by_specific_gravity(specific_gravity_by_baume(baume, modulus), temperature, alkali)


def percent_by_twaddell(
    twaddell: ArrayLike, temperature: ArrayLike = SCALE_TEMPERATURE, alkali: str = "NaOH"
) -> Floats:
    r"""Strength of a lye by degrees Twaddell, by way of its density.

    .. math:: p = p\left(1 + \frac{°Tw}{200}, t\right)

    Parameters
    ----------
    twaddell
        [°Tw], any shape; about 12 to 100 for NaOH.
    temperature
        Of the lye [°C], 15 to 40.
    alkali
        "NaOH" or "KOH".

    Returns
    -------
    Floats
        [% by mass], 5 to 51.5; NaN outside.

    References
    ----------
    `specific_gravity_by_twaddell`, then `percent_by_specific_gravity`.

    Examples
    --------
    >>> round(float(percent_by_twaddell(72)), 1)
    33.1
    """
    return percent_by_specific_gravity(specific_gravity_by_twaddell(twaddell), temperature, alkali)


def percent_by_old_table(baume: ArrayLike, alkali: str = "NaOH") -> Floats:
    r"""Strength of a lye by degrees Baumé as a handbook of 1922 prints it: for recipes of that time.

    .. math:: p = p_i + (°Bé - °Bé_i) \frac{p_{i+1} - p_i}{°Bé_{i+1} - °Bé_i}

    Parameters
    ----------
    baume
        [°Bé], any shape; 1 to 50.
    alkali
        "NaOH" or "KOH".

    Returns
    -------
    Floats
        [% by mass]; within one point of the strength by density up to 45 °Bé for NaOH, up to two for KOH.

    References
    ----------
    E. G. Thomssen, Soap-Making Manual, 1922, p. 234.

    Examples
    --------
    >>> round(float(percent_by_old_table(36)), 2)
    29.93
    """
    figures = solution_figures("content by degrees Baume", alkali)
    degrees = np.array([figure.x for figure in figures])
    contents = np.array([figure.value for figure in figures])
    order = np.argsort(degrees)
    found = np.interp(keep("baume", baume), degrees[order], contents[order], left=np.nan, right=np.nan)
    return np.asarray(found, dtype=np.float64)


class _Grid:
    """Published densities [g/mL], a row for each temperature [°C] and a column for each strength [%]."""

    def __init__(self, alkali: str) -> None:
        figures = [f for f in solution_figures("density", alkali) if f.source == "laliberte-2009"]
        self.percents = np.unique([f.x for f in figures])
        self.temperatures = np.unique([f.temperature for f in figures])
        found = {(f.temperature, f.x): f.value for f in figures}
        self.values = np.array([[found[t, x] for x in self.percents] for t in self.temperatures])

    def at(self, temperature: Floats) -> Floats:
        """Return the densities at each temperature, strengths along a last axis that is added."""
        upper = np.clip(np.searchsorted(self.temperatures, temperature), 1, len(self.temperatures) - 1)
        low, high = self.temperatures[upper - 1], self.temperatures[upper]
        part = ((temperature - low) / (high - low))[..., None]
        return np.asarray(self.values[upper - 1] + part * (self.values[upper] - self.values[upper - 1]))


@cache
def _densities(alkali: str) -> _Grid:
    return _Grid(alkali)


def _between(x: Floats, known: Floats, values: Floats) -> Floats:
    """Interpolate at each `x` along the last axis of `known` and `values`, in a straight line beyond their ends."""
    shape = np.broadcast_shapes(x.shape, known.shape[:-1], values.shape[:-1])
    x = np.broadcast_to(x, shape)
    known, values = (np.broadcast_to(table, (*shape, table.shape[-1])) for table in (known, values))
    upper = np.clip((known < x[..., None]).sum(axis=-1), 1, known.shape[-1] - 1)[..., None]
    (x0, x1), (y0, y1) = (
        [np.take_along_axis(table, at, axis=-1)[..., 0] for at in (upper - 1, upper)] for table in (known, values)
    )
    return np.asarray(y0 + (x - x0) / (x1 - x0) * (y1 - y0))
