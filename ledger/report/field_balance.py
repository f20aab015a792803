"""The sheet *Field balance*: what every zone got and gave, and the balance of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ledger.ground import standing
from ledger.model import Results, Statement, Total
from ledger.model.ranges import Ranges
from ledger.report.links import zone_jump
from ledger.report.spans import BESIDE, MARKED, figure_cells, ranged, with_ranges
from ledger.report.summary import LOCAL_FIRST, per_area
from ledger.report.tables import CROP_WIDTH, UNCUT, Cell, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown

BALANCE_FIGURES: Mapping[str, str] = {
    "manure": "Manure, total",
    "fertilizer": "Fertilizer",
    "applied": "Applied",
    "removal": "Removed",
    "balance": "Balance",
    "manure_credit": "Manure, usable",
    "credits": "Other credits",
    "residual": "Earlier manure",
    "supply": "Supply to the crop",
}


BESIDE_FIGURES = ("removal", "balance", "manure_credit", "supply")  # the others get the sign


def field_balance_sheet(results: Results, shown: Shown, *, where: str = MARKED) -> ResultSheet:
    """A table a nutrient: one line a zone, fields with several zones summed up.

    ``where`` says in words what the sign after a number means.
    """
    unit = shown.label("mass per area")
    columns = ranged(results.ranges, BESIDE_FIGURES, results.ranges.spans, results.farm.figures)
    tables = [
        Table(
            title=f"{shown.definitions.nutrients[nutrient].title} ({nutrient}) [{unit}]",
            headings=_balance_headings(shown, columns),
            lines=list(_balance_lines(results, nutrient, columns, shown)),
        )
        for nutrient in results.farm.figures
    ]
    words = [
        "Balance = applied - removed. Supply = usable manure + fertilizer + credits + earlier "
        "manure.",
        "'unknown': a part is not known. 'incomplete': a line with an error is missing, or the "
        "field's own line on Fields or Zones has one.",
        BESIDE,
        where,
        LOCAL_FIRST,
    ]
    return ResultSheet(id="field-balance", name="Field balance", words=words, tables=tables)


def _balance_headings(shown: Shown, columns: frozenset[str]) -> list[Heading]:
    figures = [
        Heading(text=text, width=10, about=(("figure", figure),))
        for figure, text in BALANCE_FIGURES.items()
    ]
    return [
        Heading(text="Field", format="text", width=18),
        Heading(text="Zone", format="text", width=15),
        Heading(text=f"Area [{shown.label('area')}]", width=8),
        Heading(text="Crop", format="text", width=CROP_WIDTH),
        *with_ranges(figures, columns),
        Heading(text="State", format="wrapped", width=14),
    ]


def _balance_lines(
    results: Results, nutrient: str, columns: frozenset[str], shown: Shown
) -> Iterator[Line]:
    uncut = standing(results.book)
    by_field: dict[str, list[Statement]] = {}
    for statement in results.statements:
        by_field.setdefault(statement.zone.field, []).append(statement)
    for total in results.fields:
        group = by_field[total.name]
        for statement in group:
            yield _zone_line(
                statement, nutrient, columns, results.ranges, shown, statement.zone in uncut
            )
        if len(group) > 1:
            yield _field_line(total, nutrient, columns, results.ranges, shown)


def _zone_line(
    statement: Statement,
    nutrient: str,
    columns: frozenset[str],
    ranges: Ranges,
    shown: Shown,
    uncut: bool,
) -> Line:
    figures = statement.figures[nutrient]
    zone = statement.zone
    cells: list[Cell] = []
    for figure in BALANCE_FIGURES:
        span = ranges.of((zone.field, zone.zone), nutrient, figure)
        value = shown.value("mass per area", figures[figure])
        cells += figure_cells(value, span, figure in columns, shown)
    return Line(
        about=(("nutrient", nutrient), ("field", zone.field), ("zone", zone.zone)),
        cells=[
            zone.field,
            zone_jump(zone.field, zone.zone),
            shown.value("area", zone.area),
            statement.crop,
            *cells,
            _state(statement.incomplete, zone.custom, uncut=uncut),
        ],
    )


def _field_line(
    total: Total, nutrient: str, columns: frozenset[str], ranges: Ranges, shown: Shown
) -> Line:
    figures = total.figures[nutrient]
    cells: list[Cell] = []
    for figure in BALANCE_FIGURES:
        span = ranges.of((total.name,), nutrient, figure)
        value = per_area(total, figures[figure], shown)
        cells += figure_cells(value, span, figure in columns, shown, total.area)
    return Line(
        kind="total",
        about=(("nutrient", nutrient), ("field", total.name)),
        cells=[
            total.name,
            "whole field",
            shown.value("area", total.area),
            "",
            *cells,
            _state(total.incomplete, False),
        ],
    )


def _state(incomplete: bool, custom: bool, *, uncut: bool = False) -> str:
    """What to know of a line's figures; ``uncut``: a crop that is not harvested yet."""
    said = [
        "incomplete" if incomplete else "",
        "custom work" if custom else "",
        UNCUT if uncut else "",
    ]
    return ", ".join(filter(None, said))
