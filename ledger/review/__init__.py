"""Review: what a careful reader points out across lines that are each sound by themselves.

A stage: ``review(book, statements, journal, definitions) -> findings``. It changes nothing;
every finding is a warning or a note. Thresholds are the farm's own answers: where one is
blank, its check is not made.
"""

from __future__ import annotations

from collections.abc import Sequence

from ledger.model import Book, Definitions, Finding, Journal, Statement
from ledger.review.ages import old_manure_samples, old_soil_tests
from ledger.review.coverage import parts_over_whole
from ledger.review.cut import cut_unplanned
from ledger.review.duplicates import look_alikes
from ledger.review.ground import injected_yet_worked_in, unfit_ground
from ledger.review.late import after_harvest
from ledger.review.limits import over_limit, over_need
from ledger.review.records import blank_records
from ledger.review.tenure import customers_ground
from ledger.review.unlikely import odd_days, unlikely

__all__ = ["review"]


def review(
    book: Book, statements: Sequence[Statement], journal: Journal, definitions: Definitions
) -> list[Finding]:
    """All findings across the lines of a book; ``statements`` are those of its zones."""
    return [
        *look_alikes(book, journal, definitions),
        *parts_over_whole(book, definitions),
        *cut_unplanned(book, definitions),
        *after_harvest(book, definitions),
        *unfit_ground(book, definitions),
        *injected_yet_worked_in(book, definitions),
        *old_manure_samples(book, definitions),
        *old_soil_tests(book, journal, definitions),
        *over_need(book, statements, definitions),
        *over_limit(book, statements, definitions),
        *customers_ground(book, definitions),
        *unlikely(book, definitions),
        *odd_days(book, definitions),
        *blank_records(book, definitions),
    ]
