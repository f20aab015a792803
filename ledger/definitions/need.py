"""Need methods, nitrate tests, legume credits and soil-test levels from ``templates/need``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ledger.definitions.data import DataFault, by_id, figure, find_source, read_checked
from ledger.model import (
    Crop,
    FactorRow,
    FactorTable,
    Figure,
    LegumeSet,
    NeedBook,
    NeedMethod,
    NitrateSet,
    SoilTestLevel,
    SoilTestSet,
    Source,
)

Data = Mapping[str, Any]
Sources = Mapping[str, Source]


def load_need(root: Path, crops: Mapping[str, Crop], sources: Sources) -> NeedBook:
    """All need data; ``DataFault`` on a crop that is not in crops.json or a figure half given."""
    folder = root / "need"
    ec117 = read_checked(folder / "ec117.json", "need-ec117")
    nitrate = read_checked(folder / "soil-nitrate.json", "need-soil-nitrate")
    legumes = [_legume(file, crops, sources) for file in sorted(folder.glob("legume-*.json"))]
    tests = [_nitrate(file, sources) for file in sorted(folder.glob("nitrate-*.json"))]
    methods = read_checked(folder / "methods.json", "need-methods")["methods"]
    return NeedBook(
        methods=by_id((_method(item, sources) for item in methods), "methods.json"),
        ec117=_figures(ec117["figures"], ec117["common"], sources, "ec117.json"),
        ec117_crop=ec117["crop"],
        nitrate_sets=by_id(tests, "nitrate sets"),
        legume_sets=by_id(legumes, "legume sets"),
        soil_tests=_soil_tests(folder / "soil-test-TriState-2020.json", crops, sources),
        nitrate_mass=figure(nitrate["mass"], sources, "soil-nitrate.json mass"),
        nitrate_layer=figure(nitrate["layer"], sources, "soil-nitrate.json layer"),
        yield_factors=_yield_factors(folder / "yield-factor.json", crops, sources),
        presidedress=_named(folder / "presidedress.json", sources),
    )


def _named(file: Path, sources: Sources) -> dict[str, Figure]:
    data = read_checked(file, "need-figures")
    return _figures(data["figures"], data["common"], sources, file.name)


def _yield_factors(file: Path, crops: Mapping[str, Crop], sources: Sources) -> dict[str, Figure]:
    """Usual factors by crop; in pounds a bushel, so that the crop needs a bushel weight."""
    found = _named(file, sources)
    _known(set(found), crops, file.name)
    for name, factor in found.items():
        if factor.unit != "lb/bu" or crops[name].bushel_weight is None:
            raise DataFault(f"{file.name}: {name!r} needs a factor in lb/bu and a bushel weight")
    return found


def _method(data: Data, sources: Sources) -> NeedMethod:
    return NeedMethod(
        id=data["id"],
        about=data["about"],
        contains=frozenset(data["contains"]),
        limits=data["limits"],
        source=find_source(sources, data["source"], "methods.json"),
        status=data["status"],
    )


def _figures(
    items: Mapping[str, Data], common: Data | None, sources: Sources, place: str
) -> dict[str, Figure]:
    return {name: figure(item, sources, f"{place} {name}", common) for name, item in items.items()}


def _legume(file: Path, crops: Mapping[str, Crop], sources: Sources) -> LegumeSet:
    data = read_checked(file, "need-legume")
    named = {row["when"].get("crop", "") for row in data["rows"]}
    _known(named | set(data["same_as"]) | set(data["same_as"].values()), crops, file.name)
    rows = tuple(
        FactorRow(
            when=row["when"],
            figure=figure(row, sources, f"{file.name} {row['when']}", data.get("common")),
        )
        for row in data["rows"]
    )
    return LegumeSet(
        id=data["id"],
        title=data["title"],
        about=data["about"],
        table=FactorTable(name=file.stem, keys=tuple(data["keys"]), rows=rows),
        same_as=data["same_as"],
    )


def _known(names: set[str], crops: Mapping[str, Crop], place: str) -> None:
    stray = sorted(name for name in names if name and name not in crops)
    if stray:
        raise DataFault(f"{place}: {stray[0]!r} is not a crop of crops.json")


def _nitrate(file: Path, sources: Sources) -> NitrateSet:
    data = read_checked(file, "need-nitrate")
    common = data.get("common")

    def one(name: str) -> Figure | None:
        item = data.get(name)
        return figure(item, sources, f"{file.name} {name}", common) if item else None

    critical = [
        FactorRow(when=row["when"], figure=figure(row, sources, file.name, common))
        for row in data.get("critical", ())
    ]
    keys = ("spring_rain", "manured")
    table = FactorTable(name=file.stem, keys=keys, rows=tuple(critical)) if critical else None
    return NitrateSet(
        id=data["id"],
        title=data["title"],
        form=data["form"],
        about=data["about"],
        crop=data["crop"],
        contains=frozenset(data["contains"]),
        critical=table,
        slope=one("slope"),
        steps=tuple(
            (row["to"], figure(row, sources, file.name, common)) for row in data.get("steps", ())
        ),
        per_yield=one("per_yield"),
        none_from=one("none_from"),
        history=_figures(data.get("history", {}), common, sources, file.name),
        previous_crop=_figures(data.get("previous_crop", {}), common, sources, file.name),
    )


def _soil_tests(file: Path, crops: Mapping[str, Crop], sources: Sources) -> SoilTestSet:
    data = read_checked(file, "need-soil-test")
    levels = {
        nutrient: tuple(_level(item, crops, sources, file.name) for item in data[nutrient])
        for nutrient in ("P2O5", "K2O")
    }
    return SoilTestSet(
        id=data["id"],
        title=data["title"],
        about=data["about"],
        extractant=data["extractant"],
        levels=levels,
    )


def _level(data: Data, crops: Mapping[str, Crop], sources: Sources, place: str) -> SoilTestLevel:
    _known(set(data["crops"]), crops, place)
    return SoilTestLevel(
        crops=tuple(data["crops"]),
        cec=data.get("cec"),
        critical=figure(data["critical"], sources, place),
        limit=figure(data["limit"], sources, place),
        addition=figure(data["addition"], sources, place),
    )
