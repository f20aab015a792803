"""An entry sheet of questions and answers below each other, such as the Farm sheet.

Column A (hidden) holds the keys, B the questions, C the answers, D what they are for.
"""

from __future__ import annotations

from typing import Any

from ledger import measure
from ledger.build import words
from ledger.build.cells import entry_format, write_entry
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
from ledger.layout import example_line, heading, help_line, mark
from ledger.look import Look, set_up_page
from ledger.model import Column, Sheet

KEY, QUESTION, ANSWER, ABOUT = range(4)
WIDTHS = {QUESTION: 40, ANSWER: 26, ABOUT: 84}
HEADINGS = {QUESTION: "Question", ANSWER: "Your answer", ABOUT: "What it is for"}


def heading_cell(index: int) -> tuple[int, int]:
    """Row and column of the question of a sheet's column, counted from 0."""
    return FIRST_ROW + index, QUESTION


def write(worksheet: Any, look: Look, plan: Plan, sheet: Sheet) -> None:
    """Write the sheet with its answers: as entered, else the column's default."""
    _top(worksheet, look, sheet)
    worksheet.write_string(KEY_ROW, KEY, mark(sheet.id, plan.system, plan.definitions), look["key"])
    worksheet.write_string(KEY_ROW, ANSWER, "#value", look["key"])
    worksheet.set_row(KEY_ROW, None, None, {"hidden": True})
    for at, text in HEADINGS.items():
        worksheet.write_string(HEADING_ROW, at, text, look["heading"])
    answers = _answers(plan, sheet)
    for index, column in enumerate(sheet.columns):
        _pair(worksheet, look, plan, sheet, column, FIRST_ROW + index)
        form = "answer" if column.is_number else entry_format(column)
        worksheet.write_blank(FIRST_ROW + index, ANSWER, None, look[form])
        write_entry(worksheet, FIRST_ROW + index, ANSWER, answers.get(column.id), look, form)
    worksheet.freeze_panes(FIRST_ROW, 0)
    worksheet.set_selection(FIRST_ROW, ANSWER, FIRST_ROW, ANSWER)
    set_up_page(worksheet, sheet.title, plan.footer, HEADING_ROW)


def _top(worksheet: Any, look: Look, sheet: Sheet) -> None:
    worksheet.hide_gridlines(2)
    worksheet.set_column(KEY, KEY, None, None, {"hidden": True})
    for at, width in WIDTHS.items():
        worksheet.set_column(at, at, width)
        worksheet.write_blank(HELP_ROW, at, None, look["help_line"])
        worksheet.write_blank(EXAMPLE_ROW, at, None, look["help_line"])
    worksheet.set_row(TITLE_ROW, 24)
    worksheet.write_string(TITLE_ROW, QUESTION, sheet.title, look["title"])
    worksheet.write_url(TITLE_ROW, ANSWER, BACK[0], look["link"], BACK[1])
    worksheet.write_string(HELP_ROW, QUESTION, help_line(sheet), look["help_line"])
    worksheet.write_string(EXAMPLE_ROW, QUESTION, example_line(sheet), look["help_line"])


def _answers(plan: Plan, sheet: Sheet) -> dict[str, object]:
    defaults = {column.id: column.default for column in sheet.columns if column.default}
    entered = next(iter(plan.entries.get(sheet.id, ())), {})
    fixed = {"year": plan.year, "units": plan.system}
    return {**defaults, **entered, **{k: v for k, v in fixed.items() if k in sheet.by_id}}


def _pair(worksheet: Any, look: Look, plan: Plan, sheet: Sheet, column: Column, row: int) -> None:
    question = heading(column, plan.system, plan.definitions)
    about = f"{column.note} {words.takes(sheet, column, plan)}".strip()
    worksheet.write_string(row, KEY, f"#{column.id}", look["key"])
    asked = look["required" if column.required else "reference"]
    worksheet.write_string(row, QUESTION, question, asked)
    worksheet.write_string(row, ABOUT, about, look["reference"])
    lines = ((question, WIDTHS[QUESTION] * measure.SLIM / measure.BOLD), (about, WIDTHS[ABOUT]))
    worksheet.set_row(row, max(measure.height(*line) for line in lines))
    validate(worksheet, plan, sheet, column, (row, ANSWER, row, ANSWER))
