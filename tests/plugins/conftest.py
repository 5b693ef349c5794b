"""Tests that drive LibreOffice over UNO run in a process of their own, one for each module.

UNO's library ends the whole process when an object is so much as shown whose LibreOffice has gone, as pytest does to
explain a failure: without this, one failed test would take all others of its worker along. To run some of them alone:

    SHEETCHECK_OVER_UNO=here pytest tests/plugins/calc/test_calc.py -k password
"""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

HERE = "SHEETCHECK_OVER_UNO"
_DRIVES_OFFICE = "from tests.plugins.office import"
_LONGEST_SECONDS = 900
# Without Python's own way out, on which the threads of UNO are sometimes still at work.
_RUN = "import os, pytest, sys; status = pytest.main(sys.argv[1:]); sys.stdout.flush(); os._exit(status)"


def pytest_pycollect_makemodule(module_path: Path, parent: pytest.Collector) -> pytest.Collector | None:
    """Put one test in the place of all that a module holds, if it drives LibreOffice."""
    if os.environ.get(HERE) or _DRIVES_OFFICE not in module_path.read_text(encoding="utf-8"):
        return None
    module: pytest.Collector = _Module.from_parent(parent, path=module_path)
    return module


class _Module(pytest.File):
    def collect(self) -> Iterator[pytest.Item]:
        yield _InOwnProcess.from_parent(self, name="over_uno")


class _InOwnProcess(pytest.Item):
    def runtest(self) -> None:
        command = [sys.executable, "-c", _RUN, str(self.path), "-q", "-rs", "-p", "no:cacheprovider", "-p", "no:xdist"]
        done = subprocess.run(
            command,
            cwd=self.config.rootpath,
            env={**os.environ, HERE: "here"},
            capture_output=True,
            text=True,
            check=False,
            timeout=_LONGEST_SECONDS,
        )
        if done.returncode != 0:
            pytest.fail(f"{done.stdout[-6000:]}\n{done.stderr[-3000:]}", pytrace=False)
        if " passed" not in done.stdout:
            pytest.skip(done.stdout[-300:])

    def reportinfo(self) -> tuple[Path, int, str]:
        return self.path, 0, f"{self.path.name}, in a process of its own"
