"""Credits for the crop before and for nitrate in the soil, unless the need holds them already."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.factors import cell_factor
from ledger.formulas import convention_mass
from ledger.ground import Share, covered_area, crop_entry, nitrogen_method
from ledger.lookup import NoAnswer, find
from ledger.model import Basis, Entry, Figure, Typed
from ledger.post.desk import Desk, account, field_account
from ledger.soil import layers, samples

PREVIOUS = ((1, "previous_crop"), (2, "crop_before"))


def post_previous_crop(
    entry: Entry, parts: Sequence[Share], rule: Mapping[str, Any], desk: Desk
) -> None:
    """Post what last year's crop, and the one before it, leave to this year's grain crop.

    Legumes need no credit; a need method that contains the credit gets none.
    """
    crop = desk.definitions.crops[entry.text("crop")]
    method = nitrogen_method(desk.book, entry, desk.definitions)
    if crop.legume or "previous crop" in method.contains:
        return
    own = [share for share in parts if crop_entry(desk.book, share.zone) is entry]
    for year, column in PREVIOUS:
        _credit(entry, own, year, column, rule, desk)


def _credit(
    entry: Entry, own: list[Share], year: int, column: str, rule: Mapping[str, Any], desk: Desk
) -> None:
    legumes = desk.legume_set
    before = entry.text(column)
    crop = legumes.same_as.get(before, before)
    if not any(r.when["crop"] == crop and r.when["year"] == year for r in legumes.table.rows):
        if before and year == 1 and desk.definitions.crops[before].legume:
            desk.note("legume-unknown", entry, column, set=legumes.id, read=before)
        return
    keys = {
        "year": year,
        "crop": crop,
        "stand": entry.text("stand") or None,
        "soil": entry.text("soil") or None,
    }
    found = find(legumes.table, keys)
    if isinstance(found, NoAnswer):
        _unanswered(found, entry, own, column, desk)
        return
    told = cell_factor(before, entry, column, float(year), "years ago")
    _post(entry, own, found, before, (told, desk.published("credit", found)), rule, desk)


def _unanswered(answer: NoAnswer, entry: Entry, own: list[Share], column: str, desk: Desk) -> None:
    words = {"set": desk.legume_set.id, "read": entry.text(column)}
    if not answer.missing_key:
        desk.note("legume-unknown", entry, column, **words)
        return
    title = desk.definitions.sheets["crops"].by_id[answer.missing_key].title
    desk.note("legume-key-missing", entry, answer.missing_key, expected=title, **words)
    desk.gap(own, "N", entry, "credits")


def _post(
    entry: Entry,
    own: list[Share],
    found: Figure,
    name: str,
    told: Basis,
    rule: Mapping[str, Any],
    desk: Desk,
) -> None:
    per_area = found.value * desk.definitions.units[found.unit].factor
    for share in own:
        flows = {
            account(rule["from"], "crop before", name): -per_area * share.zone.area,
            field_account(share.zone, "available"): per_area * share.zone.area,
        }
        whole = Share(zone=share.zone, area=share.zone.area, part=1.0)
        desk.move(entry, whole, rule["nutrient"], flows, told, rule["stream"])


def post_soil_nitrate(
    entry: Entry, parts: Sequence[Share], rule: Mapping[str, Any], desk: Desk
) -> None:
    """Post a layer of this crop year's latest preplant nitrate sample; others post nothing."""
    if entry.text("sample_kind") != "preplant nitrate":
        return
    need = desk.definitions.need
    for share in parts:
        crop = crop_entry(desk.book, share.zone)
        if "soil nitrate" in nitrogen_method(desk.book, crop, desk.definitions).contains:
            continue
        tests = samples(desk.book, share.zone, "preplant nitrate", desk.definitions)
        for layer, thickness in layers(tests):
            if layer is entry:
                units = desk.definitions.units
                per_layer = need.nitrate_mass.value * units["lb/ac"].factor
                deep = need.nitrate_layer.value * units[need.nitrate_layer.unit].factor
                ppm = entry.number("nitrate_ppm") or 0.0
                mass = convention_mass(ppm, per_layer) * thickness / deep * share.zone.area
                told = (
                    Typed("nitrate-N", "ppm", "nitrate_ppm"),
                    cell_factor("thickness", entry, "nitrate_depth", thickness, "m"),
                    desk.published("mass of a plow layer's ppm", need.nitrate_mass),
                )
                flows = {
                    account(rule["from"], "nitrate"): -mass,
                    field_account(share.zone, "available"): mass,
                }
                whole = Share(zone=share.zone, area=covered_area([share]), part=1.0)
                desk.move(entry, whole, rule["nutrient"], flows, told, rule["stream"])
