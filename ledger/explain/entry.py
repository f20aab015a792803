"""Explain a cell that was typed: what its line posted, and where the cell was a factor."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.explain.stored import column_of, row_of
from ledger.explain.telling import Explanation, told_factors, told_postings
from ledger.model import Definitions, Entry, Factor, Grid, Posting, Results
from ledger.report.units import Shown


def explain_entry(
    results: Results, definitions: Definitions, sheet_id: str, grid: Grid, cell: str
) -> Explanation | None:
    """What a typed cell says and what became of it; None for a place that is no entry's."""
    found = _find(results, sheet_id, grid, cell)
    if found is None:
        return None
    entry, column = found
    shown = Shown(definitions=definitions, system=results.book.system)
    origin = f"{grid.sheet_name}!{cell}"
    own = [p for p in results.journal.postings if p.entry.row == entry.row]
    used = [p for p in results.journal.postings if any(_of(f, origin) for f in p.factors)]
    postings = own or used
    title = definitions.sheets[sheet_id].by_id[column].title
    return Explanation(
        where=origin,
        value=f"{title}: {entry.row.cells.get(column, 'blank')}",
        how=_how(entry, own, used, title),
        postings=told_postings(postings, shown),
        sources=told_factors(postings, shown),
    )


def _of(factor: Factor, cell: str) -> bool:
    """Whether a factor was typed in a cell; many are asked, so the quick question comes first."""
    return cell in factor.origin and cell in factor.cells


def _how(entry: Entry, own: Sequence[Posting], used: Sequence[Posting], title: str) -> list[str]:
    if entry.faulty:
        return ["The line has an error, so it posts nothing; see Findings."]
    if own:
        return [f"The line posted {_counted(own)}; for each nutrient they add up to zero."]
    if used:
        return [f"{title} was a factor of {_counted(used)}."]
    if entry.text("status") == "planned":
        return ["The line is planned: it is shown in the plan and posts nothing."]
    return [
        "No posting has this cell as a factor. It names or chooses something, bounds an area, or "
        "is used by the plan, the stores or a check; or its line is left out for an error."
    ]


def _counted(postings: Sequence[Posting]) -> str:
    return "1 amount" if len(postings) == 1 else f"{len(postings)} amounts"


def _find(results: Results, sheet_id: str, grid: Grid, cell: str) -> tuple[Entry, str] | None:
    letters, number = column_of(cell), row_of(cell)
    for entry in results.book.entries.get(sheet_id, ()):
        for column, at in grid.letters.items():
            row = grid.pair_rows.get(column) if grid.pair_rows else entry.row.number
            if (at, row) == (letters, number):
                return entry, column
    return None
