"""Ranges: how far figures reach when sources give a range instead of a point.

A stage: ``ranges(statements, journal) -> list[ZoneRanges]``. Every posting is a product of
factors, so its bounds are exact: each factor at its low (or high) end. Sums of postings move
the same way, and a difference takes the low end of one side with the high end of the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import fsum, prod

from ledger.balance.figures import PRIMARY, figure_of
from ledger.model import Journal, Posting, Statement, Zone
from ledger.model.ranges import Influence, Span, ZoneRanges

__all__ = ["ranges"]

Spans = Mapping[str, Span | None]
SUPPLIES = ("manure_credit", "fertilizer", "credits", "residual")


def ranges(statements: Sequence[Statement], journal: Journal) -> list[ZoneRanges]:
    """Low, used and high of every figure of every zone and nutrient [kg/ha]."""
    by_place: dict[tuple[Zone, str], list[Posting]] = {}
    for posting in journal.postings:
        by_place.setdefault((posting.zone, posting.nutrient), []).append(posting)
    return [
        _zone(statement, nutrient, by_place.get((statement.zone, nutrient), ()))
        for statement in statements
        for nutrient in statement.figures
    ]


def _zone(statement: Statement, nutrient: str, postings: Sequence[Posting]) -> ZoneRanges:
    figures = statement.figures[nutrient]
    area = statement.zone.area
    spans: dict[str, Span | None] = {
        name: _primary(name, figures[name], postings, area) for name in PRIMARY
    }
    need = figures["need"]
    spans["applied"] = _plus(spans, ("manure", "fertilizer"))
    spans["supply"] = _plus(spans, SUPPLIES)
    spans["need"] = None if need is None else Span(low=need, used=need, high=need)
    spans["balance"] = _minus(spans["applied"], spans["removal"])
    spans["to_go"] = _to_go(figures["to_go"], spans["need"], spans["supply"])
    return ZoneRanges(
        zone=statement.zone,
        nutrient=nutrient,
        spans=spans,
        influences=_influences(postings, area),
    )


def _to_go(used: float | None, need: Span | None, supply: Span | None) -> Span | None:
    """Need less supply; where it is known outright (a nitrate test) the supply's reach stays."""
    if used is None:
        return None
    if need is None or supply is None:
        return Span(low=used, used=used, high=used)
    low, high = used - (supply.high - supply.used), used + (supply.used - supply.low)
    return Span(low=low, used=used, high=high)


def _primary(
    name: str, used: float | None, postings: Iterable[Posting], area: float
) -> Span | None:
    if used is None:
        return None
    own = [p for p in postings if (told := figure_of(p)) and told[0] == name]
    return Span(low=_sum(own, "low") / area, used=used, high=_sum(own, "high") / area)


def _sum(postings: Iterable[Posting], end: str) -> float:
    return fsum(abs(p.mass) * reach(p, end) * _sign(p) for p in postings)


def _sign(posting: Posting) -> float:
    told = figure_of(posting)
    return -1.0 if told is not None and told[1] < 0 else 1.0


def reach(posting: Posting, end: str) -> float:
    """How a posting's mass changes when its factors are at one end of their ranges.

    The total of a manure (its way out of the store) does not hang on how it is split.
    """
    if posting.account.root == "store":
        return 1.0
    ends = [(f.low if end == "low" else f.high, f.value) for f in posting.factors]
    return prod(reached / value for reached, value in ends if reached is not None and value)


def _plus(spans: Spans, names: Iterable[str]) -> Span | None:
    parts = [spans[name] for name in names]
    known = [part for part in parts if part is not None]
    if len(known) < len(parts):
        return None
    return Span(
        low=fsum(part.low for part in known),
        used=fsum(part.used for part in known),
        high=fsum(part.high for part in known),
    )


def _minus(one: Span | None, other: Span | None) -> Span | None:
    if one is None or other is None:
        return None
    return Span(low=one.low - other.high, used=one.used - other.used, high=one.high - other.low)


def _influences(postings: Iterable[Posting], area: float) -> list[Influence]:
    """Ranged factors by how much of the zone's figures each moves, largest first [kg/ha]."""
    moved: dict[tuple[str, str], float] = {}
    for posting in postings:
        if posting.account.root == "store" or figure_of(posting) is None:
            continue
        for factor in posting.factors:
            if factor.low is not None and factor.high is not None and factor.value:
                width = (factor.high - factor.low) / factor.value * abs(posting.mass) / area
                key = (factor.name, factor.origin)
                moved[key] = moved.get(key, 0.0) + width
    found = [Influence(name=n, origin=o, width=w) for (n, o), w in moved.items() if w]
    return sorted(found, key=lambda item: (-item.width, item.name, item.origin))
