"""The Overview: farm totals, charts and a line a field, all of them live."""

from __future__ import annotations

from typing import Any

from ledger.build.live import Live
from ledger.build.plan import BACK, HELP_ROW, KEY_ROW, THIN_PT, TITLE_ROW, Plan
from ledger.layout import mark
from ledger.live.overview import (
    FIGURE_WORDS,
    SHEET_ID,
    SOURCES,
    farm_area,
    farm_totals,
    field_line,
    missed,
    not_counted,
)
from ledger.look import CHART_COLOURS, INK, LINE, TYPEFACE, Look, set_up_page
from ledger.model import Nutrient

NAME = "Overview"
HELP = "How the farm stands now. All of it follows from the entry sheets; nothing is typed here."
BALANCED = "balance"
WITHOUT_FIGURES = "Lines put in between have none: copy the live columns of the line above."
NOT_COUNTED = "Their live columns show what they lack; until then all of this leaves them out."
FIELD_WIDTH, FIGURE_WIDTH = 25.0, 10.5
TOTALS_ROW, LEAST_FIELDS, CHART_FIELDS = 4, 30, 20
CHART_ROWS, CHART_HEIGHT_PX, CHART_WIDTH_PX = 13, 255, 318
SOURCE_WORDS = {
    "manure_credit": "manure",
    "fertilizer": "fertilizer",
    "credits": "credits",
    "residual": "earlier manure",
}


def write(workbook: Any, worksheet: Any, look: Look, plan: Plan, live: Live) -> None:
    """Write the sheet; it prints on one page unless there are many fields."""
    nutrients = list(plan.definitions.nutrients.values())
    columns = _columns(nutrients)
    worksheet.hide_gridlines(2)
    worksheet.set_column(0, 0, FIELD_WIDTH)
    worksheet.set_column(1, len(columns) - 1, FIGURE_WIDTH)
    _top(worksheet, look, plan, len(columns))
    charts_row = _totals(worksheet, look, plan, live, nutrients)
    table_row = charts_row + CHART_ROWS + 1
    lines = max(LEAST_FIELDS, len(plan.entries.get("fields", ())))
    _fields(worksheet, look, plan, live, table_row, lines)
    _charts(workbook, worksheet, plan, table_row + 2, charts_row, columns)
    worksheet.protect("", {"format_columns": True, "format_rows": True})
    one_page = lines <= LEAST_FIELDS
    set_up_page(worksheet, NAME, plan.footer, None if one_page else table_row + 1)
    worksheet.fit_to_pages(1, 1 if one_page else 0)
    worksheet.print_area(0, 0, table_row + 1 + lines, len(columns) - 1)


def _columns(nutrients: list[Nutrient]) -> dict[str, str]:
    """Column of the Fields sheet -> heading, for the line of a field."""
    first = nutrients[0]
    found = {"field": "Field", "_ground": "Area"}
    found |= {
        f"_{f}_{first.id}": f"{first.stated_as} {text.lower()}" for f, text in FIGURE_WORDS.items()
    }
    rest = {f"_{BALANCED}_{n.id}": f"{n.stated_as} balance" for n in nutrients[1:]}
    return {**found, **rest, "_mend": "Lines to mend"}


def _hidden(nutrients: list[Nutrient]) -> dict[str, str]:
    """Further columns that the charts draw: nitrogen supply by source."""
    return {f"_{source}_{nutrients[0].id}": SOURCE_WORDS[source] for source in SOURCES}


def _top(worksheet: Any, look: Look, plan: Plan, width: int) -> None:
    worksheet.set_row(TITLE_ROW, 24)
    worksheet.write_string(TITLE_ROW, 0, NAME, look["title"])
    worksheet.write_url(TITLE_ROW, 2, BACK[0], look["link"], BACK[1])
    for at in range(width):
        worksheet.write_blank(HELP_ROW, at, None, look["help_line"])
    worksheet.write_string(HELP_ROW, 0, HELP, look["help_line"])
    text = mark(f"={SHEET_ID}", plan.system, plan.definitions)
    worksheet.write_string(KEY_ROW, 0, text, look["unseen"])
    worksheet.set_row(KEY_ROW, THIN_PT)


def _totals(worksheet: Any, look: Look, plan: Plan, live: Live, nutrients: list[Nutrient]) -> int:
    """The farm's totals, a line a nutrient; returns the first row below."""
    shown = plan.definitions.shown_in[plan.system]
    heads = ["Whole farm", f"[{shown['mass']}]", *FIGURE_WORDS.values()]
    for at, text in enumerate(heads):
        worksheet.write_string(TOTALS_ROW, at, text, look["live_heading"])
    formulas = farm_totals(plan.definitions)
    row = TOTALS_ROW + 1
    for nutrient in nutrients:
        worksheet.write_string(row, 0, nutrient.title, look["label"])
        worksheet.write_string(row, 1, nutrient.stated_as, look["label"])
        for at, figure in enumerate(FIGURE_WORDS, start=2):
            formula = live.places.formula(formulas[nutrient.id, figure])
            worksheet.write_formula(row, at, formula, look["live_whole"], "")
        row += 1
    facts = (
        (f"Own and rented ground [{shown['area']}]", farm_area(), ""),
        ("Lines without live figures", missed(), WITHOUT_FIGURES),
        ("Lines that do not count yet", not_counted(), NOT_COUNTED),
    )
    for text, formula, about in facts:
        worksheet.write_string(row, 0, text, look["label"])
        worksheet.write_formula(row, 1, live.places.formula(formula), look["live_whole"], "")
        worksheet.write_string(row, 2, about, look["plain"])
        row += 1
    return row + 1


