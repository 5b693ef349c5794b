"""A workbook computed anew by LibreOffice, whatever values are stored in it."""

import subprocess
from pathlib import Path

RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""


def recalculated(soffice: str, book: Path, folder: Path) -> Path:
    """Return a copy of a workbook with every formula computed; `folder` holds the program's profile and the copy."""
    profile, out = folder / "profile", folder / "recalculated"
    (profile / "user").mkdir(parents=True, exist_ok=True)
    (profile / "user" / "registrymodifications.xcu").write_text(RECALCULATE, encoding="utf-8")
    command = [soffice, f"-env:UserInstallation=file://{profile}", "--headless", "--norestore", "--nolockcheck"]
    command += ["--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(out), str(book)]
    subprocess.run(command, check=True, capture_output=True, timeout=180)
    return out / book.name
