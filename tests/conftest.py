"""Fixtures that tests of several folders share."""

import os
import shutil
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="session")
def root() -> Path:
    return ROOT


@pytest.fixture(scope="session")
def soffice() -> str:
    """LibreOffice's command; CI insists on it, elsewhere a test that needs it is left out."""
    command = shutil.which("soffice")
    if command is None:
        if os.environ.get("SHEETCHECK_NEEDS_OFFICE"):
            pytest.fail("LibreOffice is not installed, and CI needs it")
        pytest.skip("LibreOffice is not installed")
    return command
