"""Nouns of ranges: how far figures reach, and which input moves them most."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from ledger.model.workbook import Zone

Scope = tuple[str, ...]  # (field, zone), (field,), or one of the next two
WHOLE_FARM: Scope = ()
CUSTOM_WORK: Scope = ("",)
DUST = 1e-9  # of a figure (or kg/ha); narrower spans are made by rounding


class Span(NamedTuple):
    """Low, used and high of a figure [kg/ha; of a total kg].

    A named tuple, because every figure has one (measured: half the time of a frozen dataclass).
    """

    low: float
    used: float
    high: float

    @property
    def ranged(self) -> bool:
        """True when the figure reaches further than its point."""
        return self.high - self.low > DUST * max(1.0, abs(self.used))


Spans = Mapping[str, Span | None]


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
    spans: Spans
    influences: Sequence[Influence]


@dataclass(frozen=True, kw_only=True, eq=False)
class Ranges:
    """The spans of all zones, and by scope and nutrient those of zones, fields and the farm.

    Spans of zones are per area [kg/ha], those of fields, the farm and custom work whole [kg].
    """

    zones: Sequence[ZoneRanges] = ()
    spans: Mapping[Scope, Mapping[str, Spans]] = field(default_factory=dict)

    def of(self, scope: Scope, nutrient: str, figure: str) -> Span | None:
        """The span of a figure; None where it has no range or is unknown."""
        span = self.spans.get(scope, {}).get(nutrient, {}).get(figure)
        return span if span is not None and span.ranged else None
