"""Find the figure of a factor table that holds for an application, or say what is missing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import inf
from operator import ge, gt, le, lt
from typing import Any

from ledger.model import Entry, FactorRow, FactorTable, Figure, ManureKind, ManureSet


@dataclass(frozen=True, slots=True, kw_only=True)
class NoAnswer:
    """Why a table gave no figure: a key the line lacks, or a case the table does not cover."""

    missing_key: str = ""
    case: str = ""


# Which column of the spreading line a key is read from: where a finding points, and in what
# lines must be alike to be split alike (a test holds ``keys_of`` to it).
KEY_COLUMNS = {
    "incorporated_h": "incorporated_after_h",
    "weather": "weather",
    "placement": "method",
    "group": "lot",
    "form": "lot",
    "dry_matter_pct": "lot",
    "composted": "lot",
}


def keys_of(
    entry: Entry, lot: Entry, kind: ManureKind | None, chosen: ManureSet, year: int
) -> dict[str, Any]:
    """The keys of an application as a set knows them; None where the line does not say.

    A method the set has no name for is passed on as it is, so that no row matches it.
    """
    method = entry.text("method")
    weather = entry.text("weather") or None
    classes = {
        row.when["weather"]
        for table in chosen.tables.values()
        for row in table.rows
        if "weather" in row.when
    }
    keys: dict[str, Any] = {
        "year": year,
        "group": chosen.groups.get(kind.id) if kind else None,
        "placement": chosen.placements.get(method, method or None),
        "incorporated_h": _hours(entry),
        "weather": weather if weather in classes else None,
        "form": lot.text("form") or None,
        "dry_matter_pct": lot.number("dry_matter_pct"),
        "composted": kind.composted if kind else None,
    }
    defaults = {key: value for key, value in chosen.defaults.items() if keys.get(key) is None}
    return {**keys, **defaults}


def _hours(entry: Entry) -> float | None:
    return (
        inf
        if entry.text("incorporated_after_h") == "never"
        else entry.number("incorporated_after_h")
    )


def find(table: FactorTable, keys: Mapping[str, Any]) -> Figure | NoAnswer:
    """The one figure whose conditions hold.

    Keys are applied in the table's order. A key that the remaining rows turn on and the line
    lacks is reported by name. Raises LookupError when two rows hold: a fault in the data.
    """
    rows = list(table.rows)
    for key in table.keys:
        turning = [row for row in rows if key in row.when]
        if not turning:
            continue
        value = keys.get(key)
        if value is None:
            return NoAnswer(missing_key=key)
        rows = [row for row in rows if _holds(row, key, value)]
    if len(rows) > 1:
        raise LookupError(f"table {table.name}: {len(rows)} rows hold for {dict(keys)}")
    return rows[0].figure if rows else NoAnswer(case=_describe(table, keys))


def _holds(row: FactorRow, key: str, value: Any) -> bool:
    if key not in row.when:
        return True
    wanted = row.when[key]
    return in_band(value, wanted) if isinstance(wanted, dict) else value == wanted


_BOUNDS: Mapping[str, Callable[[float, float], bool]] = {
    "from": ge,
    "over": gt,
    "below": lt,
    "to": le,
}


def in_band(value: float, band: Mapping[str, float]) -> bool:
    """True when a number lies in a band: from (>=), over (>), below (<), to (<=)."""
    return all(_BOUNDS[bound](value, limit) for bound, limit in band.items())


def _describe(table: FactorTable, keys: Mapping[str, Any]) -> str:
    words = [f"{key.replace('_', ' ')} {keys[key]}" for key in table.keys if keys.get(key)]
    return ", ".join(words).replace("incorporated h inf", "not incorporated")
