"""What a zone's nitrogen supply is made of, and the lines to blame where it is not known."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import fsum

from ledger.model import Entry, Gap, Journal, Kind, Posting, Postings, Statement, Zone

STREAMS = {"residual": "earlier manure", "credits": "other credits", "manure": "manure"}
FIGURES = {"residual": "earlier manure", "credits": "other credits", "manure_credit": "manure"}


@dataclass(frozen=True, kw_only=True, eq=False)
class Lines:
    """Nitrogen postings into what crops can use, and gaps in them, by zone."""

    postings: Mapping[Zone, Postings]
    gaps: Mapping[Zone, Sequence[Gap]]

    def by_supply(self, zone: Zone) -> Mapping[str, Postings]:
        """The postings of a zone by the supply they count to."""
        own = self.postings.get(zone)
        return own.divided(supply_of) if own else {}


def nitrogen_lines(journal: Journal) -> Lines:
    """Sort a journal's nitrogen supplies by zone, once for all that is asked of them."""
    postings = journal.postings.where(_supplies).grouped(lambda kind: kind.zone)
    gaps: dict[Zone, list[Gap]] = {}
    for gap in journal.gaps:
        if gap.nutrient == "N" and gap.figures != ("removal",):
            gaps.setdefault(gap.zone, []).append(gap)
    return Lines(postings=postings, gaps=gaps)


def _supplies(kind: Kind) -> bool:
    into = kind.account.root == "field" and kind.account.path[-1] == "available"
    return kind.nutrient == "N" and into and kind.stream != "removal"


def supplies_by_pass(
    statement: Statement, supplies: Mapping[str, Postings]
) -> dict[str, float | None]:
    """Nitrogen supply of a zone by source and fertilizer pass [kg/ha]; None unknown."""
    figures = statement.figures["N"]
    zone = statement.zone
    unknown = figures["fertilizer"] is None
    passes: dict[str, float | None] = {
        name: None if unknown else fsum(own.masses) / zone.area
        for name, own in supplies.items()
        if name not in STREAMS.values()
    }
    if unknown and not passes:
        passes["other"] = None
    return {
        "earlier manure": figures["residual"],
        "other credits": figures["credits"],
        "manure": figures["manure_credit"],
        **passes,
    }


def supply_of(kind: Kind | Posting, entry: Entry) -> str:
    """The supply a posting counts to: its source, or for fertilizer its pass."""
    return STREAMS.get(kind.stream) or entry.text("pass") or "other"


def planned_supply(zone: Zone, coming: Lines) -> float | None:
    """What planned lines would give a zone the crop can use [kg/ha]; None unknown."""
    if coming.gaps.get(zone):
        return None
    planned = coming.postings.get(zone)
    return (fsum(planned.masses) if planned else 0.0) / zone.area


def line_names(entries: Iterable[Entry]) -> str:
    """Lines of the workbook by sheet and row number, each once."""
    names = (f"{entry.row.grid.sheet_name} {entry.row.number}" for entry in entries)
    return ", ".join(dict.fromkeys(names))


def unknown_supplies(statement: Statement, lines: Lines) -> list[str]:
    """The supplies of a zone that are unknown, each with the lines to blame."""
    by_supply: dict[str, list[Entry]] = {}
    for gap in lines.gaps.get(statement.zone, ()):
        for figure in gap.figures if gap.unknown else ():
            if figure in ("residual", "credits", "manure_credit", "fertilizer"):
                by_supply.setdefault(FIGURES.get(figure, figure), []).append(gap.entry)
    return [f"{name} ({line_names(entries)})" for name, entries in by_supply.items()]


def faulty_lines(statement: Statement, lines: Lines) -> str:
    """The lines with errors that a zone's figures miss."""
    return line_names(g.entry for g in lines.gaps.get(statement.zone, ()) if not g.unknown)
