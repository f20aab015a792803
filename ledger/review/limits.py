"""Zones that stand above their need or above a limit of the Farm sheet.

Only nutrients that the Farm sheet has a limit for are looked at: those that rules limit.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ledger import findings
from ledger.ground import crop_entry, label
from ledger.model import Book, Definitions, Finding, Row, Statement, Zone
from ledger.review.lines import shown

DUST = 1 + 1e-9  # converted figures carry rounding dust
ROLE = "limit"


def over_need(
    book: Book, statements: Sequence[Statement], definitions: Definitions
) -> Iterator[Finding]:
    """A finding for each zone fed above its need by more than the tolerance [percent].

    Ground that got neither manure nor fertilizer is not blamed for its credits.
    """
    tolerance_pct = book.farm.number("over_tolerance_pct")
    if tolerance_pct is None:
        return
    for statement, nutrient, _ in _limited(statements, definitions):
        figures = statement.figures[nutrient]
        need, supply, given = figures["need"], figures["supply"], figures["applied"]
        if need is None or supply is None or not given:
            continue
        if supply > need * (1 + tolerance_pct / 100) * DUST:
            row, column = _place(book, statement.zone)
            words = {
                "name": label(book, statement.zone),
                "nutrient": nutrient,
                "read": shown(book, definitions, "mass per area", supply),
                "expected": shown(book, definitions, "mass per area", need),
                "limit": f"{tolerance_pct:g}",
            }
            yield findings.finding(definitions, "over-need", row, column, **words)


def over_limit(
    book: Book, statements: Sequence[Statement], definitions: Definitions
) -> Iterator[Finding]:
    """A finding for each zone that got more in all than the limit of the Farm sheet."""
    for statement, nutrient, answer in _limited(statements, definitions):
        limit, given = book.farm.number(answer), statement.figures[nutrient]["applied"]
        if limit is not None and given is not None and given > limit * DUST:
            row, column = _place(book, statement.zone)
            words = {
                "name": label(book, statement.zone),
                "nutrient": nutrient,
                "read": shown(book, definitions, "mass per area", given),
                "expected": shown(book, definitions, "mass per area", limit),
            }
            yield findings.finding(definitions, "over-limit", row, column, **words)


def _limited(
    statements: Sequence[Statement], definitions: Definitions
) -> Iterator[tuple[Statement, str, str]]:
    """Every zone with every nutrient that has a limit on the Farm sheet, and that answer."""
    for statement in statements:
        for nutrient in definitions.nutrients.values():
            if ROLE in nutrient.columns:
                yield statement, nutrient.id, nutrient.columns[ROLE]


def _place(book: Book, zone: Zone) -> tuple[Row, str]:
    """The cell that a zone's figures are pointed out in: its crop, or else its field."""
    crop = crop_entry(book, zone)
    return (crop.row, "crop") if crop else (book.named("fields", "field")[zone.field].row, "field")
