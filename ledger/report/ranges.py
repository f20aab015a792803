"""The sheet *How sure* with its charts, and the ranges of the JSON document."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import ceil
from typing import Any

from ledger import measure
from ledger.ground import label
from ledger.model import Results
from ledger.model.ranges import CUSTOM_WORK, WHOLE_FARM, Scope, Span, Spans, ZoneRanges
from ledger.report.links import zone_jump
from ledger.report.tables import Cell, Chart, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown

SHOWN_FIGURES = {
    "manure": "Manure, total",
    "manure_credit": "Manure, usable",
    "fertilizer": "Fertilizer",
    "applied": "Applied",
    "credits": "Other credits",
    "residual": "Earlier manure",
    "supply": "Supply",
    "removal": "Removed",
    "balance": "Balance",
    "need": "Need",
    "to_go": "To go",
}
ENDS = ("low", "used", "high")
NITROGEN = "N"
DRAWN_AT_MOST = 40  # zones that a chart can still show apart
NAME_WIDTHS = (20, 40)  # of field and zone, wrapped beyond
ZONE_WIDTHS = (18, 40)  # of a zone, whose link does not wrap
INDENT = 3  # characters that the indent and the borders of a text take
CREDIT = "manure_credit"  # drawn where there is some
DRAWN = {"to_go": "Nitrogen to go", CREDIT: "Nitrogen of manure, usable this year"}
WORDS = (
    "Low and high are where the figure would be with every published range, and every lot with "
    "several lab slips, at one end; a figure whose sources print no range has none here, and is "
    "not surer for that.",
    "Most moved by: the input whose range shifts this ground's figures most.",
)


def ranges_sheet(results: Results, shown: Shown) -> ResultSheet:
    """Charts of nitrogen with its ranges; a table a nutrient of the figures that have a range."""
    found = results.ranges.zones
    unit = shown.label("mass per area")
    drawn = [_drawn_table(figure, results, shown) for figure in DRAWN]
    tables = [
        _nutrient_table(
            f"{shown.definitions.nutrients[nutrient].title} ({nutrient}) [{unit}]",
            [i for i in found if i.nutrient == nutrient and ranged(i)],
            shown,
        )
        for nutrient in dict.fromkeys(item.nutrient for item in found)
    ]
    return ResultSheet(
        id="how-sure",
        name="How sure",
        words=WORDS,
        tables=[t for t in [*drawn, *tables] if t.lines],
    )


def ranged(item: ZoneRanges) -> bool:
    """True when any figure of the zone reaches further than its point."""
    return any(span and span.ranged for span in item.spans.values())


# -------------------------------------------------------------------- charts
def _drawn_table(figure: str, results: Results, shown: Shown) -> Table:
    """Nitrogen by zone as a chart draws it: the figure, and how far it may lie down and up."""
    unit = shown.label("mass per area")
    title = f"{DRAWN[figure]} [{unit}]"
    items = [i for i in results.ranges.zones if i.nutrient == NITROGEN]
    known = [(item, span) for item in items if (span := item.spans[figure])]
    told = [(item, span) for item, span in known if span.high or figure != CREDIT]
    widest = sorted(told, key=lambda pair: pair[1].low - pair[1].high)[:DRAWN_AT_MOST]
    drawn = {item.zone for item, _ in widest}
    crops = {s.zone: s.crop for s in results.statements}
    lines = [
        _drawn_line(i, span, label(results.book, i.zone), crops.get(i.zone, ""), shown)
        for i, span in told
        if i.zone in drawn
    ]
    note = "The bars reach from low to high."
    if len(told) > len(lines):
        note += f" Drawn are the {len(lines)} zones with the widest ranges, of {len(told)}."
    about = ("figure", figure)
    names = [str(line.cells[0]) for line in lines]
    headings = [
        Heading(text="Field and zone", format="wrapped", width=_room(names, *NAME_WIDTHS)),
        Heading(text="Crop", format="wrapped", width=18),
        *(Heading(text=e.capitalize(), width=10, about=(about, ("range", e))) for e in ENDS),
        Heading(text="Down to low", width=10, about=(about, ("range", "down"))),
        Heading(text="Up to high", width=10, about=(about, ("range", "up"))),
    ]
    chart = Chart(title=title, categories=0, series=[3], axis=unit, reach=(5, 6))
    return Table(title=title, headings=headings, lines=lines, note=note, chart=chart)


def _drawn_line(item: ZoneRanges, span: Span, name: str, crop: str, shown: Shown) -> Line:
    reached = (span.low, span.used, span.high, span.used - span.low, span.high - span.used)
    return Line(
        about=_about(item),
        cells=[
            name,
            crop,
            *(shown.value("mass per area", value) for value in reached),
        ],
    )


def _room(names: Iterable[str], least: int, most: int) -> int:
    """The width [characters] that shows every name on one line, within what a page allows."""
    wanted = max((len(name) * measure.SLIM + INDENT for name in names), default=0.0)
    return min(most, max(least, ceil(wanted)))


# -------------------------------------------------------------------- tables
def _about(item: ZoneRanges) -> tuple[tuple[str, str], ...]:
    zone = item.zone
    return (("nutrient", item.nutrient), ("field", zone.field), ("zone", zone.zone))


def _nutrient_table(title: str, items: Sequence[ZoneRanges], shown: Shown) -> Table:
    """A line a zone and figure that has a range, what moves the zone most beside the first."""
    zones = [item.zone.zone for item in items]
    headings = [
        Heading(text="Field", format="wrapped", width=20),
        Heading(text="Zone", format="text", width=_room(zones, *ZONE_WIDTHS)),
        Heading(text="Figure", format="text", width=15),
        *(Heading(text=e.capitalize(), width=10, about=(("range", e),)) for e in ENDS),
        Heading(text="High less low", width=10, about=(("range", "width"),)),
        Heading(text="Most moved by", format="wrapped", width=70),
    ]
    lines = [line for item in items for line in _lines(item, shown)]
    return Table(title=title, headings=headings, lines=lines)


def _lines(item: ZoneRanges, shown: Shown) -> Iterator[Line]:
    zone, about = item.zone, _about(item)
    most = _most(item, shown)  # told once, beside the first figure
    for figure, words in SHOWN_FIGURES.items():
        span = item.spans[figure]
        if span is not None and span.ranged:
            yield Line(
                about=(*about, ("figure", figure)),
                cells=[
                    zone.field,
                    zone_jump(zone.field, zone.zone, "field-balance"),
                    words,
                    *_ends(span, "mass per area", shown),
                    shown.value("mass per area", span.high - span.low),
                    most,
                ],
            )
            most = ""


def _most(item: ZoneRanges, shown: Shown) -> str:
    """The input that moves the zone's figures most, how far, and where it comes from."""
    most = item.influences[0] if item.influences else None
    width = shown.value("mass per area", most.width) if most else None
    if most is None or not width:
        return ""
    return f"{most.name}: {width:.1f} {shown.label('mass per area')}; source: {most.origin}"


