"""Load the usual figures of ``templates/usual.json``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ledger.definitions.data import DataFault, read_checked
from ledger.model import Sheet, Unit, Usual

FILE = "usual.json"


def load_usual(
    root: Path, sheets: Mapping[str, Sheet], units: Mapping[str, Unit]
) -> tuple[Usual, ...]:
    """All usual figures, in base units; raises ``DataFault`` for what fits no column."""
    return tuple(_usual(raw, sheets, units) for raw in read_checked(root / FILE, "usual")["usual"])


def _usual(raw: Mapping[str, Any], sheets: Mapping[str, Sheet], units: Mapping[str, Unit]) -> Usual:
    where = f"{FILE}: {raw['sheet']} {raw['column']}"
    sheet = sheets.get(raw["sheet"])
    if sheet is None or raw["column"] not in sheet.by_id:
        raise DataFault(f"{where}: there is no such column")
    if "unit" in raw and raw["unit"] not in units:
        raise DataFault(f"{where}: there is no unit {raw['unit']!r}")
    if not sheet.by_id[raw["column"]].is_number or raw["low"] >= raw["high"]:
        raise DataFault(f"{where}: expected a column of numbers, and low below high")
    unit = units.get(raw.get("unit", ""))
    factor = unit.factor if unit else 1.0
    low, high = raw["low"] * factor, raw["high"] * factor
    return Usual(sheet=raw["sheet"], column=raw["column"], unit=unit, low=low, high=high)
