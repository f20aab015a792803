"""The days that a text may mean where day and month, or the century, cannot be told."""

from __future__ import annotations

import re
from datetime import date

_PARTS = re.compile(r"\s*(\d{1,2})[/. -](\d{1,2})[/. -](\d{2}|\d{4})\s*")
CENTURY = 2000  # of a year in two digits: no ledger is older


def days_meant(read: object) -> str:
    """The days in words and how each is typed, as the tail of a sentence; nothing for none.

    '5/3/26' may be 5 March 2026 or 3 May 2026.
    """
    parts = _PARTS.fullmatch(read) if isinstance(read, str) else None
    if parts is None:
        return ""
    first, second, year = (int(part) for part in parts.groups())
    year += CENTURY if year < 100 else 0
    days = dict.fromkeys(filter(None, (_day(year, second, first), _day(year, first, second))))
    told = " or ".join(f"{day.day} {day:%B %Y} (type {day.isoformat()})" for day in days)
    return f"; this may mean {told}" if told else ""


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
