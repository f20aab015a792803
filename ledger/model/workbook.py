"""A workbook as read and as checked: rows, findings, entries, the book."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from ledger.model.aligned import AS_MAPPING, AsMapping, Filled, aligned, laid_over, put
from ledger.model.sheets import Severity, System

Value = str | float | date | bool


class Percentage(str):
    """A number that its cell shows as a percentage, as it is shown: 0.32 is '32%'."""

    __slots__ = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Where one entry sheet's columns (or pairs) lie in the workbook that was read."""

    sheet_id: str
    sheet_name: str
    letters: Mapping[str, str]
    pair_rows: Mapping[str, int]

    def address(self, column: str, number: int) -> str:
        """The cell of a column in a row, or of the heading's pair on a pairs sheet."""
        row = self.pair_rows.get(column, number)
        return f"{self.letters[column]}{row}" if column in self.letters else f"A{row}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Flaw:
    """In place of a cell whose value cannot be known: the finding to make of it."""

    code: str
    words: Mapping[str, object]


@dataclass(frozen=True, kw_only=True, init=False)
class Row(Filled):
    """One filled line of an entry sheet, as typed."""

    __slots__ = ("grid", "number")
    grid: Grid
    number: int
    cells: AsMapping = AS_MAPPING

    def __init__(self, *, grid: Grid, number: int, cells: Mapping[str, Any]) -> None:
        put(self, "grid", grid)
        put(self, "number", number)
        self._fill(aligned(cells))

    def get(self, column: str) -> Any:
        """What a cell holds as typed, or None when it is blank."""
        at = self.places.get(column)
        return None if at is None else self.kept[at]

    def address(self, column: str) -> str:
        """The cell that a value of this row was read from."""
        return self.grid.address(column, self.number)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnFigure:
    """A figure typed over a published one: the key of the published one, value as typed, cell.

    ``shown`` is the percentage that the cell shows, where what it keeps is not the value.
    """

    key: str
    value: Any
    sheet: str
    cell: str
    shown: Percentage | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A workbook as read: rows by sheet id, and where our own result sheets are."""

    system: System
    rows: Mapping[str, Sequence[Row]]
    grids: Mapping[str, Grid]
    result_sheets: Mapping[str, str]
    names: tuple[str, ...] = ()
    own_figures: tuple[OwnFigure, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """Something to look at in the workbook, with the cell it is in."""

    code: str
    severity: Severity
    sheet: str
    cell: str
    message: str
    fix: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Slips:
    """What several lab slips say of one figure: least and most in the base, and their cells.

    ``own`` is what the lot's own line says. One slip alone has no range.
    """

    own: float | None
    low: float | None
    high: float | None
    cells: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, init=False)
class Entry(Filled):
    """A row after checking: typed values in the base, names as the other sheet spells them.

    ``slips`` tells of the figures of a manure lot that are means of several lab slips.
    """

    __slots__ = ("faulty", "row", "slips")
    row: Row
    values: AsMapping = AS_MAPPING
    faulty: bool
    slips: Mapping[str, Slips] | None

    def __init__(
        self,
        *,
        row: Row,
        values: Mapping[str, Value],
        faulty: bool = False,
        slips: Mapping[str, Slips] | None = None,
    ) -> None:
        put(self, "row", row)
        put(self, "faulty", faulty)
        put(self, "slips", slips)
        self._fill(laid_over(values, row))

    def _under(self) -> tuple[Any, ...]:
        return self.row.kept

    # Asked more often than anything else: each looks the place up by itself (measured: ``text``
    # in 0.6 of the time that it took with a mapping of its own, ``values`` in 4 times it).
    def get(self, column: str) -> Value | None:
        """What a cell holds in the base, or None when it is blank."""
        at = self.places.get(column)
        if at is None:
            return None
        value: Value = self.kept[at] if at >= 0 else self.row.kept[at]
        return value

    def text(self, column: str, default: str = "") -> str:
        """The words of a cell, or the default when it is blank."""
        at = self.places.get(column)
        if at is None:
            return default
        value = self.kept[at] if at >= 0 else self.row.kept[at]
        return value if type(value) is str else default if value is None else str(value)

    def number(self, column: str) -> float | None:
        """The number of a cell in the base, or None when it is blank."""
        at = self.places.get(column)
        if at is None:
            return None
        value = self.kept[at] if at >= 0 else self.row.kept[at]
        if type(value) is float:
            return value
        return float(value) if isinstance(value, (int, float)) else None

    def day(self, column: str) -> date | None:
        """The date of a cell, or None when it is blank."""
        value = self.get(column)
        return value if isinstance(value, date) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A part of a field that is treated alike; the unit of every statement."""

    field: str
    zone: str
    area: float
    custom: bool = False


@dataclass(frozen=True, kw_only=True, eq=False)
class Book:
    """The checked ledger of one year: settings, entries by sheet, zones by field."""

    system: System
    farm: Entry
    entries: Mapping[str, Sequence[Entry]]
    zones: Mapping[str, Sequence[Zone]]
    own_figures: Sequence[OwnFigure] = ()

    @property
    def year(self) -> int:
        """The crop year."""
        return int(self.farm.number("year") or 0)

    @cached_property
    def shares(self) -> dict[tuple[str, str, float | None], Any]:
        """What ``ledger.ground.shares`` found so far, by field, zone and area covered."""
        return {}

    @cached_property
    def crop_lines(self) -> Mapping[tuple[str, str], Entry]:
        """The lines of the Crops sheet by field and zone."""
        lines = self.entries.get("crops", ())
        return {(line.text("field"), line.text("zone")): line for line in lines}

    def named(self, sheet: str, column: str) -> Mapping[str, Entry]:
        """The entries of a sheet by the name in one of its columns."""
        return {entry.text(column): entry for entry in self.entries.get(sheet, ())}
