"""The annual nutrient report: a print-ready workbook for those who ask for the year's record."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ledger.model import Definitions, Results, Zone
from ledger.model.ranges import CUSTOM_WORK
from ledger.report.costs import costs_sheet
from ledger.report.field_balance import field_balance_sheet
from ledger.report.found import counted
from ledger.report.ground_tables import crops_table, fields_table, harvest_table, soil_table
from ledger.report.manure_tables import lots_tables, moves_table, spread_table
from ledger.report.missing import missing_table, not_covered
from ledger.report.period import CROP_YEAR, Period
from ledger.report.sources import cautions_sheet
from ledger.report.spans import BESIDE, MARKED_ON_PAPER
from ledger.report.summary import LOCAL_FIRST, totals_table
from ledger.report.tables import Cell, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown
from ledger.report.work import Work, works
from ledger.report.work_tables import applied_table, how_table

NOT_ADVICE = (
    "This report is no permit, no plan and no legal advice, and no office has approved its form. "
    "Compare it with the form of the office that asks for it."
)
SIGNED = (
    "I have looked through this report. To the best of my knowledge it is true and whole for the "
    "period stated, apart from the items listed as missing."
)


def annual_sheets(
    results: Results, period: Period, definitions: Definitions, *, money: bool = False
) -> list[ResultSheet]:
    """The sheets of the report, the one to sign first.

    ``results`` hold the work of ``period`` alone (``pipeline.for_period``); with ``money``
    a sheet of costs and values is added.
    """
    shown = Shown(definitions=definitions, system=results.book.system)
    work = works(results, definitions)
    sheets = [
        _front(results, work, period, shown),
        _fields(results, period, shown),
        _applications(results, work, shown),
        field_balance_sheet(results, shown, where=MARKED_ON_PAPER),
        _manure(results, work, shown),
    ]
    if results.custom.area:
        sheets.append(_for_others(results, work, shown))
    if money:
        sheets.append(costs_sheet(results, work, shown))
    unheld = "Often asked for and not held by this ledger: " + "; ".join(not_covered(definitions))
    return [*sheets, cautions_sheet(results, definitions, [NOT_ADVICE, unheld + "."])]


def _front(results: Results, work: Sequence[Work], period: Period, shown: Shown) -> ResultSheet:
    farm = results.book.farm
    words = [
        f"{farm.text('farm_name')}. Operator: {farm.text('operator') or 'not stated'}.",
        f"Period covered: {period.words()}.",
        *_period_words(period, results.book.year),
        f"Findings in the workbook: {counted(results.findings)}",
    ]
    if results.farm.incomplete:
        words.append("INCOMPLETE: lines with errors are missing from the figures; see Findings.")
    tables = [
        missing_table(results.book, shown.definitions),
        _areas_table(results, work, shown),
        totals_table(
            f"Own and rented ground, all of it [{shown.label('mass')}]",
            results.farm,
            results.ranges,
            shown,
        ),
        _sign_table(),
    ]
    words += [BESIDE, LOCAL_FIRST, NOT_ADVICE]
    return ResultSheet(id="annual-report", name="Annual report", words=words, tables=tables)


def _period_words(period: Period, year: int) -> Iterator[str]:
    if period.name != CROP_YEAR:
        yield (
            f"Work and harvest outside these days are left out. Work within them that was entered "
            f"for another crop than that of {year} stands in that year's workbook."
        )
        yield "Credits and earlier manure state no day and count as they stand in the workbook."


def _areas_table(results: Results, work: Sequence[Work], shown: Shown) -> Table:
    headings = [
        Heading(text="Ground", format="text", width=44),
        Heading(text=f"Area [{shown.label('area')}]", width=12),
        Heading(text="Fields", format="whole", width=8),
    ]
    lines = [_area_line(*group, shown) for group in _areas(results, work)]
    return Table(title="Area", headings=headings, lines=lines)


def _areas(results: Results, work: Sequence[Work]) -> Iterator[tuple[str, list[Zone]]]:
    """Ground by how it is held, then what of it got manure and what fertilizer."""
    zones = [s.zone for s in results.statements]
    own = [zone for zone in zones if not zone.custom]
    tenure = {e.text("field"): e.text("tenure") for e in results.book.entries.get("fields", ())}
    yield "Own and rented ground", own
    for held in dict.fromkeys(tenure[zone.field] for zone in own):
        yield f"    {held or 'not said how held'}", [z for z in own if tenure[z.field] == held]
    for kind, words in (("manure", "manure"), ("product", "fertilizer")):
        places = {(item.field, item.entry.text("zone")) for item in work if item.kind == kind}
        fed = [z for z in own if (z.field, z.zone) in places or (z.field, "") in places]
        yield f"    zones of it that got {words}", fed
    if results.custom.area:
        yield "Ground of others that was worked for them", [z for z in zones if z.custom]


def _area_line(words: str, zones: Sequence[Zone], shown: Shown) -> Line:
    area = sum(zone.area for zone in zones)
    return Line(cells=[words, shown.value("area", area), len({zone.field for zone in zones})])


def _sign_table() -> Table:
    """Lines to sign; the empty cells are for the pen."""
    headings = [
        Heading(text=SIGNED, format="wrapped", width=44),
        Heading(text="Name, certificate no.", format="text", width=30),
        Heading(text="Signature and date", format="text", width=42),
    ]
    who = ("Operator\n ", "Prepared by\n ", "Applicator or certified person\n ")
    lines = [Line(cells=[words, "", ""]) for words in who]
    return Table(title="To sign", headings=headings, lines=lines)


def _fields(results: Results, period: Period, shown: Shown) -> ResultSheet:
    own = [s for s in results.statements if not s.zone.custom]
    tables = [
        fields_table(results.book, shown),
        crops_table(results, own, shown),
        soil_table(results.book, period.last, shown),
        harvest_table(results, shown),
    ]
    words = ["What each field is, grew, was tested at and gave.", MARKED_ON_PAPER]
    return ResultSheet(id="fields-and-crops", name="Fields and crops", words=words, tables=tables)


def _applications(results: Results, work: Sequence[Work], shown: Shown) -> ResultSheet:
    own = [item for item in work if not item.custom]
    words = ["Every application on own and rented ground; the numbers join the tables."]
    words.append(MARKED_ON_PAPER)
    tables = list(work_pair(own, results, shown))
    return ResultSheet(id="applications", name="Applications", words=words, tables=tables)


def work_pair(work: Sequence[Work], results: Results, shown: Shown) -> Iterator[Table]:
    """What was put on and how, manure and fertilizer apart."""
    for kind, word in (("manure", "Manure"), ("product", "Fertilizer")):
        some = [item for item in work if item.kind == kind]
        if some:
            yield applied_table(some, results.book, shown, f"{word}: what was put on")
            yield how_table(some, results.book, shown, f"{word}: how and by whom")


def _manure(results: Results, work: Sequence[Work], shown: Shown) -> ResultSheet:
    tables = [
        *lots_tables(results.book, shown),
        moves_table(results.book, shown),
        spread_table(work, results.book, shown),
    ]
    words = ["Manure that was spread on the ground of others left this farm.", MARKED_ON_PAPER]
    return ResultSheet(id="manure", name="Manure", words=words, tables=tables)


def _for_others(results: Results, work: Sequence[Work], shown: Shown) -> ResultSheet:
    hired = [item for item in work if item.custom]
    title = f"Totals of ground worked for others [{shown.label('mass')}]"
    totals = totals_table(title, results.custom, results.ranges, shown, CUSTOM_WORK)
    tables = [*work_pair(hired, results, shown), totals]
    words = ["Ground of others: in no total of this farm. Each owner can get their own copy."]
    words.append(MARKED_ON_PAPER)
    return ResultSheet(id="custom-work", name="Custom work", words=words, tables=tables)


def footer(results: Results) -> str:
    """The line at the foot of every page; an ampersand would be read as a code."""
    farm: Cell = results.book.farm.text("farm_name")
    return f"{farm} {results.book.year}".replace("&", "&&")
