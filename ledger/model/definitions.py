"""All definitions together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ledger.model.coefficients import BookProduct, Crop, ManureKind, ManureSet, RemovalSet
from ledger.model.derivations import Derivations
from ledger.model.figures import Figure, Nutrient, Source
from ledger.model.livestock import GateBook, HerdBook, SoilChange
from ledger.model.needs import NeedBook
from ledger.model.records import RecordItem
from ledger.model.sheets import FindingKind, Sheet, Unit
from ledger.model.usual import Usual, UsualDays


@dataclass(frozen=True, kw_only=True, eq=False)
class Definitions:
    """All data of ``templates/``, loaded and cross-checked once."""

    version: int
    sheets: Mapping[str, Sheet]
    nutrients: Mapping[str, Nutrient]
    accounts: Mapping[str, str]
    units: Mapping[str, Unit]
    shown_in: Mapping[str, Mapping[str, str]]
    findings: Mapping[str, FindingKind]
    sources: Mapping[str, Source]
    manure_kinds: Mapping[str, ManureKind]
    manure_sets: Mapping[str, ManureSet]
    crops: Mapping[str, Crop]
    removal_sets: Mapping[str, RemovalSet]
    products: Mapping[str, BookProduct]
    need: NeedBook
    herd: HerdBook
    gate: GateBook
    soil_changes: Sequence[SoilChange]
    conversions: Mapping[str, Figure]
    records: tuple[RecordItem, ...]
    usual: tuple[Usual, ...]
    usual_days: tuple[UsualDays, ...]
    derivations: Derivations
    settings: Mapping[str, Any]

    def table(self, name: str) -> tuple[str, ...]:
        """The words of a named table that drop-downs and lookups use."""
        tables: dict[str, Sequence[str]] = {
            "manure_sets": list(self.manure_sets),
            "removal_sets": list(self.removal_sets),
            "manure_kinds": list(self.manure_kinds),
            "legume_sets": list(self.need.legume_sets),
            "nitrate_sets": list(self.need.nitrate_sets),
            "crops": list(self.crops),
            "herd_kinds": list(self.herd.kinds),
            "goods": list(dict.fromkeys([*self.gate.goods, *self.crops])),
            "crop_parts": list(
                dict.fromkeys(part for crop in self.crops.values() for part in crop.parts)
            ),
        }
        return tuple(tables[name])
