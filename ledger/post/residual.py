"""What manure of earlier years still gives: later-year factors times what was applied then."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.ground import Share, covered_area
from ledger.lookup import NoAnswer, find, keys_of
from ledger.model import AREA, Basis, Entry, Factor, Figure, PoolTerm, Typed
from ledger.post.desk import CannotPost, Desk, account, each_nutrient, field_account

POOL_COLUMNS = {"total": "n_total", "organic": "n_organic"}
Found = tuple[float, Basis]


def post_residual(
    entry: Entry, parts: Sequence[Share], rule: Mapping[str, Any], desk: Desk
) -> None:
    """Post what a line of past manure releases this year; nothing beyond the set's years."""
    if not desk.book.year:
        raise CannotPost()
    year = desk.book.year - int(entry.number("year") or 0) + 1
    if year > desk.manure_set.years:
        return
    wanted = [("N", _nitrogen(entry, year, desk))]
    wanted += [(n, _flat(entry, n, c, year, desk)) for n, c, _ in each_nutrient(desk, "lot")]
    for nutrient, found in wanted:
        if found is None:
            desk.gap(parts, nutrient, entry, rule["stream"])
            continue
        per_area, told = found
        area = covered_area(parts)
        total = per_area * area
        for share in parts:
            flows = {
                account(rule["from"], "earlier manure"): -total,
                field_account(share.zone, "available"): total,
            }
            desk.move(entry, share, nutrient, flows, (*told, AREA), rule["stream"], area)


def _nitrogen(entry: Entry, year: int, desk: Desk) -> Found | None:
    total, told = 0.0, list[Factor | Typed]()
    for term in desk.manure_set.nitrogen:
        if term.release is None:
            continue  # wholly used in its own year
        found = _term(term, entry, year, desk)
        if found is None:
            return None
        total += found[0]
        told += found[1]
    return total, tuple(told)


def _term(term: PoolTerm, entry: Entry, year: int, desk: Desk) -> Found | None:
    """One pool's release this year [kg/ha]; None when a figure it needs is missing."""
    release = _look_up(term.release, entry, year, desk)
    if isinstance(release, NoAnswer):
        return _unanswered(release, entry, year, desk)
    if not release.value:
        return 0.0, ()
    retain = _look_up(term.retain, entry, 1, desk) if term.retain else None
    if isinstance(retain, NoAnswer):
        return _unanswered(retain, entry, 1, desk)
    column = POOL_COLUMNS[term.pool]
    applied = entry.number(column)
    if applied is None:
        _missing(entry, column, "N", desk)
        return None
    kept = retain.value if retain else 1.0
    told: Basis = (
        Typed(f"{term.pool} N applied then", "kg/ha", column),
        desk.published(f"released in year {year}", release),
    )
    if retain:
        told = (*told, desk.published("retained then", retain))
    return applied * kept * release.value, told


def _look_up(table: str | None, entry: Entry, year: int, desk: Desk) -> Figure | NoAnswer:
    chosen = desk.manure_set
    kind = desk.definitions.manure_kinds.get(entry.text("kind"))
    return find(chosen.tables[table or ""], keys_of(entry, entry, kind, chosen, year))


def _unanswered(answer: NoAnswer, entry: Entry, year: int, desk: Desk) -> Found | None:
    """A key the line lacks leaves the credit unknown; a year the set does not list is none."""
    columns = {"group": "kind", "placement": "method", "incorporated_h": "incorporated_after_h"}
    column = columns.get(answer.missing_key, "")
    words: dict[str, object] = {"set": desk.manure_set.id}
    if not column or (column == "kind" and entry.text("kind")):
        desk.note("set-ends", entry, "year", read=answer.case or f"year {year}", **words)
        return 0.0, ()
    title = desk.definitions.sheets[entry.row.grid.sheet_id].by_id[column].title
    desk.note("past-figure-missing", entry, column, expected=title, nutrient="N", **words)
    return None


def _missing(entry: Entry, column: str, nutrient: str, desk: Desk) -> None:
    title = desk.definitions.sheets[entry.row.grid.sheet_id].by_id[column].title
    words = {"set": desk.manure_set.id, "expected": title, "nutrient": nutrient}
    desk.note("past-figure-missing", entry, column, **words)


def _flat(entry: Entry, nutrient: str, column: str, year: int, desk: Desk) -> Found | None:
    """Phosphate and the like: only for sets that carry them over the years."""
    figure = desk.manure_set.availability.get(nutrient, {}).get(year)
    if figure is None:
        return 0.0, ()
    applied = entry.number(column)
    if applied is None:
        _missing(entry, column, nutrient, desk)
        return None
    told = Typed(f"{nutrient} applied then", "kg/ha", column)
    return applied * figure.value, (told, desk.published(f"available in year {year}", figure))
