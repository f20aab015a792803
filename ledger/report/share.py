"""The copy for one landlord or customer: their ground, and nothing that tells of any other.

Everything here is made from ``part.part_of``: no total of the farm, no price of work done
elsewhere, no cell of the workbook, no finding is at hand when a copy is written.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ledger.model import Definitions, Results
from ledger.report.annual import NOT_ADVICE, work_pair
from ledger.report.field_balance import field_balance_sheet
from ledger.report.ground_tables import crops_table, fields_table, harvest_table, soil_table
from ledger.report.lease_tables import costs_table, lease_items_table, mined_table
from ledger.report.manure_tables import lots_tables
from ledger.report.money import charge_of
from ledger.report.period import CROP_YEAR, period_of
from ledger.report.sources import cautions_sheet
from ledger.report.spans import BESIDE, MARKED_ON_PAPER
from ledger.report.summary import LOCAL_FIRST, totals_table
from ledger.report.tables import Cell, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown
from ledger.report.work import Work, total_of, works
from ledger.report.years import trend_sheet

ONLY_YOURS = "Only your own ground is in this copy."
NOTHING_OWED = "The lease and your agreements say what is owed; this copy is an estimate."


def share_sheets(part: Results, left_out: int, definitions: Definitions) -> list[ResultSheet]:
    """The sheets of a person's copy, from their part of the results (``part.part_of``).

    ``left_out`` is the number of their lines with an error, which are not in it.
    """
    shown = Shown(definitions=definitions, system=part.book.system)
    work = works(part, definitions)
    sheets: list[ResultSheet] = []
    if part.farm.area:
        sheets += _landlord(part, [w for w in work if not w.custom], left_out, shown)
    if part.custom.area:
        sheets.append(_customer(part, [w for w in work if w.custom], left_out, shown))
    return [*sheets, cautions_sheet(part, definitions, [NOT_ADVICE], keeping=False)]


def _heading(part: Results, left_out: int) -> Iterator[str]:
    farm, people = part.book.farm, part.book.entries["people"]
    to = people[0]
    yield f"For {_joined(to.text('name'), to.text('contact'))}."
    sender = _joined(farm.text("farm_name"), farm.text("operator"))
    yield f"From {sender}. Crop year {part.book.year}."
    yield ONLY_YOURS
    if left_out or any(s.incomplete for s in part.statements):
        yield "INCOMPLETE: lines about this ground have errors and are not in the figures."
    yield f"{LOCAL_FIRST} {NOTHING_OWED}"


def _joined(*words: str) -> str:
    return ", ".join(filter(None, words))


def _landlord(
    part: Results, work: Sequence[Work], left_out: int, shown: Shown
) -> Iterator[ResultSheet]:
    last = period_of(CROP_YEAR, part.book.year, shown.definitions).last
    own = [s for s in part.statements if not s.zone.custom]
    title = f"All of your ground [{shown.label('mass')}]"
    front = [
        fields_table(part.book, shown),
        totals_table(title, part.farm, part.ranges, shown),
        mined_table(part, shown),
        costs_table(part, work, shown),
        lease_items_table(part.book, shown.definitions),
    ]
    words = [*_heading(part, left_out), BESIDE, MARKED_ON_PAPER]
    yield ResultSheet(id="your-ground", name="Your ground", words=words, tables=front)
    crops = [
        crops_table(part, own, shown),
        soil_table(part.book, last, shown),
        harvest_table(part, shown),
    ]
    sign = [MARKED_ON_PAPER]
    yield ResultSheet(id="crops-and-tests", name="Crops and tests", words=sign, tables=crops)
    if work:
        tables = [*work_pair(work, part, shown), *lots_tables(part.book, shown, origin=False)]
        yield ResultSheet(id="put-on", name="Manure and fertilizer", words=sign, tables=tables)
    yield field_balance_sheet(part, shown, where=MARKED_ON_PAPER)
    if part.years.years:
        yield trend_sheet(part.years, shown)


def _customer(part: Results, work: Sequence[Work], left_out: int, shown: Shown) -> ResultSheet:
    tables = [charges_table(work, shown), *work_pair(work, part, shown)]
    if any(item.kind == "manure" for item in work):
        tables += lots_tables(part.book, shown, origin=False)
    tables.append(_slip_table())
    words = [*_heading(part, left_out), MARKED_ON_PAPER]
    return ResultSheet(id="custom-work", name="Custom work", words=words, tables=tables)


def charges_table(work: Sequence[Work], shown: Shown) -> Table:
    """Custom work by line with its charge, and the sum of it."""
    area = shown.label("area")
    headings = [
        Heading(text="Date", format="date", width=11),
        Heading(text="Field", format="wrapped", width=18),
        Heading(text="Product", format="wrapped", width=20),
        Heading(text=f"Area [{area}]", width=10),
        Heading(text=f"Charge [$/{area}]", format="money", width=12),
        Heading(text="Charge [$]", format="money", width=14),
    ]
    lines = [_charge_line(item, shown) for item in work]
    total = total_of([charge_of(item) for item in work])
    covered = shown.value("area", total_of([item.area for item in work]))
    lines.append(Line(kind="total", cells=["Total", "", "", covered, "", total]))
    return Table(title="Statement of work", headings=headings, lines=lines)


def _charge_line(work: Work, shown: Shown) -> Line:
    cells: list[Cell] = [
        work.entry.day("date"),
        work.field,
        work.name,
        shown.value("area", work.area),
        shown.value("price of area", work.entry.number("charge")),
        charge_of(work),
    ]
    return Line(cells=cells)


def _slip_table() -> Table:
    """What rules for hired application often want beside the record, to fill in by pen."""
    headings = [
        Heading(text="To fill in by hand", format="wrapped", width=34),
        Heading(text="", format="text", width=40),
    ]
    items = (
        "Licence or certificate no.",
        "Start and end of each job",
        "Rig calibrated on",
        "Spills; setbacks kept",
        "Signature and date\n ",
    )
    return Table(title="", headings=headings, lines=[Line(cells=[item, ""]) for item in items])


def share_footer(part: Results) -> str:
    """The foot of every page: whose copy, of which year; an ampersand would be read as a code."""
    return f"{part.farm.name}, {part.book.year}".replace("&", "&&")
