"""Passes still to come that would put a zone above its need."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from ledger import findings
from ledger.ground import label
from ledger.model import Book, Definitions, Entry, Finding, PlanLine, Statement, Zone
from ledger.plan.supplies import Lines

AMOUNT = "amount"  # the column of a planned line that is to be corrected
DUST_KG_PER_HA = 1e-6  # converted figures carry rounding dust


def excess(statement: Statement, planned: float | None) -> float:
    """How far what is planned would put a zone above its need of nitrogen [kg/ha].

    Zero where nothing is planned, where it fits, and where a figure is unknown.
    """
    to_go = statement.figures["N"]["to_go"]
    if not planned or to_go is None:
        return 0.0
    over = planned - to_go
    return over if over > DUST_KG_PER_HA else 0.0


def planned_over(
    book: Book, lines: Sequence[PlanLine], coming: Lines, definitions: Definitions
) -> Iterator[Finding]:
    """A finding for each zone put above its need by more than the Farm sheet's tolerance.

    It stands at the last line planned for the zone. Without a tolerance nothing is looked at,
    as with what was put on already.
    """
    tolerance_pct = book.farm.number("over_tolerance_pct")
    if tolerance_pct is None:
        return
    for line in lines:
        statement = line.statement
        need, over = statement.figures["N"]["need"], excess(statement, line.planned)
        if need is None or over <= need * tolerance_pct / 100 + DUST_KG_PER_HA:
            continue
        words = {
            "name": label(book, statement.zone),
            "read": _per_area(book, definitions, over),
            "expected": _per_area(book, definitions, need),
            "limit": f"{tolerance_pct:g}",
        }
        row = _last(statement.zone, coming).row
        yield findings.finding(definitions, "planned-over", row, AMOUNT, **words)


def _last(zone: Zone, coming: Lines) -> Entry:
    """The line planned for the latest day; of several the lowest."""
    return max(
        coming.postings[zone].entries,
        key=lambda entry: (entry.day("date") or date.min, entry.row.number),
    )


def _per_area(book: Book, definitions: Definitions, base: float) -> str:
    unit = definitions.shown_in[book.system]["mass per area"]
    return f"{base / definitions.units[unit].factor:.1f} {unit}"
