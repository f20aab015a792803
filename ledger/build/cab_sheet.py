"""The sheet for the cab: one page to print, with what is to go by zone and lines for a pencil."""

from __future__ import annotations

from typing import Any

from ledger.build.live import Live
from ledger.build.plan import BACK, KEY_ROW, Plan
from ledger.layout import fold, letter, mark
from ledger.live import cab
from ledger.live.cab import BLOCK, SHEET_ID
from ledger.look import Look, set_up_page

NAME = "Cab"
TITLE = "Cab sheet: write it down before the next field"
COLUMNS = {  # of the lines for pencil; the list above shares their widths in two blocks of four
    "Field, zone": 33.0,
    "Date": 11.0,
    "Area or loads": 14.0,
    "Amount and unit": 16.0,
    "Product, lot": 33.0,
    "Who": 11.0,
    "Worked in after": 14.0,
    "Wind, ground, weather": 22.0,
}
HELP = (
    "One page to print for the cab: nitrogen and product to go by zone, and blank lines for a "
    "pencil."
)
LINES, LINE_PT = 16, 21.0
TWO_LINES_PT = 33.0
LEAST_LISTED, BLOCKS = 30, 2  # lines of ground; in blocks side by side
HEAD_ROW = 4
ABOVE = "Still to go, zone by zone; below zero is over"


def write(worksheet: Any, look: Look, plan: Plan, live: Live) -> None:
    """Write the page: what is to go on top, lines for a pencil below."""
    worksheet.hide_gridlines(2)
    for at, width in enumerate(COLUMNS.values()):
        worksheet.set_column(at, at, width)
    worksheet.set_row(0, 24)
    worksheet.write_string(0, 0, TITLE, look["title"])
    worksheet.write_url(0, len(COLUMNS) - 1, BACK[0], look["link"], BACK[1])
    name = live.places.formula('IF([farm.farm_name]="","",[farm.farm_name])')
    worksheet.write_formula(1, 0, name, look["strong"], "")
    worksheet.write_formula(1, 2, live.places.formula(cab.warning()), look["strong"], "")
    text = mark(f"={SHEET_ID}", plan.system, plan.definitions)
    worksheet.write_string(KEY_ROW, 0, text, look["key"])
    worksheet.set_row(KEY_ROW, None, None, {"hidden": True})
    listed = _listed(plan)
    row = _to_go(worksheet, look, plan, live, listed)
    worksheet.set_row(row, TWO_LINES_PT)
    for at, heading in enumerate(COLUMNS):
        worksheet.write_string(row, at, heading, look["heading"])
    for line in range(row + 1, row + 1 + LINES):
        worksheet.set_row(line, LINE_PT)
        for at in range(len(COLUMNS)):
            worksheet.write_blank(line, at, None, look["pencil"])
    worksheet.protect("", {"format_columns": True, "format_rows": True})
    set_up_page(worksheet, NAME, plan.footer)
    worksheet.fit_to_pages(1, 1 if listed <= LEAST_LISTED else 0)
    worksheet.print_area(0, 0, row + LINES, len(COLUMNS) - 1)


def _listed(plan: Plan) -> int:
    """How many lines of ground the list has room for: all that is filled in, an even number."""
    zones, fields = plan.entries.get("zones", ()), plan.entries.get("fields", ())
    parted = {fold(str(zone.get("field", ""))) for zone in zones}
    whole = sum(fold(str(field.get("field", ""))) not in parted for field in fields)
    known = len(zones) + whole
    return max(LEAST_LISTED, known + known % BLOCKS)


def _to_go(worksheet: Any, look: Look, plan: Plan, live: Live, listed: int) -> int:
    """Every zone with its area, nitrogen and product to go, in two blocks; the row below."""
    formula = live.places.formula
    _headings(worksheet, look, plan, live)
    worksheet.write_formula(HEAD_ROW, BLOCK, formula(cab.not_shown(listed)), look["strong"], "")
    first, rows = HEAD_ROW + 2, listed // BLOCKS
    for number in range(listed):
        block, down = divmod(number, rows)
        row, hidden = first + down, len(COLUMNS) + 1 + 2 * block
        at = [f"${letter(hidden + n)}${row + 1}" for n in range(2)]
        finders = cab.Finders(number=number + 1, field=at[0], zone=at[1])
        for offset, text in enumerate(finders.finding()):
            worksheet.write_formula(row, hidden + offset, formula(text), look["plain"], "")
        for offset, text in enumerate(finders.shown()):
            form = look["live_one" if offset else "live_name"]
            worksheet.write_formula(row, BLOCK * block + offset, formula(text), form, "")
    last = len(COLUMNS) + 2 * BLOCKS
    worksheet.set_column(len(COLUMNS) + 1, last, None, None, {"hidden": True})
    return first + rows + 1


def _headings(worksheet: Any, look: Look, plan: Plan, live: Live) -> None:
    shown = plan.definitions.shown_in[plan.system]
    worksheet.write_string(HEAD_ROW, 0, ABOVE, look["strong"])
    texts = ("Field, zone", f"Area [{shown['area']}]", f"N to go [{shown['mass per area']}]")
    rate = live.places.formula(cab.rate_heading())
    worksheet.set_row(HEAD_ROW + 1, TWO_LINES_PT)
    for block in range(BLOCKS):
        left = BLOCK * block
        for at, text in enumerate(texts, start=left):
            worksheet.write_string(HEAD_ROW + 1, at, text, look["live_heading"])
        worksheet.write_formula(HEAD_ROW + 1, left + len(texts), rate, look["live_heading"], "")
