"""LibreOffice with the extension installed, once for all tests here."""

import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from sheetcheck.plugins.calc import install
from tests.plugins.office import Office, needed
from tests.plugins.recipe_book import make_book

# LibreOffice installs no extension for root, which CI is: the installer alone steps down to a user who owns the profile
# and cannot look into the temporary folders of root.
_STEP_DOWN = """#!/bin/sh
for argument; do
    shift
    case "$argument" in *.oxt) install -m 644 "$argument" {home}/; argument={home}/$(basename "$argument") ;; esac
    set -- "$@" "$argument"
done
exec setpriv --reuid=65534 --regid=65534 --clear-groups env HOME={home} TMPDIR={home} timeout -k 5 120 {unopkg} "$@"
"""


@pytest.fixture(scope="session")
def unprivileged() -> Iterator[Path]:
    """A folder of a user who is not root, with LibreOffice's installer running as that user."""
    needed()
    home = Path(tempfile.mkdtemp(prefix="sheetcheck-test-"))
    with pytest.MonkeyPatch.context() as patch:
        if os.geteuid() == 0:
            home.chmod(0o777)
            unopkg = home / "bin" / "unopkg"
            unopkg.parent.mkdir(mode=0o755)
            unopkg.write_text(_STEP_DOWN.format(home=home, unopkg=shutil.which("unopkg")), encoding="utf-8")
            unopkg.chmod(0o755)
            patch.setenv("PATH", f"{unopkg.parent}:{os.environ['PATH']}")
            patch.setattr(install.os, "geteuid", lambda: 65534)
        yield home
    shutil.rmtree(home, ignore_errors=True)


@pytest.fixture(scope="session")
def profile(unprivileged: Path) -> Path:
    """A profile of LibreOffice with the extension in it."""
    place = unprivileged / "profile"
    install.install(place)
    return place


@pytest.fixture(scope="session")
def running(profile: Path, unprivileged: Path) -> Iterator[Office]:
    with Office(profile, HOME=str(unprivileged), XDG_CONFIG_HOME=str(unprivileged / "config")) as office:
        yield office


@pytest.fixture
def office(running: Office) -> Iterator[Office]:
    yield running
    for document in running.documents():
        document.setModified(False)
        document.close(True)


@pytest.fixture
def book_file(tmp_path: Path) -> Path:
    return make_book(tmp_path / "recipes.xlsx")
