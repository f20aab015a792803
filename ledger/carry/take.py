"""What was taken over from one sheet, and what was left behind."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from ledger.carry.cells import Cells
from ledger.model import Entry, Sheet

FAULTY = "lines with errors"


@dataclass(frozen=True, kw_only=True, eq=False)
class Taken:
    """Lines for the new sheet; how many were dropped, by reason; remarks for the person."""

    lines: Sequence[Cells]
    dropped: Mapping[str, int] = field(default_factory=dict)
    remarks: Sequence[str] = ()

    @classmethod
    def of(
        cls, entries: Sequence[Entry], cells: Callable[[Entry, Sheet], Cells], sheet: Sheet
    ) -> Taken:
        """All sound lines, each turned by ``cells``."""
        sound = [entry for entry in entries if not entry.faulty]
        faulty = len(entries) - len(sound)
        return cls(
            lines=[cells(entry, sheet) for entry in sound],
            dropped={FAULTY: faulty} if faulty else {},
        )
