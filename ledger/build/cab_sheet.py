"""The sheet for the cab: one page to print, with blank lines for pencil and what is to go."""

from __future__ import annotations

from typing import Any

from ledger.build.live import Live
from ledger.build.plan import BACK, KEY_ROW, Plan
from ledger.layout import mark
from ledger.look import Look, set_up_page

NAME, SHEET_ID = "Cab", "cab"
TITLE = "Cab sheet: write it down before the next field"
COLUMNS = {
    "Date": 19.0,
    "Field, zone": 20.0,
    "Product, lot": 20.0,
    "Amount and unit": 16.0,
    "Area or loads": 19.0,
    "How, worked in after": 21.0,
    "Wind, ground, weather": 22.0,
    "Who": 12.0,
}
HELP = "One page to print for the cab: nitrogen to go, and blank lines for a pencil."
LINES, LINE_PT = 16, 21.0
FIELDS_TO_GO, FIELDS_A_LINE = 12, 4
HEAD_ROW = 4


def write(worksheet: Any, look: Look, plan: Plan, live: Live) -> None:
    """Write the page: nitrogen to go on top, lines for pencil below."""
    worksheet.hide_gridlines(2)
    for at, width in enumerate(COLUMNS.values()):
        worksheet.set_column(at, at, width)
    worksheet.set_row(0, 24)
    worksheet.write_string(0, 0, TITLE, look["title"])
    worksheet.write_url(0, len(COLUMNS) - 1, BACK[0], look["link"], BACK[1])
    name = live.places.formula('IF([farm.farm_name]="","",[farm.farm_name])')
    worksheet.write_formula(1, 0, name, look["strong"], "")
    text = mark(f"={SHEET_ID}", plan.system, plan.definitions)
    worksheet.write_string(KEY_ROW, 0, text, look["key"])
    worksheet.set_row(KEY_ROW, None, None, {"hidden": True})
    row = _to_go(worksheet, look, plan, live)
    for at, heading in enumerate(COLUMNS):
        worksheet.write_string(row, at, heading, look["heading"])
    for line in range(row + 1, row + 1 + LINES):
        worksheet.set_row(line, LINE_PT)
        for at in range(len(COLUMNS)):
            worksheet.write_blank(line, at, None, look["pencil"])
    worksheet.protect("", {"format_columns": True, "format_rows": True})
    set_up_page(worksheet, NAME, plan.footer)
    worksheet.fit_to_pages(1, 1)
    worksheet.print_area(0, 0, row + LINES, len(COLUMNS) - 1)


def _to_go(worksheet: Any, look: Look, plan: Plan, live: Live) -> int:
    """The first fields with nitrogen to go in pairs of cells; returns the row below."""
    per_area = plan.definitions.shown_in[plan.system]["mass per area"]
    title = f"Nitrogen still to go [{per_area}]"
    worksheet.write_string(HEAD_ROW, 0, title, look["strong"])
    for number in range(FIELDS_TO_GO):
        row, pair = divmod(number, FIELDS_A_LINE)
        for offset, column in enumerate(("field", "_to_go_N")):
            cell = f"INDEX([fields.{column}],{number + 1})"
            formula = live.places.formula(f'IF({cell}="","",{cell})')
            form = look["live_text" if offset == 0 else "live_one"]
            worksheet.write_formula(HEAD_ROW + 1 + row, 2 * pair + offset, formula, form, "")
    return HEAD_ROW + 2 + FIELDS_TO_GO // FIELDS_A_LINE
