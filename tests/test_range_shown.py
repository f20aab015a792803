"""No figure is shown as if it were certain where its sources give a range.

The example farm is reckoned twice, the second time with every range at another place
(tests/reached.py): each number that moves must show its range, its ends or the sign, on the
result sheets, in the annual report and in the copies for others.
"""

from __future__ import annotations

import io
from functools import cache
from typing import Any

import openpyxl
import pytest
from papers import EXAMPLE, example
from reached import OTHER, bare, changed, definitions_at, results_at, without_ranges
from workbooks import SHIPPED, Entries, run

from ledger import pipeline
from ledger.cli.new import workbook_for
from ledger.explain.places import places
from ledger.look import SIGN
from ledger.model import Results
from ledger.report import result_sheets
from ledger.report.annual import annual_sheets
from ledger.report.part import part_of
from ledger.report.period import CROP_YEAR, period_of
from ledger.report.share import share_sheets
from ledger.report.tables import ResultSheet, Rough
from ledger.years import years

SETS = list(SHIPPED.manure_sets)
MOVED = definitions_at(OTHER)


def entries(manure_set: str) -> Entries:
    told = example()
    return {**told, "farm": [{**told["farm"][0], "manure_set": manure_set}]}


@cache
def both(manure_set: str) -> tuple[Results, Results]:
    """The results of the example with a credit set, and with everything ranged moved."""
    results = run(entries(manure_set)).results
    return results, results_at(results, OTHER)


def sheets(results: Results, known: Any = SHIPPED) -> list[ResultSheet]:
    return result_sheets(results, known)


def papers(results: Results, known: Any = SHIPPED) -> list[ResultSheet]:
    days = period_of(CROP_YEAR, results.book.year, SHIPPED)
    return annual_sheets(results, days, known, money=True)


@pytest.mark.parametrize("manure_set", SETS)
def test_every_number_that_hangs_on_a_range_shows_it(manure_set: str) -> None:
    results, other = both(manure_set)
    before, after = sheets(results), sheets(other, MOVED)
    assert not bare(before, after)
    walked = [sheet.id for sheet, *_ in changed(before, after)]
    assert len(walked) > 300
    assert {"summary", "field-balance", "nitrogen-to-go", "farm-gate", "postings"} <= {*walked}


@pytest.mark.parametrize("manure_set", SETS)
def test_papers_show_it_too(manure_set: str) -> None:
    results, other = both(manure_set)
    before, after = papers(results), papers(other, MOVED)
    assert not bare(before, after)
    walked = {sheet.id for sheet, *_ in changed(before, after)}
    assert {"annual-report", "fields-and-crops", "field-balance"} <= walked


@pytest.mark.parametrize("manure_set", SETS)
def test_copies_for_others_show_it_too(manure_set: str) -> None:
    results, other = both(manure_set)
    moved = 0
    for person in results.book.entries["people"]:
        name = person.text("name")
        before = share_sheets(part_of(results, name, SHIPPED), 0, SHIPPED)
        after = share_sheets(part_of(other, name, MOVED), 0, MOVED)
        assert not bare(before, after)
        moved += len(list(changed(before, after)))
    assert moved > 20


def test_several_years_show_it_too() -> None:
    results, other = both("IA-PMR1003")
    earlier = run({**entries("IA-PMR1003"), "farm": [{**entries("IA-PMR1003")["farm"][0],
                   "year": 2025}]}).results  # fmt: skip
    told = [
        sheets(_with_years(one, earlier, known), known)
        for one, known in ((results, SHIPPED), (other, MOVED))
    ]
    assert not bare(*told)
    assert "years" in {sheet.id for sheet, *_ in changed(*told)}


def _with_years(results: Results, earlier: Results, known: Any) -> Results:
    from dataclasses import replace

    return replace(results, years=years([earlier, results], known))


@pytest.mark.parametrize("name", ["summary", "field-balance", "nitrogen-to-go"])
def test_a_removed_column_of_ranges_is_found_out(name: str) -> None:
    results, other = both("IA-PMR1003")
    before = [sheet for sheet in sheets(results) if sheet.id == name]
    after = sheets(other, MOVED)
    assert not bare(before, after)
    broken = [without_ranges(sheet) for sheet in before]
    assert bare(broken, after)


def test_the_sign_is_written_and_its_meaning_said() -> None:
    blank = workbook_for(SHIPPED, year=None, units=None, folder=EXAMPLE)
    done = pipeline.run(blank, SHIPPED)
    book = openpyxl.load_workbook(io.BytesIO(pipeline.with_results(blank, done, SHIPPED)))
    signed = 0
    for sheet in sheets(done.results):
        rough = [cell for cell, p in places(sheet).items() if isinstance(p.value, Rough)]
        assert not rough or any(words.startswith(SIGN) for words in sheet.words), sheet.name
        for cell in rough:
            assert book[sheet.name][cell].number_format.endswith(f'0" {SIGN}"')
            assert isinstance(book[sheet.name][cell].value, (int, float))
        signed += len(rough)
    assert signed > 100
