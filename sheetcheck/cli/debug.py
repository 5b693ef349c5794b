"""What only a maintainer wants to see: the way to a fault, and the warnings of the libraries below."""

from __future__ import annotations

import sys
import traceback
import warnings
from collections.abc import Iterable

from sheetcheck.faults import Fault

_wanted = False


def want() -> None:
    """Show it from now on: the option --debug."""
    global _wanted  # noqa: PLW0603 - one command is one process
    _wanted = True
    warnings.simplefilter("default")


def keep_warnings_quiet() -> None:
    """Keep what libraries warn of from the maker's terminal; it is nothing she could do anything about."""
    if not sys.warnoptions:
        warnings.simplefilter("ignore")


def tell_faults(faults: Iterable[Fault]) -> None:
    """Show the way to each fault of a part."""
    for fault in faults if _wanted else ():
        print(f"{fault.where}\n{fault.trace}", file=sys.stderr)  # noqa: T201 - what --debug is for


def tell_whole(error: BaseException) -> None:
    """Show the way to a fault that ended the command."""
    if _wanted:
        traceback.print_exception(error)
