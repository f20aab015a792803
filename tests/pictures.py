"""Pictures of the example workbook for the README: ``python tests/pictures.py`` makes them anew.

LibreOffice turns the workbook into pages and pdftoppm draws them. Each picture carries the
SHA-256 of the workbook it was made from, so that tests/test_examples.py can tell a stale one.
"""

from __future__ import annotations

import hashlib
import shutil
import struct
import subprocess
import tempfile
import zlib
from collections.abc import Iterator
from pathlib import Path

from programs import office

EXAMPLES = Path(__file__).parent.parent / "examples"
PICTURES = {"overview.png": "Overview", "nitrogen-to-go.png": "Nitrogen to go"}
KEYWORD = b"ledger-workbook-sha256"
DOTS_PER_INCH = "110"


def main() -> None:
    """Draw the first page of each pictured sheet."""
    stamp = hashlib.sha256((EXAMPLES / "farm.xlsx").read_bytes()).hexdigest()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        office(folder / "profile", "pdf", folder, [EXAMPLES / "farm.xlsx"])
        for picture, title in PICTURES.items():
            page = _first_page(folder / "farm.pdf", title)
            drawn = _draw(folder / "farm.pdf", page, folder / "page")
            (EXAMPLES / picture).write_bytes(_stamped(drawn, stamp))


def _first_page(pdf: Path, title: str) -> int:
    told = subprocess.run(["pdftotext", str(pdf), "-"], capture_output=True, text=True, check=True)
    pages = told.stdout.split("\f")
    return next(n for n, text in enumerate(pages, start=1) if text.lstrip().startswith(title))


def _draw(pdf: Path, page: int, stem: Path) -> bytes:
    assert shutil.which("pdftoppm")
    which = ["-f", str(page), "-l", str(page), "-singlefile"]
    command = ["pdftoppm", "-r", DOTS_PER_INCH, "-png", *which, str(pdf), str(stem)]
    subprocess.run(command, check=True, capture_output=True)
    return stem.with_suffix(".png").read_bytes()


def _stamped(png: bytes, stamp: str) -> bytes:
    """The picture with a text chunk after its header (PNG specification, 11.3.4.3)."""
    head = 8 + 25  # signature and IHDR chunk
    content = b"tEXt" + KEYWORD + b"\0" + stamp.encode()
    chunk = struct.pack(">I", len(content) - 4) + content + struct.pack(">I", zlib.crc32(content))
    return png[:head] + chunk + png[head:]


def stamp_of(png: bytes) -> str:
    """The stamp of a picture, or nothing when it has none."""
    return next((text for key, text in _texts(png) if key == KEYWORD), b"").decode()


def _texts(png: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = 8
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        if png[at + 4 : at + 8] == b"tEXt":
            key, _, text = png[at + 8 : at + 8 + length].partition(b"\0")
            yield key, text
        at += length + 12


if __name__ == "__main__":
    main()
