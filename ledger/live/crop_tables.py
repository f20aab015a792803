"""Tables of crops: contents by removal set, what a yield goal takes, credits for crops before."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from ledger.live.figures import bushel_key, moisture_key, removal_key, table_key, yield_factor_key
from ledger.live.shown import shown_factor
from ledger.live.words import NO_FIGURE, NONE, STAND
from ledger.lookup import NoAnswer, find
from ledger.model import Crop, Definitions, LegumeSet, RemovalSet, System

Line = tuple[str | float, ...]
PREVIOUS_YEARS = (1, 2)


def cut(definitions: Definitions, system: System) -> Iterator[Line]:
    """Key of set, crop, part -> bushel weight, moisture, share and its basis a nutrient."""
    for chosen in definitions.removal_sets.values():
        for crop in definitions.crops.values():
            for part in crop.parts:
                main = part == crop.main_part and crop.bushel_weight is not None
                bushel = "=" + _bushel(crop, definitions, system) if main else NONE
                shares: list[str | float] = []
                for nutrient in definitions.nutrients:
                    shares += _share(chosen, crop, part, nutrient, definitions)
                key = "|".join((chosen.id, crop.id, part))
                yield key, bushel, _moisture(crop, part), *shares


def _bushel(crop: Crop, definitions: Definitions, system: System) -> str:
    """A bushel in the ledger's unit of mass."""
    factor = shown_factor("lb", definitions, system)
    cell = f"[ref.{bushel_key(crop.id)}]"
    return cell if factor == 1 else f"{cell}*{factor!r}"


def _moisture(crop: Crop, part: str) -> str:
    known = crop.parts[part].standard_moisture is not None
    return f"=[ref.{moisture_key(crop.id, part)}]" if known else NONE


def _share(
    chosen: RemovalSet, crop: Crop, part: str, nutrient: str, definitions: Definitions
) -> tuple[str | float, str | float]:
    """Mass of nutrient per mass of harvest, and the moisture that is stated on."""
    entry = chosen.figures.get((crop.removal_as, part, nutrient))
    if entry is None:
        return NO_FIGURE, NONE
    cell = f"=[ref.{removal_key(chosen.id, crop.removal_as, part, nutrient)}]"
    if entry.figure.unit == "lb/bu":
        share = f"{cell}/[ref.{bushel_key(crop.id)}]"
    else:
        share = f"{cell}*{definitions.units[entry.figure.unit].factor!r}"
    return share, _moisture(crop, part) if entry.moisture is None else entry.moisture


def crops_known(definitions: Definitions, system: System) -> Iterator[Line]:
    """Crop -> legume or not, and what a unit of yield goal takes of each nutrient."""
    for crop in definitions.crops.values():
        unit = crop.yield_unit[system]
        weight = f"{shown_factor(unit, definitions, system)!r}"
        if definitions.units[unit].quantity == "number per area":
            weight += "*" + _bushel(crop, definitions, system)
        key = f'MATCH([now.removal_set]&"|{crop.id}|{crop.main_part}",[cut.key],0)'
        needs = [_taken(weight, key, nutrient) for nutrient in definitions.nutrients]
        yield crop.id, float(crop.legume), _usual(crop, weight, definitions), *needs


def _usual(crop: Crop, weight: str, definitions: Definitions) -> str:
    """Usual nitrogen a unit of yield goal; its figure is in pounds a bushel."""
    if crop.id not in definitions.need.yield_factors:
        return NONE
    per_mass = f"[ref.{yield_factor_key(crop.id)}]/[ref.{bushel_key(crop.id)}]"
    return f"={weight}*{per_mass}"


def _taken(weight: str, key: str, nutrient: str) -> str:
    share, basis = f"INDEX([cut.share_{nutrient}],{key})", f"INDEX([cut.basis_{nutrient}],{key})"
    moisture = f"INDEX([cut.moisture],{key})"
    known = f"AND(ISNUMBER({moisture}),ISNUMBER({basis}))"
    dried = f"IF({known},(100-{moisture})/(100-{basis}),1)"
    return f'=IF(ISNUMBER({share}),{weight}*{share}*{dried},"{NO_FIGURE}")'


def legume(definitions: Definitions, system: System) -> Iterator[Line]:
    """Key of set, years ago, crop, stand, soil -> the credit, or the word for what lacks."""
    columns = definitions.sheets["crops"].by_id
    stands, soils = ("", *columns["stand"].choices), ("", *columns["soil"].choices)
    cases = list(product(PREVIOUS_YEARS, definitions.crops, stands, soils))
    for chosen in definitions.need.legume_sets.values():
        for year, crop, stand, soil in cases:
            credit = _credit(chosen, year, crop, stand, soil, definitions, system)
            if credit:
                yield "|".join((chosen.id, str(year), crop, stand, soil)), credit


def _credit(
    chosen: LegumeSet,
    year: int,
    crop: str,
    stand: str,
    soil: str,
    definitions: Definitions,
    system: System,
) -> str:
    rated = chosen.same_as.get(crop, crop)
    if not any(r.when["crop"] == rated and r.when["year"] == year for r in chosen.table.rows):
        return ""
    keys = {"year": year, "crop": rated, "stand": stand or None, "soil": soil or None}
    found = find(chosen.table, keys)
    if isinstance(found, NoAnswer):
        return STAND if found.missing_key else ""
    row = next(row for row in chosen.table.rows if row.figure is found)
    factor = shown_factor(found.unit, definitions, system)
    return f"=[ref.{table_key(f'legume|{chosen.id}', row.when)}]*{factor!r}"
