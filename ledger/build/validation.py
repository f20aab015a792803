"""Drop-downs and limits of entry cells, as XlsxWriter's data validation options.

They help while typing and are no gate: a cell that is pasted passes them, so ``check``
holds every row against the same definitions again.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from textwrap import shorten
from typing import Any

from ledger.build import lists_sheet
from ledger.build.plan import Plan, cell_schema
from ledger.build.words import expects
from ledger.layout import letter
from ledger.model import Column, Lookup, Sheet

TITLE_LENGTH, MESSAGE_LENGTH = 32, 255  # characters; limits of the file format
OLDEST_DAY = date(1970, 1, 1)  # so that a bare number is not taken for a day

Options = dict[str, Any]


def validate(
    worksheet: Any, plan: Plan, sheet: Sheet, column: Column, area: tuple[int, int, int, int]
) -> None:
    """Set a column's validation on an area: first row, first column, last row, last column.

    Raises ``ValueError`` when XlsxWriter does not accept it.
    """
    first = f"{letter(area[1])}{area[0] + 1}"
    options = _kind(plan, sheet, column, first) | _messages(plan, sheet, column)
    if worksheet.data_validation(*area, options) != 0:
        raise ValueError(f"sheet {sheet.id}: no drop-down can be made for column {column.id}")


def _messages(plan: Plan, sheet: Sheet, column: Column) -> Options:
    title = shorten(column.title, TITLE_LENGTH, placeholder="")
    wanted = f"{column.title} takes {expects(sheet, column, plan)}."
    return {
        "input_title": title,
        "input_message": shorten(column.note, MESSAGE_LENGTH, placeholder=" ..."),
        "error_title": title,
        "error_message": shorten(wanted, MESSAGE_LENGTH, placeholder=" ..."),
    }


def _kind(plan: Plan, sheet: Sheet, column: Column, first: str) -> Options:
    if column.choices:
        return _list(lists_sheet.choices(plan, sheet, column), "stop")
    if column.suggestions:
        return _list(list(column.suggestions), "information")
    if column.lookup:
        return _list(_names(plan, column.lookup), "warning")
    if column.is_date:
        return _date(plan, column)
    if column.is_number and not column.words:
        return _number(cell_schema(sheet, column), column.type, first)
    return {"validate": "any"}


def _names(plan: Plan, lookup: Lookup) -> str:
    if lookup.sheet:
        return plan.source(lookup.sheet, lookup.column)
    return lists_sheet.source(plan, lookup.table)


def _list(source: list[str] | str, error_type: str) -> Options:
    return {"validate": "list", "source": source, "error_type": error_type}


def _date(plan: Plan, column: Column) -> Options:
    if not column.within:
        return {"validate": "date", "criteria": ">=", "value": OLDEST_DAY}
    first, last = plan.days
    # A warning: somebody may correct the year on the Farm sheet, which these days follow not.
    days = {"criteria": "between", "minimum": first, "maximum": last}
    return {"validate": "date", "error_type": "warning", **days}


def _number(cell: Mapping[str, Any], kind: str, first: str) -> Options:
    limits = [key for key in cell if key != "type"]
    validate = {"validate": "integer" if kind == "integer" else "decimal"}
    if sorted(limits) == ["maximum", "minimum"]:
        return validate | {"criteria": "between", **{key: cell[key] for key in limits}}
    if len(limits) == 1:
        return validate | {"criteria": _SIGNS[limits[0]], "value": cell[limits[0]]}
    tests = [f"{first}{_SIGNS[key]}{cell[key]}" for key in limits]
    return {"validate": "custom", "value": f"=AND({','.join([f'ISNUMBER({first})', *tests])})"}


_SIGNS = {"minimum": ">=", "maximum": "<=", "exclusiveMinimum": ">", "exclusiveMaximum": "<"}