def _fields(worksheet: Any, look: Look, plan: Plan, live: Live, row: int, lines: int) -> None:
    nutrients = list(plan.definitions.nutrients.values())
    shown = plan.definitions.shown_in[plan.system]
    columns, hidden = _columns(nutrients), _hidden(nutrients)
    worksheet.write_string(row, 0, f"Field by field [{shown['mass per area']}]", look["subtitle"])
    worksheet.set_row(row + 1, 33)
    for at, text in enumerate([*columns.values(), *hidden.values()]):
        worksheet.write_string(row + 1, at, text, look["live_heading"])
    first_hidden, last_hidden = len(columns), len(columns) + len(hidden) - 1
    worksheet.set_column(first_hidden, last_hidden, FIGURE_WIDTH, None, {"hidden": True})
    forms = {0: "live_text", list(columns).index("_mend"): "live_whole"}
    for number in range(1, lines + 1):
        cells = field_line(number, {**columns, **hidden})
        for at, formula in enumerate(cells):
            form = forms.get(at, "live_one")
            address = live.places.formula(formula)
            worksheet.write_formula(row + 1 + number, at, address, look[form], "")


def _charts(
    workbook: Any, worksheet: Any, plan: Plan, first: int, row: int, columns: dict[str, str]
) -> None:
    """Three charts of the fields that are filled in, or of the first lines of a blank book."""
    filled = min(CHART_FIELDS, len(plan.entries.get("fields", ()))) or LEAST_FIELDS // 3
    nutrients = list(plan.definitions.nutrients.values())
    at = {name: number for number, name in enumerate([*columns, *_hidden(nutrients)])}
    area = (first, first + filled - 1)
    n, others = nutrients[0], nutrients[1:3]
    per_area = plan.definitions.shown_in[plan.system]["mass per area"]
    drawn = (
        (
            f"{n.stated_as} applied and removed [{per_area}]",
            [(f"_applied_{n.id}", "applied"), (f"_removal_{n.id}", "removed")],
            "",
        ),
        (
            f"{n.stated_as} supply against need [{per_area}]",
            list(_hidden(nutrients).items()),
            f"_need_{n.id}",
        ),
        (
            f"{' and '.join(o.stated_as for o in others)} balance [{per_area}]",
            [(f"_{BALANCED}_{o.id}", o.stated_as) for o in others],
            "",
        ),
    )
    for number, (title, series, line) in enumerate(drawn):
        chart = _chart(
            workbook, title, [(at[c], words) for c, words in series], area, stacked=bool(line)
        )
        if line:
            chart.combine(_need_line(workbook, at[line], area))
        worksheet.insert_chart(
            row,
            0,
            chart,
            {"x_offset": number * CHART_WIDTH_PX, "y_offset": 2, "description": title},
        )


def _chart(
    workbook: Any,
    title: str,
    series: list[tuple[int, str]],
    area: tuple[int, int],
    *,
    stacked: bool,
) -> Any:
    chart = workbook.add_chart({"type": "column", **({"subtype": "stacked"} if stacked else {})})
    for (column, words), (colour, pattern) in zip(series, CHART_COLOURS, strict=False):
        fill = {"pattern": {"pattern": pattern, "fg_color": colour, "bg_color": "#FFFFFF"}}
        look = fill if pattern else {"fill": {"color": colour}}
        chart.add_series({**_data(column, words, area), **look, "border": {"color": INK}})
    chart.set_title(
        {"name": title, "overlay": False, "name_font": {"name": TYPEFACE, "size": 10, "color": INK}}
    )
    chart.set_legend({"position": "bottom", "font": {"name": TYPEFACE, "size": 8}})
    chart.set_x_axis(
        {"num_font": {"name": TYPEFACE, "size": 8, "rotation": -45}, "label_position": "low"}
    )
    chart.set_y_axis(
        {
            "num_font": {"name": TYPEFACE, "size": 8},
            "major_gridlines": {"visible": True, "line": {"color": LINE}},
        }
    )
    chart.set_size({"width": CHART_WIDTH_PX - 8, "height": CHART_HEIGHT_PX})
    chart.show_hidden_data()
    return chart


def _need_line(workbook: Any, column: int, area: tuple[int, int]) -> Any:
    line = workbook.add_chart({"type": "line"})
    mark_of_need = {"type": "diamond", "size": 7, "fill": {"color": INK}, "border": {"color": INK}}
    line.add_series({**_data(column, "need", area), "line": {"none": True}, "marker": mark_of_need})
    return line


def _data(column: int, words: str, area: tuple[int, int]) -> dict[str, Any]:
    first, last = area
    return {
        "name": words,
        "categories": [NAME, first, 0, last, 0],
        "values": [NAME, first, column, last, column],
    }
