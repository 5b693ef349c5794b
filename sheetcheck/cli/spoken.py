"""The help of commands and options in the maker's language: it stands in English where they are declared.

What is said of no book (help, manuals, the menu that is put into a spreadsheet program) is said in the language of the
system, where there is a catalogue for it. What is said of a book follows its settings alone: the same book and settings
give the same report on every machine.
"""

from __future__ import annotations

import locale
import os
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any, get_args

import typer
import typer.main

from sheetcheck.words import Voice, catalogue, languages, later, speak, tr

_SAYING_THE_LANGUAGE = ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG")  # GNU gettext manual, 2.3.2, in this order
_IN_WORDS: Mapping[Any, str] = {str: later("TEXT"), Path: later("FILE"), int: later("NUMBER"), bool: ""}
_OF_TYPER = (  # what typer itself says of its own options
    later("Show this message and exit."),
    later("Install completion for the current shell."),
    later("Show completion for the current shell, to copy it or customize the installation."),
)


def speak_as_the_system_does(environment: Mapping[str, str] = os.environ) -> None:
    """Speak the first language of the system that there is a catalogue for."""
    known = languages()
    language = next((wanted for wanted in _wanted(environment) if wanted in known), "en")
    speak(Voice(catalogue=catalogue(language)))


def _wanted(environment: Mapping[str, str]) -> Iterator[str]:
    """Yield the languages that the system is set to; in the locale "C" none is wanted, whatever else is said."""
    said = [environment[name] for name in _SAYING_THE_LANGUAGE if environment.get(name)]
    if any(name.partition(".")[0] in ("C", "POSIX") for name in said[-1:]):
        return
    for name in ":".join(said or _of_windows()).split(":"):
        yield name.partition("_")[0].partition(".")[0].lower()


def _of_windows() -> list[str]:
    if sys.platform != "win32":
        return []
    import ctypes

    return [locale.windows_locale.get(ctypes.windll.kernel32.GetUserDefaultUILanguage(), "")]


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
    parameters = [*getattr(shown, "params", ()), *_help_of(shown)]
    for parameter in parameters:
        _say_type(parameter)
    for part in (*parameters, *getattr(shown, "commands", {}).values()):
        _say(part)


def _help_of(command: Any) -> list[Any]:  # noqa: ANN401 - a command, in whichever version of typer
    """Return the option for help, which typer makes when it is asked for and then keeps."""
    if not hasattr(command, "get_help_option"):
        return []
    option = command.get_help_option(command.context_class(command))
    return [option] if option is not None else []


def _say_type(parameter: Any) -> None:  # noqa: ANN401 - what typer makes of a parameter, in whichever version
    """Say in a word what an option takes, where typer would say it in Python's words; of arguments the name says it."""
    descriptor = getattr(parameter, "type_descriptor", None)
    if parameter.param_type_name == "argument":
        if hasattr(parameter, "display_type_rich"):
            parameter.display_type_rich = _nothing
    elif parameter.metavar is None and descriptor is not None:
        of_one = next(iter(get_args(descriptor.annotation)), descriptor.annotation)
        word = _IN_WORDS.get(of_one)
        parameter.metavar = tr(word) if word else word


def _nothing(**_: object) -> None:
    return None
