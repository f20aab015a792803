"""Nouns of strip trials: treatments, comparisons, and what they say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.model.workbook import Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Treatment:
    """A treatment of a trial: strips harvested, mean yield, nitrogen and cost (as typed units)."""

    name: str
    strips: int
    mean: float | None
    n_rate: float | None
    n_removed: float | None
    cost: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """A treatment against the first one, in yield units; None where it cannot be told.

    ``low`` and ``high`` bound the difference at the trial's confidence; ``blocks_wanted`` is
    how many blocks the wished difference would take. Gains are money per area.
    """

    treatment: str
    against: str
    difference: float | None
    standard_error: float | None
    low: float | None
    high: float | None
    p_value: float | None
    gain: float | None
    gain_low: float | None
    gain_high: float | None
    blocks_wanted: int | None
    agronomic_efficiency: float | None
    recovery: float | None
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One trial worked out; ``lsd`` and ``cv_pct`` are None without replication."""

    name: str
    field: str
    unit: str
    confidence_pct: float
    blocks: int
    treatments: Sequence[Treatment]
    comparisons: Sequence[Comparison]
    mean: float | None
    cv_pct: float | None
    lsd: float | None
    p_treatments: float | None
    lost: int
    first: Entry
