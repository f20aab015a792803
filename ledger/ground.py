"""Which ground a line is for, and which crop grows on it: questions every stage asks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

from ledger.model import Book, Definitions, Entry, NeedMethod, Zone


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """The part of an entry that falls to one zone, and the area it covers there [ha]."""

    zone: Zone
    area: float
    part: float


def shares(entry: Entry, book: Book) -> list[Share]:
    """The zones an entry is for; a blank zone is the whole field, shared by area.

    ``area_covered``, where given, replaces the area and is shared in the same proportion.
    An empty list means that the field has no area to post to.
    """
    wanted = entry.text("zone")
    zones = [z for z in book.zones.get(entry.text("field"), ()) if wanted in ("", z.zone)]
    total = fsum(zone.area for zone in zones)
    covered = entry.number("area_covered") or total
    return [
        Share(zone=zone, area=covered * zone.area / total, part=zone.area / total) for zone in zones
    ]


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


def label(book: Book, zone: Zone) -> str:
    """How a zone is called: the field alone when it is all of it."""
    return zone.field if len(book.zones[zone.field]) == 1 else f"{zone.field}, {zone.zone}"


def nitrogen_method(book: Book, crop: Entry | None, definitions: Definitions) -> NeedMethod:
    """How a crop's nitrogen need is reckoned: its own method, or the farm's."""
    named = crop.text("n_method") if crop else ""
    methods = definitions.need.methods
    default = definitions.sheets["farm"].by_id["n_method"].default
    return methods.get(named) or methods.get(book.farm.text("n_method")) or methods[default]
