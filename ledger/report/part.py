"""The part of a ledger that is about one person's ground, and nothing else.

Everything a copy for somebody else is made from goes through here first, so that what is
not theirs is not at hand when the copy is written. New sheets and new results stay out
until they are named here.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from string import ascii_uppercase

from ledger.layout import fold
from ledger.model import (
    FIGURES,
    Book,
    Definitions,
    Entry,
    Journal,
    Plan,
    Results,
    Total,
)
from ledger.reach import gathered
from ledger.report.work import total_of

# Sheets whose lines are about one field, and those whose lines they name.
ABOUT_A_FIELD = (
    "fields",
    "zones",
    "soil_tests",
    "crops",
    "manure_spread",
    "fertilizer",
    "harvest",
    "credits",
    "past_manure",
)
NAMED = {"manure_lots": ("manure_spread", "lot"), "products": ("fertilizer", "product")}
OF_THE_FARM = ("farm_name", "operator", "year", "units", "manure_set", "removal_set", "n_method")


def person_named(book: Book, name: str) -> Entry | None:
    """The line of the People sheet with this name, however it is spelled in case and spaces."""
    people = {fold(entry.text("name")): entry for entry in book.entries.get("people", ())}
    return people.get(fold(name))


def fields_of(book: Book, name: str) -> list[str]:
    """The fields that a person owns."""
    return [e.text("field") for e in book.entries.get("fields", ()) if e.text("owner") == name]


def part_of(results: Results, name: str, definitions: Definitions) -> Results:
    """The results of one person's fields alone; a line with an error is not among them."""
    book = results.book
    owned = frozenset(fields_of(book, name))
    part = _book(book, name, owned, definitions)
    fields = [total for total in results.fields if total.name in owned]
    custom = {zone.field for zones in part.zones.values() for zone in zones if zone.custom}
    return Results(
        book=part,
        findings=[],
        journal=_journal(results.journal, owned),
        statements=[s for s in results.statements if s.zone.field in owned],
        fields=fields,
        farm=rolled_up(name, [t for t in fields if t.name not in custom], definitions),
        custom=rolled_up(name, [t for t in fields if t.name in custom], definitions),
        plan=Plan(lines=[], order=None, prices=[], missing=[]),
        ranges=gathered([i for i in results.ranges.zones if i.zone.field in owned]),
    )


def _row(cell: str) -> int:
    return int(cell.lstrip(ascii_uppercase) or 0)


def left_out(results: Results, name: str) -> int:
    """How many lines about a person's ground have an error, and so are not in their copy.

    A line that waits for a choice still to be made has none; it counts for nothing anywhere.
    """
    book, owned = results.book, fields_of(results.book, name)
    blamed = {
        (found.sheet, _row(found.cell)) for found in results.findings if found.severity == "error"
    }
    lines = [e for sheet in ABOUT_A_FIELD for e in book.entries.get(sheet, ())]
    return sum(
        (e.row.grid.sheet_name, e.row.number) in blamed and e.text("field") in owned for e in lines
    )


def rolled_up(name: str, totals: Sequence[Total], definitions: Definitions) -> Total:
    """Totals added up: masses [kg]; what one of them does not know is unknown."""
    return Total(
        name=name,
        area=total_of([t.area for t in totals]) or 0.0,
        incomplete=any(t.incomplete for t in totals),
        figures={
            nutrient: {f: total_of([t.figures[nutrient][f] for t in totals]) for f in FIGURES}
            for nutrient in definitions.nutrients
        },
    )


def _book(book: Book, name: str, owned: Collection[str], definitions: Definitions) -> Book:
    entries: dict[str, Sequence[Entry]] = {
        sheet: _sound(book, sheet, owned) for sheet in ABOUT_A_FIELD
    }
    people = [e for e in book.entries.get("people", ()) if e.text("name") == name]
    hidden = {"supplier", "store"}
    if not any(person.number("cost_share_pct") for person in people):
        hidden |= {"price", "price_per"}
    for sheet, (user, column) in NAMED.items():
        named = {entry.text(column) for entry in entries[user]}
        known = [e for e in book.entries.get(sheet, ()) if e.text(column) in named]
        entries[sheet] = [_without(entry, hidden) for entry in known]
    lots = {lot.text("lot") for lot in entries["manure_lots"]}
    slips = book.entries.get("manure_samples", ())
    entries["manure_samples"] = [
        _without(e, hidden) for e in slips if e.text("lot") in lots and not e.faulty
    ]
    entries["people"] = people
    entries["lease_items"] = [
        entry
        for entry in book.entries.get("lease_items", ())
        if entry.text("person") == name and entry.text("field") in {"", *owned} and not entry.faulty
    ]
    farm = _farm(book.farm, definitions)
    zones = {field: zones for field, zones in book.zones.items() if field in owned}
    return Book(
        system=book.system,
        farm=farm,
        entries={**entries, "farm": [farm]},
        zones=zones,
        own_figures=book.own_figures,
    )


def _sound(book: Book, sheet: str, owned: Collection[str]) -> list[Entry]:
    return [
        entry
        for entry in book.entries.get(sheet, ())
        if entry.text("field") in owned and not entry.faulty and entry.text("status") != "planned"
    ]


def _without(entry: Entry, hidden: Collection[str]) -> Entry:
    """A lot or product without who brought it and, where no cost is shared, what was paid."""
    kept = {column: value for column, value in entry.values.items() if column not in hidden}
    return replace(entry, row=replace(entry.row, cells={}), values=kept)


def _farm(farm: Entry, definitions: Definitions) -> Entry:
    """The Farm sheet's sender and prices: neither its rig nor its limits nor its raw cells."""
    prices = [n.columns["price"] for n in definitions.nutrients.values() if "price" in n.columns]
    kept = {key: value for key, value in farm.values.items() if key in (*OF_THE_FARM, *prices)}
    return replace(farm, row=replace(farm.row, cells={}), values=kept)


def _journal(journal: Journal, owned: Collection[str]) -> Journal:
    return Journal(
        postings=journal.postings.where(lambda kind: kind.zone.field in owned),
        gaps=[gap for gap in journal.gaps if gap.zone.field in owned],
    )
