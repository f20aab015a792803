"""One cell's typed value: what is unambiguous is accepted, the rest is reported."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta
from math import isfinite
from typing import Any

from ledger.layout import fold
from ledger.model import Column, Value

Problem = tuple[str, dict[str, object]]
ERRORS = frozenset(
    ("#REF!", "#N/A", "#NAME?", "#VALUE!", "#DIV/0!", "#NUM!", "#NULL!", "#GETTING_DATA")
)
SERIAL_ZERO = date(1899, 12, 30)  # day 0 of spreadsheet date serials (1900 system)
SERIAL_RANGE = (25_000, 80_000)  # 1968 to 2119: a number in between can only mean a date
_PLAIN = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?")
_GROUPED = re.compile(r"[-+]?\d{1,3}(,\d{3})+\.\d+|[-+]?\d{1,3}(,\d{3}){2,}")
_COMMA = re.compile(r"[-+]?\d+,\d+")
_SPACES = re.compile(r"[\s\u00a0\u2009\u202f']")
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ]00:00(?::00)?)?")
_SLASHED = re.compile(r"(\d{1,2})[/.](\d{1,2})[/.](\d{4})")


def typed(column: Column, cell: Any) -> tuple[Value | None, Problem | None]:
    """The value of a cell as its column wants it, or the problem with it.

    Texts are trimmed; numbers may be typed as text with a decimal point, a clear decimal
    comma or spaces between thousands; dates as dates, ISO text or date serials.
    """
    if isinstance(cell, str) and cell.strip() in ERRORS:
        return None, ("error-cell", {"read": cell.strip()})
    if column.is_date:
        return _date(cell)
    if column.is_number:
        return _number(column, cell)
    return _text(column, cell), None


def _text(column: Column, cell: Any) -> str:
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    if isinstance(cell, datetime):
        return cell.date().isoformat()
    return canonical(" ".join(str(cell).split()), column.choices)


def canonical(text: str, choices: tuple[str, ...]) -> str:
    """The spelling of a choice that differs in case or spaces only, else the text itself."""
    folded = fold(text)
    return next((choice for choice in choices if fold(choice) == folded), text)


def _number(column: Column, cell: Any) -> tuple[Value | None, Problem | None]:
    if isinstance(cell, bool) or not isinstance(cell, (int, float, str)):
        return None, ("not-a-number", {"read": cell, "expected": ""})
    if isinstance(cell, str):
        word = canonical(cell.strip(), column.words)
        if word in column.words:
            return word, None
        cell, problem = _number_in(cell, column)
        if problem:
            return None, problem
    return _finite(column, float(cell))


def _finite(column: Column, number: float) -> tuple[Value | None, Problem | None]:
    if not isfinite(number):
        return None, ("not-a-number", {"read": number, "expected": ""})
    if column.type == "integer":
        if not number.is_integer():
            return None, ("not-whole", {"read": number})
        return int(number), None
    return number, None


def _number_in(text: str, column: Column) -> tuple[float, Problem | None]:
    bare = _SPACES.sub("", text).replace("\u2212", "-")
    if _PLAIN.fullmatch(bare):
        return float(bare), None
    if _GROUPED.fullmatch(bare):
        return float(bare.replace(",", "")), None
    if _COMMA.fullmatch(bare):
        if len(bare.rsplit(",", 1)[1]) == 3:
            return 0.0, ("ambiguous-number", {"read": text.strip()})
        return float(bare.replace(",", ".")), None
    wanted = f" or one of: {', '.join(column.words)}" if column.words else ""
    return 0.0, ("not-a-number", {"read": text.strip(), "expected": wanted})


def _date(cell: Any) -> tuple[Value | None, Problem | None]:
    if isinstance(cell, datetime):
        return cell.date(), None
    if isinstance(cell, date):
        return cell, None
    if isinstance(cell, (int, float)) and not isinstance(cell, bool):
        if SERIAL_RANGE[0] <= cell <= SERIAL_RANGE[1]:
            return SERIAL_ZERO + timedelta(days=int(cell)), None
    elif isinstance(cell, str) and (day := _date_in(cell.strip())):
        return day, None
    return None, ("not-a-date", {"read": cell})


def _date_in(text: str) -> date | None:
    """ISO dates, and dates with slashes where only one order of day and month is possible."""
    if match := _ISO.fullmatch(text):
        return _real_day(*(int(part) for part in match.groups()))
    if match := _SLASHED.fullmatch(text):
        first, second, year = (int(part) for part in match.groups())
        days = {_real_day(year, first, second), _real_day(year, second, first)} - {None}
        return days.pop() if len(days) == 1 else None
    return None


def _real_day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
