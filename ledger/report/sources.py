"""Where the figures of a report come from, what to mind, and how long to keep it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from ledger.ground import crop_entry, nitrogen_method
from ledger.model import Definitions, ManureSet, RemovalSet, Results
from ledger.report.tables import Heading, Line, ResultSheet, Table

# A factor that was typed names its cell; a published one names its publication.
OWN = "your own figure"
OWN_WORDS = "The farm's own figure, put in the place of a published one."
_CELL = re.compile(r"![A-Z]{1,3}\d+$")


def published(results: Results, definitions: Definitions) -> list[tuple[str, str]]:
    """(what a figure is about, its publication), each publication once a figure."""
    found: dict[tuple[str, str], None] = {}
    for posting in results.journal.postings:
        for factor in posting.factors:
            if factor.origin.startswith(OWN):
                found.setdefault((factor.name, OWN_WORDS))
            elif not _CELL.search(factor.origin):
                found.setdefault((factor.name, factor.origin))
    for statement in results.statements:
        entry = crop_entry(results.book, statement.zone)
        if entry is not None:
            method = nitrogen_method(results.book, entry, definitions)
            found.setdefault((f"N wanted: {method.id}", method.source.citation()))
    return sorted(found)


def sources_table(results: Results, definitions: Definitions) -> Table:
    """The publications behind the figures; what a figure was typed for is not among them."""
    headings = [
        Heading(text="Publication", format="wrapped", width=92),
        Heading(text="Figures", format="wrapped", width=44),
    ]
    by_publication: dict[str, list[str]] = {}
    for name, publication in published(results, definitions):
        by_publication.setdefault(publication, []).append(name)
    lines = [Line(cells=[text, ", ".join(names)]) for text, names in by_publication.items()]
    note = "Everything else was typed into the workbook or follows from it."
    return Table(title="Where the figures come from", headings=headings, lines=lines, note=note)


def cautions_sheet(
    results: Results, definitions: Definitions, extra: Sequence[str] = (), *, keeping: bool = True
) -> ResultSheet:
    """The last sheet of every paper: sets in force, cautions, publications; how long to keep."""
    farm = results.book.farm
    manure, removal = farm.text("manure_set"), farm.text("removal_set")
    sets = [
        f"Manure credited by {manure}: {_title(definitions.manure_sets, manure)}.",
        f"Removal by {removal}: {_title(definitions.removal_sets, removal)}.",
    ]
    words = [*extra, *sets, "", *definitions.settings["cautions"]]
    if keeping:
        words += ["", *definitions.settings["retention"]]
    return ResultSheet(
        id="cautions-and-sources",
        name="Cautions and sources",
        words=words,
        tables=[sources_table(results, definitions)],
    )


def _title(sets: Mapping[str, ManureSet | RemovalSet], name: str) -> str:
    return sets[name].title if name in sets else "not a set of the ledger"
