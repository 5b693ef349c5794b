"""Memory goes back to the system when it is done with."""

from __future__ import annotations

import ctypes
from contextlib import suppress

_MMAP_THRESHOLD = -3  # M_MMAP_THRESHOLD of <malloc.h>
_LARGE = 1 << 20


def give_back_large_arrays() -> None:
    """Have the C library hand each large piece of memory back as soon as it is freed.

    Left to itself, glibc keeps more and more of them for later once the first were freed (mallopt(3), on its dynamic
    threshold): a book of a hundred thousand recipes then takes a quarter more memory. Other C libraries are left alone.
    """
    with suppress(AttributeError, OSError, TypeError):
        ctypes.CDLL(None).mallopt(_MMAP_THRESHOLD, _LARGE)


def give_back_freed() -> None:
    """Have the C library hand back what was freed in small pieces (malloc_trim(3)); between the stages of an audit."""
    with suppress(AttributeError, OSError, TypeError):
        ctypes.CDLL(None).malloc_trim(0)
