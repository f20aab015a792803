"""Build the workbook: a Start page, entry sheets from their definitions, lists, result sheets.

A stage: ``new_workbook(definitions, ...) -> bytes``. Everything a person sees on an entry
sheet comes from the sheet's definition file; the texts that the reader must know again
come from ``ledger.layout``. The same arguments give the same bytes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from io import BytesIO
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from ledger.build import (
    cab_sheet,
    lists_sheet,
    overview_sheet,
    pairs_sheet,
    reference_sheet,
    rows_sheet,
    start_sheet,
)
from ledger.build.live import Live, live_of, runs, write_tables
from ledger.build.plan import START, Plan
from ledger.build.shared import share
from ledger.layout import letter
from ledger.look import TAB_ENTRY, TAB_LISTS, TAB_START, Look
from ledger.model import Definitions, Sheet, System

if TYPE_CHECKING:
    from xlsxwriter import Workbook

__all__ = ["new_workbook"]

PROPERTY = "Ledger template"


def new_workbook(
    definitions: Definitions,
    *,
    year: int,
    system: System,
    entries: Mapping[str, Sequence[Mapping[str, object]]],
    results: Callable[[Workbook, Look], None],
    own: Mapping[str, object] = MappingProxyType({}),
) -> bytes:
    """The bytes of a new .xlsx workbook for one crop year.

    ``entries`` pre-fills: sheet id -> rows of column id -> text, number, date, in the units
    of the headings. ``year`` and ``system`` win over a year or units among them.
    ``own`` are figures of the person's own by the key of the published one.
    ``results`` adds the result sheets at the end. Raises ``ValueError`` for a sheet or
    column that the definitions lack and for a value that a cell cannot hold.
    """
    import xlsxwriter

    _check_entries(entries, definitions)
    target = BytesIO()
    workbook = xlsxwriter.Workbook(target, {"in_memory": True})
    plan = Plan(definitions=definitions, system=system, year=year, entries=entries, own=own)
    _mark(workbook, plan)
    live = live_of(plan)
    _write(workbook, Look(workbook), plan, live, results)
    parts = {sheet.get_name(): _part(sheet) for sheet in workbook.worksheets()}
    workbook.close()
    sharing = {parts[s.title]: runs(plan, s, live) for s in definitions.sheets.values()}
    return share(target.getvalue(), {part: found for part, found in sharing.items() if found})


def _part(worksheet: Any) -> str:
    return f"xl/worksheets/sheet{worksheet.index + 1}.xml"


def _check_entries(
    entries: Mapping[str, Sequence[Mapping[str, object]]], definitions: Definitions
) -> None:
    for sheet_id, rows in entries.items():
        if sheet_id not in definitions.sheets:
            raise ValueError(f"entries name a sheet {sheet_id!r} that has no definition")
        known = definitions.sheets[sheet_id].by_id
        for column in (name for row in rows for name in row):
            if column not in known:
                raise ValueError(f"entries of {sheet_id} name an unknown column {column!r}")


def _mark(workbook: Workbook, plan: Plan) -> None:
    """The second witness, a text property: programs drop numbers, but keep texts.

    A fixed day of creation, since the clock would make two equal workbooks differ.
    """
    workbook.set_properties({"title": plan.title, "created": datetime(plan.year, 1, 1)})
    mark = f"{plan.definitions.settings['mark']} {plan.definitions.version} {plan.system}"
    workbook.set_custom_property(PROPERTY, mark, "text")


def _write(
    workbook: Workbook,
    look: Look,
    plan: Plan,
    live: Live,
    results: Callable[[Workbook, Look], None],
) -> None:
    start = _add(workbook, START, TAB_START)
    sheets = list(plan.definitions.sheets.values())
    added = [(sheet, _add(workbook, sheet.title, TAB_ENTRY)) for sheet in sheets]
    overview = _add(workbook, overview_sheet.NAME, TAB_LISTS)
    overview_sheet.write(workbook, overview, look, plan, live)
    cab_sheet.write(_add(workbook, cab_sheet.NAME, TAB_LISTS), look, plan, live)
    lists_sheet.write(_add(workbook, lists_sheet.NAME, TAB_LISTS), look, plan)
    figures = _add(workbook, reference_sheet.NAME, TAB_LISTS)
    reference_sheet.write(figures, look, plan)
    write_tables(figures, look, live)
    for sheet, worksheet in added:
        if sheet.layout == "pairs":
            pairs_sheet.write(worksheet, look, plan, sheet)
        else:
            rows_sheet.write(worksheet, look, plan, sheet, live)
        _name_headings(workbook, sheet)
    results(workbook, look)
    # Start comes first in the workbook and is filled last: it links to every sheet there is.
    names = [sheet.get_name() for sheet in workbook.worksheets()]
    start_sheet.write(start, look, plan, names)


def _add(workbook: Workbook, name: str, tab: str) -> Any:
    worksheet = workbook.add_worksheet(name)
    worksheet.set_tab_color(tab)
    return worksheet


def _name_headings(workbook: Workbook, sheet: Sheet) -> None:
    """Names of the heading cells: a witness that moves along when columns are moved."""
    layout = pairs_sheet if sheet.layout == "pairs" else rows_sheet
    for index, column in enumerate(sheet.columns):
        row, at = layout.heading_cell(index)
        address = f"='{sheet.title}'!${letter(at)}${row + 1}"
        workbook.define_name(f"ledger_{sheet.id}_{column.id}", address)
