"""Makes a folder and a single file that start without Python: `python -m tests.frozen.build [OUT]`.

PyInstaller builds for the system that it runs on. On Debian this is run in CI, and what comes out is tried; on Windows
and macOS the same lines are meant to serve, and have not been run there.

The build is made from an environment of its own, with what users install and nothing of the tests.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

ROOT = Path(__file__).parents[2]
NAME = "sheetcheck"
PYINSTALLER = "pyinstaller>=6.11"
# What is never reached: tests and drawing of the libraries, other front ends, what packages are made with.
LEFT_OUT = (
    "IPython", "matplotlib", "numpy.f2py", "numpy.testing", "numpy.tests", "pandas.plotting._matplotlib",
    "pandas.tests", "PIL", "pip", "pyarrow", "pytest", "setuptools", "sqlite3",
    "tkinter", "wheel", "lxml.isoschematron", "lxml.html", "lxml.objectify", "joblib.test",
    "rapidfuzz.fuzz_cpp_avx2", "rapidfuzz.distance.metrics_cpp_avx2",  # the plain ones serve
    "pygments.lexers", "numpy.fft", "numpy.polynomial", "readline", "doctest",
)  # fmt: skip
NEEDED_LATE = (  # modules that nothing names in an import, or only a command line does
    "sheetcheck",
    "joblib.externals.loky",
    "uvicorn.protocols.http",
    "uvicorn.loops",
)
EXTENSION = "sheetcheck/plugins/calc/extension"  # of LibreOffice: its modules are files to copy, not to import


def build(out: Path) -> tuple[Path, Path]:
    """Build both into a folder; return the program in its folder, and the single file."""
    with tempfile.TemporaryDirectory(prefix="sheetcheck-build-") as folder:
        python = _environment(Path(folder) / "venv")
        for how, place in (("--onedir", out / "folder"), ("--onefile", out / "file")):
            _run(
                python,
                "-m",
                "PyInstaller",
                *_options(Path(folder), python),
                how,
                "--distpath",
                str(place),
                str(_entry()),
            )
    suffix = ".exe" if sys.platform == "win32" else ""
    return out / "folder" / NAME / f"{NAME}{suffix}", out / "file" / f"{NAME}{suffix}"


def _environment(folder: Path) -> Path:
    """Make an environment with the package as users get it, and PyInstaller."""
    venv.create(folder, with_pip=True)
    python = folder / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")
    _run(python, "-m", "pip", "install", "-q", str(ROOT), PYINSTALLER)
    _strip(folder)
    return python


def _strip(folder: Path) -> None:
    """Take the symbols out of libraries; those in folders of their own do not load without."""
    strip = shutil.which("strip") if sys.platform == "linux" else None
    libraries = [str(p) for p in folder.rglob("*.so") if not p.parent.name.endswith(".libs")]
    if strip is not None:
        subprocess.run([strip, "--strip-unneeded", *libraries], check=True)


def _options(work: Path, python: Path) -> list[str]:
    where = "import sysconfig; print(sysconfig.get_path('purelib'))"
    packages = subprocess.run([str(python), "-c", where], check=True, capture_output=True, text=True).stdout.strip()
    options = ["--noconfirm", "--clean", "--log-level", "WARN", "--name", NAME, "--console"]
    options += ["--workpath", str(work / "work"), "--specpath", str(work), "--collect-data", "sheetcheck"]
    options += ["--add-data", f"{packages}/{EXTENSION}:{EXTENSION}"]
    for module in NEEDED_LATE:
        options += ["--collect-submodules", module]
    for module in LEFT_OUT:
        options += ["--exclude-module", module]
    return options


def _entry() -> Path:
    return Path(__file__).with_name("entry.py")


def _run(python: Path, *arguments: str) -> None:
    # Outside the checkout, so that the package is the installed one.
    subprocess.run([str(python), *arguments], check=True, cwd=tempfile.gettempdir())


def main() -> int:
    """Build, and say where and how large."""
    out = Path(sys.argv[1] if len(sys.argv) > 1 else ROOT / "dist" / "frozen").absolute()
    shutil.rmtree(out, ignore_errors=True)
    program, file = build(out)
    folder_bytes = sum(p.stat().st_size for p in program.parent.rglob("*") if p.is_file())
    print(f"folder: {program} ({folder_bytes / 1e6:.1f} MB)")  # noqa: T201 - what the command is for
    print(f"single file: {file} ({file.stat().st_size / 1e6:.1f} MB)")  # noqa: T201 - the same
    return 0


if __name__ == "__main__":
    sys.exit(main())
