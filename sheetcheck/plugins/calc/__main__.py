"""Answers a request of the extension in LibreOffice Calc: `python -m sheetcheck.plugins.calc REQUEST`; `--version`."""

import json
import sys
from pathlib import Path

from sheetcheck import __version__

if __name__ == "__main__":
    if sys.argv[1:] == ["--version"]:
        print(__version__)  # noqa: T201 - what `calc doctor` asks
    else:
        from sheetcheck.plugins.calc.answer import answer

        sys.stdout.buffer.write(json.dumps(answer(Path(sys.argv[1]))).encode())
