"""Work done: every line that put manure or fertilizer on, with its material and nutrients."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from math import fsum
from typing import Any

from ledger.ground import covered_area, shares
from ledger.model import Book, Definitions, Entry, Journal, Results, Sheet
from ledger.report.amounts import amount_of

KINDS = ("manure", "product")


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One applied line: what, how much (base units, None = unknown), where, for whom.

    ``amount`` is the material of the whole line in ``base`` (kg or L), ``area`` what it
    covers [ha], ``nutrients`` the total of each put on [kg].
    """

    entry: Entry
    kind: str
    name: str
    material: Entry | None
    custom: bool
    area: float
    amount: float | None
    base: str
    nutrients: Mapping[str, float | None]

    @property
    def field(self) -> str:
        """The field it was put on."""
        return self.entry.text("field")


def works(results: Results, definitions: Definitions) -> list[Work]:
    """All applied lines by day; planned ones are not work, faulty ones say so themselves."""
    applied = _applied(results.journal, definitions)
    found = [
        _work(entry, sheet, applied, results.book, definitions)
        for sheet in _sheets(definitions)
        for entry in results.book.entries.get(sheet.id, ())
        if entry.text("status") != "planned"
    ]
    return sorted(found, key=lambda work: work.entry.day("date") or date.min)


def _sheets(definitions: Definitions) -> Iterator[Sheet]:
    for sheet in definitions.sheets.values():
        if sheet.posting and sheet.posting["kind"] in KINDS:
            yield sheet


def _work(
    entry: Entry,
    sheet: Sheet,
    applied: Mapping[tuple[int, str], float | None],
    book: Book,
    definitions: Definitions,
) -> Work:
    posting: Mapping[str, Any] = sheet.posting or {}
    name = entry.text(posting["material"])
    material = _material(name, sheet.by_id[posting["material"]].lookup, book)
    parts = shares(entry, book)
    area = covered_area(parts)
    form = material.text("form") if material else ""
    amount, base = amount_of(entry, form, area, book, definitions)
    return Work(
        entry=entry,
        kind=posting["kind"],
        name=name,
        material=material,
        custom=any(part.zone.custom for part in parts),
        area=area,
        amount=amount,
        base=base,
        nutrients={
            n: None if entry.faulty else applied.get((id(entry), n), 0.0)
            for n in definitions.nutrients
        },
    )


def _material(name: str, lookup: Any, book: Book) -> Entry | None:
    return book.named(lookup.sheet, lookup.column).get(name)


def _applied(journal: Journal, definitions: Definitions) -> dict[tuple[int, str], float | None]:
    """Mass put on by line and nutrient [kg]; None where a gap says that it is unknown."""
    sources = {sheet.posting["from"] for sheet in _sheets(definitions) if sheet.posting}
    parts: dict[tuple[int, str], list[float]] = {}
    for posting in journal.postings:
        if posting.account.root in sources and posting.mass < 0:
            key = (id(posting.entry), posting.nutrient)
            parts.setdefault(key, []).append(-posting.mass)
    sums: dict[tuple[int, str], float | None] = {key: fsum(some) for key, some in parts.items()}
    for gap in journal.gaps:
        if gap.unknown and {"manure", "fertilizer"} & set(gap.figures):
            sums[id(gap.entry), gap.nutrient] = None
    return sums


def total_of(values: Iterator[float | None] | list[float | None]) -> float | None:
    """A sum that is unknown when a part of it is."""
    known = list(values)
    return None if any(v is None for v in known) else fsum(v for v in known if v is not None)
