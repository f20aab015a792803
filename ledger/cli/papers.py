"""Writing papers: new files that replace nothing unasked, and PDF by way of LibreOffice."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from ledger.cli.common import Refusal

if TYPE_CHECKING:
    from ledger.model import Results

PATIENCE_S = 240


def with_year(results: Results) -> Results:
    """The results of a ledger whose crop year is known; a paper has to say its year."""
    if not results.book.year:
        raise Refusal("The Farm sheet states no sound crop year; fill it in and run again")
    return results


def write_new(target: Path, content: bytes, *, ledger: Path, force: bool) -> None:
    """Write a paper; one that is there already is replaced only when asked, the ledger never."""
    from ledger.graft.save import replace_atomically

    if target.exists() and target.samefile(ledger):
        raise Refusal(f"{target} is the ledger itself; choose another name, nothing was changed")
    if target.exists() and not force:
        raise Refusal(f"{target} is there already; choose another name or add --force")
    replace_atomically(target, content, expected=None, force=force, backup=False)


def as_pdf(file: Path) -> Path:
    """The workbook printed to a PDF beside it; refuses where LibreOffice is not installed.

    LibreOffice runs with a profile of its own, so that one which is open is not disturbed.
    """
    program = shutil.which("soffice") or shutil.which("libreoffice")
    if program is None:
        raise Refusal(f"No PDF: LibreOffice is not installed. {file} is there; print that.")
    target = file.with_suffix(".pdf")
    with TemporaryDirectory() as folder:
        where = f"-env:UserInstallation={Path(folder, 'profile').as_uri()}"
        command = [program, where, "--headless", "--norestore", "--convert-to", "pdf"]
        arguments = [*command, "--outdir", folder, str(file)]
        try:
            subprocess.run(arguments, capture_output=True, timeout=PATIENCE_S, check=False)
        except subprocess.TimeoutExpired as late:
            raise Refusal(f"No PDF: LibreOffice took longer than {PATIENCE_S} s.") from late
        made = Path(folder, target.name)
        if not made.exists():
            raise Refusal(f"No PDF: LibreOffice made none from {file}.")
        shutil.move(made, target)
    return target
