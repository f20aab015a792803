"""The crop before: this year's crop becomes the previous one, with soil and stand."""

from __future__ import annotations

from ledger.carry.cells import Cells
from ledger.carry.take import FAULTY, Taken
from ledger.model import Definitions, Entry, Results

KEPT = ("field", "zone", "soil", "stand")
LASTING = "hay"  # a crop that is grown for hay stands on unless it is killed


def crops_before(results: Results, definitions: Definitions) -> Taken:
    """One line a field or zone: previous crop, the one before it, soil and stand.

    Hay goes on; for all other ground the new crop is still to be chosen and left blank.
    """
    lines = results.book.entries.get("crops", ())
    sound = [entry for entry in lines if not entry.faulty]
    faulty = len(lines) - len(sound)
    cells = [_cells(entry, definitions) for entry in sound]
    waiting = sum("crop" not in line for line in cells)
    return Taken(
        lines=cells,
        dropped={FAULTY: faulty} if faulty else {},
        remarks=[f"{waiting} wait for this year's crop"] if waiting else [],
    )


def _cells(entry: Entry, definitions: Definitions) -> Cells:
    crop = definitions.crops[entry.text("crop")]
    kept = {name: entry.text(name) for name in KEPT if entry.text(name)}
    lasting = {"crop": crop.id} if crop.main_part == LASTING else {}
    before = entry.text("previous_crop")
    earlier = {"crop_before": before} if before else {}
    return {**kept, **lasting, "previous_crop": crop.id, **earlier}
