"""How the figures of the result sheets follow from one another, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Derivation:
    """How the cells of a table follow: a formula in words and what it names.

    ``table`` and ``cell`` may hold ``*`` for any words; ``operands`` are written as
    ``templates/explain.json`` says.
    """

    sheet: str
    table: str
    cell: str
    how: str
    operands: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Derivations:
    """Words for the figures of statements, and derivations of all other cells.

    ``totals`` are words for figures of several zones that follow otherwise than those of one.
    """

    figures: Mapping[str, str]
    totals: Mapping[str, str]
    cells: Sequence[Derivation]
