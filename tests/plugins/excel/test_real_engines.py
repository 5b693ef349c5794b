"""xlwings' own engines: each in a process of its own, for the stand-ins of pywin32 and appscript must not stay."""

import subprocess
import sys
from pathlib import Path


def run(module: str, root: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", f"tests.plugins.excel.{module}"]
    return subprocess.run(command, cwd=root, capture_output=True, text=True, check=False, timeout=180)


def test_all_that_is_called_is_in_the_engines_for_windows_and_macos(root: Path) -> None:
    done = run("contract_probe", root)
    assert done.returncode == 0, done.stdout + done.stderr[-3000:]
    assert done.stdout.endswith("missing: []\n")


def test_the_engine_for_windows_over_stand_ins_for_com(root: Path) -> None:
    done = run("com_probe", root)
    assert "all is well" in done.stdout, done.stdout + done.stderr[-3000:]
    assert done.returncode == 0, done.stderr
