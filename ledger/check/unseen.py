"""Cells that are read and counted, but that the live formulas of the workbook see otherwise.

A formula takes a cell as it is kept: 0.32 where 32% shows, no number in a number typed as
text, and no name that differs by a blank from the one it stands for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from ledger import findings
from ledger.check.values import own_unit, typed
from ledger.check.zones import WHOLE
from ledger.layout import fold
from ledger.live.typed import typed_columns
from ledger.model import Column, Definitions, Entry, Finding, Flaw, Lookup, Percentage, System

PERCENTAGE, OTHERWISE = "percent-kept-as-share", "live-columns-miss-it"
TOLD_SINGLY = 3  # cells of a column; of more the first is told, and how many more there are
AS_TEXT = "it is kept as text"
NOT_QUITE = "it differs from that name (a blank too many, or a number kept as text)"
Entries = Mapping[str, Sequence[Entry]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Missed:
    """A cell of an entry that live formulas see otherwise; what to say of it."""

    entry: Entry
    words: Mapping[str, object]
    code: str = OTHERWISE


def unseen(entries: Entries, definitions: Definitions, system: System) -> list[Finding]:
    """One finding a cell, or one a column of many, of what live formulas see otherwise.

    Looked at are columns that a live formula names; cells at fault have a finding of their own.
    """
    found: list[Finding] = []
    for name, used in typed_columns(definitions, system).items():
        for column in definitions.sheets[name].columns:
            if column.id in used:
                lines = _Lines(column=column, lines=entries.get(name, ()), system=system)
                missed = lines.texts() if lines.figures else lines.names(entries)
                found += _told(list(missed), column, definitions)
    return found


def _told(missed: Sequence[Missed], column: Column, definitions: Definitions) -> Iterator[Finding]:
    for code in (PERCENTAGE, OTHERWISE):
        cells = [one for one in missed if one.code == code]
        rest = len(cells) - 1
        many = len(cells) > TOLD_SINGLY
        more = f"; {rest} more cells of this column are alike" if many else ""
        for one in cells[:1] if many else cells:
            row = one.entry.row
            yield findings.finding(definitions, code, row, column.id, more=more, **one.words)


@dataclass(frozen=True, kw_only=True)
class _Lines:
    """A column of a sheet and the lines of that sheet."""

    column: Column
    lines: Sequence[Entry]
    system: System

    @property
    def figures(self) -> bool:
        """True when the column holds numbers or dates."""
        return self.column.is_number or self.column.is_date

    # ------------------------------------------------------------- numbers and dates
    def texts(self) -> Iterator[Missed]:
        """Percentages, numbers and dates that are kept as text, words with blanks about them."""
        for entry in self.lines:
            cell = entry.row.get(self.column.id)
            value = entry.get(self.column.id) if isinstance(cell, str) else None
            if value is None:
                continue
            if isinstance(cell, Percentage):
                yield _percentage(entry, cell)
            elif not isinstance(value, str):
                yield self._text(entry, cell)
            elif _kept(cell) != _kept(value):
                yield _name(entry, cell, value)

    def _text(self, entry: Entry, cell: str) -> Missed:
        unit = own_unit(self.column, self.system, entry.row.cells)
        value, _ = typed(self.column, cell, unit)
        plain = value.isoformat() if isinstance(value, date) else f"{value:.15g}"
        return Missed(entry=entry, words={"read": cell, "expected": plain, "why": AS_TEXT})

    # ------------------------------------------------------------------------- names
    def names(self, entries: Entries) -> Iterator[Missed]:
        """Names and words that are accepted and that a formula does not match.

        What is to be said of a cell is found once for all that are alike (measured: with cells
        asked for one by one, 0.4 of the time).
        """
        column, lookup = self.column, self.column.lookup
        if not (lookup or column.choices):
            return
        listed = _listed(lookup, entries) if lookup and lookup.sheet else None
        around = lookup.within if lookup else ""
        known: dict[Any, str | None] = {}
        for entry in self.lines:
            cell = entry.row.get(column.id)
            if cell is None or isinstance(cell, Flaw):
                continue
            within = entry.text(around) if around else ""
            key = (within, cell, entry.get(column.id))
            if key not in known:
                meant = _meant(entry, column)
                lost = meant is not None and not _matched(cell, str(meant), fold(within), listed)
                known[key] = str(meant) if lost else None
            said = known[key]
            if said is not None:
                yield _name(entry, cell, said)


@dataclass(frozen=True, kw_only=True)
class _Listed:
    """The names that a sheet lists, as they are kept, each with the name it lies within."""

    kept: frozenset[tuple[str, Any]]
    known: frozenset[tuple[str, str]]


def _listed(lookup: Lookup, entries: Entries) -> _Listed:
    """The names of the sheet that a column looks into."""
    named = [
        (fold(line.text(lookup.within)) if lookup.within else "", line.row.get(lookup.column))
        for line in entries.get(lookup.sheet, ())
        if line.get(lookup.column) is not None
    ]
    return _Listed(
        kept=frozenset((within, _kept(cell)) for within, cell in named),
        known=frozenset((within, fold(str(cell))) for within, cell in named),
    )


def _meant(entry: Entry, column: Column) -> Any:
    """The name that a cell was taken for; None where it is blank or at fault.

    A default that stands in for a name at fault is no spelling of that name.
    """
    cell, value = entry.row.get(column.id), entry.get(column.id)
    if column.default and value == column.default and fold(str(cell)) != fold(column.default):
        return None
    zone = column.lookup is not None and column.lookup.sheet == "zones"
    if zone and isinstance(cell, str) and fold(cell) == WHOLE:
        return WHOLE
    return value if cell is not None else None


def _matched(cell: Any, meant: str, within: str, listed: _Listed | None) -> bool:
    """True when a formula finds what the cell was taken for, or when nobody could."""
    if listed is None or meant == WHOLE:
        return bool(_kept(cell) == _kept(meant))
    return (within, _kept(cell)) in listed.kept or (within, fold(meant)) not in listed.known


def _kept(cell: Any) -> Any:
    """A cell as formulas compare it: letter case does not matter, all else does."""
    return cell.lower() if isinstance(cell, str) else cell


def _percentage(entry: Entry, cell: Percentage) -> Missed:
    number = float(cell.rstrip("%"))
    words = {"read": cell, "expected": f"{number:.15g}", "kept": f"{number / 100:.12g}"}
    return Missed(entry=entry, words=words, code=PERCENTAGE)


def _name(entry: Entry, cell: Any, meant: str) -> Missed:
    return Missed(entry=entry, words={"read": cell, "expected": meant, "why": NOT_QUITE})
