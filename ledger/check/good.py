"""Values that pass a row schema for certain, told without asking jsonschema.

A row schema holds cells one by one: numbers by bounds, words by a list (there are tests for
both). What is not surely good here is put to jsonschema, which decides and says why.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import inf, nextafter
from typing import Any

ANY_TEXT = {"type": "string"}  # the schema of a cell that may hold any words or a day
FORESEEN = {"type", "enum", "minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Good:
    """What surely passes in one column: numbers from low to high; words, None being any."""

    low: float = 1.0
    high: float = 0.0
    whole: bool = False
    words: frozenset[str] | None = frozenset()


class GoodValues:
    """The surely good values of one sheet, by its row schema."""

    def __init__(self, schema: Mapping[str, Any]) -> None:
        self._required = frozenset(schema["required"])
        self.columns = {name: _good(cell) for name, cell in schema["properties"].items()}

    def hold(self, row: Mapping[str, Any]) -> bool:
        """True when a row passes the schema for certain."""
        return self._required <= row.keys() and all(
            _holds(self.columns[name], value) for name, value in row.items()
        )


def _holds(good: Good, value: Any) -> bool:
    kind = type(value)
    if kind is float or kind is int:
        return bool(good.low <= value <= good.high) and not (good.whole and kind is float)
    return (kind is str or kind is date) and (good.words is None or value in good.words)


def _good(cell: Mapping[str, Any]) -> Good:
    """What surely passes the schema of a cell; of an unforeseen one nothing does."""
    number, words = cell, cell.get("enum", ())
    if set(cell) == {"anyOf"}:
        number, others = cell["anyOf"]
        words = others.get("enum", ())
    if cell == ANY_TEXT:
        return Good(words=None)
    if number.keys() - FORESEEN:
        return Good()
    if number["type"] == "string":
        return Good(words=frozenset(words))
    return Good(**_bounds(number), whole=number["type"] == "integer", words=frozenset(words))


def _bounds(number: Mapping[str, Any]) -> dict[str, float]:
    over = nextafter(number.get("exclusiveMinimum", -inf), inf)
    below = nextafter(number.get("exclusiveMaximum", inf), -inf)
    return {
        "low": max(number.get("minimum", -inf), over),
        "high": min(number.get("maximum", inf), below),
    }
