"""Every published figure of the definitions under a key of its own, to list and to replace.

One walk serves both: the sheet 'Reference' lists what the walk visits, and figures of a
person's own are put in by the same walk.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from ledger.contents import part_name
from ledger.model import (
    Crop,
    Definitions,
    FactorTable,
    Figure,
    LegumeSet,
    ManureSet,
    NeedBook,
    RemovalFigure,
    RemovalSet,
)

SHARE, PERCENT = "fraction", "percent"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceLine:
    """A figure as the sheet 'Reference' lists it: key, group and words for people."""

    key: str
    group: str
    words: str
    figure: Figure

    @property
    def limits(self) -> tuple[float | None, float | None]:
        """The range a figure of one's own must lie in, in the figure's unit; None is open."""
        if self.figure.unit == SHARE:
            return 0.0, 1.0
        if self.figure.unit == PERCENT:
            return 0.0, 100.0
        return (None if self.key.startswith("legume|") else 0.0), None


Visit = Callable[[str, str, str, Figure], Figure]


def reference_lines(definitions: Definitions) -> list[ReferenceLine]:
    """All figures that posting and need may use, in the order of the sheet 'Reference'."""
    found: list[ReferenceLine] = []

    def note(key: str, group: str, words: str, figure: Figure) -> Figure:
        found.append(ReferenceLine(key=key, group=group, words=words, figure=figure))
        return figure

    walk(definitions, note)
    return found


def walk(definitions: Definitions, visit: Visit) -> Definitions:
    """The definitions with every figure replaced by what ``visit`` returns for it.

    ``visit`` gets key, group, words and the figure, always in the same order.
    """
    manure = {k: _manure(v, visit) for k, v in definitions.manure_sets.items()}
    crops = {k: _crop(v, visit) for k, v in definitions.crops.items()}
    removal = {k: _removal(v, visit) for k, v in definitions.removal_sets.items()}
    need = _need(definitions.need, visit)
    return replace(definitions, manure_sets=manure, crops=crops, removal_sets=removal, need=need)


def _manure(chosen: ManureSet, visit: Visit) -> ManureSet:
    group = f"Manure: {chosen.id}"
    tables = {
        k: _table(v, f"manure|{chosen.id}|{k}", group, visit) for k, v in chosen.tables.items()
    }
    availability = {
        nutrient: {
            year: visit(
                availability_key(chosen.id, nutrient, year),
                group,
                f"{nutrient} available in year {year}",
                figure,
            )
            for year, figure in years.items()
        }
        for nutrient, years in chosen.availability.items()
    }
    return replace(chosen, tables=tables, availability=availability)


def availability_key(chosen: str, nutrient: str, year: int) -> str:
    """The key of a nutrient's share in a year of a manure set."""
    return f"manure|{chosen}|{nutrient}|{year}"


def _table(table: FactorTable, key: str, group: str, visit: Visit) -> FactorTable:
    rows = []
    for row in table.rows:
        words = ", ".join(f"{name.replace('_', ' ')} {_said(v)}" for name, v in row.when.items())
        title = f"{table.name.replace('_', ' ')}: {words or 'always'}"
        figure = visit(table_key(key, row.when), group, title, row.figure)
        rows.append(replace(row, figure=figure))
    return replace(table, rows=tuple(rows))


def table_key(table: str, when: Mapping[str, Any]) -> str:
    """The key of a line of a factor table: the table and the line's conditions."""
    return "|".join([table, *(f"{name}={_said(value)}" for name, value in when.items())])


def _said(value: Any) -> str:
    if isinstance(value, dict):
        return " ".join(f"{bound} {limit:g}" for bound, limit in value.items())
    return (
        {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else f"{value}"
    )


def _crop(crop: Crop, visit: Visit) -> Crop:
    group = "Crops"
    bushel = crop.bushel_weight and visit(
        bushel_key(crop.id), group, f"{crop.id}: weight of a bushel", crop.bushel_weight
    )
    parts = {
        name: replace(
            part,
            standard_moisture=part.standard_moisture
            and visit(
                moisture_key(crop.id, name),
                group,
                f"{part_name(crop.id, name)}: standard moisture",
                part.standard_moisture,
            ),
        )
        for name, part in crop.parts.items()
    }
    return replace(crop, bushel_weight=bushel, parts=parts)


def bushel_key(crop: str) -> str:
    """The key of a crop's bushel weight."""
    return f"crop|{crop}|bushel"


def moisture_key(crop: str, part: str) -> str:
    """The key of the standard moisture of a part of a crop."""
    return f"crop|{crop}|{part}|moisture"


def _removal(chosen: RemovalSet, visit: Visit) -> RemovalSet:
    figures: dict[tuple[str, str, str], RemovalFigure] = {}
    for (crop, part, nutrient), entry in chosen.figures.items():
        words = f"{nutrient} in {part_name(crop, part)}, {_basis(entry)}"
        key = removal_key(chosen.id, crop, part, nutrient)
        figure = visit(key, f"Removal: {chosen.id}", words, entry.figure)
        figures[crop, part, nutrient] = replace(entry, figure=figure)
    return replace(chosen, figures=figures)


def removal_key(chosen: str, crop: str, part: str, nutrient: str) -> str:
    """The key of a removal figure."""
    return f"removal|{chosen}|{crop}|{part}|{nutrient}"


def _basis(entry: RemovalFigure) -> str:
    return "at standard moisture" if entry.moisture is None else f"at {entry.moisture:g} % moisture"


def _need(need: NeedBook, visit: Visit) -> NeedBook:
    legumes = {k: _legume(v, visit) for k, v in need.legume_sets.items()}
    ec117 = {
        name: visit(f"EC117|{name}", "EC117", name.replace("_", " "), figure)
        for name, figure in need.ec117.items()
    }
    levels = {
        nutrient: tuple(_level(level, nutrient, visit) for level in group)
        for nutrient, group in need.soil_tests.levels.items()
    }
    usual = {
        crop: visit(yield_factor_key(crop), "Yield factor", f"N need of {crop} a unit of yield", f)
        for crop, f in need.yield_factors.items()
    }
    soil = "Soil nitrate"
    return replace(
        need,
        legume_sets=legumes,
        ec117=ec117,
        yield_factors=usual,
        soil_tests=replace(need.soil_tests, levels=levels),
        nitrate_mass=visit("nitrate|mass", soil, "a ppm in a plow layer", need.nitrate_mass),
        nitrate_layer=visit("nitrate|layer", soil, "depth of a plow layer", need.nitrate_layer),
    )


def yield_factor_key(crop: str) -> str:
    """The key of the usual nitrogen a unit of a crop's yield."""
    return f"yield factor|{crop}"


def _legume(chosen: LegumeSet, visit: Visit) -> LegumeSet:
    table = _table(chosen.table, f"legume|{chosen.id}", f"Crop before: {chosen.id}", visit)
    return replace(chosen, table=table)


def _level(level: Any, nutrient: str, visit: Visit) -> Any:
    band = f" CEC {_said(level.cec)}" if level.cec else ""
    names = {}
    for name in ("critical", "limit", "addition"):
        key = f"soil test|{nutrient}|{'+'.join(level.crops)}|{band.strip()}|{name}"
        words = f"{nutrient} {name}, {', '.join(level.crops)}{band}"
        names[name] = visit(key, "Soil test", words, getattr(level, name))
    return replace(level, **names)
