"""The sheet 'Reference': every figure with its source, and room for one of your own."""

from __future__ import annotations

from typing import Any

from ledger import measure
from ledger.build.cells import write_entry
from ledger.build.plan import BACK, HEADING_ROW, HELP_ROW, KEY_ROW, THIN_PT, TITLE_ROW, Plan
from ledger.layout import letter, mark
from ledger.live import reference
from ledger.live.reference import COLUMNS, FIRST_LINE, KEY, OWN, SHEET_ID, Line
from ledger.live.words import YOURS
from ledger.look import Look, set_up_page

NAME = reference.NAME
HELP = (
    "Published figures that the workbook and the balance reckon with, and where each was read. "
    "Type your own beside one and both use it."
)
HEADINGS = {
    "group": ("Set", 22.0),
    "words": ("Figure", 46.0),
    "value": ("Published", 11.0),
    "unit": ("Unit", 13.0),
    "own": (reference.OWN_HEADING, 11.0),
    "use": ("In use", 11.0),
    "low": ("Low", 8.0),
    "high": ("High", 8.0),
    "status": ("Status", 11.0),
    "source": ("Source", 70.0),
    "key": ("Key", 30.0),
}
AT = {name: at for at, name in enumerate(COLUMNS)}
MEMORY = "from memory, check with a local guide"


def write(worksheet: Any, look: Look, plan: Plan) -> None:
    """Write the sheet; all of it is protected but the column for figures of one's own."""
    lines = reference.lines(plan.definitions, plan.system)
    worksheet.hide_gridlines(2)
    worksheet.set_row(TITLE_ROW, 24)
    worksheet.write_string(TITLE_ROW, 0, NAME, look["title"])
    worksheet.write_url(TITLE_ROW, 1, BACK[0], look["link"], BACK[1])
    worksheet.write_string(HELP_ROW, 0, HELP, look["help_line"])
    for at in range(1, AT["source"] + 1):
        worksheet.write_blank(HELP_ROW, at, None, look["help_line"])
    _headings(worksheet, look, plan)
    for row, line in enumerate(lines, start=FIRST_LINE - 1):
        _line(worksheet, look, row, line)
        write_entry(worksheet, row, AT["own"], plan.own.get(line.key), look, "own_figure")
    last = FIRST_LINE + len(lines) - 2
    worksheet.autofilter(HEADING_ROW, 0, last, AT["source"])
    worksheet.freeze_panes(HEADING_ROW + 1, 2)
    worksheet.set_selection(HEADING_ROW + 1, AT["own"], HEADING_ROW + 1, AT["own"])
    worksheet.protect("", {"autofilter": True, "format_columns": True, "format_rows": True})
    set_up_page(worksheet, NAME, plan.footer, HEADING_ROW)
    worksheet.print_area(0, 0, last, AT["source"])


def _headings(worksheet: Any, look: Look, plan: Plan) -> None:
    for name, (text, width) in HEADINGS.items():
        hidden = {"hidden": True} if name == "key" else {}
        worksheet.set_column(AT[name], AT[name], width, None, hidden)
        worksheet.write_string(HEADING_ROW, AT[name], text, look["heading"])
    marked = mark(f"={SHEET_ID}", plan.system, plan.definitions)
    for at, text in ((0, marked), (AT["own"], OWN), (AT["key"], KEY)):
        worksheet.write_string(KEY_ROW, at, text, look["unseen"])
    worksheet.set_row(KEY_ROW, THIN_PT)
    worksheet.set_row(HEADING_ROW, measure.height("", 1))


def _line(worksheet: Any, look: Look, row: int, line: Line) -> None:
    texts = {"group": line.group, "words": line.words, "unit": line.unit, "key": line.key}
    for name, text in {**texts, **_origin(line)}.items():
        worksheet.write_string(row, AT[name], text, look["reference"])
    worksheet.write_number(row, AT["value"], line.value, look["figure"])
    for name, limit in _spread(line).items():
        if limit is None:
            worksheet.write_blank(row, AT[name], None, look["figure"])
        else:
            worksheet.write_number(row, AT[name], limit, look["figure"])
    if line.figure:
        worksheet.write_blank(row, AT["own"], None, look["own_figure"])
        worksheet.write_formula(row, AT["use"], _in_use(row, line), look["live_figure"], "")
        _hold_to_limits(worksheet, row, line)
    else:
        worksheet.write_blank(row, AT["own"], None, look["figure"])
        worksheet.write_formula(row, AT["use"], f"={_cell('value', row)}", look["live_figure"], "")
    told = {**texts, **_origin(line)}
    rooms = ((told[name], HEADINGS[name][1] - 1) for name in ("group", "words", "source"))
    worksheet.set_row(row, max(measure.height(text, room) for text, room in rooms))


def _cell(name: str, row: int) -> str:
    return f"${letter(AT[name])}${row + 1}"


def _origin(line: Line) -> dict[str, str]:
    if line.figure is None:
        return {
            "status": "definition",
            "source": "The unit's definition, in the ledger's own unit.",
        }
    note = f" {line.figure.note}" if line.figure.note else ""
    status = MEMORY if line.figure.status == "memory" else line.figure.status
    return {"status": status, "source": line.figure.source.citation(line.figure.page) + "." + note}


def _spread(line: Line) -> dict[str, float | None]:
    figure = line.figure
    return {"low": figure.low if figure else None, "high": figure.high if figure else None}


def _in_use(row: int, line: Line) -> str:
    """The person's figure where it is one and in range, a word where it is not."""
    own = _cell("own", row)
    tests = [f"ISNUMBER({own})", *_tests(own, line)]
    return f'=IF({own}="",{_cell("value", row)},IF(AND({",".join(tests)}),{own},"{YOURS}"))'


def _tests(cell: str, line: Line) -> list[str]:
    low, high = line.limits
    tests = [] if low is None else [f"{cell}>={low:g}"]
    return tests if high is None else [*tests, f"{cell}<={high:g}"]


def _hold_to_limits(worksheet: Any, row: int, line: Line) -> None:
    own = f"{letter(AT['own'])}{row + 1}"
    tests = ",".join([f"ISNUMBER({own})", *_tests(own, line)])
    title = "Your own figure"
    about = {"input_title": title, "error_title": title}
    said = f"Your own figure in {line.unit}; blank for the published one."
    options = {"validate": "custom", "value": f"=AND({tests})", "input_message": said}
    worksheet.data_validation(
        row, AT["own"], row, AT["own"], {**about, **options, "error_message": said}
    )
