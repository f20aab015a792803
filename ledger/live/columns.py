"""A live column: its heading, its formula, and whether people see it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveColumn:
    """A column of formulas beside the entries of a sheet; hidden ones only help others.

    ``id`` begins with an underscore, so that it never meets the id of an entry column.
    """

    id: str
    formula: str
    title: str = ""
    unit: str = ""
    note: str = ""
    width: int = 11
    look: str = "live_one"

    @property
    def shown(self) -> bool:
        """True when people see the column."""
        return bool(self.title)

    @property
    def key(self) -> str:
        """The text of its cell in the key row; the reader passes it over."""
        return f"=live{self.id}"
