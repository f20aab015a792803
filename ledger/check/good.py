"""Values that passed a row schema, and what follows from them for values to come."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


class GoodValues:
    """The good values of one sheet: words by column, numbers as a range by column.

    A schema sets bounds to numbers and nothing else, so what lies between two good numbers
    is good.
    """

    def __init__(self) -> None:
        self._words: dict[str, set[Any]] = {}
        self._ranges: dict[str, tuple[float, float]] = {}

    def hold(self, row: Mapping[str, Any]) -> bool:
        """True when every value of a row is good for certain."""
        for name, value in row.items():
            if isinstance(value, (int, float)):
                low, high = self._ranges.get(name, (1.0, 0.0))
                if not low <= value <= high:
                    return False
            elif value not in self._words.get(name, ()):
                return False
        return True

    def learn(self, row: Mapping[str, Any]) -> None:
        """Note the values of a row that passed its schema."""
        for name, value in row.items():
            if isinstance(value, (int, float)):
                low, high = self._ranges.get(name, (value, value))
                self._ranges[name] = (min(low, value), max(high, value))
            else:
                self._words.setdefault(name, set()).add(value)
