"""The menu in LibreOffice Calc. Runs in whichever Python LibreOffice brings (3.8 or later): standard library and UNO.

The audit itself runs in the user's own Python, whose full path `sheetcheck calc install` writes into `command.json`.
"""

from __future__ import annotations

import json
import os
import subprocess
import tempfile
from pathlib import Path
from typing import Any

import uno
import unohelper
from com.sun.star.task import XJobExecutor
from sheetcheck_screen import describe

SERVICE = "sheetcheck.calc.Menu"
EXTENSION = "sheetcheck.calc"
TITLE = "Sheetcheck"
NOT_RUN = "The audit could not be run: {why}. Run `sheetcheck calc doctor` in a terminal."  # in `command.json` too
WAIT_SECONDS = 600
_OF_LIBREOFFICE = ("PYTHONHOME", "PYTHONPATH", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH", "URE_BOOTSTRAP")
_NO_CONSOLE = 0x08000000  # CREATE_NO_WINDOW (processthreadsapi.h)


class Menu(unohelper.Base, XJobExecutor):  # type: ignore[misc]  # UNO's bases are known to LibreOffice only
    """What the entries of the menu run."""

    def __init__(self, context: Any) -> None:
        self.context = context
        self.desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)

    def trigger(self, entry: str) -> None:
        """Run one entry: audit, copy or unmark."""
        document = self.desktop.CurrentComponent
        if document is None or not document.supportsService("com.sun.star.sheet.SpreadsheetDocument"):
            return
        try:
            answer = self._answer(document, entry)
        except Exception as error:  # noqa: BLE001 - a menu must not end in a traceback
            answer = {"say": self._not_run().format(why=error)}
        opened = None
        if answer.get("open"):
            opened = self.desktop.loadComponentFromURL(uno.systemPathToFileUrl(answer["open"]), "_blank", 0, ())
        self._say(opened or document, answer["say"])

    def _answer(self, document: Any, action: str) -> dict[str, Any]:
        with tempfile.TemporaryDirectory(prefix="sheetcheck-") as folder:
            request = dict(describe(document, self.desktop, folder), action=action)
            path = Path(folder) / "request.json"
            path.write_text(json.dumps(request), encoding="utf-8")
            return self._run(path)

    def _run(self, request: Path) -> dict[str, Any]:
        command = self._command()
        done = subprocess.run(  # noqa: S603 - the interpreter that the user installed the extension with
            [*command["command"], str(request)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env={name: value for name, value in os.environ.items() if name not in _OF_LIBREOFFICE},
            timeout=WAIT_SECONDS,
            check=False,
            creationflags=_NO_CONSOLE if os.name == "nt" else 0,
        )
        if done.returncode != 0:
            last = done.stderr.decode("utf-8", "replace").strip().splitlines()[-1:]
            raise RuntimeError("".join(last))
        answer: dict[str, Any] = json.loads(done.stdout.decode("utf-8"))
        return answer

    def _command(self) -> dict[str, Any]:
        command: dict[str, Any] = json.loads((self._own_folder() / "command.json").read_text(encoding="utf-8"))
        return command

    def _not_run(self) -> str:
        """Return the sentence in the language that the extension was installed in."""
        try:
            return str(self._command()["not_run"])
        except Exception:  # noqa: BLE001 - whatever is wrong with the file, there is a sentence here
            return NOT_RUN

    def _own_folder(self) -> Path:
        packages = self.context.getByName("/singletons/com.sun.star.deployment.PackageInformationProvider")
        return Path(uno.fileUrlToSystemPath(packages.getPackageLocation(EXTENSION)))

    def _say(self, document: Any, text: str) -> None:
        frame = document.CurrentController.Frame if document.CurrentController else None
        window = frame.ContainerWindow if frame else None
        if window is None:
            return
        kind = uno.Enum("com.sun.star.awt.MessageBoxType", "INFOBOX")
        box = window.Toolkit.createMessageBox(window, kind, 1, TITLE, text)
        box.execute()
        box.dispose()


g_ImplementationHelper = unohelper.ImplementationHelper()  # noqa: N816 - the name that LibreOffice looks for
g_ImplementationHelper.addImplementation(Menu, SERVICE, (SERVICE,))
