"""Crops, removal sets and book products from ``templates``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ledger.definitions.data import DataFault, by_id, figure, find_source, read_checked
from ledger.model import (
    BookProduct,
    Crop,
    CropPart,
    Nutrient,
    RemovalFigure,
    RemovalSet,
    Source,
    Unit,
)


def load_crops(root: Path, sources: Mapping[str, Source]) -> dict[str, Crop]:
    """Crops by the word a person picks."""
    crops = read_checked(root / "crops.json", "crops")["crops"]
    return {name: _crop(crop, sources) for name, crop in by_id(crops, "crops.json").items()}


def _crop(data: Mapping[str, Any], sources: Mapping[str, Source]) -> Crop:
    place = f"crops.json {data['id']}"
    if data["main_part"] not in data["parts"]:
        raise DataFault(f"{place}: main part {data['main_part']!r} is not among its parts")
    weight = data.get("bushel_weight")
    return Crop(
        id=data["id"],
        main_part=data["main_part"],
        legume=data["legume"],
        yield_unit=data["yield_unit"],
        bushel_weight=figure(weight, sources, f"{place} bushel weight") if weight else None,
        parts={name: _part(name, part, sources, place) for name, part in data["parts"].items()},
        removal_as=data.get("removal_as", data["id"]),
    )


def _part(
    name: str, data: Mapping[str, Any], sources: Mapping[str, Source], place: str
) -> CropPart:
    moisture = data.get("standard_moisture")
    found = figure(moisture, sources, f"{place} {name} moisture") if moisture else None
    return CropPart(id=name, standard_moisture=found)


def load_removal_sets(
    root: Path,
    crops: Mapping[str, Crop],
    nutrients: Mapping[str, Nutrient],
    units: Mapping[str, Unit],
    sources: Mapping[str, Source],
) -> dict[str, RemovalSet]:
    """Removal tables; ``DataFault`` where unit and yield do not multiply to a mass."""
    sets = []
    for file in sorted(root.glob("removal/*.json")):
        data = read_checked(file, "removal")
        figures = {}
        for row in data["rows"]:
            place = f"{file.name} {row['crop']} {row['part']} {row['nutrient']}"
            _check_removal(row, data, crops, nutrients, units, place)
            key = (row["crop"], row["part"], row["nutrient"])
            if key in figures:
                raise DataFault(f"{place}: stands twice")
            moisture = None if row["moisture"] == "standard" else float(row["moisture"])
            found = figure(row, sources, place, data.get("common"))
            figures[key] = RemovalFigure(figure=found, moisture=moisture)
        sets.append(
            RemovalSet(id=data["id"], title=data["title"], about=data["about"], figures=figures)
        )
    return by_id(sets, "removal sets")


def _check_removal(
    row: Mapping[str, Any],
    data: Mapping[str, Any],
    crops: Mapping[str, Crop],
    nutrients: Mapping[str, Nutrient],
    units: Mapping[str, Unit],
    place: str,
) -> None:
    if row["crop"] not in crops or row["part"] not in crops[row["crop"]].parts:
        raise DataFault(f"{place}: no such crop and part in crops.json")
    if row["nutrient"] not in nutrients:
        raise DataFault(f"{place}: no such nutrient in nutrients.json")
    unit = {**data.get("common", {}), **row}.get("unit", "")
    per_bushel = unit == "lb/bu" and crops[row["crop"]].bushel_weight is not None
    if not per_bushel and (unit not in units or units[unit].quantity != "mass per mass"):
        raise DataFault(f"{place}: a yield times {unit!r} does not give a mass of nutrient")


def load_products(
    root: Path,
    nutrients: Mapping[str, Nutrient],
    units: Mapping[str, Unit],
    sources: Mapping[str, Source],
) -> dict[str, BookProduct]:
    """Book products by name; ``DataFault`` on an unknown nutrient or a density not a density."""
    products = read_checked(root / "products.json", "products")["products"]
    items = by_id(products, "products.json")
    return {name: _product(item, nutrients, units, sources) for name, item in items.items()}


def _product(
    data: Mapping[str, Any],
    nutrients: Mapping[str, Nutrient],
    units: Mapping[str, Unit],
    sources: Mapping[str, Source],
) -> BookProduct:
    place = f"products.json {data['id']}"
    stray = set(data["grade"]) - set(nutrients)
    if stray:
        raise DataFault(f"{place}: nutrient {sorted(stray)[0]!r} is not in nutrients.json")
    density = data.get("density")
    found = figure(density, sources, f"{place} density") if density else None
    if found and (found.unit not in units or units[found.unit].quantity != "mass per volume"):
        raise DataFault(f"{place}: {found.unit!r} is not a density")
    return BookProduct(
        id=data["id"],
        form=data["form"],
        grade=data["grade"],
        density=found,
        source=find_source(sources, data["source"], place),
        page=data.get("page", ""),
        status=data["status"],
        note=data.get("note", ""),
    )
