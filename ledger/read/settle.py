"""Decide from what the witnesses say where each column is: two of three must agree.

A person works by the heading they see. So a heading that names another column, or other
units, is never outvoted: the ledger asks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from ledger.model import Sheet, System
from ledger.read.witness import Claims

ENOUGH = 2  # of the three witnesses


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """A column that may be at a place, with what each witness says."""

    column: str
    place: int
    why: str


@dataclass(slots=True, kw_only=True)
class Settled:
    """Where the columns are; where else they seem to be; what must be asked."""

    places: dict[str, int] = field(default_factory=dict)
    twins: list[tuple[str, int]] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)


def settle(sheet: Sheet, claims: Claims, system: System) -> Settled:
    """Weigh the witnesses for every column of a sheet."""
    ballot = _Ballot(sheet, claims, system)
    settled = Settled()
    for column in sheet.by_id:
        places = ballot.candidates(column)
        strong = [place for place in places if ballot.agreed(column, place)]
        if strong:
            best = max(strong, key=lambda place: ballot.votes(column, place))
            settled.places[column] = best
            others = [place for place in places if place != best and ballot.seen(column, place)]
            settled.twins += [(column, place) for place in others]
        elif places:
            settled.doubts.append(ballot.doubt(column, places))
    return settled


class _Ballot:
    """The witnesses of one sheet, asked about a column and a place."""

    def __init__(self, sheet: Sheet, claims: Claims, system: System) -> None:
        self._sheet = sheet
        self._claims = claims
        self._system = system
        self._key_at = {at: column for column, all_ in claims.keys.items() for at in all_}

    def candidates(self, column: str) -> list[int]:
        """Places that a witness names, less those that visibly belong to another column."""
        headed = [at for at, said in self._claims.headings.items() if said.column == column]
        keyed = self._claims.keys.get(column, ())
        named = [self._claims.names[column]] if column in self._claims.names else []
        return [
            place
            for place in dict.fromkeys((*keyed, *headed, *named))
            if place in keyed or not self._taken(column, place)
        ]

    def _taken(self, column: str, place: int) -> bool:
        said = self._claims.headings.get(place)
        others = {self._key_at.get(place, column), said.column if said else column} - {column}
        return len(others) > 0

    def votes(self, column: str, place: int) -> int:
        """How many witnesses say that the column is at the place."""
        said = self._claims.headings.get(place)
        return (
            (place in self._claims.keys.get(column, ()))
            + (self._claims.names.get(column) == place)
            + (said is not None and said.column == column)
        )

    def seen(self, column: str, place: int) -> bool:
        """True when the cells at the place say so, not only a name that may lag behind."""
        return self.votes(column, place) > (self._claims.names.get(column) == place)

    def agreed(self, column: str, place: int) -> bool:
        """True when witnesses enough agree and the heading does not say otherwise."""
        said = self._claims.headings.get(place)
        fits = said is None or (said.column == column and self._system in said.systems)
        return fits and self.votes(column, place) >= ENOUGH

    def doubt(self, column: str, places: list[int]) -> Doubt:
        """The likeliest place of a column and what speaks for and against it."""
        place = max(places, key=lambda at: self.votes(column, at))
        return Doubt(column=column, place=place, why=", ".join(self._words(column, place)))

    def _words(self, column: str, place: int) -> Iterator[str]:
        title = self._sheet.by_id[column].title
        key, said = self._key_at.get(place), self._claims.headings.get(place)
        yield f"its hidden key says '{self._sheet.by_id[key].title}'" if key else "no hidden key"
        if said is None:
            yield "its heading is not one of the ledger's"
        elif self._system in said.systems:
            yield f"its heading says '{self._sheet.by_id[said.column].title}'"
        else:
            yield "its heading is in other units than the workbook"
        named = self._claims.names.get(column)
        where = "here" if named == place else "elsewhere" if named is not None else "nowhere"
        yield f"the workbook's name for '{title}' points {where}"
