"""Real spreadsheet programs for tests: LibreOffice and Gnumeric, each judged by its output.

LibreOffice gets a profile of its own that recalculates on load (by default it shows the
values it finds), and all files of a call go through one launch.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

SOFFICE, SSCONVERT = shutil.which("soffice"), shutil.which("ssconvert")
NEEDS_OFFICE = "LibreOffice (soffice) is not installed"
NEEDS_GNUMERIC = "Gnumeric (ssconvert) is not installed"
SECONDS = 600  # a hung program must not hang the tests; none takes a tenth of that

_RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="ODFRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""


def office(profile: Path, kind: str, folder: Path, files: list[Path]) -> None:
    """Convert files with LibreOffice in one launch; what it writes lands in ``folder``."""
    assert SOFFICE
    user = profile / "user"
    user.mkdir(parents=True, exist_ok=True)
    settings = user / "registrymodifications.xcu"
    if not settings.exists():
        settings.write_text(_RECALCULATE, "utf-8")
    where = f"-env:UserInstallation={profile.as_uri()}"
    command = [SOFFICE, where, "--headless", "--norestore", "--convert-to", kind]
    arguments = [*command, "--outdir", str(folder), *map(str, files)]
    subprocess.run(arguments, capture_output=True, timeout=SECONDS, check=False)


def gnumeric(*arguments: str | Path) -> None:
    """Run Gnumeric's converter."""
    assert SSCONVERT
    command = [SSCONVERT, *map(str, arguments)]
    subprocess.run(command, capture_output=True, timeout=SECONDS, check=False)
