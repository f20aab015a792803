"""While the collector of cycles rests, a run must go by itself when nobody needs it any more."""

from __future__ import annotations

import gc

from finding_cases import BASE
from workbooks import SHIPPED, workbook

from ledger import pipeline
from ledger.collector import at_rest
from ledger.model import Entry, Row


def lines() -> int:
    return sum(type(thing) in (Row, Entry) for thing in gc.get_objects())


def test_no_circle_keeps_the_lines_of_a_run() -> None:
    """A circle kept 100,000 lines while the result sheets were put into the workbook."""
    content = workbook(BASE)
    gc.collect()
    before = lines()
    with at_rest():
        done = pipeline.run(content, SHIPPED)
        sheets = pipeline.ready_sheets(done, SHIPPED)
        assert lines() > before
        del done
        assert lines() == before
        assert sheets.sheets


def test_the_collector_works_again_afterwards() -> None:
    assert gc.isenabled()
    with at_rest():
        assert not gc.isenabled()
        with at_rest():
            pass
        assert not gc.isenabled()
    assert gc.isenabled()
