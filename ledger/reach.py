"""How far postings and zones reach, for whoever shows a figure that has a range."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import fsum

from ledger.model import TO_GO, Factor, Posting
from ledger.model.ranges import CUSTOM_WORK, WHOLE_FARM, Ranges, Scope, Span, Spans, ZoneRanges


def reach(factors: Iterable[Factor], end: str) -> float:
    """How a posting's mass changes when its factors are at one end (``low``, ``high``)."""
    part = 1.0
    for factor in factors:
        reached = factor.low if end == "low" else factor.high
        if reached is not None and factor.value:
            part *= reached / factor.value
    return part


def is_ranged(posting: Posting) -> bool:
    """Whether a posting is a point that its sources give a range for."""
    return posting.mass != 0 and any_ranged(posting.factors)


def any_ranged(factors: Iterable[Factor]) -> bool:
    """Whether a figure that was reckoned with these has a range."""
    for factor in factors:  # noqa: SIM110 - asked of every posting; measured: half the time
        if factor.low is not None and factor.low != factor.high:
            return True
    return False


def gathered(zones: Sequence[ZoneRanges]) -> Ranges:
    """The ranges of zones with those of their fields, the farm and custom work.

    A figure moves every zone the same way, so low ends add up to the low end of the sum, and
    high ends to the high one.
    """
    by_scope: dict[Scope, list[ZoneRanges]] = {}
    spans: dict[Scope, dict[str, Spans]] = {}
    for item in zones:
        spans.setdefault((item.zone.field, item.zone.zone), {})[item.nutrient] = item.spans
        by_scope.setdefault((item.zone.field,), []).append(item)
        by_scope.setdefault(CUSTOM_WORK if item.zone.custom else WHOLE_FARM, []).append(item)
    return Ranges(zones=zones, spans={**spans, **{s: _summed(own) for s, own in by_scope.items()}})


def _summed(zones: Iterable[ZoneRanges]) -> dict[str, Spans]:
    by_nutrient: dict[str, list[ZoneRanges]] = {}
    for item in zones:
        by_nutrient.setdefault(item.nutrient, []).append(item)
    return {
        nutrient: {figure: _sum(own, figure) for figure in own[0].spans}
        for nutrient, own in by_nutrient.items()
    }


def _sum(zones: Sequence[ZoneRanges], figure: str) -> Span | None:
    """Spans times areas added up [kg]; unknown where one of them is.

    Of what is to go only zones that are short count, as in the sums of statements.
    """
    parts = [(span, item.zone.area) for item in zones if (span := item.spans[figure])]
    if len(parts) < len(zones):
        return None
    if figure == TO_GO:
        parts = [(_shortfall(span), area) for span, area in parts]
    return Span(
        low=fsum(span.low * area for span, area in parts),
        used=fsum(span.used * area for span, area in parts),
        high=fsum(span.high * area for span, area in parts),
    )


def _shortfall(span: Span) -> Span:
    return Span(low=max(0.0, span.low), used=max(0.0, span.used), high=max(0.0, span.high))
