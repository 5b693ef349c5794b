"""The surroundings that other programs are started in: as if there were no virtual environment and no frozen build.

LibreOffice brings or borrows a Python of its own and crashes on another's paths; a browser started from a frozen build
must not be handed the build's libraries.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

_OF_PYTHON = ("PYTHONHOME", "PYTHONPATH", "PYTHONSTARTUP", "VIRTUAL_ENV", "VIRTUAL_ENV_PROMPT", "__PYVENV_LAUNCHER__")
_LIBRARIES = ("LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH", "LIBPATH")  # which PyInstaller keeps the old value of, "…_ORIG"


def surroundings(mine: Mapping[str, str] | None = None, *, frozen: bool | None = None) -> dict[str, str]:
    """Return the environment for another program.

    Parameters
    ----------
    mine
        The environment of this process where None.
    frozen
        Whether this is a frozen build; found out where None.
    """
    env = dict(os.environ if mine is None else mine)
    own = _own_folders(env)
    for name in _OF_PYTHON:
        env.pop(name, None)
    if "PATH" in env:
        env["PATH"] = os.pathsep.join(p for p in env["PATH"].split(os.pathsep) if _real(p) not in own)
    if getattr(sys, "frozen", False) if frozen is None else frozen:
        for name in _LIBRARIES:
            env.pop(name, None)
            if (before := env.pop(f"{name}_ORIG", None)) is not None:
                env[name] = before
        env = {name: value for name, value in env.items() if not name.startswith("_PYI_")}
    return env


@contextmanager
def for_other_programs() -> Iterator[None]:
    """Have this process's environment be that of other programs, for a library that starts one."""
    before = dict(os.environ)
    _become(surroundings())
    try:
        yield
    finally:
        _become(before)


def _become(env: Mapping[str, str]) -> None:
    for name in set(os.environ) - set(env):
        del os.environ[name]
    os.environ.update(env)


def _own_folders(env: Mapping[str, str]) -> set[str]:
    """Return the folders of programs of the virtual environments that are active, and of the one we run in."""
    roots = [env["VIRTUAL_ENV"]] if env.get("VIRTUAL_ENV") else []
    if sys.prefix != sys.base_prefix:
        roots.append(sys.prefix)
    return {_real(str(Path(root) / folder)) for root in roots for folder in ("bin", "Scripts")}


def _real(path: str) -> str:
    return os.path.normcase(os.path.realpath(path)) if path else ""
