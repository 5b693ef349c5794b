"""Settings from the options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sheetcheck.settings import Settings, from_mapping, load
from sheetcheck.words import Manner, speak, tr


def settings_from(file: Path | None, sheets: tuple[str, ...] = (), unit: str | None = None) -> Settings:
    """Return the settings of the file, with what the command line says laid over them; speak their language."""
    base = load(file) if file is not None else Settings()
    said: dict[str, Any] = {}
    if sheets:
        said["only_sheets"] = sheets
    if unit is not None:
        said["default_unit"] = unit
    settings = from_mapping(said, tr("on the command line"), base)
    speak(Manner(settings.language).voice())
    return settings
