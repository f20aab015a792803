"""Which postings cross the farm gate, and under which name."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain
from math import fsum
from operator import and_
from typing import Literal, TypeVar

from ledger.model import (
    Book,
    Definitions,
    Entry,
    GateLine,
    Journal,
    Kind,
    Masses,
    Posting,
    Postings,
    Zone,
)
from ledger.reach import any_ranged
from ledger.yard import kept_stores, origin

Direction = Literal["in", "out", "stock"]
Way = tuple[Direction, str]
Key = TypeVar("Key", bound=Hashable)

# The account outside the fields (or the farm) that a stream's masses are read from.
OUTSIDE: Mapping[str, str] = {
    "fertilizer": "dealer",
    "manure": "store",
    "removal": "harvest",
    "credits": "soil",
    "store": "gate",
    "gate": "gate",
}
ONE_ANSWER = ("manure", "fertilizer")  # streams whose kinds tell all that the gate asks of a line
ITEMS: Mapping[str, str] = {
    "feed": "Feed",
    "livestock": "Animals",
    "milk": "Milk",
    "crop": "Crops by ticket",
    "bedding": "Bedding",
    "other": "Other goods",
}
MOVES: Mapping[str, Way] = {
    "imported": ("in", "Manure brought into stores"),
    "exported": ("out", "Manure out of stores"),
}
OWN_ON_CUSTOM: Way = ("out", "Manure on custom ground")
DIRECTIONS: Mapping[str, Direction] = {"in": "in", "out": "out"}
ORDER: Sequence[Direction] = ("in", "out", "stock")
IRRIGATION = "irrigation nitrate"
WATER = "Irrigation water"
AIR = "Deposition from the air"


@dataclass(frozen=True, kw_only=True, eq=False)
class Gatekeeper:
    """Says of every entry whether and how it crosses the gate."""

    book: Book
    journal: Journal
    definitions: Definitions

    @cached_property
    def lots(self) -> Mapping[str, Entry]:
        """The manure lots by name."""
        return self.book.named("manure_lots", "lot")

    @cached_property
    def cases(self) -> Sequence[Postings]:
        """The postings that are not in a field, those of like kinds together.

        The others never cross the gate. Of one case are streams, roots, lots and custom ground
        alike, so that whatever hangs on these alone is asked once (measured: a third of the
        time that asking of every posting took).
        """
        outside = self.journal.postings.where(lambda kind: kind.account.root != "field")
        return list(outside.grouped(_what_is_asked).values())

    @cached_property
    def stores(self) -> Mapping[str, Entry]:
        """The stores that are kept, by folded name."""
        return kept_stores(self.book)

    def origin(self, lot: str) -> str:
        """Where a lot comes from: ``kept``, ``supplier`` or ``home``."""
        return origin(self.lots.get(lot), self.stores)

    def way(self, entry: Entry, stream: str, zone: Zone) -> Way | None:
        """Direction and name of what an entry moves through the gate; None for what stays."""
        return WAYS[stream](self, entry, zone) if stream in WAYS else None


def _what_is_asked(kind: Kind) -> tuple[str, str, str, str, bool]:
    lot = kind.account.path[0] if kind.account.root == "store" else ""
    return (kind.nutrient, kind.stream, kind.account.root, lot, kind.zone.custom)


def _by_key(
    keeper: Gatekeeper, of_kind: Callable[[Kind, Entry], Key | None]
) -> list[tuple[Key, str, Postings]]:
    """Postings by key and nutrient, in the order of their first; without what has no key."""
    found: list[tuple[Key, str, Postings]] = []
    for case in keeper.cases:
        kind, entry, _ = next(iter(case.moves))
        parts = {of_kind(kind, entry): case} if kind.stream in ONE_ANSWER else case.divided(of_kind)
        found += [(key, kind.nutrient, own) for key, own in parts.items() if key is not None]
    return sorted(found, key=lambda one: one[2].places[0])


def grouped(
    keeper: Gatekeeper,
    of_kind: Callable[[Kind, Entry], Key | None],
    of_gap: Callable[[Entry, str, Zone], Iterable[Key]],
) -> dict[Key, Masses]:
    """Sums of postings by a key [kg]; unknown where a gap belongs to the key.

    ``of_gap`` is asked about the streams that a gap's figures stand for.
    """
    found: dict[Key, dict[str, list[Postings]]] = {}
    for key, nutrient, own in _by_key(keeper, of_kind):
        found.setdefault(key, {}).setdefault(nutrient, []).append(own)
    unknown = {  # in the order of the gaps, which a set would not keep
        (key, gap.nutrient): None
        for gap in keeper.journal.gaps
        for figure in gap.figures
        if gap.unknown and figure in OUTSIDE
        for key in of_gap(gap.entry, figure, gap.zone)
    }
    nutrients = list(keeper.definitions.nutrients)
    return {
        key: {
            n: None if (key, n) in unknown else _sum(found.get(key, {}).get(n, ()))
            for n in nutrients
        }
        for key in dict.fromkeys([*found, *(key for key, _ in unknown)])
    }


def _sum(postings: Iterable[Postings]) -> float:
    return fsum(chain.from_iterable(own.masses for own in postings))


def reaching(
    keeper: Gatekeeper, of_kind: Callable[[Kind, Entry], Key | None]
) -> set[tuple[Key, str]]:
    """The keys and nutrients whose sums hang on figures with a range."""
    return {
        (key, nutrient) for key, nutrient, own in _by_key(keeper, of_kind) if _hangs_on_a_range(own)
    }


def _hangs_on_a_range(postings: Postings) -> bool:
    if not any(map(any_ranged, postings.bases)):
        return False
    return any(map(and_, map(bool, postings.masses), postings.asked(any_ranged)))


def _fertilizer(keeper: Gatekeeper, entry: Entry, zone: Zone) -> Way | None:
    return None if zone.custom else ("in", "Fertilizer used")


def _manure(keeper: Gatekeeper, entry: Entry, zone: Zone) -> Way | None:
    """Bought manure comes in with the spreader; own manure on custom ground goes out."""
    supplied = keeper.origin(entry.text("lot")) == "supplier"
    if supplied and not zone.custom:
        return "in", "Manure brought to the field"
    return OWN_ON_CUSTOM if zone.custom and not supplied else None


def _harvest(keeper: Gatekeeper, entry: Entry, zone: Zone) -> Way | None:
    sold = entry.text("use") == "sold" and not zone.custom
    return ("out", "Crops sold at harvest") if sold else None


def _water(keeper: Gatekeeper, entry: Entry, zone: Zone) -> Way | None:
    return ("in", WATER) if entry.text("kind") == IRRIGATION and not zone.custom else None


def _move(keeper: Gatekeeper, entry: Entry, zone: Zone) -> Way | None:
    return MOVES.get(entry.text("kind"))


def _ticket(keeper: Gatekeeper, entry: Entry, zone: Zone) -> Way | None:
    return DIRECTIONS.get(entry.text("direction"), "stock"), ITEMS[entry.text("item")]


WAYS: Mapping[str, Callable[[Gatekeeper, Entry, Zone], Way | None]] = {
    "fertilizer": _fertilizer,
    "manure": _manure,
    "removal": _harvest,
    "credits": _water,
    "store": _move,
    "gate": _ticket,
}


def crossing(kind: Kind | Posting, entry: Entry, keeper: Gatekeeper) -> Way | None:
    """How a posting of an entry crosses the gate; None for what stays inside."""
    if kind.account.root != OUTSIDE.get(kind.stream):
        return None
    return keeper.way(entry, kind.stream, kind.zone)


def gate_lines(keeper: Gatekeeper) -> list[GateLine]:
    """Everything recorded that crossed the gate, by direction and name.

    All masses are positive, but a stock that fell and a correction that was negative.
    """

    def of_kind(kind: Kind, entry: Entry) -> Way | None:
        return crossing(kind, entry, keeper)

    def of_gap(entry: Entry, stream: str, zone: Zone) -> list[Way]:
        way = keeper.way(entry, stream, zone)
        return [way] if way else []

    reached = reaching(keeper, of_kind)
    found = [
        GateLine(
            direction=way[0],
            name=way[1],
            masses=_turned(masses, way),
            ranged=frozenset(nutrient for key, nutrient in reached if key == way),
        )
        for way, masses in grouped(keeper, of_kind, of_gap).items()
    ]
    deposition = _deposition(keeper)
    lines = [*found, deposition] if deposition else found
    return sorted(lines, key=lambda line: ORDER.index(line.direction))


def _turned(masses: Masses, way: Way) -> Masses:
    """What leaves an outside account comes in, and what leaves a store for others goes out."""
    sign = -1 if way[0] == "in" or way == OWN_ON_CUSTOM else 1
    return {n: None if mass is None else sign * mass + 0.0 for n, mass in masses.items()}


def _deposition(keeper: Gatekeeper) -> GateLine | None:
    """Nitrogen from the air, when the person wants it in and says how much."""
    per_area = keeper.book.farm.number("n_deposition")
    if per_area is None:
        return None
    zones = [zone for group in keeper.book.zones.values() for zone in group if not zone.custom]
    mass = per_area * fsum(zone.area for zone in zones)
    masses = {**dict.fromkeys(keeper.definitions.nutrients, 0.0), "N": mass}
    return GateLine(direction="in", name=AIR, masses=masses)
