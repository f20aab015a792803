"""Load everything in ``templates/`` into one ``Definitions``, cross-checked."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from ledger import resources
from ledger.definitions import crops, livestock, manure, need, records, sheets, usual
from ledger.definitions.checked import recorded
from ledger.definitions.data import DataFault, by_id, figure, load_sources, read_checked
from ledger.definitions.derivations import load_derivations
from ledger.model import Definitions, Figure, FindingKind, Nutrient, Source, Unit
from ledger.units import load_units

__all__ = ["DataFault", "load"]


@cache
def load(root: Path | None = None) -> Definitions:
    """All definitions of a templates folder (the ledger's own by default).

    Raises ``DataFault`` or ``UnitFault`` for a fault in the data: unknown or doubled keys,
    figures without unit, source or status, references to nothing, units that do not fit.
    """
    root = root or resources.templates_folder()
    recorded.cache_clear()  # what is in the folder counts, not what was in it before
    definitions = _load(root)
    _check_rules(definitions)
    return definitions


def _load(root: Path) -> Definitions:
    """The files of a folder, each checked as it is read."""
    sources = load_sources(root)
    nutrients = _nutrients(root)
    unit_data = read_checked(root / "units.json", "units")
    units = _units(root, unit_data)
    kinds, crop_list = manure.load_manure_kinds(root), crops.load_crops(root, sources)
    settings = read_checked(root / "settings.json", "settings")
    sheet_list = sheets.load_sheets(root, nutrients, units)
    return Definitions(
        version=settings["template_version"],
        sheets=sheet_list,
        nutrients=nutrients,
        accounts=_accounts(root),
        units=units,
        shown_in=unit_data["shown_in"],
        findings=_findings(root),
        sources=sources,
        manure_kinds=kinds,
        manure_sets=manure.load_manure_sets(root, kinds, nutrients, sources),
        crops=crop_list,
        removal_sets=crops.load_removal_sets(root, crop_list, nutrients, units, sources),
        products=crops.load_products(root, nutrients, units, sources),
        need=need.load_need(root, crop_list, sources),
        herd=livestock.load_herd(root, sources),
        gate=livestock.load_gate(root, crop_list, nutrients, sources),
        soil_changes=livestock.load_soil_changes(root, nutrients, sources),
        conversions=_conversions(root, sources),
        records=records.load_records(root, sheet_list, sources),
        usual=usual.load_usual(root, sheet_list, units, crop_list),
        usual_days=usual.load_usual_days(root, sheet_list),
        derivations=load_derivations(root, sheet_list),
        settings=settings,
    )


def _units(root: Path, data: Mapping[str, Any]) -> dict[str, Unit]:
    units = by_id(data["units"], "units.json").values()
    return load_units(root / "units.txt", data["quantities"], units, recorded(root))


def _nutrients(root: Path) -> dict[str, Nutrient]:
    data = read_checked(root / "nutrients.json", "nutrients")
    items = by_id(data["nutrients"], "nutrients.json")
    return {name: Nutrient(**item) for name, item in items.items()}


def _accounts(root: Path) -> dict[str, str]:
    data = read_checked(root / "accounts.json", "accounts")
    items = by_id(data["accounts"], "accounts.json")
    return {name: item["title"] for name, item in items.items()}


def _findings(root: Path) -> Mapping[str, FindingKind]:
    data = read_checked(root / "findings.json", "findings")
    kinds = [FindingKind(**item) for item in data["findings"]]
    codes = [kind.code for kind in kinds]
    twice = sorted({code for code in codes if codes.count(code) > 1})
    if twice:
        raise DataFault(f"findings.json: {twice[0]!r} stands twice")
    return {kind.code: kind for kind in kinds}


def _conversions(root: Path, sources: Mapping[str, Source]) -> Mapping[str, Figure]:
    data = read_checked(root / "conversions.json", "conversions")
    items = by_id(data["conversions"], "conversions.json")
    return {name: figure(item, sources, name) for name, item in items.items()}


def _check_rules(definitions: Definitions) -> None:
    for sheet in definitions.sheets.values():
        for rule in sheet.rules:
            if rule["code"] not in definitions.findings:
                raise DataFault(f"sheet {sheet.id}: code {rule['code']!r} is not in findings.json")
        posting = sheet.posting or {}
        listed = {
            **dict.fromkeys(("from", "to", "lost_to"), definitions.accounts),
            "nutrient": definitions.nutrients,
            **dict.fromkeys(("amount", "label", "material"), sheet.by_id),
        }
        for key, known in listed.items():
            if key in posting and posting[key] not in known:
                raise DataFault(f"sheet {sheet.id}: posting {key} {posting[key]!r} is not listed")
