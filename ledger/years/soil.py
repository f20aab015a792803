"""Soil tests over the years, and how far published rules say a balance moves them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ledger.layout import fold
from ledger.model import (
    Book,
    Definitions,
    Entry,
    Expectation,
    Masses,
    SoilChange,
    SoilTestPoint,
    Zone,
)

TESTS = {"p_ppm": "p_method", "k_ppm": "k_method"}
PER_AREA = "lb/ac"


def test_points(zone: Zone, books: Sequence[Book]) -> list[SoilTestPoint]:
    """Routine tests of a zone and of its whole field, by day; one that is carried counts once."""
    found = {
        point: None
        for book in books
        for entry in book.entries.get("soil_tests", ())
        if not entry.faulty and _of(entry, zone)
        for point in _points(entry)
    }
    return sorted(found, key=lambda point: (point.test, point.day))


def _of(entry: Entry, zone: Zone) -> bool:
    named = fold(entry.text("zone"))
    return (
        fold(entry.text("field")) == fold(zone.field)
        and named in ("", fold(zone.zone))
        and entry.text("sample_kind", "routine") == "routine"
    )


def _points(entry: Entry) -> list[SoilTestPoint]:
    day = entry.day("date")
    return [
        SoilTestPoint(day=day, test=test, method=entry.text(method), ppm=ppm)
        for test, method in TESTS.items()
        if day is not None and (ppm := entry.number(test)) is not None
    ]


def expectations(running: Masses, definitions: Definitions) -> Mapping[str, Sequence[Expectation]]:
    """What every rule makes of a running balance [ppm]; none where the balance is unknown."""
    found: dict[str, list[Expectation]] = {}
    for rule in definitions.soil_changes:
        balance = running.get(rule.nutrient)
        if balance is not None:
            per_area = balance / definitions.units[PER_AREA].factor
            found.setdefault(rule.nutrient, []).append(_expect(per_area, rule))
    return found


def _expect(balance: float, rule: SoilChange) -> Expectation:
    """The rule's figures are lb/ac a ppm: the larger of them moves the test the least."""
    figure = rule.figure
    bounds = (figure.low or figure.value, figure.high or figure.value)
    changes = sorted(balance / bound for bound in bounds)
    return Expectation(figure=figure, low=changes[0], value=balance / figure.value, high=changes[1])
