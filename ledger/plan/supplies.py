"""What a zone's nitrogen supply is made of, and the lines every figure of the plan came from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import fsum

from ledger.model import Entry, Factor, Gap, Journal, Kind, Need, Posting, Statement, Zone
from ledger.reach import is_ranged, reach

STREAMS = {"residual": "earlier manure", "credits": "other credits", "manure": "manure"}
FIGURES = {"residual": "earlier manure", "credits": "other credits", "manure_credit": "manure"}


@dataclass(frozen=True, kw_only=True, eq=False)
class Lines:
    """Nitrogen postings into what crops can use, and gaps in them, by zone."""

    postings: Mapping[Zone, Sequence[Posting]]
    gaps: Mapping[Zone, Sequence[Gap]]


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


def supplies_by_pass(statement: Statement, lines: Lines) -> dict[str, float | None]:
    """Nitrogen supply of a zone by source and fertilizer pass [kg/ha]; None unknown."""
    figures = statement.figures["N"]
    zone = statement.zone
    by_pass: dict[str, list[float]] = {}
    for posting in lines.postings.get(zone, ()):
        if posting.stream == "fertilizer":
            by_pass.setdefault(supply_of(posting), []).append(posting.mass)
    unknown = figures["fertilizer"] is None
    passes: dict[str, float | None] = {
        name: None if unknown else fsum(masses) / zone.area for name, masses in by_pass.items()
    }
    if unknown and not passes:
        passes["other"] = None
    return {
        "earlier manure": figures["residual"],
        "other credits": figures["credits"],
        "manure": figures["manure_credit"],
        **passes,
    }


def supply_of(posting: Posting) -> str:
    """The supply a posting counts to: its source, or for fertilizer its pass."""
    return STREAMS.get(posting.stream) or posting.entry.text("pass") or "other"


def planned_supply(zone: Zone, coming: Lines) -> float | None:
    """What planned lines would give a zone the crop can use [kg/ha]; None unknown."""
    if coming.gaps.get(zone):
        return None
    return fsum(posting.mass for posting in coming.postings.get(zone, ())) / zone.area


def reasons(
    zone: Zone, need: Need | None, lines: Lines, coming: Lines
) -> dict[str, tuple[Factor, ...]]:
    """What every figure of a zone was reckoned from: cells, lines and publications."""
    found = {"need": need.reasons} if need and need.reasons else {}
    by_supply: dict[str, list[Posting]] = {}
    for posting in lines.postings.get(zone, ()):
        by_supply.setdefault(supply_of(posting), []).append(posting)
    found |= {name: _told(postings, zone) for name, postings in by_supply.items()}
    if need:
        found |= {f"{n} need": told for n, told in need.mineral_reasons.items()}
    if planned := coming.postings.get(zone):
        found["planned"] = _told(planned, zone)
    return found


def _told(postings: Iterable[Posting], zone: Zone) -> tuple[Factor, ...]:
    """A line of the workbook with what it gave [kg/ha], and the publications behind it."""
    lines: list[Factor] = []
    published: dict[Factor, None] = {}
    for posting in postings:
        place = f"{posting.entry.row.grid.sheet_name}!{posting.entry.row.address('field')}"
        per_area = posting.mass / zone.area
        ends = _ends(posting, per_area)
        lines.append(Factor(name="line", value=per_area, unit="kg/ha", origin=place, **ends))
        cited = (f for f in posting.factors if f.published)
        published |= dict.fromkeys(cited)
    return (*lines, *published)


def _ends(posting: Posting, used: float) -> dict[str, float]:
    """What a line gave with its figures at their low and high ends; nothing for a point."""
    return (
        {e: used * reach(posting.factors, e) for e in ("low", "high")} if is_ranged(posting) else {}
    )


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
