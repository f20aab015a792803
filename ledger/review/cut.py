"""Harvest of a crop that the Crops sheet does not have on that ground."""

from __future__ import annotations

from collections.abc import Iterator

from ledger import findings
from ledger.ground import crop_entry, label, shares
from ledger.model import Book, Definitions, Entry, Finding, Zone
from ledger.review.lines import applied


def cut_unplanned(book: Book, definitions: Definitions) -> Iterator[Finding]:
    """A finding for each harvest line and zone with another crop, or none, on Crops.

    A book without any line on the Crops sheet plans nothing, so nothing can differ from it.
    """
    if not book.entries.get("crops"):
        return
    for entry in applied(book, "harvest"):
        for share in shares(entry, book):
            planned = _planned(book, share.zone)
            if planned is not None and planned != entry.text("crop"):
                words = {
                    "read": entry.text("crop"),
                    "name": label(book, share.zone),
                    "expected": planned or "no crop",
                }
                yield findings.finding(definitions, "cut-unplanned", entry.row, "crop", **words)


def _planned(book: Book, zone: Zone) -> str | None:
    """The crop of a zone by the Crops sheet; None where its line is at fault."""
    entry: Entry | None = crop_entry(book, zone)
    if entry is None:
        return ""
    return None if entry.faulty else entry.text("crop")
