"""Soil and water: what a test or a wet spell means in mass per area."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.formulas import limits

# 1 mg/kg x 1 m x 10,000 m2/ha x 1,000 L/m3 x 1 kg/L x 1e-6 kg/mg
KG_HA_PER_PPM_M_KG_L = 10.0
# 1 mm on 1 ha is 10,000 L; at 1 mg/L that is 0.01 kg
PPM_MM_PER_KG_HA = 100.0


def depth_weighted(values: Sequence[float], depths: Sequence[float]) -> float:
    """Mean over layers = sum(value x thickness) / sum(thickness).

    Units: values in any one unit; depths are layer thicknesses in any one unit, above zero.
    Error: ValueError for lists of unequal length or a value below zero.
    Reference: University of Nebraska EC117 (root-zone mean nitrate).
    """
    limits.same_length(values=values, depths=depths)
    limits.not_negative(**{f"value_{i}": value for i, value in enumerate(values, 1)})
    limits.positive(**{f"depth_{i}": depth for i, depth in enumerate(depths, 1)})
    weighted = sum(value * depth for value, depth in zip(values, depths, strict=True))
    return weighted / sum(depths)


def ppm_to_mass_per_area(ppm: float, *, depth_m: float, bulk_density: float) -> float:
    """kg/ha = ppm x depth x bulk density x 10.

    Units: ppm by weight (mg/kg), thickness in m, bulk density in kg/L (the same number as
    g/cm3). Error: ValueError below zero, or no depth or density. Reference: unit identity.
    """
    limits.not_negative(ppm=ppm)
    limits.positive(depth=depth_m, bulk_density=bulk_density)
    return ppm * depth_m * bulk_density * KG_HA_PER_PPM_M_KG_L


def convention_mass(ppm: float, factor: float) -> float:
    """Mass per area = ppm x the factor a laboratory or guide uses for its sampling depth.

    Units: the factor's. Error: ValueError below zero or for no factor.
    Reference: Nafziger (Illinois): 2 for a plow layer, 4 for a foot, in lb/ac per ppm.
    """
    limits.not_negative(ppm=ppm)
    limits.positive(factor=factor)
    return ppm * factor


def water_nitrate(ppm: float, depth_mm: float) -> float:
    """N in irrigation water, kg/ha = ppm nitrate-N x mm / 100.

    Units: ppm of N (not of nitrate) by weight in water of 1 kg/L; depth of water in mm.
    Error: ValueError below zero. Reference: unit identity; UC ANR prints 0.227 lb/ac-inch.
    """
    limits.not_negative(ppm=ppm, depth=depth_mm)
    return ppm * depth_mm / PPM_MM_PER_KG_HA


def wet_loss(
    applied: float, *, nitrate_fraction: float, days: float, daily: float, free_days: float
) -> float:
    """N lost in saturated soil = applied x nitrate share x daily share x (days - free days).

    Days within the allowance lose nothing, and no more is lost than there is nitrate.
    Units: as applied; nitrate_fraction and daily as fractions 0 to 1; days of saturation.
    Error: ValueError outside the limits.
    Reference: University of Kentucky (two free days); Iowa State (none).
    """
    limits.not_negative(applied=applied, days=days, free_days=free_days)
    limits.fraction(nitrate_fraction=nitrate_fraction, daily=daily)
    share = min(1.0, daily * max(0.0, days - free_days))
    return applied * nitrate_fraction * share
