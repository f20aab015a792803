"""The result sheets that ``balance`` writes: summary, field balance, postings, and others."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ledger.model import Definitions, Results, Statement, Total
from ledger.report.found import counted, findings_sheet
from ledger.report.gate import gate_sheet
from ledger.report.movements import postings_sheet
from ledger.report.plan import plan_sheet
from ledger.report.ranges import ranges_sheet
from ledger.report.stores import stores_sheet
from ledger.report.strips import strips_sheet
from ledger.report.tables import Heading, Line, ResultSheet, Table
from ledger.report.units import Shown
from ledger.report.years import years_sheet

LOCAL_FIRST = "Estimates only. Local rules, the product label and licensed advice come first."


def result_sheets(results: Results, definitions: Definitions) -> list[ResultSheet]:
    """All result sheets of a run, in the order of their tabs."""
    shown = Shown(definitions=definitions, system=results.book.system)
    return [
        findings_sheet(results.findings),
        summary_sheet(results, shown),
        field_balance_sheet(results, shown),
        plan_sheet(results, shown),
        stores_sheet(results, shown),
        gate_sheet(results, shown),
        strips_sheet(results.trials, shown),
        ranges_sheet(results.ranges, shown),
        *([years_sheet(results.years, shown)] if results.years.years else []),
        postings_sheet(results, shown),
    ]


# -------------------------------------------------------------------- summary
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
        f"{results.book.farm.text('farm_name')}, crop year {results.book.year}, "
        f"{area:,.1f} {shown.label('area')} of own and rented ground.",
        f"Findings: {counted(results.findings)}",
        LOCAL_FIRST,
    ]
    if results.farm.incomplete:
        words.append("INCOMPLETE: lines with errors are missing from these sums; see Findings.")
    tables = [
        totals_table(f"Whole farm [{shown.label('mass')}]", results.farm, shown),
        _per_area_table(results.farm, shown),
        _use_table(results.farm),
    ]
    if results.custom.area:
        title = f"Custom work, not in the farm [{shown.label('mass')}]"
        tables.append(totals_table(title, results.custom, shown))
    return ResultSheet(id="summary", name="Summary", words=words, tables=tables)


def _nutrient_headings(total: Total, first: str, format_: str) -> list[Heading]:
    return [
        Heading(text=first, format="text", width=30),
        *(
            Heading(text=name, format=format_, width=12, about=(("nutrient", name),))
            for name in total.figures
        ),
    ]


def totals_table(title: str, total: Total, shown: Shown) -> Table:
    """Masses of all figures, a column a nutrient."""
    lines = [
        Line(
            kind="total" if figure in ("applied", "balance") else "plain",
            about=(("figure", figure),),
            cells=[
                words,
                *(shown.value("mass", figures[figure]) for figures in total.figures.values()),
            ],
        )
        for figure, words in SUMMARY_FIGURES.items()
    ]
    return Table(title=title, headings=_nutrient_headings(total, "", "whole"), lines=lines)


def _per_area_table(total: Total, shown: Shown) -> Table:
    lines = [
        Line(
            kind="total" if figure in ("applied", "balance") else "plain",
            about=(("figure", figure),),
            cells=[
                words,
                *(_per_area(total, figures[figure], shown) for figures in total.figures.values()),
            ],
        )
        for figure, words in SUMMARY_FIGURES.items()
    ]
    title = f"Whole farm, per area [{shown.label('mass per area')}]"
    return Table(title=title, headings=_nutrient_headings(total, "", "one"), lines=lines)


def _per_area(total: Total, mass: float | None, shown: Shown) -> float | None:
    if mass is None or not total.area:
        return None
    return shown.value("mass per area", mass / total.area)


def _use_table(total: Total) -> Table:
    """Removed over applied: above 1 the soil is mined, far below 1 it is built up or lost."""
    ratios = [
        None
        if not figures["applied"] or figures["removal"] is None
        else figures["removal"] / figures["applied"]
        for figures in total.figures.values()
    ]
    line = Line(cells=["Removed / applied", *ratios])
    return Table(
        title="How much of what was applied left with the crop",
        headings=_nutrient_headings(total, "Partial nutrient balance", "two"),
        lines=[line],
        note="Above 1: the crop took more than was applied. Legumes fetch their own nitrogen.",
    )


# -------------------------------------------------------------- field balance
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


def field_balance_sheet(results: Results, shown: Shown) -> ResultSheet:
    """A table a nutrient: one line a zone, fields with several zones summed up."""
    unit = shown.label("mass per area")
    tables = [
        Table(
            title=f"{shown.definitions.nutrients[nutrient].title} ({nutrient}) [{unit}]",
            headings=_balance_headings(shown),
            lines=list(_balance_lines(results, nutrient, shown)),
        )
        for nutrient in results.farm.figures
    ]
    words = [
        "Balance = applied - removed. Supply = usable manure + fertilizer + credits + earlier "
        "manure.",
        "'unknown': a part is not known. 'incomplete': a line with an error is missing.",
        LOCAL_FIRST,
    ]
    return ResultSheet(id="field-balance", name="Field balance", words=words, tables=tables)


def _balance_headings(shown: Shown) -> list[Heading]:
    return [
        Heading(text="Field", format="text", width=20),
        Heading(text="Zone", format="text", width=18),
        Heading(text=f"Area [{shown.label('area')}]", width=9),
        Heading(text="Crop", format="text", width=15),
        *(
            Heading(text=text, width=11, about=(("figure", figure),))
            for figure, text in BALANCE_FIGURES.items()
        ),
        Heading(text="State", format="text", width=12),
    ]


def _balance_lines(results: Results, nutrient: str, shown: Shown) -> Iterator[Line]:
    by_field: dict[str, list[Statement]] = {}
    for statement in results.statements:
        by_field.setdefault(statement.zone.field, []).append(statement)
    for total in results.fields:
        group = by_field[total.name]
        for statement in group:
            yield _zone_line(statement, nutrient, shown)
        if len(group) > 1:
            yield _field_line(total, nutrient, shown)


def _zone_line(statement: Statement, nutrient: str, shown: Shown) -> Line:
    figures = statement.figures[nutrient]
    zone = statement.zone
    return Line(
        about=(("nutrient", nutrient), ("field", zone.field), ("zone", zone.zone)),
        cells=[
            zone.field,
            zone.zone,
            shown.value("area", zone.area),
            statement.crop,
            *(shown.value("mass per area", figures[figure]) for figure in BALANCE_FIGURES),
            _state(statement.incomplete, zone.custom),
        ]
    )


def _field_line(total: Total, nutrient: str, shown: Shown) -> Line:
    figures = total.figures[nutrient]
    return Line(
        kind="total",
        about=(("nutrient", nutrient), ("field", total.name)),
        cells=[
            total.name,
            "whole field",
            shown.value("area", total.area),
            "",
            *(_per_area(total, figures[figure], shown) for figure in BALANCE_FIGURES),
            _state(total.incomplete, False),
        ],
    )


def _state(incomplete: bool, custom: bool) -> str:
    return "incomplete" if incomplete else "custom work" if custom else ""
