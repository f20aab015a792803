"""Record items: what rules often want written down, and where the workbook keeps it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from ledger.model.figures import Source

Kept = Literal["entered", "made by the ledger", "not covered"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordPlace:
    """A column that holds a record item, in the lines whose cells say one of the words."""

    sheet: str
    column: str
    when: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordItem:
    """Something that rules often ask to be recorded, one rule that does, and for how long.

    ``places`` is empty for what the ledger works out itself and for what it does not cover.
    """

    id: str
    words: str
    kept: Kept
    places: tuple[RecordPlace, ...]
    source: Source
    status: Literal["verified", "memory"]
    years: str
    page: str = ""

    def citation(self) -> str:
        """One rule that asks for it, with a plain warning when it was not read."""
        warning = " (from memory, check with the local rule)" if self.status == "memory" else ""
        return f"{self.source.publisher}, {self.source.title} {self.page}".rstrip() + warning
