"""Answers a request of the extension in LibreOffice Calc: `python -m sheetcheck.plugins.calc REQUEST`."""

import json
import sys
from pathlib import Path

from sheetcheck.plugins.calc.answer import answer

if __name__ == "__main__":
    sys.stdout.buffer.write(json.dumps(answer(Path(sys.argv[1]))).encode())
