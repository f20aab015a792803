"""How things are told: postings and factors in sentences, numbers in the person's units."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from ledger.layout import heading
from ledger.model import Definitions, Entry, Factor, Posting, System
from ledger.report.units import Shown

MOST_POSTINGS = 200  # lines; a farm total of many loads is told in its largest parts


class NothingThere(Exception):
    """There is nothing to explain at the address that was given."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """A cell explained: where, what it says, how it follows, from which postings or other
    lines of the workbook, and whose figures.
    """

    where: str
    value: str
    how: Sequence[str] = field(default_factory=tuple)
    postings: Sequence[str] = field(default_factory=tuple)
    entries: Sequence[str] = field(default_factory=tuple)
    sources: Sequence[str] = field(default_factory=tuple)

    def lines(self) -> list[str]:
        """The explanation as lines for a terminal."""
        told = [f"{self.where}: {self.value}", *(f"  {line}" for line in self.how)]
        if self.postings:
            told += ["Postings:", *(f"  {line}" for line in self.postings)]
        if self.entries:
            told += ["Lines of the workbook:", *(f"  {line}" for line in self.entries)]
        if self.sources:
            told += ["Figures and where they come from:", *(f"  {line}" for line in self.sources)]
        return told


def number(value: float | None, unit: str = "") -> str:
    """A number as it is told: seven digits and its unit; None is unknown."""
    return "unknown" if value is None else f"{value:.7g} {unit}".strip()


def posting_line(posting: Posting, shown: Shown) -> str:
    """One posting: when, from which line, how much of what, into which account."""
    row = posting.entry.row
    mass = number(shown.value("mass", posting.mass), shown.label("mass"))
    day = f"{posting.date} " if posting.date else ""
    place = ", ".join(filter(None, (posting.zone.field, posting.zone.zone)))
    line = f"{day}{row.grid.sheet_name} row {row.number}"
    where = f" ({place})" if place else ""
    return f"{line}: {mass} {posting.nutrient} -> {posting.account}{where}"


def told_postings(postings: Sequence[Posting], shown: Shown) -> list[str]:
    """Posting lines, the largest first where there are very many."""
    if len(postings) <= MOST_POSTINGS:
        return [posting_line(posting, shown) for posting in postings]
    largest = sorted(postings, key=lambda p: -abs(p.mass))[:MOST_POSTINGS]
    rest = len(postings) - MOST_POSTINGS
    return [*(posting_line(p, shown) for p in largest), f"and {rest} smaller ones"]


def factor_line(factor: Factor, shown: Shown) -> str:
    """One factor: name, value, range where the source gives one, unit, cell or citation."""
    value, unit = shown.factor(factor)
    ends = shown.ends(factor)
    span = "" if ends is None else f" ({ends[0]:.6g} to {ends[1]:.6g})"
    return f"{factor.name}: {number(value)}{span} {unit} - {factor.origin}"


def told_factors(postings: Iterable[Posting], shown: Shown) -> list[str]:
    """Every factor of some postings, each once."""
    seen = list(dict.fromkeys(factor for posting in postings for factor in posting.factors))
    rest = len(seen) - MOST_POSTINGS
    more = [f"and {rest} more"] if rest > 0 else []
    return [*(factor_line(factor, shown) for factor in seen[:MOST_POSTINGS]), *more]


def typed_cell(entry: Entry, column: str, system: System, definitions: Definitions) -> str:
    """A typed cell by its heading: what stands there as typed, in the unit of the heading."""
    sheet = definitions.sheets[entry.row.grid.sheet_id]
    title = heading(sheet.by_id[column], system, definitions).replace("*", "")
    said = entry.row.cells.get(column)
    if said is None:
        shown = "blank"
    elif isinstance(said, float):
        shown = number(said)
    else:
        shown = str(said.date() if isinstance(said, datetime) else said)
    return f"{title} = {shown} ({entry.row.grid.sheet_name}!{entry.row.address(column)})"
