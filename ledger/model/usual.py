"""Between which figures, or days, the cells of a column usually lie."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ledger.model.sheets import Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """Bounds of a column's usual figures, in base units; ``unit`` is None for bare numbers.

    They hold for cells in a unit of the same quantity (a rate, say, and not a total) and for
    lines that say one of the words of each column in ``when``: a crop, say.
    """

    sheet: str
    column: str
    unit: Unit | None
    low: float
    high: float
    when: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualDays:
    """First and last usual day (month, day) of a column of dates, both in the crop year itself."""

    sheet: str
    column: str
    first: tuple[int, int]
    last: tuple[int, int]
