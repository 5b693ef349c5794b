"""Published values, with their sources: tables in CSV beside this file, and the loader that gives them types.

To add a fat, a liquid, a limit: add a row. `tests/reference/` says at once if it does not hold together.
"""

from sheetcheck.reference.figures import (
    Caution,
    Constants,
    Limit,
    SolutionFigure,
    Source,
    cautions,
    constants,
    limits,
    solution_figures,
    sources,
)
from sheetcheck.reference.substances import LANGUAGES, Kind, Substance, name_index, spellings, substances

__all__ = [
    "LANGUAGES",
    "Caution",
    "Constants",
    "Kind",
    "Limit",
    "SolutionFigure",
    "Source",
    "Substance",
    "cautions",
    "constants",
    "limits",
    "name_index",
    "solution_figures",
    "sources",
    "spellings",
    "substances",
]
