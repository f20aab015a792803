"""The sheet *Summary*, and the table of totals that papers show too."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ledger.model import Results, Total
from ledger.model.ranges import CUSTOM_WORK, WHOLE_FARM, Ranges, Scope
from ledger.report.found import counted
from ledger.report.spans import BESIDE, beside, span_text, told
from ledger.report.tables import Cell, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown

TOTAL_RANGE_WIDTH = 14  # characters: masses of a farm are long
CUSTOM = (("ground", "custom"),)
LOCAL_FIRST = "Estimates only. Local rules, the product label and licensed advice come first."
SUMMARY_FIGURES: Mapping[str, str] = {
    "manure": "Manure, total",
    "manure_credit": "Manure, usable this year",
    "fertilizer": "Fertilizer",
    "applied": "Applied (manure + fertilizer)",
    "residual": "Left from earlier manure",
    "credits": "Other credits",
    "removal": "Removed by harvest",
    "balance": "Balance (applied - removed)",
}


def summary_sheet(results: Results, shown: Shown) -> ResultSheet:
    """The whole farm on one page: totals by nutrient, measures of use, custom work apart."""
    area = shown.value("area", results.farm.area) or 0.0
    words = [
        f"{results.book.farm.text('farm_name')}, crop year {results.book.year or 'not given'}, "
        f"{area:,.1f} {shown.label('area')} of own and rented ground.",
        f"Findings: {counted(results.findings)}",
        LOCAL_FIRST,
    ]
    if results.farm.incomplete:
        words.append("INCOMPLETE: lines with errors are missing from these sums; see Findings.")
    words.append(BESIDE)
    ranges = results.ranges
    tables = [
        totals_table(f"Whole farm [{shown.label('mass')}]", results.farm, ranges, shown),
        _per_area_table(results.farm, ranges, shown),
        _use_table(results.farm, ranges),
    ]
    if results.custom.area:
        title = f"Custom work, not in the farm [{shown.label('mass')}]"
        tables.append(totals_table(title, results.custom, ranges, shown, CUSTOM_WORK))
    return ResultSheet(id="summary", name="Summary", words=words, tables=tables)


def _nutrient_headings(total: Total, first: str, format_: str) -> list[Heading]:
    """A column a nutrient, and beside each its range."""
    named = (
        Heading(text=name, format=format_, width=12, about=(("nutrient", name),))
        for name in total.figures
    )
    columns = [replace(h, width=TOTAL_RANGE_WIDTH) if _is_range(h) else h
               for one in named for h in beside(one)]  # fmt: skip
    return [Heading(text=first, format="text", width=30), *columns]


def _is_range(heading: Heading) -> bool:
    return ("range", "beside") in heading.about


def totals_table(
    title: str, total: Total, ranges: Ranges, shown: Shown, scope: Scope = WHOLE_FARM
) -> Table:
    """Masses of all figures, a column a nutrient with its range beside it."""
    lines = [
        _total_line(figure, words, total, ranges, shown, scope=scope, area=None)
        for figure, words in SUMMARY_FIGURES.items()
    ]
    return Table(title=title, headings=_nutrient_headings(total, "", "whole"), lines=lines)


def _per_area_table(total: Total, ranges: Ranges, shown: Shown) -> Table:
    lines = [
        _total_line(figure, words, total, ranges, shown, scope=WHOLE_FARM, area=total.area)
        for figure, words in SUMMARY_FIGURES.items()
    ]
    title = f"Whole farm, per area [{shown.label('mass per area')}]"
    return Table(title=title, headings=_nutrient_headings(total, "", "one"), lines=lines)


def _total_line(
    figure: str,
    words: str,
    total: Total,
    ranges: Ranges,
    shown: Shown,
    *,
    scope: Scope,
    area: float | None,
) -> Line:
    """A figure of all nutrients as a mass, or over an area, each with its range."""
    quantity = "mass" if area is None else "mass per area"
    cells: list[Cell] = []
    for nutrient, figures in total.figures.items():
        mass = figures[figure]
        span = ranges.of(scope, nutrient, figure)
        cells += [
            shown.value(quantity, mass) if area is None else per_area(total, mass, shown),
            span_text(span, shown, quantity, 1.0 if area is None else area),
        ]
    return Line(
        kind="total" if figure in ("applied", "balance") else "plain",
        about=(("figure", figure), *CUSTOM * (scope == CUSTOM_WORK)),
        cells=[words, *cells],
    )


def per_area(total: Total, mass: float | None, shown: Shown) -> float | None:
    """A mass over the area of its total, as it is shown; unknown without an area."""
    if mass is None or not total.area:
        return None
    return shown.value("mass per area", mass / total.area)


def _use_table(total: Total, ranges: Ranges) -> Table:
    """Removed over applied: above 1 the soil is mined, far below 1 it is built up or lost."""
    cells: list[Cell] = []
    for nutrient, figures in total.figures.items():
        applied, removal = figures["applied"], figures["removal"]
        known = applied and removal is not None
        cells += [removal / applied if applied and removal is not None else None]
        cells += [_use_range(nutrient, ranges) if known else ""]
    return Table(
        title="How much of what was applied left with the crop",
        headings=_nutrient_headings(total, "Partial nutrient balance", "two"),
        lines=[Line(cells=["Removed / applied", *cells])],
        note="Above 1: the crop took more than was applied. Legumes fetch their own nitrogen.",
    )


def _use_range(nutrient: str, ranges: Ranges) -> str:
    """The ratio with one side at its low and the other at its high end."""
    applied, removal = (
        ranges.spans.get(WHOLE_FARM, {}).get(nutrient, {}).get(name)
        for name in ("applied", "removal")
    )
    if not applied or not removal or applied.low <= 0 or not (applied.ranged or removal.ranged):
        return ""
    return told(removal.low / applied.high, removal.high / applied.low, decimals=2)
