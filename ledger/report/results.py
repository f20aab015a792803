"""The result sheets that ``balance`` writes: summary, field balance, postings, and others."""

from __future__ import annotations

from ledger.model import Definitions, Results
from ledger.report.field_balance import field_balance_sheet
from ledger.report.found import findings_sheet
from ledger.report.gate import gate_sheet
from ledger.report.links import joined
from ledger.report.movements import postings_sheet
from ledger.report.plan import plan_sheet
from ledger.report.ranges import ranges_sheet
from ledger.report.stores import stores_sheet
from ledger.report.strips import strips_sheet
from ledger.report.summary import summary_sheet
from ledger.report.tables import ResultSheet
from ledger.report.units import Shown
from ledger.report.years import years_sheet


def result_sheets(results: Results, definitions: Definitions) -> list[ResultSheet]:
    """All result sheets of a run, in the order of their tabs."""
    shown = Shown(definitions=definitions, system=results.book.system)
    # Made first, since it takes room that the others then use (measured: 5 MB at 100,000 lines).
    postings = postings_sheet(results, shown)
    sheets = [
        findings_sheet(results.findings),
        summary_sheet(results, shown),
        field_balance_sheet(results, shown),
        plan_sheet(results, shown),
        stores_sheet(results, shown),
        gate_sheet(results, shown),
        strips_sheet(results.trials, shown),
        ranges_sheet(results, shown),
        *([years_sheet(results.years, shown)] if results.years.years else []),
        postings,
    ]
    return joined(sheets)
