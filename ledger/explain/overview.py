"""Explain a cell of the Overview: a live figure of the farm or of a field."""

from __future__ import annotations

import re

from ledger.explain.figure import Asked, explain_figure
from ledger.explain.live import LIVE, said_of, scope_of, with_words
from ledger.explain.stored import Stored, row_of, stored_sheet
from ledger.explain.telling import Explanation
from ledger.live.overview import FIGURE_WORDS
from ledger.model import Definitions, Results
from ledger.model.ranges import WHOLE_FARM, Scope
from ledger.report.units import Shown

NTH_LINE = re.compile(r"INDEX\([^,]*?\$(\d+)[^,]*,\s*(\d+)\)")  # of a range, which line
OTHER = "A live figure: the spreadsheet program reckons it from the entry sheets."


def explain_overview(
    results: Results, definitions: Definitions, sheet: str, cell: str, content: bytes
) -> Explanation | None:
    """A live cell by the figure that it shows; None for what is no formula."""
    stored = stored_sheet(content, sheet)
    if not stored.is_formula(cell):
        return None
    shown = Shown(definitions=definitions, system=results.book.system)
    words = str(stored.values.get(f"A{row_of(cell)}") or "")
    asked = _of_farm(stored, cell, definitions) or _of_field(stored, cell, results, definitions)
    if asked is None:
        where = f"{sheet}!{cell} ({words})" if words else f"{sheet}!{cell}"
        return Explanation(where=where, value=said_of(stored.values.get(cell), ""), how=[OTHER])
    figure = f"{asked.nutrient} {FIGURE_WORDS[asked.figure].lower()}"
    unit = shown.label("mass per area" if asked.per_area else "mass")
    value = said_of(stored.values.get(cell), unit)
    where = f"{sheet}!{cell} ({words}; {figure})"
    return with_words(explain_figure(asked, where, value, results, shown), [LIVE])


def _of_farm(stored: Stored, cell: str, definitions: Definitions) -> Asked | None:
    """A total of the farm: the figure is in the heading, the nutrient beside its name."""
    stated = stored.values.get(f"B{row_of(cell)}")
    nutrient = next((n.id for n in definitions.nutrients.values() if n.stated_as == stated), None)
    words = {heading: figure for figure, heading in FIGURE_WORDS.items()}
    figure = next((words[text] for text in stored.texts_above(cell) if text in words), None)
    if nutrient is None or figure is None:
        return None
    return Asked(scope=WHOLE_FARM, nutrient=nutrient, figure=figure)


def _of_field(
    stored: Stored, cell: str, results: Results, definitions: Definitions
) -> Asked | None:
    """A figure of a field: nutrient and figure are in the heading, the field is a line's."""
    words = {
        f"{nutrient.stated_as} {heading.lower()}": (nutrient.id, figure)
        for nutrient in definitions.nutrients.values()
        for figure, heading in FIGURE_WORDS.items()
    }
    found = next((words[text] for text in stored.texts_above(cell) if text in words), None)
    scope = _field_scope(stored.formulas.get(f"A{row_of(cell)}"), results)
    if found is None or scope is None:
        return None
    return Asked(scope=scope, nutrient=found[0], figure=found[1], per_area=True)


def _field_scope(formula: object, results: Results) -> Scope | None:
    """The field in a line of the Overview: the n-th line of the sheet Fields."""
    match = NTH_LINE.search(str(formula))
    row = int(match[1]) + int(match[2]) - 1 if match else None
    lines = results.book.entries.get("fields", ())
    line = next((line for line in lines if line.row.number == row), None)
    return scope_of(line, results) if line else None
