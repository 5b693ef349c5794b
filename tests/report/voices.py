"""A language for tests: English in capitals, parts in braces left as they are."""

import gettext
import re

_PART = re.compile(r"(\{[^}]*\})")


class Shouting(gettext.NullTranslations):
    """Says everything in capitals."""

    def gettext(self, message: str) -> str:
        return "".join(part if part.startswith("{") else part.upper() for part in _PART.split(message))

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)
