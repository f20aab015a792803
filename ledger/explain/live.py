"""Explain a live cell: which figure its formula shows, and how ``balance`` reckons the same."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ledger.explain.figure import Asked, explain_figure
from ledger.explain.stored import Stored, row_of, stored_sheet
from ledger.explain.telling import Explanation, number, told_factors, told_postings
from ledger.layout import fold
from ledger.live.columns import LiveColumn
from ledger.live.sheets import live_columns
from ledger.model import FIGURES, Definitions, Entry, Grid, Results
from ledger.model.ranges import Scope
from ledger.report.units import Shown

LIVE_KEY = "=live"  # how the hidden key of a live column begins
GROUND = ("fields", "zones", "crops")  # sheets whose live figures are those of statements
STILL_TO_GO = "_rate"  # of the chosen product: the nitrogen still to go in gallons or pounds
LIVE = "A live figure: the spreadsheet program reckons it from what is typed; balance reckons:"


def explain_live(
    results: Results, definitions: Definitions, grid: Grid, cell: str, content: bytes
) -> Explanation | None:
    """A live cell of an entry sheet, by the figure that its column shows; None if it is none."""
    stored = stored_sheet(content, grid.sheet_name)
    columns = live_columns(definitions, results.book.system).get(grid.sheet_id, ())
    column = _column(stored, cell, {column.id: column for column in columns})
    line = _line(results, grid, cell)
    if column is None or line is None or not column.title:
        return None
    shown = Shown(definitions=definitions, system=results.book.system)
    where = f"{grid.sheet_name}!{cell} ({column.title})"
    said = said_of(stored.values.get(cell), column.unit)
    about = [column.note, LIVE]
    if grid.sheet_id in GROUND:
        asked = _of_ground(column.id, line, results)
        if asked:
            told = explain_figure(asked, where, said, results, shown)
            return with_words(told, about)
    nutrient = column.id.rpartition("_")[2]
    postings = [
        posting
        for posting in results.journal.postings
        if posting.entry.row == line.row and posting.nutrient == nutrient
    ]
    return Explanation(
        where=where,
        value=said,
        how=about if postings else [column.note],
        postings=told_postings(postings, shown),
        sources=told_factors(postings, shown),
    )


def with_words(told: Explanation, words: list[str]) -> Explanation:
    """An explanation with words before how the figure follows."""
    return replace(told, how=[*filter(None, words), *told.how])


def said_of(value: object, unit: str) -> str:
    """What the cell showed when the workbook was saved last."""
    if isinstance(value, int | float):
        return number(value, unit)
    return str(value) if value else "not reckoned yet; open and save it in a spreadsheet program"


def _column(stored: Stored, cell: str, columns: Mapping[str, LiveColumn]) -> LiveColumn | None:
    """The live column a cell stands in, by its hidden key, or by its heading without one."""
    by_title = {fold(column.title): column for column in columns.values() if column.title}
    found = None
    for text in stored.texts_above(cell):
        if text.startswith(LIVE_KEY):
            return columns.get(text.removeprefix(LIVE_KEY))
        found = found or by_title.get(fold(text.partition(" [")[0]))
    return found


def _line(results: Results, grid: Grid, cell: str) -> Entry | None:
    entries = results.book.entries.get(grid.sheet_id, ())
    return next((entry for entry in entries if entry.row.number == row_of(cell)), None)


def _of_ground(column: str, line: Entry, results: Results) -> Asked | None:
    """The figure of a zone or a field that a live column shows."""
    figure, _, nutrient = column.removeprefix("_").rpartition("_")
    if column == STILL_TO_GO:
        figure, nutrient = "to_go", "N"
    scope = scope_of(line, results)
    if figure not in FIGURES or scope is None:
        return None
    return Asked(scope=scope, nutrient=nutrient, figure=figure, per_area=True)


def scope_of(line: Entry, results: Results) -> Scope | None:
    """The zone of a line, or the field it names, which is a zone where it has no others."""
    field, zone = line.text("field"), line.text("zone")
    zones = [one.zone for one in results.book.zones.get(field, ())]
    if zone:
        return (field, zone) if zone in zones else None
    return (field, zones[0]) if len(zones) == 1 else (field,) if zones else None
