"""A LibreOffice of one's own, started for a test and driven over UNO (Debian: libreoffice-calc, python3-uno)."""

import os
import shutil
import subprocess
import sys
import time
import uuid
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import pytest

_DEBIAN = Path("/usr/lib/python3/dist-packages")
_START_SECONDS, _LONGEST_SECONDS = 60, 600
_SETTINGS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Common/Misc"><prop oor:name="FirstRun" oor:op="fuse"><value>false</value></prop>
</item></oor:items>"""


def needed() -> Any:
    """UNO; CI insists on it and on LibreOffice, elsewhere a test that needs them is left out."""
    if _DEBIAN.joinpath("uno.py").exists() and str(_DEBIAN) not in sys.path:
        sys.path.append(str(_DEBIAN))
    try:
        import uno
    except ImportError:
        uno = None
    if uno is None or shutil.which("soffice") is None:
        if os.environ.get("SHEETCHECK_NEEDS_OFFICE"):
            pytest.fail("LibreOffice or python3-uno is not installed, and CI needs them")
        pytest.skip("LibreOffice or python3-uno is not installed")
    return uno


def property_(name: str, value: Any) -> Any:
    from com.sun.star.beans import PropertyValue

    made = PropertyValue()
    made.Name, made.Value = name, value
    return made


class Office:
    """One run of it; without a DISPLAY among the variables of its environment it has no window."""

    def __init__(self, profile: Path, **environment: str) -> None:
        self.uno = needed()
        self.profile, self.environment = profile, environment
        settings = profile / "user" / "registrymodifications.xcu"
        settings.parent.mkdir(parents=True, exist_ok=True)
        if not settings.exists():
            settings.write_text(_SETTINGS, encoding="utf-8")
        self.temporary = profile / "tmp"  # what LibreOffice leaves behind goes with the profile
        self.temporary.mkdir(exist_ok=True)

    def __enter__(self) -> Self:
        pipe = f"sheetcheck{uuid.uuid4().hex[:12]}"
        url = f"pipe,name={pipe};urp;StarOffice.ComponentContext"
        command = [
            "timeout", "-k", "5", str(_LONGEST_SECONDS), "soffice", f"-env:UserInstallation={self.profile.as_uri()}",
            "--norestore", "--nologo", "--nodefault", "--nofirststartwizard", f"--accept={url}",
        ]  # fmt: skip
        own = {"SAL_USE_VCLPLUGIN": "gen", "TMPDIR": str(self.temporary), "XDG_CACHE_HOME": str(self.temporary)}
        environment = {**os.environ, **own, **self.environment}
        if "DISPLAY" not in self.environment:
            command.append("--headless")
            environment |= {"SAL_USE_VCLPLUGIN": "svp"}
        self.process = subprocess.Popen(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment, start_new_session=True
        )
        self.context = self._connect(url)
        self.services = self.context.ServiceManager
        self.desktop = self.service("com.sun.star.frame.Desktop")
        return self

    def _connect(self, url: str) -> Any:
        local = self.uno.getComponentContext()
        resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
        give_up = time.monotonic() + _START_SECONDS
        while True:
            try:
                return resolver.resolve(f"uno:{url}")
            except Exception:
                if time.monotonic() > give_up or self.process.poll() not in (None, 81):
                    raise
                time.sleep(0.05)

    def service(self, name: str) -> Any:
        return self.services.createInstanceWithContext(name, self.context)

    def open(self, path: Path, *, hidden: bool = False) -> Any:
        url = self.uno.systemPathToFileUrl(str(path))
        document = self.desktop.loadComponentFromURL(url, "_blank", 0, (property_("Hidden", hidden),))
        assert document is not None, f"LibreOffice did not open {path}"
        return document

    def encryption(self, password: str) -> Any:
        """What stores an Open XML file with a password."""
        from com.sun.star.beans import NamedValue

        values = {"OOXPassword": password, "CryptoType": "StrongEncryptionDataSpace"}
        return self.uno.Any("[]com.sun.star.beans.NamedValue", tuple(NamedValue(*pair) for pair in values.items()))

    def documents(self) -> list[Any]:
        found, components = [], self.desktop.Components.createEnumeration()
        while components.hasMoreElements():
            found.append(components.nextElement())
        return [d for d in found if d.supportsService("com.sun.star.sheet.SpreadsheetDocument")]

    def press(self, document: Any, entry: str) -> None:
        """Run an entry of the menu as the menu does; without a window, to its end."""
        entry = entry if "DISPLAY" in self.environment or "/" in entry else f"{entry}/now"
        dispatcher = self.service("com.sun.star.frame.DispatchHelper")
        frame = document.CurrentController.Frame
        frame.activate()
        dispatcher.executeDispatch(frame, f"service:sheetcheck.calc.Menu?{entry}", "_self", 0, ())

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        try:
            for document in self.documents():
                document.setModified(False)
                document.close(True)
            self.desktop.terminate()
            self.process.wait(20)
        except Exception:  # noqa: BLE001 - it may be gone already, in whichever way
            self.process.terminate()
            self.process.wait(20)
