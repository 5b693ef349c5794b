"""Text as typed made comparable: spaces, dashes, fractions, case, accents, punctuation."""

import re
import unicodedata
from functools import lru_cache

_SAME_MEANING = str.maketrans(
    {
        **dict.fromkeys("‐‑‒–—―−﹣－", "-"),
        **dict.fromkeys("’‘ʼ′`´＇", "'"),
        **dict.fromkeys("“”„″", '"'),
        **dict.fromkeys("º˚", "°"),
        "⁄": "/",
        "∕": "/",
        "≈": "~",
        "³": "3",  # cm³
        "∼": "~",
    }
)
_OWN_LETTERS = str.maketrans({"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d"})
_WORDS = re.compile(r"[^\W_]+|[%#£$€]")


def clean(text: str) -> str:
    """Write a text with plain spaces, dashes, quotes and fractions (`9½` is `9 1/2`); case and accents stay."""
    if text.isascii():
        plain = " ".join(text.split())
        return text if plain == text else plain  # one object for what stands in a cell and what is kept of it
    plain = "".join(_plain(character) for character in text.translate(_SAME_MEANING))
    return " ".join(unicodedata.normalize("NFKC", plain).translate(_SAME_MEANING).split())


def as_written(text: str) -> str:
    """Return a text in its own characters (`n.º 2`, `Anna’s`), but those that nobody sees, with plain spaces."""
    seen = (" " if c.isspace() else c for c in text if c.isspace() or unicodedata.category(c) not in ("Cf", "Cc"))
    return " ".join("".join(seen).split())


def _plain(character: str) -> str:
    category = unicodedata.category(character)
    if category == "Cf":  # zero-width characters, soft hyphens, direction marks
        return ""
    if category != "No":
        return character
    spelled = unicodedata.normalize("NFKC", character).replace("⁄", "/")
    if spelled == character:
        return character
    return f" {spelled}" if "/" in spelled else f"^{spelled}"  # ½ is a number; ² and ① are marks on something


def fold_letters(text: str) -> str:
    """Fold case and accents letter by letter, so that every letter keeps its place."""
    return text.lower() if text.isascii() else "".join(map(_base_letter, text))


@lru_cache(maxsize=4096)
def _base_letter(character: str) -> str:
    lower = unicodedata.normalize("NFKD", character)[0].lower()
    return lower if len(lower) == 1 else character


@lru_cache(maxsize=8192)
def fold(text: str) -> str:
    """Fold a text to what two spellings of the same words share: lower case, no accents, words with single spaces.

    `Huile d'olive (BIO)` is `huile d olive bio`. The signs `%`, `#` and those of money stand as words of their own.
    """
    bare = clean(text).lower()
    if not bare.isascii():
        spelled = unicodedata.normalize("NFKD", bare.translate(_OWN_LETTERS))
        bare = "".join(c for c in spelled if not unicodedata.combining(c))
    return " ".join(_WORDS.findall(bare))


_MASS_OF = re.compile(r"^\s*(?:(?P<sum>Σ|∑)\s*)?[mMwW]\s*\((?P<what>[^()]+(?:\([^()]*\))?[^()]*)\)")


def quantity_of(text: str) -> str:
    """Return what a quantity is of, where it is written as in a laboratory (ISO 80000-9): `m(NaOH) / g` is `NaOH / g`.

    >>> quantity_of("Σ m(fats) / g"), quantity_of("Lye (g)")
    ('total fats / g', 'Lye (g)')
    """
    mass = _MASS_OF.match(text)
    if mass is None:
        return text
    return f"{'total ' if mass['sum'] else ''}{mass['what']}{text[mass.end() :]}"


def words(text: str) -> tuple[str, ...]:
    """Return the folded words of a text."""
    return tuple(fold(text).split())
