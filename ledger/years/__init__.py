"""Years: the balances of several years of one farm side by side and added up.

``years(results, definitions) -> Years``: running phosphate, potash and sulfur by zone, the
soil tests beside them, what published rules would make of the sums, and where the nitrogen
of every manure lot went. A zone is known again by the names of its field and itself.
"""

from __future__ import annotations

import operator
from collections.abc import Sequence
from itertools import accumulate
from math import fsum

from ledger.ground import standing
from ledger.layout import fold
from ledger.model import (
    Definitions,
    Results,
    Statement,
    Years,
    Zone,
    ZoneYear,
    ZoneYears,
)
from ledger.unknown import added, share
from ledger.years.lots import lot_years
from ledger.years.soil import expectations, test_points

__all__ = ["NUTRIENTS", "SameYear", "years"]

NUTRIENTS = ("P2O5", "K2O", "S")
PHOSPHATE = "P2O5"


class SameYear(ValueError):
    """Two of the ledgers are for the same crop year."""


def years(results: Sequence[Results], definitions: Definitions) -> Years:
    """Several years together, whatever their order; raises ``SameYear``.

    The zones are those of the latest year. A year in which a zone was not there is left out
    of its sums; a year whose balance is unknown makes the sums from it on unknown.
    """
    ordered = sorted(results, key=lambda one: one.book.year)
    numbers = [one.book.year for one in ordered]
    for number in numbers:
        if numbers.count(number) > 1:
            raise SameYear(f"two of the ledgers are for {number}; give one workbook a year")
    uncut = {(one.book.year, zone) for one in ordered for zone in standing(one.book)}
    return Years(
        years=numbers,
        zones=[_zone(s.zone, ordered, uncut, definitions) for s in ordered[-1].statements],
        lots=lot_years(ordered),
    )


def _zone(
    zone: Zone, ordered: Sequence[Results], uncut: set[tuple[int, Zone]], definitions: Definitions
) -> ZoneYears:
    there = [(one, s) for one in ordered for s in one.statements if _same(s.zone, zone)]
    met = [(one.book.year, s) for one, s in there]
    reach = list(accumulate((_ranged(*pair) for pair in there), operator.or_))
    running = {n: _running([s for _, s in met], n) for n in NUTRIENTS}
    last = {n: sums[-1] for n, sums in running.items()}
    removed = [s.figures[PHOSPHATE]["removal"] for _, s in met]
    known = [mass for mass in removed if mass]
    average = fsum(known) / len(known) if known else None
    return ZoneYears(
        field=zone.field,
        zone=zone.zone,
        area=zone.area,
        years=[
            _year(s, {n: running[n][at] for n in NUTRIENTS}, reach[at], number, uncut)
            for at, (number, s) in enumerate(met)
        ],
        tests=test_points(zone, [one.book for one in ordered]),
        banked=share(last[PHOSPHATE], average),
        expected=expectations(last, definitions),
    )


def _same(one: Zone, other: Zone) -> bool:
    return (fold(one.field), fold(one.zone)) == (fold(other.field), fold(other.zone))


def _running(statements: Sequence[Statement], nutrient: str) -> list[float | None]:
    """Balances added up year by year [kg/ha]."""
    balances = [s.figures[nutrient]["balance"] for s in statements]
    return list(accumulate(balances, lambda total, one: added((total, one))))


def _ranged(results: Results, statement: Statement) -> frozenset[str]:
    scope = (statement.zone.field, statement.zone.zone)
    return frozenset(n for n in NUTRIENTS if results.ranges.of(scope, n, "balance"))


def _year(
    statement: Statement,
    running: dict[str, float | None],
    reach: frozenset[str],
    number: int,
    uncut: set[tuple[int, Zone]],
) -> ZoneYear:
    return ZoneYear(
        year=number,
        crop=statement.crop,
        incomplete=statement.incomplete,
        balance={n: statement.figures[n]["balance"] for n in NUTRIENTS},
        running=running,
        removal={n: statement.figures[n]["removal"] for n in NUTRIENTS},
        ranged=reach,
        standing=(number, statement.zone) in uncut,
    )
