"""Which ground a line is for, and which crop grows on it: questions every stage asks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum
from typing import Any

from ledger.model import Book, Definitions, Entry, NeedMethod, Zone

FARM = Zone(field="", zone="", area=0.0)  # where a line belongs that is about no field


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """The part of an entry that falls to one zone, and the area it covers there [ha]."""

    zone: Zone
    area: float
    part: float


def shares(entry: Entry, book: Book) -> Sequence[Share]:
    """The zones an entry is for; a blank zone is the whole field, shared by area.

    ``area_covered``, where given, replaces the area and is shared in the same proportion.
    An empty list means that the field has no area to post to. Asked of every line by several
    stages, so the answer is kept with the book (measured: posting in 0.9 of the time).
    """
    cell = entry.get
    key: Any = (cell("field"), cell("zone"), cell("area_covered"))
    found: Sequence[Share] | None = book.shares.get(key)
    if found is None:
        found = book.shares[key] = _shares(entry, book)
    return found


def _shares(entry: Entry, book: Book) -> list[Share]:
    field, wanted, covered = entry.text("field"), entry.text("zone"), entry.number("area_covered")
    zones = [z for z in book.zones.get(field, ()) if wanted in ("", z.zone)]
    total = fsum(zone.area for zone in zones)
    covered = covered or total
    return [
        Share(zone=zone, area=covered * zone.area / total, part=zone.area / total) for zone in zones
    ]


def ground_of(parts: Sequence[Share]) -> tuple[int, int]:
    """The same for lines on the same zones, whatever area of them they cover.

    Zones of a line are one, or all of one field (or of one name) in the book's order.
    """
    return (id(parts[0].zone), len(parts)) if parts else (0, 0)


def covered_area(parts: Sequence[Share]) -> float:
    """The area an entry covers in all zones together [ha]."""
    return fsum(part.area for part in parts)


def crop_entry(book: Book, zone: Zone) -> Entry | None:
    """The Crops line of a zone: its own, or that of the whole field."""
    return book.crop_lines.get((zone.field, zone.zone)) or book.crop_lines.get((zone.field, ""))


def crop_of(book: Book, zone: Zone) -> str:
    """The crop of a zone, or nothing when the Crops sheet does not say."""
    entry = crop_entry(book, zone)
    return entry.text("crop") if entry else ""


def standing(book: Book) -> frozenset[Zone]:
    """Zones with a crop and no harvest line yet, be it of a failed crop or at fault."""
    lines = book.entries.get("harvest", ())
    cut = {share.zone for entry in lines for share in shares(entry, book)}
    zones = (zone for group in book.zones.values() for zone in group)
    return frozenset(zone for zone in zones if zone not in cut and crop_of(book, zone))


def label(book: Book, zone: Zone) -> str:
    """How a zone is called: the field alone when it is all of it."""
    return zone.field if len(book.zones[zone.field]) == 1 else f"{zone.field}, {zone.zone}"


def nitrogen_method(book: Book, crop: Entry | None, definitions: Definitions) -> NeedMethod:
    """How a crop's nitrogen need is reckoned: its own method, or the farm's."""
    named = crop.text("n_method") if crop else ""
    methods = definitions.need.methods
    default = definitions.sheets["farm"].by_id["n_method"].default
    return methods.get(named) or methods.get(book.farm.text("n_method")) or methods[default]
