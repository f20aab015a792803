"""Explain a cell of the sheet Reference: a published figure and its source."""

from __future__ import annotations

from ledger.explain.stored import row_of, stored_sheet
from ledger.explain.telling import Explanation, number
from ledger.live.figures import reference_lines
from ledger.model import Definitions, Results


def explain_reference(
    results: Results, definitions: Definitions, sheet: str, cell: str, content: bytes
) -> Explanation | None:
    """The published figure in whose line a cell stands; None for any other cell."""
    row = row_of(cell)
    values = stored_sheet(content, sheet).values
    texts = {value for place, value in values.items() if row_of(place) == row}
    line = next((line for line in reference_lines(definitions) if line.key in texts), None)
    if line is None:
        return None
    figure = line.figure
    own = next((one for one in results.book.own_figures if one.key == line.key), None)
    ends = "" if figure.low is None else f", from {number(figure.low)} to {number(figure.high)}"
    return Explanation(
        where=f"{sheet}!{cell} ({line.group}; {line.words})",
        value=number(figure.value, figure.unit),
        how=[
            f"A published figure{ends}; postings and formulas take it.",
            *([figure.note] if figure.note else []),
            *([f"Your own takes its place: {own.value} ({own.sheet}!{own.cell})."] if own else []),
        ],
        sources=[f"{line.words}: {number(figure.value)} {figure.unit} - {figure.citation()}"],
    )
