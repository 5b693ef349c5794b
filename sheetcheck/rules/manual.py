"""The manual of a rule, kept in the docstring of its file: the problem in one sentence, then four sections."""

from __future__ import annotations

import inspect
import re
from dataclasses import dataclass

HEADINGS = ("Why it matters", "Example", "What to do", "Source")

_HEADING = re.compile(r"^(\S.*)\n-{3,}$", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Manual:
    """What `explain`, the copy and the docs show of a rule; paragraphs are parted by a blank line."""

    problem: str
    why: str
    example: str
    what_to_do: str
    source: str

    def sections(self) -> tuple[tuple[str, str], ...]:
        """Heading and text of the four sections, in order."""
        return tuple(zip(HEADINGS, (self.why, self.example, self.what_to_do, self.source), strict=True))


def parse(docstring: str, where: str) -> Manual:
    """Read the manual out of a rule's docstring.

    Raises
    ------
    ValueError
        Naming `where`, if the headings are not those of `HEADINGS` in that order, or a part is empty.
    """
    problem, *rest = _HEADING.split(inspect.cleandoc(docstring))
    headings, texts = tuple(rest[::2]), rest[1::2]
    if headings != HEADINGS:
        raise ValueError(f"{where}: the manual's headings are {headings}, not {HEADINGS}")
    parts = [_unwrapped(text) for text in (problem, *texts)]
    if not all(parts):
        raise ValueError(f"{where}: a part of the manual is empty")
    return Manual(*parts)


def _unwrapped(text: str) -> str:
    """Join the lines of each paragraph."""
    return "\n\n".join(" ".join(paragraph.split()) for paragraph in text.strip().split("\n\n"))
