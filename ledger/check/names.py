"""Which names other sheets and tables offer, so that a lookup can find and correct them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.check.values import typed
from ledger.layout import fold
from ledger.model import Definitions, Lookup, Row

Names = Mapping[str, str]  # folded spelling -> the spelling to use


class Directory:
    """The names on every sheet and table that a column may look up."""

    def __init__(self, rows: Mapping[str, Sequence[Row]], definitions: Definitions) -> None:
        self._rows = rows
        self._definitions = definitions
        self._tables: dict[tuple[str, str], Names] = {}
        self._cache: dict[tuple[str, str, str], Mapping[str, Names]] = {}

    def known(self, lookup: Lookup, context: str) -> Names:
        """Names a lookup permits; ``context`` is the value of the column it lies within."""
        if lookup.table:
            key = (lookup.table, context)
            if key not in self._tables:
                self._tables[key] = self._table(lookup, context)
            return self._tables[key]
        within = lookup.within and fold(context)
        return self._sheet(lookup).get(within, {})

    def _table(self, lookup: Lookup, context: str) -> Names:
        if lookup.table == "crop_parts":
            crop = self._definitions.crops.get(context)
            return _folded(tuple(crop.parts) if crop else ())
        return _folded(self._definitions.table(lookup.table))

    def _sheet(self, lookup: Lookup) -> Mapping[str, Names]:
        key = (lookup.sheet, lookup.column, lookup.within)
        if key not in self._cache:
            self._cache[key] = self._collect(*key)
        return self._cache[key]

    def _collect(self, sheet: str, column: str, within: str) -> dict[str, dict[str, str]]:
        names: dict[str, dict[str, str]] = {}
        for row in self._rows.get(sheet, ()):
            name = self._text(sheet, column, row.get(column))
            group = fold(self._text(sheet, within, row.get(within))) if within else ""
            if name:
                names.setdefault(group, {}).setdefault(fold(name), name)
        return names

    def _text(self, sheet: str, column: str, cell: Any) -> str:
        if cell is None:
            return ""
        value, _ = typed(self._definitions.sheets[sheet].by_id[column], cell)
        return "" if value is None else str(value)


def _folded(words: Sequence[str]) -> Names:
    return {fold(word): word for word in words}
