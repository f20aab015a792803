"""Where live columns and their tables lie in a new workbook, and how they are written."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from ledger.build.notes import write_note
from ledger.build.plan import FIRST_ROW, HEADING_ROW, KEY_ROW, TITLE_ROW, Plan
from ledger.build.shared import Run
from ledger.layout import letter
from ledger.live import reference
from ledger.live.columns import LiveColumn
from ledger.live.places import Area, Places, in_row
from ledger.live.sheets import Columns, live_columns
from ledger.live.tables import Table, tables
from ledger.look import Look
from ledger.model import Sheet

LABEL = "Worked out for you: nothing to type here"
LOOKED_AT = 5000  # the last row that is looked at for lines without live figures
TABLES_FROM = len(reference.COLUMNS) + 1  # right of what people see on the sheet
ANSWER = "C"  # the column of answers on a sheet of pairs
HIDDEN_LOOK = "live_text"  # a text to the right in a hidden column would show left of it
GUARD = "This cell is worked out from the line. Type in the pale columns only."


@dataclass(frozen=True, kw_only=True, eq=False)
class Live:
    """The live columns of a workbook, their tables, and the address of everything named."""

    columns: Columns
    tables: Sequence[Table]
    places: Places


def live_of(plan: Plan) -> Live:
    """Lay out everything that formulas name."""
    columns = live_columns(plan.definitions, plan.system)
    found = tables(plan.definitions, plan.system)
    areas = dict(_areas(plan, columns, found))
    return Live(columns=columns, tables=found, places=Places(areas=areas))


def _areas(plan: Plan, columns: Columns, found: Sequence[Table]) -> Iterator[tuple[str, Area]]:
    for sheet in plan.definitions.sheets.values():
        yield from _sheet_areas(plan, sheet, columns.get(sheet.id, ()))
    for number, line in enumerate(reference.lines(plan.definitions, plan.system)):
        row = reference.FIRST_LINE + number
        use = letter(reference.COLUMNS.index("use"))
        area = Area(sheet=reference.NAME, letters=use, first=row, last=row)
        yield f"ref.{line.key}", area
    yield from _table_areas(found)


def _sheet_areas(
    plan: Plan, sheet: Sheet, live: Sequence[LiveColumn]
) -> Iterator[tuple[str, Area]]:
    first, last = FIRST_ROW + 1, plan.last_row(sheet, live=bool(live)) + 1
    for at, column in enumerate(sheet.columns):
        letters = letter(at)
        if sheet.layout == "pairs":
            row = FIRST_ROW + at + 1
            yield (
                f"{sheet.id}.{column.id}",
                Area(sheet=sheet.title, letters=ANSWER, first=row, last=row),
            )
        else:
            yield (
                f"{sheet.id}.{column.id}",
                Area(sheet=sheet.title, letters=letters, first=first, last=last),
            )
            yield (
                f"{sheet.id}.={column.id}",
                Area(sheet=sheet.title, letters=letters, first=first, last=max(last, LOOKED_AT)),
            )
    for at, made in enumerate(live, start=first_live(sheet)):
        area = Area(sheet=sheet.title, letters=letter(at), first=first, last=last)
        yield f"{sheet.id}.{made.id}", area


def first_live(sheet: Sheet) -> int:
    """The column of the first live figure, counted from 0: past the entries and the mark."""
    return len(sheet.columns) + 1


def _table_areas(found: Sequence[Table]) -> Iterator[tuple[str, Area]]:
    at, first = TABLES_FROM, FIRST_ROW + 1
    for table in found:
        for offset, column in enumerate(table.columns):
            letters, last = letter(at + offset), FIRST_ROW + len(table.rows)
            area = Area(sheet=reference.NAME, letters=letters, first=first, last=last)
            yield f"{table.id}.{column}", area
        if table.id == "now":
            for row, line in enumerate(table.rows, start=first):
                letters = letter(at + 1)
                area = Area(sheet=reference.NAME, letters=letters, first=row, last=row)
                yield f"now.{line[0]}", area
        at += len(table.columns) + 1


def write_tables(worksheet: Any, look: Look, live: Live) -> None:
    """Write the tables side by side in hidden columns of the sheet 'Reference'."""
    at = TABLES_FROM
    for table in live.tables:
        for offset, column in enumerate(table.columns):
            title = f"{table.id}.{column}"
            worksheet.write_string(HEADING_ROW, at + offset, title, look["plain"])
        for row, line in enumerate(table.rows, start=FIRST_ROW):
            for offset, cell in enumerate(line):
                _write_cell(worksheet, row, at + offset, cell, live.places, look)
        at += len(table.columns) + 1
    worksheet.set_column(TABLES_FROM, at, None, None, {"hidden": True})


def _write_cell(
    worksheet: Any, row: int, at: int, cell: str | float, places: Places, look: Look
) -> None:
    if isinstance(cell, str) and cell.startswith("="):
        worksheet.write_formula(row, at, places.formula(cell[1:]), look["plain"], "")
    elif isinstance(cell, str):
        worksheet.write_string(row, at, cell, look["plain"])
    else:
        worksheet.write_number(row, at, cell, look["plain"])


def write_columns(
    worksheet: Any, look: Look, plan: Plan, sheet: Sheet, live: Live
) -> list[tuple[str, float]]:
    """Write the live columns of a sheet; returns headings and widths of those people see."""
    columns = live.columns.get(sheet.id, ())
    last = plan.last_row(sheet, live=True)
    first = first_live(sheet)
    seen = []
    for at, column in enumerate(columns, start=first):
        hidden = {} if column.shown else {"hidden": True}
        worksheet.set_column(at, at, column.width, None, hidden)
        worksheet.write_string(KEY_ROW, at, column.key, look["key"])
        if column.shown:
            text = f"{column.title} [{column.unit}]" if column.unit else column.title
            worksheet.write_string(HEADING_ROW, at, text, look["live_heading"])
            write_note(worksheet, HEADING_ROW, at, column.note)
            seen.append((text, float(column.width)))
        formula = live.places.formula(column.formula, sheet.id)
        form = look[column.look if column.shown else HIDDEN_LOOK]
        worksheet.write_formula(FIRST_ROW, at, in_row(formula, FIRST_ROW + 1), form, "")
        for row in range(FIRST_ROW + 1, last + 1):
            worksheet.write_blank(row, at, None, form)  # shares the formula above
    if seen:
        worksheet.write_string(TITLE_ROW, first, LABEL, look["live_label"])
        _guard(worksheet, (FIRST_ROW, first, last, first + len(columns) - 1))
    return seen


def runs(plan: Plan, sheet: Sheet, live: Live) -> list[Run]:
    """The columns of a sheet whose lines share one formula."""
    last = plan.last_row(sheet, live=True) + 1
    first = first_live(sheet)
    return [
        Run(letters=letter(at), first=FIRST_ROW + 1, last=last)
        for at, _ in enumerate(live.columns.get(sheet.id, ()), start=first)
    ]


def _guard(worksheet: Any, area: tuple[int, int, int, int]) -> None:
    """Typing over a formula is refused; the sheet itself stays free to sort and to add to."""
    worksheet.data_validation(
        *area,
        {
            "validate": "custom",
            "value": "=FALSE",
            "ignore_blank": False,
            "error_title": "Worked out for you",
            "error_message": GUARD,
        },
    )
