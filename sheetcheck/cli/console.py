"""What is shown on a terminal: names from a workbook, or of one, never turn into a code that colours or moves it."""

from __future__ import annotations

import re
from typing import Any

import rich.console
from rich.text import Text

_CONTROLS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")  # all but tab and line end
_PICTURES = 0x2400  # SYMBOL FOR NULL and so on (Unicode, Control Pictures)


def visible(text: str) -> str:
    """Return a text whose control characters are pictures of themselves."""
    return _CONTROLS.sub(lambda found: chr(_PICTURES + ord(found[0])) if ord(found[0]) < ord(" ") else "�", text)


class Console(rich.console.Console):
    """A terminal on which a text is only ever a text."""

    def render_str(self, text: str, **how: Any) -> Text:  # noqa: ANN401 - whatever rich passes on
        """Render a text, as rich does wherever it meets one."""
        return super().render_str(visible(text), **how)
