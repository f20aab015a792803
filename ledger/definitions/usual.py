"""Load the usual figures of ``templates/usual.json``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from ledger.definitions.data import DataFault, read_checked
from ledger.model import Column, Crop, Sheet, Unit, Usual, UsualDays

FILE = "usual.json"
NO_LEAP_YEAR = 2026  # any will do: a day that only some years have is no usual bound


def load_usual(
    root: Path,
    sheets: Mapping[str, Sheet],
    units: Mapping[str, Unit],
    crops: Mapping[str, Crop],
) -> tuple[Usual, ...]:
    """All usual figures, in base units; raises ``DataFault`` for what fits no column or crop."""
    lines = read_checked(root / FILE, "usual")["usual"]
    return tuple(_usual(raw, sheets, units, crops) for raw in lines)


def load_usual_days(root: Path, sheets: Mapping[str, Sheet]) -> tuple[UsualDays, ...]:
    """All usual days of dates; raises ``DataFault`` for what fits no column."""
    return tuple(_days(raw, sheets) for raw in read_checked(root / FILE, "usual")["days"])


def _days(raw: Mapping[str, Any], sheets: Mapping[str, Sheet]) -> UsualDays:
    column, where = _column(raw, sheets)
    first, last = (_month_and_day(raw[end], where) for end in ("first", "last"))
    if not column.is_date or first >= last:
        raise DataFault(f"{where}: expected a column of dates, and the first day before the last")
    return UsualDays(sheet=raw["sheet"], column=raw["column"], first=first, last=last)


def _month_and_day(text: str, where: str) -> tuple[int, int]:
    try:
        day = date.fromisoformat(f"{NO_LEAP_YEAR}-{text}")
    except ValueError as problem:
        raise DataFault(f"{where}: {text!r} is no day of every year") from problem
    return day.month, day.day


def _column(raw: Mapping[str, Any], sheets: Mapping[str, Sheet]) -> tuple[Column, str]:
    """The column a line is about, and the line in words."""
    where = f"{FILE}: {raw['sheet']} {raw['column']}"
    sheet = sheets.get(raw["sheet"])
    if sheet is None or raw["column"] not in sheet.by_id:
        raise DataFault(f"{where}: there is no such column")
    return sheet.by_id[raw["column"]], where


def _usual(
    raw: Mapping[str, Any],
    sheets: Mapping[str, Sheet],
    units: Mapping[str, Unit],
    crops: Mapping[str, Crop],
) -> Usual:
    column, where = _column(raw, sheets)
    if "unit" in raw and raw["unit"] not in units:
        raise DataFault(f"{where}: there is no unit {raw['unit']!r}")
    if not column.is_number or raw["low"] >= raw["high"]:
        raise DataFault(f"{where}: expected a column of numbers, and low below high")
    when = raw.get("when", {})
    for name, words in when.items():
        _check_words(name, words, sheets[raw["sheet"]], crops, where)
    unit = units.get(raw.get("unit", ""))
    factor = unit.factor if unit else 1.0
    low, high = raw["low"] * factor, raw["high"] * factor
    return Usual(
        sheet=raw["sheet"],
        column=raw["column"],
        unit=unit,
        low=low,
        high=high,
        when={name: tuple(words) for name, words in when.items()},
    )


def _check_words(
    name: str, words: Sequence[str], sheet: Sheet, crops: Mapping[str, Crop], where: str
) -> None:
    """Refuse a word that the column it stands for can never hold."""
    column = sheet.by_id.get(name)
    if column is None:
        raise DataFault(f"{where}: there is no column {name!r} to go by")
    of_crops = column.lookup is not None and column.lookup.table == "crops"
    known = crops if of_crops else column.choices
    if unknown := [word for word in words if word not in known]:
        raise DataFault(f"{where}: {name} is never {unknown[0]!r}")
