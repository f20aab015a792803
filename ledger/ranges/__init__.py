"""Ranges: how far figures reach when sources give a range instead of a point.

A stage: ``ranges(statements, journal, ends) -> Ranges``. Every posting is a product of
factors, so its bounds are exact: each factor at its low (or high) end. Sums of postings move
the same way, and a difference takes the low end of one side with the high end of the other.
What a crop needs at either end the need stage tells (``ledger.ranges.ends``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from math import fsum
from operator import mul

from ledger.balance.figures import PRIMARY, counted_to, place_of, total_of
from ledger.model import Factor, Journal, Need, Postings, Statement, Zone
from ledger.model.ranges import Influence, Ranges, Span, Spans, ZoneRanges
from ledger.ranges.ends import NO_ENDS, NeedEnds
from ledger.reach import gathered, reach

__all__ = ["ranges"]

Place = tuple[str, str, str, str]  # field, zone, nutrient, figure
Reached = Mapping[Place, Postings]  # of figures with ends
NOTHING = Postings()
SUPPLIES = ("manure_credit", "fertilizer", "credits", "residual")


def ranges(
    statements: Sequence[Statement],
    journal: Journal,
    needs: Mapping[tuple[str, str], Need],
    ends: NeedEnds = NO_ENDS,
) -> Ranges:
    """Low, used and high of every figure of every zone [kg/ha], field and the farm [kg]."""
    moving, _ = journal.postings.parted(_have_ends)
    places = frozenset(map(place_of, moving.kinds))
    reached = journal.postings.where(lambda kind: place_of(kind) in places).grouped(place_of)
    moved = moving.grouped(lambda kind: (kind.zone.field, kind.zone.zone, kind.nutrient))
    return gathered(
        [
            _zone(s, nutrient, moved, reached, needs, ends)
            for s in statements
            for nutrient in s.figures
        ]
    )


def _zone(
    statement: Statement,
    nutrient: str,
    moved: Mapping[tuple[str, str, str], Postings],
    reached: Reached,
    needs: Mapping[tuple[str, str], Need],
    ends: NeedEnds,
) -> ZoneRanges:
    figures, zone = statement.figures[nutrient], statement.zone
    place = (zone.field, zone.zone, nutrient)
    spans: dict[str, Span | None] = {
        name: _primary(name, figures[name], zone, reached.get((*place, name))) for name in PRIMARY
    }
    spans["applied"] = _plus(spans, ("manure", "fertilizer"))
    spans["supply"] = _plus(spans, SUPPLIES)
    spans["need"] = ends.need(zone, nutrient, figures["need"])
    spans["balance"] = _minus(spans["applied"], spans["removal"])
    outright = ends.to_go(zone, nutrient, figures["to_go"])
    spans["to_go"] = outright or _minus(spans["need"], spans["supply"])
    moving = moved.get(place, NOTHING)
    reasons = _reasons(needs.get((zone.field, zone.zone)), nutrient)
    return ZoneRanges(
        zone=zone,
        nutrient=nutrient,
        spans=spans,
        influences=_influences(moving, zone.area, reasons, spans["need"]),
    )


def _reasons(need: Need | None, nutrient: str) -> Sequence[Factor]:
    if need is None:
        return ()
    return need.reasons if nutrient == "N" else need.mineral_reasons.get(nutrient, ())


def _have_ends(factors: Iterable[Factor]) -> bool:
    return any(factor.low is not None or factor.high is not None for factor in factors)


def _primary(figure: str, used: float | None, zone: Zone, own: Postings | None) -> Span | None:
    """The span of a primary figure [kg/ha]; a point where no posting of it has ends."""
    if used is None:
        return None
    if own is None:
        return Span(used, used, used)
    low = total_of(figure, map(mul, own.masses, own.asked(partial(reach, end="low"))))
    high = total_of(figure, map(mul, own.masses, own.asked(partial(reach, end="high"))))
    return Span(low=low / zone.area, used=used, high=high / zone.area)


def _plus(spans: Spans, names: Iterable[str]) -> Span | None:
    parts = [spans[name] for name in names]
    known = [part for part in parts if part is not None]
    if len(known) < len(parts):
        return None
    return Span(*map(fsum, zip(*known, strict=True)))


def _minus(one: Span | None, other: Span | None) -> Span | None:
    if one is None or other is None:
        return None
    return Span(low=one.low - other.high, used=one.used - other.used, high=one.high - other.low)


def _influences(
    postings: Postings, area: float, reasons: Iterable[Factor], need: Span | None
) -> list[Influence]:
    """Ranged factors by how far each moves a figure of the zone, largest first [kg/ha].

    A factor of several figures (a lab's, of the total and of the credit) tells the widest.
    """
    moved: dict[tuple[str, str], dict[str, float]] = {}
    for (kind, _, mass), parts in zip(postings.moves, postings.asked(_parts), strict=True):
        figure = counted_to(kind)
        for told, part in parts if figure else ():
            figures = moved.setdefault(told, {})
            figures[figure] = figures.get(figure, 0.0) + abs(part * mass) / area
    widest = [(n, o, max(figures.values())) for (n, o), figures in moved.items()]
    if need is not None and need.ranged:
        width = need.high - need.low
        widest += [(f"{f.name} in the need", f.origin, width) for f in _ranged(reasons)]
    found = [Influence(name=n, origin=o, width=w) for n, o, w in widest if w]
    return sorted(found, key=lambda item: (-item.width, item.name, item.origin))


def _parts(factors: Iterable[Factor]) -> list[tuple[tuple[str, str], float]]:
    """Name and origin of ranged factors, with how wide each is as a part of its value."""
    found = ((factor, _relative(factor)) for factor in factors)
    return [((factor.name, factor.origin), part) for factor, part in found if part]


def _relative(factor: Factor) -> float:
    """The width of a factor's range as a part of its value; zero without one."""
    if factor.low is None or factor.high is None or not factor.value:
        return 0.0
    return (factor.high - factor.low) / factor.value


def _ranged(reasons: Iterable[Factor]) -> list[Factor]:
    return [factor for factor in reasons if _relative(factor)]
