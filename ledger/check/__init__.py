"""Check rows: type every cell, hold it against the row schema, look names up, apply rules.

A stage: ``check(reading, definitions) -> (Book, findings)``. A row with an error becomes a
faulty entry: it stays in the book, so that statements know what they miss, and posts nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ledger import findings
from ledger.check.consequences import with_consequences
from ledger.check.names import Directory
from ledger.check.rows import RowChecker
from ledger.check.rules import apply_rules
from ledger.check.samples import pooled
from ledger.check.unseen import unseen
from ledger.check.zones import zones_by_field
from ledger.model import Book, Definitions, Entry, Finding, Grid, Reading, Row

__all__ = ["check"]


def check(reading: Reading, definitions: Definitions) -> tuple[Book, list[Finding]]:
    """Turn the rows of a reading into a checked book and the findings about them."""
    directory = Directory(reading.rows, definitions)
    checker = RowChecker(definitions, directory, reading.system)
    farm_rows = reading.rows.get("farm") or [_blank_farm(reading.grids["farm"])]
    farm, found = checker.entry(definitions.sheets["farm"], farm_rows[0])
    farm, units_found = _check_units(farm, reading, definitions)
    found += units_found
    checker.set_year(farm)
    entries: dict[str, Sequence[Entry]] = {"farm": [farm]}
    for name, sheet in definitions.sheets.items():
        if name == "farm":
            continue
        checked = [checker.entry(sheet, row) for row in reading.rows.get(name, ())]
        entries[name] = [entry for entry, _ in checked]
        found += [item for _, items in checked for item in items]
    entries, rule_findings = apply_rules(entries, definitions, reading.system)
    entries, sample_findings = pooled(entries, definitions)
    book = Book(
        system=reading.system,
        farm=farm,
        entries=entries,
        zones=zones_by_field(entries),
        own_figures=reading.own_figures,
    )
    missed = unseen(entries, definitions, reading.system)
    everything = [*found, *rule_findings, *sample_findings, *missed]
    return book, with_consequences(everything, entries, definitions)


def _blank_farm(grid: Grid) -> Row:
    return Row(grid=grid, number=1, cells={})


def _check_units(
    farm: Entry, reading: Reading, definitions: Definitions
) -> tuple[Entry, list[Finding]]:
    """The headings carry the units: a farm sheet that says otherwise would be misread."""
    said = farm.text("units")
    if said in ("", reading.system):
        return farm, []
    words = {"read": said, "expected": reading.system}
    found = findings.finding(definitions, "units-changed", farm.row, "units", **words)
    values: Mapping[str, object] = {**farm.values, "units": reading.system}
    return Entry(row=farm.row, values=values, faulty=True), [found]  # type: ignore[arg-type]
