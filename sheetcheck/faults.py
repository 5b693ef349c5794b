"""A part's failure costs its part: a fault inside a rule, a slip, a sheet or a chart is kept, and the audit goes on.

What a part may not do is stop the others, and what it may not leave is silence: each fault has a sentence on what it
cost, without a word of the program's own language, and a line that a maintainer can use. Where nobody gathers faults
(a function called by itself, as tests do) an error is an error.
"""

from __future__ import annotations

import traceback
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import wraps
from pathlib import Path
from typing import ParamSpec, TypeVar

from sheetcheck.errors import SheetcheckError
from sheetcheck.words import tr

_PACKAGE = Path(__file__).parent
_MOST = 1_000  # faults that are kept in full: a fault of every row would fill the memory

P = ParamSpec("P")
T = TypeVar("T")
V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Fault:
    """What went wrong inside a part.

    Parameters
    ----------
    cost
        What it cost, for the maker.
    where
        For a maintainer: the part, what was raised and where.
    trace
        The whole way there. No error itself is kept: it would keep all that it passed through.
    """

    cost: str
    where: str
    trace: str


_gathered: ContextVar[list[Fault] | None] = ContextVar("faults", default=None)


@contextmanager
def gathering() -> Iterator[list[Fault]]:
    """Gather the faults of all parts inside."""
    faults: list[Fault] = []
    token = _gathered.set(faults)
    try:
        yield faults
    finally:
        _gathered.reset(token)


def told(faults: Iterable[Fault]) -> tuple[str, ...]:
    """Return what some faults cost, each loss once."""
    return tuple(dict.fromkeys(fault.cost for fault in faults))


@contextmanager
def part(name: str, cost: str) -> Iterator[None]:
    """Do a part of the work; where it fails, keep the fault and go on after it.

    Parameters
    ----------
    name
        Of the part, for a maintainer: "rule free-lye".
    cost
        What is missing without it, for the maker.
    """
    try:
        yield
    except Exception as error:  # noqa: BLE001 - kept as a fault, or raised again
        keep(error, name, cost)


def otherwise(value: V, cost: str) -> Callable[[Callable[P, T]], Callable[P, T | V]]:
    """Have a function that fails give `value` instead: a part whose name is that of the function."""

    def of_part(do: Callable[P, T]) -> Callable[P, T | V]:
        @wraps(do)
        def done(*given: P.args, **named: P.kwargs) -> T | V:
            with part(do.__name__.strip("_"), tr(cost)):
                return do(*given, **named)
            return value

        return done

    return of_part


def keep(error: Exception, name: str, cost: str) -> None:
    """Keep an error as a fault; raise it again where nobody gathers faults, or where no part could help it.

    A fault of the file has a sentence of its own, and without memory nothing can go on.
    """
    faults = _gathered.get()
    if faults is None or isinstance(error, SheetcheckError | MemoryError):
        raise error
    if len(faults) < _MOST:
        faults.append(fault_of(error, name, cost))


def fault_of(error: BaseException, name: str, cost: str) -> Fault:
    """Describe an error, without keeping it."""
    trace = "".join(traceback.format_exception(error))
    return Fault(cost, f"{name}: {type(error).__name__} in {place_of(error)}", trace)


def place_of(error: BaseException) -> str:
    """Say where in this package an error came from: "repairs/row.py, line 88"."""
    frames = traceback.extract_tb(error.__traceback__)
    own = [frame for frame in frames if Path(frame.filename).is_relative_to(_PACKAGE)]
    if not frames:
        return "?"
    last = (own or frames)[-1]
    path = Path(last.filename)
    return f"{path.relative_to(_PACKAGE) if own else path.name}, line {last.lineno}"


def in_halves(
    numbers: Sequence[int], attempt: Callable[[Sequence[int]], T], *, most: int = 64
) -> tuple[list[T], list[int]]:
    """Do something for many recipes at once; where that fails, for each half of them, down to those it fails with.

    Returns
    -------
    results, failed
        What was done for parts of `numbers`, in their order; the numbers it could not be done for. After `most`
        attempts what is left counts as failed.
    """
    waiting, results = [numbers], []
    failed: list[int] = []
    for _ in range(most):
        if not waiting:
            break
        some = waiting.pop()
        try:
            results.append(attempt(some))
        except (SheetcheckError, MemoryError):
            raise
        except Exception:  # noqa: BLE001 - whoever calls has kept the first one
            middle = len(some) // 2
            if len(some) < 2:
                failed += some
            else:
                waiting += [some[middle:], some[:middle]]
    return results, sorted([*failed, *(number for some in waiting for number in some)])
