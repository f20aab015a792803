"""Reports: result sheets and documents made from statements and postings."""

from ledger.report.document import document
from ledger.report.results import result_sheets
from ledger.report.write import add_result_sheets, result_package

__all__ = ["add_result_sheets", "document", "result_package", "result_sheets"]
