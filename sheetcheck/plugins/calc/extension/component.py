"""The menu in LibreOffice Calc. Runs in whichever Python LibreOffice brings (3.8 or later): standard library and UNO.

The audit itself runs in the user's own Python, whose full path `sheetcheck calc install` writes into `command.json`.
"""

from __future__ import annotations

import json
import os
import subprocess
import tempfile
import threading
from pathlib import Path
from typing import Any, Callable

import uno
import unohelper
from com.sun.star.awt import XCallback
from com.sun.star.task import XJobExecutor
from sheetcheck_screen import describe

SERVICE = "sheetcheck.calc.Menu"
EXTENSION = "sheetcheck.calc"
TITLE = "Sheetcheck"
NOT_RUN = "The check could not be run: {why}. Run `sheetcheck calc doctor` in a terminal."  # in `command.json` too
WORKING = "Sheetcheck is checking this workbook …"  # and these
TO_WHAT_SIZE = (
    "To what size? x2 for twice as much; fats=5kg, batch=9lb, bars=40x110g; mould=2 box 24x8x7 cm; or moulds=all for "
    "those of a list of moulds in this workbook."
)
WAIT_SECONDS = 600
_OF_LIBREOFFICE = ("PYTHONHOME", "PYTHONPATH", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH", "URE_BOOTSTRAP")
_NO_CONSOLE = 0x08000000  # CREATE_NO_WINDOW (processthreadsapi.h)


class Menu(unohelper.Base, XJobExecutor):  # type: ignore[misc]  # UNO's bases are known to LibreOffice only
    """What the entries of the menu run."""

    def __init__(self, context: Any) -> None:
        self.context = context
        self.desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)

    def trigger(self, entry: str) -> None:
        """Run one entry (audit, copy, rescale, unmark) once the menu is closed.

        For macros "audit/now" and "rescale/x2" have it done on return.
        """
        document = self.desktop.CurrentComponent
        if document is None or not document.supportsService("com.sun.star.sheet.SpreadsheetDocument"):
            return
        action, _, now = entry.partition("/")
        if now:
            self._finish(document, self._answered(document, action, {"to": now}))
        else:
            self._soon(lambda: self._begin(document, action))

    def _begin(self, document: Any, action: str) -> None:
        """Show that it works, hand the workbook over, and let the windows be used while the other Python reckons."""
        more = self._asked(document, action)
        if more is None:
            return
        showing = document.CurrentController.Frame.createStatusIndicator()
        showing.start(self._sentence("working", WORKING), 2)
        showing.setValue(1)
        folder = tempfile.TemporaryDirectory(prefix="sheetcheck-")
        try:
            request = self._handed_over(document, action, folder.name, more)
        except Exception as error:  # noqa: BLE001 - a menu must not end in a traceback
            folder.cleanup()
            showing.end()
            self._say(document, self._not_run(error))
            return

        def reckon() -> None:
            answer = self._run_or_say(request)
            folder.cleanup()

            def finish() -> None:
                showing.end()
                self._finish(document, answer)

            self._soon(finish)

        threading.Thread(target=reckon, daemon=True).start()

    def _soon(self, work: Callable[[], Any]) -> None:
        """Have LibreOffice do something in its own thread, when it next has time."""
        name = "com.sun.star.awt.AsyncCallback"
        self.context.ServiceManager.createInstanceWithContext(name, self.context).addCallback(_Later(work), None)

    def _answered(self, document: Any, action: str, more: dict[str, Any]) -> dict[str, Any]:
        with tempfile.TemporaryDirectory(prefix="sheetcheck-") as folder:
            try:
                return self._run_or_say(self._handed_over(document, action, folder, more))
            except Exception as error:  # noqa: BLE001 - a menu must not end in a traceback
                return {"say": self._not_run(error)}

    def _handed_over(self, document: Any, action: str, folder: str, more: dict[str, Any]) -> Path:
        about = describe(document, self.desktop, folder)
        request = dict(about, action=action, language=self._language(), **more)
        path = Path(folder) / "request.json"
        path.write_text(json.dumps(request), encoding="utf-8")
        return path

    def _run_or_say(self, request: Path) -> dict[str, Any]:
        try:
            return self._run(request)
        except Exception as error:  # noqa: BLE001 - a menu must not end in a traceback
            return {"say": self._not_run(error)}

    def _finish(self, document: Any, answer: dict[str, Any]) -> None:
        opened = None
        if answer.get("open"):
            opened = self.desktop.loadComponentFromURL(uno.systemPathToFileUrl(answer["open"]), "_blank", 0, ())
        self._say(opened or document, answer["say"])

    def _asked(self, document: Any, action: str) -> dict[str, Any] | None:
        """Return what an entry has to be told beyond the workbook; None where the maker thinks better of it."""
        if action != "rescale":
            return {}
        size = self._ask(document, self._sentence("to_what_size", TO_WHAT_SIZE), "x2")
        return {"to": size} if size else None

    def _ask(self, document: Any, question: str, usual: str) -> str:
        """Ask for one line of text; nothing where the window is closed or escaped from."""
        services = self.context.ServiceManager
        model = services.createInstanceWithContext("com.sun.star.awt.UnoControlDialogModel", self.context)
        model.Title, model.Width, model.Height = TITLE, 220, 78
        model.PositionX, model.PositionY = 120, 80
        for kind, name, place, values in (
            ("FixedText", "question", (8, 6, 204, 34), {"Label": question, "MultiLine": True}),
            ("Edit", "line", (8, 42, 204, 13), {"Text": usual}),
            ("Button", "ok", (150, 60, 62, 14), {"Label": "OK", "PushButtonType": 1, "DefaultButton": True}),
        ):
            part = model.createInstance(f"com.sun.star.awt.UnoControl{kind}Model")
            part.Name, part.TabIndex = name, 0 if name == "line" else 1
            part.PositionX, part.PositionY, part.Width, part.Height = place
            for key, value in values.items():
                setattr(part, key, value)
            model.insertByName(name, part)
        dialog = services.createInstanceWithContext("com.sun.star.awt.UnoControlDialog", self.context)
        dialog.setModel(model)
        window = document.CurrentController.Frame.ContainerWindow
        dialog.createPeer(window.Toolkit, window)
        try:
            return dialog.getControl("line").Text.strip() if dialog.execute() else ""
        finally:
            dialog.dispose()

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

    def _not_run(self, error: Exception) -> str:
        return self._sentence("not_run", NOT_RUN).format(why=error)

    def _sentence(self, name: str, english: str) -> str:
        """Return a sentence in LibreOffice's own language, else in the one that the extension was installed in."""
        try:
            command = self._command()
            return str(command["in"].get(self._language(), command)[name])
        except Exception:  # noqa: BLE001 - whatever is wrong with the file, there is a sentence here
            return english

    def _language(self) -> str:
        """Return the language of LibreOffice's menus: "de"."""
        name = "com.sun.star.configuration.ConfigurationProvider"
        provider = self.context.ServiceManager.createInstanceWithContext(name, self.context)
        where = uno.createUnoStruct("com.sun.star.beans.NamedValue", "nodepath", "/org.openoffice.Setup/L10N")
        access = "com.sun.star.configuration.ConfigurationAccess"
        return str(provider.createInstanceWithArguments(access, (where,)).ooLocale).partition("-")[0]

    def _own_folder(self) -> Path:
        packages = self.context.getByName("/singletons/com.sun.star.deployment.PackageInformationProvider")
        return Path(uno.fileUrlToSystemPath(packages.getPackageLocation(EXTENSION)))

    def _say(self, document: Any, text: str) -> None:
        try:
            frame = document.CurrentController.Frame if document.CurrentController else None
        except Exception:  # noqa: BLE001 - it may have been closed in the meantime
            frame = self.desktop.CurrentFrame
        window = frame.ContainerWindow if frame else None
        if window is None:
            return
        kind = uno.Enum("com.sun.star.awt.MessageBoxType", "INFOBOX")
        box = window.Toolkit.createMessageBox(window, kind, 1, TITLE, text)
        box.execute()
        box.dispose()


class _Later(unohelper.Base, XCallback):  # type: ignore[misc]
    """Something to do when LibreOffice has time."""

    def __init__(self, work: Callable[[], Any]) -> None:
        self.work = work

    def notify(self, _: Any) -> None:
        """Do it."""
        self.work()


g_ImplementationHelper = unohelper.ImplementationHelper()  # noqa: N816 - the name that LibreOffice looks for
g_ImplementationHelper.addImplementation(Menu, SERVICE, (SERVICE,))
