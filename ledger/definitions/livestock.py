"""Animals, goods at the gate and soil-test rules from ``templates``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ledger.definitions.data import DataFault, by_id, figure, read_checked
from ledger.model import (
    Benchmark,
    Crop,
    Figure,
    GateBook,
    Goods,
    HerdBook,
    HerdKind,
    Nutrient,
    SoilChange,
    Source,
)

Data = Mapping[str, Any]
Sources = Mapping[str, Source]


def load_herd(root: Path, sources: Sources) -> HerdBook:
    """Kinds of animals and what they make; ``DataFault`` on a figure half given."""
    data = read_checked(root / "herd.json", "herd")

    def one(item: Data, name: str) -> Figure:
        return figure(item, sources, f"herd.json {name}", data["common"])

    kinds = [
        HerdKind(
            id=kind["id"],
            per_unit=one(kind["per_unit"], kind["id"]),
            mass=one(kind["mass"], kind["id"]),
            excreted={n: one(item, kind["id"]) for n, item in kind["excreted"].items()},
            kept={n: one(item, kind["id"]) for n, item in kind["kept"].items()},
        )
        for kind in data["kinds"]
    ]
    return HerdBook(
        about=data["about"],
        animal_unit=one(data["animal_unit"], "animal unit"),
        slurry_density=one(data["slurry_density"], "slurry density"),
        store_tolerance=one(data["store_tolerance"], "store tolerance"),
        kinds=by_id(kinds, "herd.json"),
    )


def load_gate(
    root: Path, crops: Mapping[str, Crop], nutrients: Mapping[str, Nutrient], sources: Sources
) -> GateBook:
    """Goods, fixation and published balances; ``DataFault`` on an unknown element or crop."""
    data = read_checked(root / "gate.json", "gate")
    elements = {nutrient.elemental_symbol for nutrient in nutrients.values()}
    for item in data["benchmarks"]:
        _known(item["nutrient"], elements, "benchmark")
    for item in data["fixation"]:
        _known(item["crop"], crops, "fixation")
    return GateBook(
        about=data["about"],
        goods=by_id((_goods(item, elements, sources) for item in data["contents"]), "gate.json"),
        fixation={
            i["crop"]: figure(i, sources, f"gate.json {i['crop']}") for i in data["fixation"]
        },
        benchmarks=[_benchmark(item, sources) for item in data["benchmarks"]],
    )


def _known(name: str, known: Any, place: str) -> None:
    if name not in known:
        raise DataFault(f"gate.json {place}: {name!r} is not known")


def _goods(data: Data, elements: set[str], sources: Sources) -> Goods:
    place = f"gate.json {data['id']}"
    for element in data["contents"]:
        _known(element, elements, data["id"])
    dry = data.get("dry_matter")
    return Goods(
        id=data["id"],
        item=data["item"],
        dry_matter=figure(dry, sources, place) if dry else None,
        contents={e: figure(item, sources, place) for e, item in data["contents"].items()},
    )


def _benchmark(data: Data, sources: Sources) -> Benchmark:
    return Benchmark(
        place=data["place"],
        measure=data["measure"],
        nutrient=data["nutrient"],
        per=data["per"],
        figure=figure(data, sources, f"gate.json {data['place']}"),
        with_fixation=data.get("with_fixation"),
    )


def load_soil_changes(
    root: Path, nutrients: Mapping[str, Nutrient], sources: Sources
) -> list[SoilChange]:
    """The rules that tell how far a balance moves a soil test."""
    rules = read_checked(root / "years.json", "years")["soil_change"]
    for rule in rules:
        if rule["nutrient"] not in nutrients:
            raise DataFault(f"years.json: {rule['nutrient']!r} is not in nutrients.json")
    return [
        SoilChange(
            nutrient=rule["nutrient"],
            test=rule["test"],
            figure=figure(rule, sources, f"years.json {rule['nutrient']}"),
        )
        for rule in rules
    ]
