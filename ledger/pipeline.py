"""The way of the data, from a workbook's bytes to its results. Read this file first.

    read -> check -> post -> need -> balance -> plan -> review -> results

Every stage takes what the one before made and the definitions, and returns its output and
its findings. Stages do not know each other; only this file knows their order.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from ledger import findings, report
from ledger.balance import balance
from ledger.check import check
from ledger.collector import at_rest
from ledger.gate import gate
from ledger.graft import graft, verify
from ledger.live.own import with_own_figures
from ledger.model import (
    Book,
    Definitions,
    Entry,
    Finding,
    Grid,
    Journal,
    Reading,
    Results,
    Row,
    System,
)
from ledger.need import Needs, need
from ledger.plan import plan, with_ends
from ledger.post import post
from ledger.ranges import ranges
from ledger.ranges.ends import ENDS, NeedEnds, at_end, supply_at_end
from ledger.read import read
from ledger.report.period import CROP_YEAR, Period, book_within, journal_within
from ledger.review import review
from ledger.stores import stores
from ledger.strips import strips

if TYPE_CHECKING:
    from ledger.carry import Carried  # building, carrying and years are loaded where asked for
    from ledger.report.tables import ResultSheet


@dataclass(frozen=True, kw_only=True, eq=False)
class Run:
    """One workbook taken through the stages."""

    reading: Reading
    results: Results

    @property
    def clean(self) -> bool:
        """True when no finding is an error."""
        return not findings.has_errors(self.results.findings)


@at_rest()
def run(content: bytes, definitions: Definitions) -> Run:
    """Take a workbook's bytes through all stages; raises ``read.Unreadable``."""
    reading, found = read(content, definitions)
    book, checked = check(reading, definitions)
    return Run(
        reading=reading, results=settle(book, [*found, *checked], reading.names, definitions)
    )


def settle(
    book: Book, found: Sequence[Finding], sheet_names: Sequence[str], definitions: Definitions
) -> Results:
    """From a checked book to its results; figures of the person's own go before published ones."""
    definitions, owned = with_own_figures(definitions, book.own_figures)
    found = [*found, *owned]
    journal, posted = post(book, definitions)
    needs, wanting = need(book, journal, definitions)
    doubtful = findings.has_errors([*found, *posted])
    statements, remarks = balance(book, journal, needs, definitions, doubtful=doubtful)
    coming, _ = post(book, definitions, planned=True)
    todo, planning = plan(book, statements.zones, needs, journal, coming, definitions)
    yard, storing = stores(book, journal, definitions)
    border, crossing = gate(book, journal, statements.farm, definitions)
    reviewed = review(book, statements.zones, journal, definitions)
    trials, trying = strips(book, definitions)
    reach = ranges(statements.zones, journal, needs, _ends(book, journal, needs, definitions))
    everything = [*found, *posted, *wanting, *remarks, *planning, *reviewed, *storing, *crossing]
    everything += trying
    return Results(
        book=book,
        findings=findings.in_order(everything, sheet_names),
        journal=journal,
        statements=statements.zones,
        fields=statements.fields,
        farm=statements.farm,
        custom=statements.custom,
        plan=with_ends(todo, reach, book, definitions),
        yard=yard,
        gate=border,
        trials=trials,
        ranges=reach,
    )


def _ends(book: Book, journal: Journal, needs: Needs, definitions: Definitions) -> NeedEnds:
    """Needs with every figure at its low and its high end, and what is to go of them."""
    known = {end: at_end(definitions, end) for end in ENDS}
    supply = {end: supply_at_end(journal, needs, end) for end in ENDS}
    turned = {"low": supply["high"], "high": supply["low"]}
    told = {end: need(book, supply[end], known[end])[0] for end in ENDS}
    if not any(one.outright for one in needs.values()):
        return NeedEnds(needs=told)
    return NeedEnds(needs=told, left={end: need(book, turned[end], known[end])[0] for end in ENDS})


def under_each_set(content: bytes, definitions: Definitions) -> dict[str, Results]:
    """The results of one workbook under every manure credit set; raises ``read.Unreadable``."""
    reading, found = read(content, definitions)
    book, checked = check(reading, definitions)
    return {
        name: settle(_with_set(book, name), [*found, *checked], reading.names, definitions)
        for name in definitions.manure_sets
    }


def _with_set(book: Book, name: str) -> Book:
    farm = replace(book.farm, values={**book.farm.values, "manure_set": name})
    return replace(book, farm=farm, entries={**book.entries, "farm": [farm]})


