"""Open the file that was given, or say in plain words why it cannot be opened.

Everything that can be told from the outside is told here, before any part is parsed: what
kind of file it is, how many parts it has, how large they say they are.
"""

from __future__ import annotations

import zipfile
from io import BytesIO
from xml.etree.ElementTree import ParseError
from zlib import error as DeflateError

OLD_OR_LOCKED = b"\xd0\xcf\x11\xe0"  # the compound files of old .xls and of encryption
LOCKED_STREAM = "EncryptedPackage".encode("utf-16-le")
OLD_STREAMS = tuple(name.encode("utf-16-le") for name in ("Workbook", "Book"))
DIRECTORY_ENTRY = b"PK\x01\x02"
MOST_FILE_BYTES = 200 * 1024 * 1024
MOST_PARTS = 5_000
MOST_BYTES_UNPACKED = 384 * 1024 * 1024
AS_XLSX = "Open it in a spreadsheet program and save it as an ordinary .xlsx workbook."
PARSING_FAULTS = (
    *(KeyError, ValueError, TypeError, IndexError, AttributeError, OSError, EOFError),
    *(zipfile.BadZipFile, ParseError, DeflateError),
)
SAVE_AGAIN = "Open it in a spreadsheet program and save it again, or go back to a backup."


class Unreadable(Exception):
    """The file is no workbook the ledger can read; carries a reason and an advice."""

    def __init__(self, reason: str, advice: str) -> None:
        super().__init__(f"{reason}. {advice}")
        self.reason = reason
        self.advice = advice


def damaged(problem: object) -> Unreadable:
    """A refusal of a file whose inside does not hold together."""
    return Unreadable(f"the workbook is damaged ({problem})", SAVE_AGAIN)


def open_package(content: bytes) -> zipfile.ZipFile:
    """The zip archive of an .xlsx workbook; raises ``Unreadable`` for anything else.

    Nothing is unpacked. An archive that would need much memory is refused by what it says
    of itself; that it says the truth is checked by ``zipfile`` when a part is read.
    """
    _look_at_wrapping(content)
    try:
        archive = zipfile.ZipFile(BytesIO(content))
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError) as problem:
        raise damaged(problem) from problem
    _look_at_parts(archive)
    _look_at_kind(archive)
    return archive


def _look_at_wrapping(content: bytes) -> None:
    if content.startswith(OLD_OR_LOCKED):
        raise Unreadable(
            _compound_kind(content), "Take the password off, or save it as .xlsx, and try again."
        )
    if not zipfile.is_zipfile(BytesIO(content)):
        raise Unreadable(f"the file is not a complete .xlsx workbook{_guess(content)}", AS_XLSX)
    if len(content) > MOST_FILE_BYTES or content.count(DIRECTORY_ENTRY) > MOST_PARTS:
        raise Unreadable(
            f"the file is too large or has too many parts (over {MOST_PARTS})",
            "Take pictures and other additions out of the workbook.",
        )


def _compound_kind(content: bytes) -> str:
    if LOCKED_STREAM in content:
        return "the file is password-protected"
    if any(name in content for name in OLD_STREAMS):
        return "the file is in the old .xls format"
    return "the file is password-protected or in the old .xls format"


def _guess(content: bytes) -> str:
    """What a file that is no archive may be instead."""
    if not content.strip(b"\0"):
        return " (it is empty)"
    if content.startswith(b"PK"):
        return " (its end is missing; it may still be being saved or synchronised)"
    start = content[:4096]
    if b"<html" in start.lower() or b"<table" in start.lower():
        return " (it is a web page)"
    return " (it is plain text, a .csv perhaps)" if b"\0" not in start else ""


def _look_at_parts(archive: zipfile.ZipFile) -> None:
    parts = archive.infolist()
    names = [part.filename.casefold() for part in parts]
    if len(set(names)) < len(names):
        twice = next(name for name in names if names.count(name) > 1)
        raise damaged(f"it holds the part {twice} twice, and the two may differ")
    if any(part.flag_bits & 1 for part in parts):
        raise Unreadable("the file is password-protected", "Take the password off and try again.")
    packed = {part.compress_type for part in parts}
    if packed - {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}:
        raise Unreadable("the file is packed in a way no spreadsheet program uses", AS_XLSX)
    if sum(part.file_size for part in parts) > MOST_BYTES_UNPACKED:
        raise Unreadable(
            f"the workbook unpacks to more than {MOST_BYTES_UNPACKED // 1024**2} MB",
            "Take out what is not needed; a ledger of ten thousand lines has 5 MB.",
        )


def _look_at_kind(archive: zipfile.ZipFile) -> None:
    names = set(archive.namelist())
    if "[Content_Types].xml" not in names:
        kind = "an .ods file, perhaps" if "content.xml" in names else "some other archive"
        raise Unreadable(f"the file is not an .xlsx workbook ({kind})", AS_XLSX)
    if "xl/workbook.bin" in names:
        raise Unreadable("the file is a binary workbook (.xlsb)", AS_XLSX)