def _ends(span: Span | None, quantity: str, shown: Shown) -> list[Cell]:
    if span is None:
        return [None, None, None]
    return [shown.value(quantity, value) for value in (span.low, span.used, span.high)]


# ---------------------------------------------------------------------- JSON
def range_items(found: Sequence[ZoneRanges], shown: Shown) -> list[dict[str, Any]]:
    """The ``ranges`` of the result document: zones and nutrients whose figures reach further."""
    return [
        {
            "field": item.zone.field,
            "zone": item.zone.zone,
            "nutrient": item.nutrient,
            "figures": {
                figure: dict(zip(ENDS, _ends(span, "mass per area", shown), strict=True))
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


def range_totals(results: Results, shown: Shown) -> list[dict[str, Any]]:
    """The ``range_totals`` of the result document: fields, the farm and custom work [mass]."""
    scopes: list[tuple[str, str, Scope]] = [("farm", results.farm.name, WHOLE_FARM)]
    scopes += [("field", total.name, (total.name,)) for total in results.fields]
    scopes.append(("custom", results.custom.name, CUSTOM_WORK))
    return [
        {"scope": scope, "name": name, "nutrient": nutrient, "figures": dict(figures)}
        for scope, name, key in scopes
        for nutrient, spans in results.ranges.spans.get(key, {}).items()
        if (figures := list(_totals(spans, shown)))
    ]


def _totals(spans: Spans, shown: Shown) -> Iterator[tuple[str, Mapping[str, Cell]]]:
    for figure, span in spans.items():
        if span is not None and span.ranged:
            ends = zip(ENDS, _ends(span, "mass", shown), strict=True)
            yield f"{figure}_total", dict(ends)
