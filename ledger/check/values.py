"""One cell's typed value: what is unambiguous is accepted, the rest is reported."""

from __future__ import annotations

import re
import unicodedata
from calendar import month_name
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from ledger.layout import fold
from ledger.model import Column, Flaw, System, Value

Problem = tuple[str, dict[str, object]]
ERROR = re.compile(
    r"#(REF!|N/A|NAME\?|VALUE!|DIV/0!|NUM!|NULL!|GETTING_DATA|SPILL!|CALC!)|Err:\d{3}"
)
SERIAL_ZERO = date(1899, 12, 30)  # day 0 of spreadsheet date serials (1900 system)
SERIAL_RANGE = (25_000, 80_000)  # 1968 to 2119: a number in between can only mean a date
SHORT = 3  # letters of a month's short name
MOST = 1e15  # of any unit; products of larger figures could pass what a float holds
PERCENT = "_pct"  # ends the id of a column of percentages, whatever its heading says
_PLAIN = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?")
_GROUPED = re.compile(r"[-+]?\d{1,3}(,\d{3})+\.\d+|[-+]?\d{1,3}(,\d{3}){2,}")
_COMMA = re.compile(r"[-+]?\d+,\d+")
_THOUSAND_OR_DECIMAL = re.compile(r"[-+]?[1-9]\d{0,2},\d{3}")
_SPACED = re.compile(r"[-+]?\d{1,3}(?:[\s'\u2019]\d{3})+(?![\d\s])")
_SPACE = re.compile(r"[\s'\u2019]")
_GROUPING = re.compile(r"(?<=\d)[\u00a0\u2009\u202f](?=\d)")  # no key types these: they group
_WITH_UNIT = re.compile(r"([-+\u2212]?[\d.,'\u2019\s]*\d)\s*([^\d\s.,].*)")
_BRACKETS = re.compile(r"\[([^\]]+)\]$")
_ESCAPE = re.compile(r"_x([0-9A-Fa-f]{4})_")
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ]00:00(?::00)?)?")
_SLASHED = re.compile(r"(\d{1,2})[/.](\d{1,2})[/.](\d{4})")
_DAY_FIRST = re.compile(r"(\d{1,2})\.?[ -]([a-z]{3,9})\.?,?[ -](\d{4})")
_MONTH_FIRST = re.compile(r"([a-z]{3,9})\.? (\d{1,2}),? (\d{4})")


def typed(column: Column, cell: Any, unit: str = "") -> tuple[Value | None, Problem | None]:
    """The value of a cell as its column wants it, or the problem with it.

    Texts are trimmed; numbers may be typed as text with a decimal point, a clear decimal
    comma, spaces between thousands or their own ``unit`` behind them; dates as dates, ISO
    text, with the month's name or as date serials.
    """
    if isinstance(cell, Flaw):
        return None, (cell.code, dict(cell.words))
    if isinstance(cell, str):
        cell = seen(cell)
        if ERROR.fullmatch(cell):
            return None, ("error-cell", {"read": cell})
    if column.is_date:
        return _date(cell)
    if column.is_number:
        return _number(column, cell, unit)
    return _text(column, cell), None


def seen(text: str) -> str:
    """A text as a person sees it: no control or invisible characters, nothing at the ends."""
    if "_x" in text:
        text = _ESCAPE.sub(lambda code: chr(int(code[1], 16)), text)
    if not text.isprintable():
        text = "".join(c for c in text if c.isspace() or unicodedata.category(c)[0] != "C")
    return text.strip()


def own_unit(column: Column, system: System, cells: Mapping[str, Any]) -> str:
    """The unit of a number kept as text: picked beside it, or in its heading; or nothing."""
    if not (column.is_number and isinstance(cells.get(column.id), str)):
        return ""
    if column.unit_column:
        picked = fold(str(cells.get(column.unit_column, "")))
        if not column.unit_of_choice:
            return picked
        units = (unit for name, unit in column.unit_of_choice.items() if fold(name) == picked)
        return next(units, "")
    if column.per_yield or column.unit_by_form:
        return ""
    if column.id.endswith(PERCENT):
        return "%"
    brackets = _BRACKETS.search(column.title)
    return column.unit.get(system, brackets[1] if brackets else "")


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


def _number(column: Column, cell: Any, unit: str) -> tuple[Value | None, Problem | None]:
    if isinstance(cell, bool) or not isinstance(cell, (int, float, str)):
        return None, ("not-a-number", {"read": cell, "expected": ""})
    if isinstance(cell, str):
        word = canonical(cell, column.words)
        if word in column.words:
            return word, None
        cell, problem = _without_unit(cell, column, unit)
        if problem:
            return None, problem
    return _finite(column, float(cell))


def _finite(column: Column, number: float) -> tuple[Value | None, Problem | None]:
    if not abs(number) <= MOST:
        return None, ("not-a-number", {"read": number, "expected": ""})
    if column.type == "integer":
        if not number.is_integer():
            return None, ("not-whole", {"read": number})
        return int(number), None
    return number, None


def _without_unit(text: str, column: Column, unit: str) -> tuple[float, Problem | None]:
    """A number with its own unit behind it is that number; any other words are reported."""
    parts = _WITH_UNIT.fullmatch(text)
    if unit and parts and not _PLAIN.fullmatch(text):
        number, problem = _number_in(parts[1], column)
        if problem is None and fold(parts[2]) == fold(unit):
            return number, None
        if problem is None:
            return 0.0, ("unit-in-number", {"read": text, "unit": parts[2], "expected": unit})
    return _number_in(text, column)


def _number_in(text: str, column: Column) -> tuple[float, Problem | None]:
    bare = _GROUPING.sub("", text.replace("\u2212", "-"))
    bare = _SPACED.sub(lambda groups: _SPACE.sub("", groups[0]), bare, count=1)
    if _PLAIN.fullmatch(bare):
        return float(bare), None
    if _GROUPED.fullmatch(bare):
        return float(bare.replace(",", "")), None
    if _THOUSAND_OR_DECIMAL.fullmatch(bare):
        return 0.0, ("ambiguous-number", {"read": text})
    if _COMMA.fullmatch(bare):
        return float(bare.replace(",", ".")), None
    wanted = f" or one of: {', '.join(column.words)}" if column.words else ""
    return 0.0, ("not-a-number", {"read": text, "expected": wanted})


def _date(cell: Any) -> tuple[Value | None, Problem | None]:
    if isinstance(cell, datetime):
        return cell.date(), None
    if isinstance(cell, date):
        return cell, None
    if isinstance(cell, (int, float)) and not isinstance(cell, bool):
        if SERIAL_RANGE[0] <= cell <= SERIAL_RANGE[1]:
            return SERIAL_ZERO + timedelta(days=int(cell)), None
    elif isinstance(cell, str) and (day := _date_in(cell)):
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
    return _named_day(text.casefold())


def _named_day(text: str) -> date | None:
    """A date with the English name of the month, in full or its first letters."""
    if match := _DAY_FIRST.fullmatch(text):
        day, name, year = match.groups()
    elif match := _MONTH_FIRST.fullmatch(text):
        name, day, year = match.groups()
    else:
        return None
    names = [month.casefold() for month in month_name]
    month = next((at for at, full in enumerate(names) if at and full.startswith(name)), 0)
    return _real_day(int(year), month, int(day)) if len(name) >= SHORT else None


def _real_day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
