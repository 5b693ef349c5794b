"""Settings from the options that several commands share."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from sheetcheck.errors import SettingError
from sheetcheck.settings import Settings, from_mapping, load
from sheetcheck.words import Voice, catalogue, speak, tr


def meanings_from(said: Sequence[str]) -> dict[str, str]:
    """Return what words were said to mean: "OO=olive oil". Raises SettingError."""
    from sheetcheck.reading.answers import ROLES, understood

    meanings = {}
    for answer in said:
        word, _, meaning = (part.strip() for part in answer.rpartition("="))
        meant = understood(meaning)
        if not word:
            raise SettingError(f"--answer {answer}", tr("should be a word and what it means: “OO=olive oil”"))
        if meant is None:
            roles = ", ".join(tr(role) for role in ROLES)
            raise SettingError(
                f"--answer {answer}",
                tr("“{meaning}” is no ingredient that is known, and none of: {roles}", meaning=meaning, roles=roles),
            )
        meanings[word] = meant
    return meanings


def settings_from(
    file: Path | None, sheets: tuple[str, ...] = (), unit: str | None = None, paper: str | None = None
) -> Settings:
    """Return the settings of the file, with what the command line says laid over them; speak their language."""
    base = load(file) if file is not None else Settings()
    said: dict[str, Any] = {}
    if sheets:
        said["only_sheets"] = sheets
    if unit is not None:
        said["default_unit"] = unit
    if paper is not None:
        said["paper"] = paper
    settings = from_mapping(said, tr("on the command line"), base)
    speak(Voice(catalogue=catalogue(settings.language)))
    return settings
