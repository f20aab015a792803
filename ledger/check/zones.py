"""The zones of every field: its lines on the Zones sheet, or one zone named ``all``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ledger.layout import fold
from ledger.model import Entry, Zone

WHOLE = "all"


def zones_by_field(entries: Mapping[str, Sequence[Entry]]) -> dict[str, list[Zone]]:
    """Zones in sheet order by field; a field without an area has none.

    Of names that stand twice the first line counts, so that no ground is counted twice.
    """
    fields: dict[str, Entry] = {}
    for entry in entries.get("fields", ()):
        if entry.text("field") and entry.number("area"):
            fields.setdefault(fold(entry.text("field")), entry)
    parts: dict[str, dict[str, Entry]] = {name: {} for name in fields}
    for entry in entries.get("zones", ()):
        name, zone = fold(entry.text("field")), fold(entry.text("zone"))
        if name in parts and zone and entry.number("area"):
            parts[name].setdefault(zone, entry)
    return {
        field.text("field"): [_zone(field, part) for part in parts[name].values()] or [_zone(field)]
        for name, field in fields.items()
    }


def _zone(field: Entry, part: Entry | None = None) -> Zone:
    """A part of a field by its line on the Zones sheet, or the whole of it."""
    return Zone(
        field=field.text("field"),
        zone=part.text("zone") if part else WHOLE,
        area=(part or field).number("area") or 0.0,
        custom=field.text("tenure") == "custom",
    )
