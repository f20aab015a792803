"""Balance: sum postings into statements for every zone, field and the farm.

A stage: ``balance(book, journal, needs, definitions) -> (Statements, findings)``. Sums are
made with ``math.fsum``, so that neither the order of rows nor of sheets changes a digit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import fsum
from operator import mul
from typing import Any

from ledger import findings
from ledger.balance.figures import PRIMARY, complete, place_of, total_of
from ledger.ground import crop_entry, crop_of, label, shares
from ledger.layout import fold
from ledger.model import (
    FIGURES,
    TO_GO,
    Book,
    Definitions,
    Finding,
    Journal,
    Need,
    Statement,
    Total,
    Zone,
)

__all__ = ["Statements", "balance"]

Needs = Mapping[tuple[str, str], Need]
Sums = Mapping[tuple[str, str, str, str], float]


@dataclass(frozen=True, kw_only=True, eq=False)
class Statements:
    """Zones in workbook order, then rolled up; custom ground stays out of the farm."""

    zones: Sequence[Statement]
    fields: Sequence[Total]
    farm: Total
    custom: Total


def balance(
    book: Book,
    journal: Journal,
    needs: Needs,
    definitions: Definitions,
    *,
    doubtful: bool = False,
) -> tuple[Statements, list[Finding]]:
    """Statements of a book: zone figures per area [kg/ha], totals as mass [kg].

    ``needs`` gives the crop's need by (field, zone); what is not in it is unknown.
    ``doubtful`` says that something was wrong that no zone can be blamed for (a sheet missing,
    say): the farm's totals are then incomplete.
    """
    sums = _sums(journal)
    unknown = {
        (gap.zone.field, gap.zone.zone, gap.nutrient, figure)
        for gap in journal.gaps
        for figure in gap.figures
    }
    broken = {(gap.zone.field, gap.zone.zone) for gap in journal.gaps if not gap.unknown}
    broken |= _zones_in_doubt(book)
    zones = [zone for group in book.zones.values() for zone in group]
    statements = [
        Statement(
            zone=zone,
            crop=crop_of(book, zone),
            incomplete=(zone.field, zone.zone) in broken,
            figures={
                nutrient: _zone_figures(zone, nutrient, sums, unknown, needs)
                for nutrient in definitions.nutrients
            },
        )
        for zone in zones
    ]
    rolled = _rolled_up(book, statements, list(definitions.nutrients), doubtful)
    return rolled, _remarks(book, journal, statements, definitions)


def _sums(journal: Journal) -> Sums:
    """Mass of every primary figure [kg] by field, zone, nutrient and figure."""
    return {
        place: total_of(place[-1], masses)
        for place, masses in journal.postings.masses_by(place_of).items()
        if place[-1]
    }


def _zone_figures(
    zone: Zone,
    nutrient: str,
    sums: Sums,
    unknown: set[tuple[str, str, str, str]],
    needs: Needs,
) -> dict[str, float | None]:
    found: dict[str, float | None] = {}
    for figure in PRIMARY:
        key = (zone.field, zone.zone, nutrient, figure)
        found[figure] = None if key in unknown else sums.get(key, 0.0) / zone.area
    need = needs.get((zone.field, zone.zone))
    found["need"] = need.figures.get(nutrient) if need else None
    figures = complete(found)
    if need and nutrient in need.outright:
        figures["to_go"] = need.outright[nutrient]
    return figures


def _zones_in_doubt(book: Book) -> set[tuple[str, str]]:
    """Zones of fields whose own lines on the Fields or Zones sheet are at fault."""
    doubtful = {
        fold(entry.text("field"))
        for sheet in ("fields", "zones")
        for entry in book.entries.get(sheet, ())
        if entry.faulty
    }
    return {
        (zone.field, zone.zone)
        for name, group in book.zones.items()
        if fold(name) in doubtful
        for zone in group
    }


def _rolled_up(
    book: Book, statements: Sequence[Statement], nutrients: Sequence[str], doubtful: bool
) -> Statements:
    by_field: dict[str, list[Statement]] = {}
    for statement in statements:
        by_field.setdefault(statement.zone.field, []).append(statement)
    own = [s for s in statements if not s.zone.custom]
    hired = [s for s in statements if s.zone.custom]
    faulty = doubtful or any(entry.faulty for group in book.entries.values() for entry in group)
    name = book.farm.text("farm_name")
    return Statements(
        zones=statements,
        fields=[total(field, group, nutrients) for field, group in by_field.items()],
        farm=total(name, own, nutrients, incomplete=faulty),
        custom=total("Custom work", hired, nutrients),
    )


def total(
    name: str,
    statements: Sequence[Statement],
    nutrients: Sequence[str],
    incomplete: bool = False,
) -> Total:
    """Roll statements up: masses [kg]; a figure that one part does not know is unknown.

    What is to go is added up of zones that are short: one that is over makes up for no other.
    """
    areas = [s.zone.area for s in statements]
    return Total(
        name=name,
        area=fsum(areas),
        incomplete=incomplete or any(s.incomplete for s in statements),
        figures={
            nutrient: {
                figure: _mass(figure, [s.figures[nutrient][figure] for s in statements], areas)
                for figure in FIGURES
            }
            for nutrient in nutrients
        },
    )


def _mass(figure: str, values: Sequence[float | None], areas: Sequence[float]) -> float | None:
    """Figures of zones [kg/ha] as a mass of all of them [kg]; unknown when one of them is."""
    known = [value for value in values if value is not None]
    if len(known) < len(values):
        return None
    if figure == TO_GO:
        known = [max(0.0, value) for value in known]
    return fsum(map(mul, known, areas))


def _harvested(book: Book, definitions: Definitions) -> set[tuple[str, str]]:
    """Zones with a harvest line, be it of a failed crop or at fault."""
    postings = {name: sheet.posting or {} for name, sheet in definitions.sheets.items()}
    sheets = [name for name, rule in postings.items() if rule.get("stream") == "removal"]
    lines = [entry for name in sheets for entry in book.entries.get(name, ())]
    return {(s.zone.field, s.zone.zone) for entry in lines for s in shares(entry, book)}


def _remarks(
    book: Book, journal: Journal, statements: Sequence[Statement], definitions: Definitions
) -> list[Finding]:
    """Notes on zones that are fed without a crop, or planted and not yet harvested."""
    kinds = (kind for kind in journal.postings.kinds if kind.stream != "removal")
    fed = {(kind.zone.field, kind.zone.zone) for kind in kinds}
    cut = _harvested(book, definitions)
    found: dict[Any, Finding] = {}
    for statement in statements:
        zone = statement.zone
        key = (zone.field, zone.zone)
        entry = crop_entry(book, zone)
        if entry is None and key in fed:
            field = book.named("fields", "field")[zone.field]
            words = {"read": label(book, zone)}
            found[key] = findings.finding(definitions, "crop-missing", field.row, "field", **words)
        elif entry is not None and statement.crop and key not in cut:
            words = {"read": label(book, zone), "expected": statement.crop}
            found[key] = findings.finding(definitions, "no-harvest", entry.row, "crop", **words)
    return list(found.values())
