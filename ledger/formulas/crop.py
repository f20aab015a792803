"""Crops: moisture, content and removal.

Moisture is wet basis: percent water in the harvested material.
"""

from __future__ import annotations

from ledger.formulas import limits
from ledger.formulas.limits import WHOLE_PCT


def to_moisture(mass: float, *, moisture_pct: float, standard_pct: float) -> float:
    """Mass at standard moisture = mass x (100 - moisture) / (100 - standard).

    The dry matter stays as it is; nothing is clamped, so a crop drier than standard gains.
    Units: any mass or mass per area. Limits: moisture 0 to below 100 percent.
    Error: ValueError outside them. Reference: UF EDIS AG442.
    """
    limits.not_negative(mass=mass)
    limits.moisture(moisture_pct=moisture_pct, standard_pct=standard_pct)
    return mass * (WHOLE_PCT - moisture_pct) / (WHOLE_PCT - standard_pct)


def content_at_moisture(content: float, *, from_pct: float, to_pct: float) -> float:
    """Content at another moisture = content x (100 - to) / (100 - from).

    From 0 percent turns a dry-matter content into one as fed.
    Units: content as mass per mass, any unit. Limits: moisture 0 to below 100 percent.
    Error: ValueError outside them. Reference: UNL CropWatch 2012; Iowa State ICM 2017.
    """
    limits.not_negative(content=content)
    limits.moisture(from_pct=from_pct, to_pct=to_pct)
    return content * (WHOLE_PCT - to_pct) / (WHOLE_PCT - from_pct)


def removal(mass: float, fraction: float) -> float:
    """Nutrient removed = harvested mass x content, both at one moisture.

    Units: any mass or mass per area; content as a fraction 0 to 1 of that mass.
    Error: ValueError outside the limits. Reference: IPNI Plant Nutrition Today, Fall 2008 no. 4.
    """
    limits.not_negative(mass=mass)
    limits.fraction(fraction=fraction)
    return mass * fraction


def shrink_per_point(standard_pct: float) -> float:
    """Percent of mass lost in drying by one point of moisture = 100 / (100 - standard).

    Water alone; handling loss is not in it. Limits: 0 to below 100 percent.
    Error: ValueError outside them. Reference: Purdue field guide via Farm Progress (1.176 at 15).
    """
    limits.moisture(standard_pct=standard_pct)
    return WHOLE_PCT / (WHOLE_PCT - standard_pct)


def protein_to_nitrogen(protein_pct: float, divisor: float) -> float:
    """N percent = crude protein percent / divisor, on the protein's own moisture basis.

    Limits: protein 0 or more; divisor above 0 (it depends on the material, so it is data).
    Error: ValueError outside them. Reference: National Research Council 2003, Appendix D p. 209.
    """
    limits.not_negative(protein_pct=protein_pct)
    limits.positive(divisor=divisor)
    return protein_pct / divisor
