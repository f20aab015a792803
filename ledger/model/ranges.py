"""Nouns of ranges: a figure's span, and which input moves it most."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ledger.model.workbook import Zone


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Low, used and high of a figure [kg/ha]."""

    low: float
    used: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Influence:
    """How far one ranged input moves a zone's figures from its low to its high end [kg/ha]."""

    name: str
    origin: str
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneRanges:
    """The spans of a zone's figures for one nutrient, and what they hang on most."""

    zone: Zone
    nutrient: str
    spans: Mapping[str, Span | None]
    influences: Sequence[Influence]