def for_period(results: Results, period: Period, definitions: Definitions) -> Results:
    """The results of the work and harvest of some days; the crop year's are as they were.

    Need is that of the whole crop year: what was wanted does not hang on the days asked for.
    """
    if period.name == CROP_YEAR:
        return results
    definitions, _ = with_own_figures(definitions, results.book.own_figures)
    book = book_within(results.book, period, definitions)
    journal = journal_within(results.journal, book)
    needs, _ = need(results.book, results.journal, definitions)
    ends = _ends(results.book, results.journal, needs, definitions)
    statements, _ = balance(book, journal, needs, definitions, doubtful=results.farm.incomplete)
    return replace(
        results,
        book=book,
        journal=journal,
        statements=statements.zones,
        fields=statements.fields,
        farm=statements.farm,
        custom=statements.custom,
        ranges=ranges(statements.zones, journal, needs, ends),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadySheets:
    """The result sheets of a run, ready to be put into its workbook.

    ``places`` are the worksheets of the workbook that they replace, None for a new one.
    """

    sheets: list[ResultSheet]
    places: Mapping[str, str | None]
    system: System
    footer: str


@at_rest()
def ready_sheets(done: Run, definitions: Definitions) -> ReadySheets:
    """The result sheets of a run, which is not needed any more to put them into its workbook."""
    sheets = report.result_sheets(done.results, definitions)
    book = done.results.book
    return ReadySheets(
        sheets=sheets,
        places={sheet.name: done.reading.result_sheets.get(sheet.id) for sheet in sheets},
        system=book.system,
        footer=f"{book.farm.text('farm_name')} {book.year}",
    )


@at_rest()
def put_sheets(content: bytes, results: ReadySheets, definitions: Definitions) -> bytes:
    """The workbook with its result sheets replaced, every other part as it was.

    The sheets are used up: each goes when it is written.
    """
    sheets = _one_by_one(results.sheets)
    with report.result_package(sheets, results.system, definitions, results.footer) as package:
        after = graft(content, package.content, results.places, package.apart)
    verify(content, after, [name for name in results.places.values() if name])
    return after


def with_results(content: bytes, done: Run, definitions: Definitions) -> bytes:
    """The workbook of a run with its result sheets replaced."""
    return put_sheets(content, ready_sheets(done, definitions), definitions)


def _one_by_one(sheets: list[ResultSheet]) -> Iterator[ResultSheet]:
    """The sheets, each gone when it is written (measured: 30 MB less at 100,000 lines)."""
    while sheets:
        yield sheets.pop(0)


def blank(
    definitions: Definitions,
    *,
    year: int,
    system: System,
    entries: Mapping[str, Sequence[Mapping[str, object]]],
    own: Mapping[str, object] = MappingProxyType({}),
) -> bytes:
    """A new workbook, pre-filled with entries, its result sheets there and empty.

    ``own`` are figures of the person's own by the key of the published one.
    """
    from ledger.build import new_workbook

    def add_results(workbook: Any, look: Any) -> None:
        sheets = report.result_sheets(_nothing(definitions, system), definitions)
        report.add_result_sheets(workbook, look, sheets, system, definitions, str(year))

    return new_workbook(
        definitions, year=year, system=system, entries=entries, own=own, results=add_results
    )


def with_years(done: Run, others: Sequence[Results], definitions: Definitions) -> Run:
    """The run with other years' results beside its own; raises ``years.SameYear``."""
    return replace(done, results=beside(done.results, others, definitions))


def beside(own: Results, others: Sequence[Results], definitions: Definitions) -> Results:
    """Results with other years' beside their own; raises ``years.SameYear``."""
    from ledger.years import years

    return replace(own, years=years([own, *others], definitions))


def next_year(results: Results, definitions: Definitions) -> tuple[bytes, Carried]:
    """The workbook of the next crop year, and what was carried into it."""
    from ledger.carry import carry

    carried = carry(results, definitions)
    system = results.book.system
    own = {figure.key: figure.value for figure in results.book.own_figures}
    content = blank(definitions, year=carried.year, system=system, entries=carried.entries, own=own)
    return content, carried


def _nothing(definitions: Definitions, system: System) -> Results:
    """The results of an empty book: what the result sheets of a new workbook show."""
    grid = Grid(sheet_id="farm", sheet_name="Farm", letters={}, pair_rows={})
    farm = Entry(row=Row(grid=grid, number=1, cells={}), values={})
    book = Book(system=system, farm=farm, entries={"farm": []}, zones={})
    return settle(book, [], [], definitions)
