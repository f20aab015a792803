"""Need: what each zone's crop wants of each nutrient, by the method the person chose.

A stage: ``need(book, journal, definitions) -> (Needs, findings)``. A method that misses a
figure gives no number but a finding that says what is missing.
"""

from __future__ import annotations

from collections.abc import Mapping

from ledger.ground import crop_entry
from ledger.model import Book, Definitions, Finding, Journal, Need
from ledger.need.desk import NeedDesk
from ledger.need.minerals import mineral_need
from ledger.need.nitrogen import nitrogen_need

__all__ = ["Needs", "need"]

Needs = Mapping[tuple[str, str], Need]


def need(book: Book, journal: Journal, definitions: Definitions) -> tuple[Needs, list[Finding]]:
    """Needs by (field, zone) in kg/ha; zones without a sound Crops line have none."""
    desk = NeedDesk(book=book, journal=journal, definitions=definitions)
    needs: dict[tuple[str, str], Need] = {}
    for group in book.zones.values():
        for zone in group:
            crop = crop_entry(book, zone)
            if crop is None or crop.faulty:
                continue
            nitrogen = nitrogen_need(crop, zone, desk)
            minerals = {
                n: mineral_need(n, crop, zone, desk) for n in definitions.nutrients if n != "N"
            }
            needs[zone.field, zone.zone] = Need(
                method=nitrogen.method,
                figures={
                    "N": nitrogen.figures["N"],
                    **{n: value for n, (value, _) in minerals.items()},
                },
                reasons=nitrogen.reasons,
                outright=nitrogen.outright,
                missing=nitrogen.missing,
                mineral_reasons={n: reasons for n, (_, reasons) in minerals.items() if reasons},
            )
    return needs, list(desk.found.values())
