"""The sheet *How sure* and the ranges of the JSON document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ledger.model.ranges import Span, ZoneRanges
from ledger.report.tables import Cell, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown

SHOWN_FIGURES = {
    "manure_credit": "Manure, usable",
    "removal": "Removed",
    "balance": "Balance",
    "to_go": "To go",
}
WORDS = (
    "Low and high are where the figure would be with every published range at one end; a figure "
    "whose sources print no range has none here, and is not surer for that.",
    "Most moved by: the input whose range shifts this ground's figures most.",
)
NARROWEST = 1e-9  # kg/ha; spans below it are rounding dust


def ranges_sheet(found: Sequence[ZoneRanges], shown: Shown) -> ResultSheet:
    """A table a nutrient: low, used, high of the figures that have a range."""
    unit = shown.label("mass per area")
    tables = [
        Table(
            title=f"{shown.definitions.nutrients[nutrient].title} ({nutrient}) [{unit}]",
            headings=_headings(),
            lines=[_line(i, shown) for i in found if i.nutrient == nutrient and ranged(i)],
        )
        for nutrient in dict.fromkeys(item.nutrient for item in found)
    ]
    return ResultSheet(
        id="how-sure", name="How sure", words=WORDS, tables=[t for t in tables if t.lines]
    )


def ranged(item: ZoneRanges) -> bool:
    """True when any figure of the zone reaches further than its point."""
    return any(span and span.high - span.low > NARROWEST for span in item.spans.values())


def _headings() -> list[Heading]:
    figures = [
        Heading(text=f"{text}, {end}", width=10)
        for text in SHOWN_FIGURES.values()
        for end in ("low", "used", "high")
    ]
    return [
        Heading(text="Field", format="text", width=20),
        Heading(text="Zone", format="text", width=18),
        *figures,
        Heading(text="Most moved by", format="text", width=60),
    ]


def _line(item: ZoneRanges, shown: Shown) -> Line:
    most = item.influences[0] if item.influences else None
    width = shown.value("mass per area", most.width) if most else None
    cells: list[Cell] = [item.zone.field, item.zone.zone]
    for figure in SHOWN_FIGURES:
        cells += _ends(item.spans[figure], shown)
    told = f"{most.name}: {width:.1f} ({most.origin})" if most and width else ""
    return Line(
        about=(("nutrient", item.nutrient), ("field", item.zone.field), ("zone", item.zone.zone)),
        cells=[*cells, told],
    )


def _ends(span: Span | None, shown: Shown) -> list[Cell]:
    if span is None:
        return [None, None, None]
    return [shown.value("mass per area", value) for value in (span.low, span.used, span.high)]


def range_items(found: Sequence[ZoneRanges], shown: Shown) -> list[dict[str, Any]]:
    """The ``ranges`` of the result document: zones and nutrients whose figures reach further."""
    return [
        {
            "field": item.zone.field,
            "zone": item.zone.zone,
            "nutrient": item.nutrient,
            "figures": {
                figure: dict(zip(("low", "used", "high"), _ends(span, shown), strict=True))
                for figure, span in item.spans.items()
                if span is not None
            },
            "influences": [
                {
                    "name": influence.name,
                    "origin": influence.origin,
                    "width": shown.value("mass per area", influence.width),
                }
                for influence in item.influences
            ],
        }
        for item in found
        if ranged(item)
    ]
