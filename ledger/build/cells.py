"""Write one value into a cell as what it is; a text is never taken for a formula."""

from __future__ import annotations

from datetime import date
from typing import Any

from ledger.look import Look
from ledger.model import Column


def entry_format(column: Column) -> str:
    """The format of a column's entry cells.

    Names are kept as text, or a spreadsheet program makes a date of '7-21-7'.
    """
    if column.is_date:
        return "entry_date"
    if column.is_number:
        return "entry_number"
    return "entry" if column.choices else "entry_text"


def write_entry(
    worksheet: Any, row: int, at: int, value: object, look: Look, form: str = "entry"
) -> None:
    """Write a value that was entered; nothing is written for None or an empty text.

    Raises ``ValueError`` for what a cell cannot hold: an over-long text, an infinite
    number, a day before 1900, another type.
    """
    if value is None or value == "":
        return
    try:
        done = _write(worksheet, row, at, value, look, form)
    except TypeError as problem:  # XlsxWriter's word for a number that is none
        raise ValueError(f"{value!r} cannot be written into a cell: {problem}") from problem
    if done != 0:
        raise ValueError(f"{str(value)[:40]!r} is too long for a cell")


def _write(worksheet: Any, row: int, at: int, value: object, look: Look, form: str) -> int:
    done: int
    if isinstance(value, bool):
        done = worksheet.write_boolean(row, at, value, look[form])
    elif isinstance(value, (int, float)):
        done = worksheet.write_number(row, at, value, look[form])
    elif isinstance(value, date):
        done = worksheet.write_datetime(row, at, value, look["entry_date"])
    elif isinstance(value, str):
        done = worksheet.write_string(row, at, value, look[form])
    else:
        raise ValueError(f"{value!r} is no text, number or date")
    return done
