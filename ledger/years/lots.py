"""Where the nitrogen of every manure lot went: crop, reserve, air.

Spreadings of one lot are told apart by method and hours to tillage, as the carried lines of
past manure are, since a set may divide one of them and not another.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import fsum

from ledger.model import Entry, LotYears, Posting, Results
from ledger.reach import is_ranged

NITROGEN = "N"
PARTS = ("available", "reserve", "undivided")
Key = tuple[int, str, str, str]


def lot_years(ordered: Sequence[Results]) -> list[LotYears]:
    """One line a lot and year of spreading [kg of N], later years' releases counted as used."""
    freed, reach = _freed(ordered)
    found: dict[tuple[int, str], list[LotYears]] = {}
    for results in ordered:
        for key, postings in _spread(results).items():
            part = _part(key, postings, freed.get(key, 0.0), key in reach)
            found.setdefault((part.year, part.lot), []).append(part)
    return [_together(parts) for parts in found.values()]


def _key(year: int, entry: Entry) -> Key:
    return year, entry.text("lot"), entry.text("method"), entry.text("incorporated_after_h")


def _spread(results: Results) -> Mapping[Key, list[Posting]]:
    groups: dict[Key, list[Posting]] = {}
    for posting in results.journal.postings:
        if posting.stream == "manure" and posting.nutrient == NITROGEN:
            groups.setdefault(_key(results.book.year, posting.entry), []).append(posting)
    return groups


def _freed(ordered: Sequence[Results]) -> tuple[dict[Key, float], set[Key]]:
    """What past-manure lines released, by the year, lot and way of spreading they tell [kg].

    With it those of them that hang on figures with a range.
    """
    sums: dict[Key, list[float]] = {}
    reach: set[Key] = set()
    for results in ordered:
        for posting in results.journal.postings:
            released = posting.stream == "residual" and posting.account.root == "field"
            if released and posting.nutrient == NITROGEN:
                key = _key(int(posting.entry.number("year") or 0), posting.entry)
                sums.setdefault(key, []).append(posting.mass)
                reach |= {key} if is_ranged(posting) else set()
    return {key: fsum(masses) for key, masses in sums.items()}, reach


def _part(key: Key, postings: Sequence[Posting], freed: float, freed_ranged: bool) -> LotYears:
    """One way of spreading; what is freed beyond the reserve was never divided."""
    parts = {part: fsum(p.mass for p in postings if p.account.path[-1] == part) for part in PARTS}
    from_reserve = min(freed, parts["reserve"]) if parts["undivided"] else freed
    return LotYears(
        year=key[0],
        lot=key[1],
        total=-fsum(p.mass for p in postings if p.account.root == "store"),
        used=parts["available"] + freed,
        left=parts["reserve"] - from_reserve,
        air=fsum(p.mass for p in postings if p.account.root == "air"),
        undivided=parts["undivided"] - (freed - from_reserve),
        ranged=freed_ranged or any(is_ranged(p) for p in postings),
    )


def _together(parts: Sequence[LotYears]) -> LotYears:
    return LotYears(
        year=parts[0].year,
        lot=parts[0].lot,
        total=fsum(p.total for p in parts),
        used=fsum(p.used for p in parts),
        left=fsum(p.left for p in parts),
        air=fsum(p.air for p in parts),
        undivided=fsum(p.undivided for p in parts),
        ranged=any(p.ranged for p in parts),
    )
