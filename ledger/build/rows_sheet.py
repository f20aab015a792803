"""An entry sheet with one line an entry: title, help, hidden keys, headings, room to type.

The look of the entry area is the format of whole columns, not of thousands of blank cells:
the file stays small, reading stays quick, and lines added at the end look alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ledger import measure
from ledger.build import words
from ledger.build.cells import entry_format
from ledger.build.fill import fill
from ledger.build.live import Live, first_live, write_columns
from ledger.build.notes import write_note
from ledger.build.plan import (
    BACK,
    EXAMPLE_ROW,
    FIRST_ROW,
    HEADING_ROW,
    HELP_ROW,
    KEY_ROW,
    TITLE_ROW,
    Plan,
)
from ledger.build.validation import validate
from ledger.layout import example_line, heading, help_line, letter, mark
from ledger.look import Look, set_up_page
from ledger.model import Sheet

FROZEN_WIDTH = 36  # characters; more would leave a small screen no room to scroll
SPACER_WIDTH = 3.0
PRINTED_LINES, SPARE_LINES = 25, 5


def heading_cell(index: int) -> tuple[int, int]:
    """Row and column of the heading of a sheet's column, counted from 0."""
    return HEADING_ROW, index


def write(worksheet: Any, look: Look, plan: Plan, sheet: Sheet, live: Live) -> None:
    """Write one entry sheet with the rows that are pre-filled, live figures beside them."""
    texts = [heading(column, plan.system, plan.definitions) for column in sheet.columns]
    widths = [
        measure.column_width(column.width, text, column.choices)
        for text, column in zip(texts, sheet.columns, strict=True)
    ]
    seen = sum(column.shown for column in live.columns.get(sheet.id, ()))
    _columns(worksheet, look, sheet, widths, wide=not seen)
    _top(worksheet, look, sheet, widths, seen)
    _keys(worksheet, look, sheet, mark(sheet.id, plan.system, plan.definitions))
    _headings(worksheet, look, plan, sheet, texts)
    beside = write_columns(worksheet, look, plan, sheet, live)
    headings = [*zip(texts, widths, strict=True), *beside]
    worksheet.set_row(HEADING_ROW, measure.heading_height(headings))
    fill(worksheet, look, plan, sheet, widths)
    _ease(worksheet, plan, sheet, widths)
    set_up_page(worksheet, sheet.title, plan.footer, HEADING_ROW)
    if sheet.id in live.columns:
        _print_area(worksheet, plan, sheet, seen)


def _columns(
    worksheet: Any, look: Look, sheet: Sheet, widths: Sequence[float], *, wide: bool
) -> None:
    for at, (column, width) in enumerate(zip(sheet.columns, widths, strict=True)):
        worksheet.set_column(at, at, width, look[entry_format(column)])
    # The column of the mark is also where a help line ends that is longer than the table.
    longest = max(len(help_line(sheet)), len(example_line(sheet)))
    spare = max(SPACER_WIDTH, longest * measure.SLIM - sum(widths)) if wide else SPACER_WIDTH
    worksheet.set_column(len(widths), len(widths), spare)


def _top(worksheet: Any, look: Look, sheet: Sheet, widths: Sequence[float], seen: int) -> None:
    """Title and help over the table; not merged, so that columns can still be moved."""
    for at in range(len(widths) + 1 + seen):
        worksheet.write_blank(TITLE_ROW, at, None, look["plain"])
        worksheet.write_blank(HELP_ROW, at, None, look["help_line"])
        worksheet.write_blank(EXAMPLE_ROW, at, None, look["help_line"])
    worksheet.set_row(TITLE_ROW, 24)
    worksheet.write_string(TITLE_ROW, 0, sheet.title, look["title"])
    worksheet.write_url(TITLE_ROW, _beside_title(sheet, widths), BACK[0], look["link"], BACK[1])
    worksheet.write_string(HELP_ROW, 0, help_line(sheet), look["help_line"])
    worksheet.write_string(EXAMPLE_ROW, 0, example_line(sheet), look["help_line"])


def _beside_title(sheet: Sheet, widths: Sequence[float]) -> int:
    return _reaching(widths, len(sheet.title) * measure.LARGE)


def _reaching(widths: Sequence[float], room: float) -> int:
    """How many columns it takes to give that much room."""
    return next((n for n in range(1, len(widths)) if sum(widths[:n]) >= room), len(widths))


def _keys(worksheet: Any, look: Look, sheet: Sheet, mark_text: str) -> None:
    keys = [f"#{column.id}" for column in sheet.columns]
    for at, text in enumerate([*keys, mark_text]):
        worksheet.write_string(KEY_ROW, at, text, look["key"])
    worksheet.set_row(KEY_ROW, None, None, {"hidden": True})


def _headings(worksheet: Any, look: Look, plan: Plan, sheet: Sheet, texts: Sequence[str]) -> None:
    for at, (column, text) in enumerate(zip(sheet.columns, texts, strict=True)):
        look_of_it = look["required" if column.required else "heading"]
        worksheet.write_string(HEADING_ROW, at, text, look_of_it)
        write_note(worksheet, HEADING_ROW, at, words.note(sheet, column, plan))
        validate(worksheet, plan, sheet, column, (FIRST_ROW, at, plan.last_row(sheet), at))


def _print_area(worksheet: Any, plan: Plan, sheet: Sheet, seen: int) -> None:
    """Print what is filled and some lines more; prepared lines would print as empty pages."""
    filled = len(plan.entries.get(sheet.id, ()))
    last = FIRST_ROW + max(PRINTED_LINES, filled + SPARE_LINES) - 1
    right = first_live(sheet) + seen if seen else len(sheet.columns)
    worksheet.print_area(0, 0, last, right - 1)


def _ease(worksheet: Any, plan: Plan, sheet: Sheet, widths: Sequence[float]) -> None:
    """What makes a long sheet easy: headings that stay, a filter, the cursor where one types."""
    last = plan.last_row(sheet)
    worksheet.freeze_panes(FIRST_ROW, _frozen(sheet, widths))
    worksheet.autofilter(HEADING_ROW, 0, last, len(widths) - 1)
    area = f"A{FIRST_ROW + 1}:{letter(len(widths) - 1)}{last + 1}"
    worksheet.ignore_errors({"number_stored_as_text": area})  # a field may be called 12
    worksheet.set_selection(FIRST_ROW, 0, FIRST_ROW, 0)


def _frozen(sheet: Sheet, widths: Sequence[float]) -> int:
    """How many columns stay in sight: the first, and needed ones beside it while narrow."""
    count, total = 1, widths[0]
    for column, width in list(zip(sheet.columns, widths, strict=True))[1:]:
        total += width
        if not column.required or total > FROZEN_WIDTH:
            break
        count += 1
    return count
