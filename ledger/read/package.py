"""Open the file that was given, or say in plain words why it cannot be opened."""

from __future__ import annotations

import warnings
import zipfile
from io import BytesIO
from typing import Any
from xml.etree.ElementTree import ParseError
from zlib import error as DeflateError

OLD_OR_LOCKED = b"\xd0\xcf\x11\xe0"


class Unreadable(Exception):
    """The file is no workbook the ledger can read; carries a reason and an advice."""

    def __init__(self, reason: str, advice: str) -> None:
        super().__init__(f"{reason}. {advice}")
        self.reason = reason
        self.advice = advice


def open_workbook(content: bytes) -> Any:
    """Open workbook bytes with openpyxl for reading values; raise ``Unreadable``."""
    _look_at_wrapping(content)
    import openpyxl

    # openpyxl warns of what it would drop on saving; it never saves a person's workbook here.
    warnings.filterwarnings("ignore", category=UserWarning, module="openpyxl")
    try:
        workbook = openpyxl.load_workbook(
            BytesIO(content), read_only=True, data_only=True, keep_links=False
        )
    except (KeyError, ValueError, TypeError, IndexError, AttributeError, OSError) as problem:
        raise _damaged(problem) from problem
    except (zipfile.BadZipFile, ParseError, DeflateError) as problem:
        raise _damaged(problem) from problem
    if not workbook.worksheets:
        raise Unreadable(
            "the workbook holds no sheet that can be read",
            "Save it as an ordinary .xlsx workbook (not 'strict') and try again.",
        )
    return workbook


def _look_at_wrapping(content: bytes) -> None:
    if content.startswith(OLD_OR_LOCKED):
        raise Unreadable(
            "the file is password-protected or in the old .xls format",
            "Take the password off, or save it as .xlsx, and try again.",
        )
    if not zipfile.is_zipfile(BytesIO(content)):
        raise Unreadable(
            "the file is not a complete .xlsx workbook",
            "It may be another kind of file, or still being saved or synchronised; "
            "open it in a spreadsheet program and save it as .xlsx.",
        )
    with zipfile.ZipFile(BytesIO(content)) as archive:
        names = set(archive.namelist())
    if "[Content_Types].xml" not in names:
        raise Unreadable(
            "the file is not an .xlsx workbook (an .ods file, perhaps)",
            "Open it in a spreadsheet program and save it as .xlsx.",
        )


def _damaged(problem: Exception) -> Unreadable:
    return Unreadable(
        f"the workbook is damaged ({type(problem).__name__}: {problem})",
        "Open it in a spreadsheet program and save it again, or go back to a backup.",
    )
