"""What crops need with every published figure at one end of its range.

The need stage is asked again with figures at their ends, so that every method's own reckoning
tells its range; needs grow with the figures that have one (a yield's nitrogen, a content, a
critical level). What a nitrate test leaves to go falls with what was supplied after it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from functools import lru_cache
from operator import mul
from typing import Any

from ledger.model import Definitions, Figure, Journal, Need, Zone
from ledger.model.ranges import Span
from ledger.reach import any_ranged, reach

Needs = Mapping[tuple[str, str], Need]
ENDS = ("low", "high")


@dataclass(frozen=True, kw_only=True, eq=False)
class NeedEnds:
    """Needs at the low and the high end, and with the supply of a nitrate test turned round.

    ``needs`` has figures and journal at one end; ``left`` has the journal at the other.
    """

    needs: Mapping[str, Needs] = field(default_factory=dict)
    left: Mapping[str, Needs] = field(default_factory=dict)

    def need(self, zone: Zone, nutrient: str, used: float | None) -> Span | None:
        """The span of a zone's need; a point where nothing else is told."""
        told = [_at(self.needs, end, zone) for end in ENDS]
        return _span([n.figures.get(nutrient) for n in told if n], used)

    def to_go(self, zone: Zone, nutrient: str, used: float | None) -> Span | None:
        """The span of what is to go where it is known outright; None elsewhere."""
        told = [need for end in ENDS if (need := _at(self.left, end, zone))]
        if not told or nutrient not in told[0].outright:
            return None
        return _span([need.outright[nutrient] for need in told], used)


NO_ENDS = NeedEnds()


def _at(needs: Mapping[str, Needs], end: str, zone: Zone) -> Need | None:
    return needs.get(end, {}).get((zone.field, zone.zone))


def _span(ends: list[float | None], used: float | None) -> Span | None:
    if used is None:
        return None
    known = [used, *(end for end in ends if end is not None)]
    return Span(low=min(known), used=used, high=max(known))


@lru_cache(maxsize=8)
def at_end(definitions: Definitions, end: str) -> Definitions:
    """The definitions with the figures that needs are reckoned from at one end."""
    return replace(
        definitions,
        need=_moved(definitions.need, end),
        removal_sets=_moved(definitions.removal_sets, end),
    )


def _moved(thing: Any, end: str) -> Any:
    """A copy with every figure inside that has a range at one end; itself without any."""
    if isinstance(thing, Figure):
        reached = thing.low if end == "low" else thing.high
        return thing if reached is None else replace(thing, value=reached)
    if is_dataclass(thing) and not isinstance(thing, type):
        old = {f.name: getattr(thing, f.name) for f in fields(thing) if f.init}
        new = {name: _moved(value, end) for name, value in old.items()}
        return thing if _same(old, new) else replace(thing, **new)
    if isinstance(thing, Mapping):
        moved = {key: _moved(value, end) for key, value in thing.items()}
        return thing if _same(thing, moved) else moved
    if isinstance(thing, (tuple, list)):
        items = [_moved(item, end) for item in thing]
        return thing if all(map(_is, thing, items)) else type(thing)(items)
    return thing


def _is(one: Any, other: Any) -> bool:
    return one is other


def _same(old: Mapping[Any, Any], new: Mapping[Any, Any]) -> bool:
    return all(new[key] is value for key, value in old.items())


def supply_at_end(journal: Journal, needs: Needs, end: str) -> Journal:
    """The postings of zones with a nitrate test at one end; no other need asks for any."""
    tested = {place for place, need in needs.items() if need.outright}
    supplied = journal.postings.where(lambda kind: (kind.zone.field, kind.zone.zone) in tested)
    parts = supplied.asked(lambda factors: reach(factors, end) if any_ranged(factors) else 1.0)
    return replace(journal, postings=supplied.with_masses(map(mul, supplied.masses, parts)))
