"""The help of commands and options in the maker's language: it stands in English where they are declared."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import typer
import typer.main

from sheetcheck.words import tr


def spoken(app: typer.Typer) -> Callable[[], Any]:
    """Return the command line with all its help in the language of the voice."""
    command = typer.main.get_command(app)
    _say(command)
    return command


def _say(shown: object) -> None:
    """Say the help of a command, of its options, and of all commands below it."""
    for name in ("help", "short_help", "show_default"):
        text = getattr(shown, name, None)
        if isinstance(text, str):
            setattr(shown, name, tr(text.strip()))
    for part in (*getattr(shown, "params", ()), *getattr(shown, "commands", {}).values()):
        _say(part)
