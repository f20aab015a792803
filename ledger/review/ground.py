"""The state of the ground on the day, and methods that contradict the tillage after them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ledger import findings
from ledger.model import Book, Definitions, Finding
from ledger.review.lines import applied

GROUND, METHOD, TILLED = "ground", "method", "incorporated_after_h"
UNFIT: Mapping[str, str] = {
    "wet": "wet ground",
    "frozen": "frozen ground",
    "snow": "snow-covered ground",
}
IN_THE_SOIL = "injected"  # the beginning of the names of methods that place below the surface


def unfit_ground(book: Book, definitions: Definitions) -> Iterator[Finding]:
    """A caution for each line put on ground that was soaked, frozen or under snow."""
    for name, sheet in definitions.sheets.items():
        if GROUND not in sheet.by_id:
            continue
        for entry in applied(book, name):
            if entry.text(GROUND) in UNFIT:
                words = {"read": UNFIT[entry.text(GROUND)]}
                yield findings.finding(definitions, "unfit-ground", entry.row, GROUND, **words)


def injected_yet_worked_in(book: Book, definitions: Definitions) -> Iterator[Finding]:
    """A finding for each line that was injected and says when it was worked in."""
    for name, sheet in definitions.sheets.items():
        if not {METHOD, TILLED} <= set(sheet.by_id):
            continue
        for entry in applied(book, name):
            if entry.text(METHOD).startswith(IN_THE_SOIL) and entry.get(TILLED) is not None:
                words = {"name": entry.text(METHOD), "read": entry.text(TILLED)}
                yield findings.finding(
                    definitions, "injected-yet-worked-in", entry.row, TILLED, **words
                )
