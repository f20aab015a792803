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
    by_scope: dict[Scope, dict[str, list[Spans]]] = {}
    spans: dict[Scope, dict[str, Spans]] = {}
    for item in zones:
        field, custom = item.zone.field, item.zone.custom
        spans.setdefault((field, item.zone.zone), {})[item.nutrient] = item.spans
        whole = _whole(item)
        for scope in ((field,), CUSTOM_WORK if custom else WHOLE_FARM):
            by_scope.setdefault(scope, {}).setdefault(item.nutrient, []).append(whole)
    summed = {
        scope: {nutrient: _sums(wholes) for nutrient, wholes in own.items()}
        for scope, own in by_scope.items()
    }
    return Ranges(zones=zones, spans={**spans, **summed})


def _whole(item: ZoneRanges) -> Spans:
    """The spans of a zone times its area [kg].

    Of what is to go only zones that are short count, as in the sums of statements.
    """
    area = item.zone.area
    return {
        figure: span and _times(_shortfall(span) if figure == TO_GO else span, area)
        for figure, span in item.spans.items()
    }


def _times(span: Span, area: float) -> Span:
    low, used, high = span
    whole = used * area + 0.0  # no zero with a minus
    if low == used == high:
        return Span(whole, whole, whole)
    return Span(low * area + 0.0, whole, high * area + 0.0)


def _shortfall(span: Span) -> Span:
    return Span(low=max(0.0, span.low), used=max(0.0, span.used), high=max(0.0, span.high))


def _sums(wholes: Sequence[Spans]) -> Spans:
    """Spans of zones added up; a zone alone is its field (measured: a third of the time)."""
    if len(wholes) == 1:
        return wholes[0]
    return {figure: _sum([spans[figure] for spans in wholes]) for figure in wholes[0]}


def _sum(spans: Sequence[Span | None]) -> Span | None:
    """Spans added up; unknown where one of them is."""
    known = [span for span in spans if span is not None]
    if len(known) < len(spans):
        return None
    return Span(*map(fsum, zip(*known, strict=True)))
