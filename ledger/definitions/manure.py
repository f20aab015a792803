"""Manure kinds and availability sets from ``templates/manure``."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations
from math import inf
from pathlib import Path
from typing import Any

from ledger.definitions.data import DataFault, by_id, figure, find_source, read_checked
from ledger.model import (
    FactorRow,
    FactorTable,
    Figure,
    ManureKind,
    ManureSet,
    Nutrient,
    PoolTerm,
    Source,
)


def load_manure_kinds(root: Path) -> dict[str, ManureKind]:
    """Kinds of manure by the word a person picks."""
    kinds = read_checked(root / "manure" / "kinds.json", "manure-kinds")["kinds"]
    return {
        name: ManureKind(
            id=name, species=kind["species"], form=kind["form"], composted=kind["composted"]
        )
        for name, kind in by_id(kinds, "kinds.json").items()
    }


def load_manure_sets(
    root: Path,
    kinds: Mapping[str, ManureKind],
    nutrients: Mapping[str, Nutrient],
    sources: Mapping[str, Source],
) -> dict[str, ManureSet]:
    """All availability sets; ``DataFault`` on an unknown kind, table, key or nutrient."""
    files = sorted(root.glob("manure/set-*.json"))
    sets = [_manure_set(read_checked(file, "manure-set"), sources, file.name) for file in files]
    for file, loaded in zip(files, sets, strict=True):
        _check_set(loaded, kinds, nutrients, file.name)
    return by_id(sets, "manure sets")


def _manure_set(data: Mapping[str, Any], sources: Mapping[str, Source], place: str) -> ManureSet:
    return ManureSet(
        id=data["id"],
        title=data["title"],
        edition=data["edition"],
        about=data["about"],
        source=find_source(sources, data["source"], place),
        years=data["years"],
        groups=_turned(data["groups"]),
        placements=_turned(data["placements"]),
        defaults=data.get("defaults", {}),
        nitrogen=tuple(PoolTerm(**term) for term in data["nitrogen"]),
        tables={
            name: _table(name, table, sources, place) for name, table in data["tables"].items()
        },
        availability={
            nutrient: {row["year"]: figure(row, sources, f"{place} {nutrient}") for row in rows}
            for nutrient, rows in data["availability"].items()
        },
    )


def _turned(groups: Mapping[str, list[str]]) -> dict[str, str]:
    return {member: group for group, members in groups.items() for member in members}


def _table(
    name: str, data: Mapping[str, Any], sources: Mapping[str, Source], place: str
) -> FactorTable:
    where = f"{place} {name}"
    rows = []
    for row in data["rows"]:
        stray = set(row["when"]) - set(data["keys"])
        if stray:
            raise DataFault(f"{where}: key {sorted(stray)[0]!r} is not among the table's keys")
        found = figure(row, sources, f"{where} {row['when']}", data.get("common"))
        rows.append(FactorRow(when=row["when"], figure=_share(found, where)))
    for first, second in combinations(rows, 2):
        if overlap(first.when, second.when):
            raise DataFault(f"{where}: rows {first.when} and {second.when} may hold at once")
    return FactorTable(name=name, keys=tuple(data["keys"]), rows=tuple(rows))


def overlap(first: Mapping[str, Any], second: Mapping[str, Any]) -> bool:
    """True when one application may meet both conditions; an absent key does not matter."""
    return all(_meet(first[key], second[key]) for key in first.keys() & second.keys())


def _meet(one: Any, other: Any) -> bool:
    if not isinstance(one, dict) or not isinstance(other, dict):
        return bool(one == other)
    low = max(_low(one), _low(other))
    high = min(_high(one), _high(other))
    return low[0] < high[0] or (low[0] == high[0] and low[1] == 0 == high[1])


def _low(band: Mapping[str, float]) -> tuple[float, int]:
    """Lower end of a band and 1 where the end itself is outside."""
    return (band["over"], 1) if "over" in band else (band.get("from", -inf), 0)


def _high(band: Mapping[str, float]) -> tuple[float, int]:
    """Upper end of a band and -1 where the end itself is outside."""
    return (band["below"], -1) if "below" in band else (band.get("to", inf), 0)


def _share(found: Figure, where: str) -> Figure:
    if found.unit != "fraction" or not 0 <= found.value <= 1:
        raise DataFault(f"{where}: {found.value} {found.unit} is not a fraction from 0 to 1")
    return found


def _check_set(
    loaded: ManureSet,
    kinds: Mapping[str, ManureKind],
    nutrients: Mapping[str, Nutrient],
    place: str,
) -> None:
    for kind in loaded.groups:
        if kind not in kinds:
            raise DataFault(f"{place}: {kind!r} is not a kind of manure in kinds.json")
    for term in loaded.nitrogen:
        for table in (term.retain, term.release):
            if table is not None and table not in loaded.tables:
                raise DataFault(f"{place}: table {table!r} is not in the file")
    for nutrient, years in loaded.availability.items():
        if nutrient not in nutrients:
            raise DataFault(f"{place}: nutrient {nutrient!r} is not in nutrients.json")
        for found in years.values():
            _share(found, f"{place} {nutrient}")
