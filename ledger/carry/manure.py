"""The manure history: what was applied by zone this year, and earlier lines still in reach."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import fsum

from ledger.carry.cells import Cells, as_typed, in_units
from ledger.carry.take import FAULTY, Taken
from ledger.formulas import organic_nitrogen
from ledger.layout import fold
from ledger.model import Definitions, Entry, ManureSet, Posting, Results, Value, Zone

BEYOND = "beyond the credit set's look-back"
NO_LOT = "of lots that were dropped"
Key = tuple[str, str, str, str, str]


def manure_history(results: Results, definitions: Definitions) -> Taken:
    """Past manure for the next year: this year's spreading by zone, lot and way of spreading,
    and earlier lines that the set still credits then."""
    chosen = _chosen(results, definitions)
    sheet = definitions.sheets["past_manure"]
    lines = results.book.entries.get("past_manure", ())
    sound = [entry for entry in lines if not entry.faulty]
    reach = [e for e in sound if _age(e, results.book.year + 1) <= chosen.years]
    dropped = {FAULTY: len(lines) - len(sound), BEYOND: len(sound) - len(reach)}
    spread = this_year(results, definitions) if chosen.years > 1 else []
    return Taken(
        lines=[*spread, *(as_typed(entry, sheet) for entry in reach)],
        dropped={why: count for why, count in dropped.items() if count},
    )


def manure_samples(results: Results, definitions: Definitions) -> Taken:
    """The lab slips of the lots that go over."""
    sheet = definitions.sheets["manure_samples"]
    slips = results.book.entries.get("manure_samples", ())
    lots = {e.text("lot") for e in results.book.entries.get("manure_lots", ()) if not e.faulty}
    sound = [entry for entry in slips if not entry.faulty]
    kept = [entry for entry in sound if entry.text("lot") in lots]
    dropped = {FAULTY: len(slips) - len(sound), NO_LOT: len(sound) - len(kept)}
    return Taken(
        lines=[as_typed(entry, sheet) for entry in kept],
        dropped={why: count for why, count in dropped.items() if count},
    )


def _chosen(results: Results, definitions: Definitions) -> ManureSet:
    default = definitions.sheets["farm"].by_id["manure_set"].default
    named = results.book.farm.text("manure_set")
    return definitions.manure_sets.get(named) or definitions.manure_sets[default]


def _age(entry: Entry, year: int) -> int:
    """Which year of its use a line is in: 1 is the crop year it was applied for."""
    return year - int(entry.number("year") or 0) + 1


def this_year(results: Results, definitions: Definitions) -> list[Cells]:
    """Past-manure lines of what was spread this year, alike spreadings of a zone added up."""
    groups: dict[Key, list[Posting]] = {}
    for posting in results.journal.postings:
        if posting.stream == "manure" and posting.account.root == "store":
            groups.setdefault(_key(posting), []).append(posting)
    sheet, system = definitions.sheets["past_manure"], results.book.system
    return [
        in_units(_values(group, results, definitions), sheet, system, definitions)
        for group in groups.values()
    ]


def _key(posting: Posting) -> Key:
    entry, zone = posting.entry, posting.zone
    hours = entry.text("incorporated_after_h")
    return zone.field, zone.zone, entry.text("lot"), entry.text("method"), hours


def _values(
    group: Sequence[Posting], results: Results, definitions: Definitions
) -> dict[str, Value | None]:
    """One line in the base: amounts per area of the zone [kg/ha]; blank is unknown."""
    first = group[0]
    lot = results.book.named("manure_lots", "lot")[first.entry.text("lot")]
    amounts = {n: _per_area(group, n, first.zone, lot, definitions) for n in definitions.nutrients}
    columns = {
        nutrient.columns["lot"]: amounts[nutrient.id]
        for nutrient in definitions.nutrients.values()
        if "lot" in nutrient.columns
    }
    return {
        "year": results.book.year,
        "field": first.zone.field,
        "zone": first.zone.zone if _named(first.zone, results) else "",
        "lot": lot.text("lot"),
        "kind": lot.text("kind"),
        "n_total": amounts["N"],
        "n_organic": _organic(amounts["N"], lot),
        **columns,
        "method": first.entry.text("method"),
        "incorporated_after_h": first.entry.get("incorporated_after_h"),
    }


def _named(zone: Zone, results: Results) -> bool:
    """Whether a zone has a line of its own, or is all of its field."""
    lines = results.book.entries.get("zones", ())
    return any(fold(entry.text("field")) == fold(zone.field) for entry in lines)


def _per_area(
    group: Sequence[Posting], nutrient: str, zone: Zone, lot: Entry, definitions: Definitions
) -> float | None:
    columns: Mapping[str, str] = definitions.nutrients[nutrient].columns
    if lot.number("n_total" if nutrient == "N" else columns.get("lot", "")) is None:
        return None
    return -fsum(p.mass for p in group if p.nutrient == nutrient) / zone.area


def _organic(total: float | None, lot: Entry) -> float | None:
    """The organic part of the nitrogen applied, by the lot's analysis; None without ammonium."""
    in_lot, ammonium = lot.number("n_total"), lot.number("n_ammonium")
    if total is None or in_lot is None or ammonium is None:
        return None
    if not in_lot:
        return 0.0
    return total * organic_nitrogen(in_lot, ammonium, lot.number("n_nitrate") or 0.0) / in_lot
