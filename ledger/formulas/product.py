"""Fertilizer products: content, rates, mixing, loads, prices and value.

Masses, areas and volumes are in any one consistent unit; grades are fractions by weight,
P as P2O5 and K as K2O.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil, isclose
from typing import NamedTuple

from ledger.formulas import limits

# Two numbers of loads closer than this are one number that met binary rounding.
FLOAT_DUST_FRACTION = 1e-9


class Blend(NamedTuple):
    """Density of a mix (mass per volume of its parts) and its grade (fraction by weight)."""

    density: float
    grade: dict[str, float]


def nutrient_in(mass: float, fraction: float) -> float:
    """Nutrient mass = product mass x grade.

    Units: any mass (or mass per area); fraction 0 to 1. Error: ValueError outside the limits.
    Reference: UW-Extension, FertMath (a grade is percent by weight for liquids too).
    """
    limits.not_negative(mass=mass)
    limits.fraction(fraction=fraction)
    return mass * fraction


def product_mass_rate(nutrient_rate: float, fraction: float) -> float:
    """Product rate = nutrient rate / grade.

    Units: mass per area, as the nutrient rate; fraction above 0 to 1. Error: ValueError for a
    negative rate or a product that holds none of the nutrient.
    Reference: Iowa State University Extension, product for a rotation N rate.
    """
    limits.not_negative(nutrient_rate=nutrient_rate)
    limits.part(fraction=fraction)
    return nutrient_rate / fraction


def product_volume_rate(nutrient_rate: float, fraction: float, density: float) -> float:
    """Solution rate = nutrient rate / (density x grade).

    Units: volume per area; density as mass per volume in the same mass and volume.
    Error: ValueError for a negative rate, no content or no density.
    Reference: UNL CropWatch 2016; Camberato (Purdue) 2023.
    """
    limits.positive(density=density)
    return product_mass_rate(nutrient_rate, fraction) / density


def blend(
    volumes: Sequence[float],
    densities: Sequence[float],
    grades: Sequence[Mapping[str, float]],
) -> Blend:
    """Mix solutions: mass_i = volume_i x density_i; grade = sum(mass_i x grade_i) / sum(mass_i).

    The density is total mass over the sum of volumes (ideal mixing: volumes add up; cutting
    UAN-32 with water to 28 % misses the handbook density by 0.4 %). A nutrient that a part
    does not list counts as none of it. Units: one volume and one mass unit; grades as fractions.
    Error: ValueError for lists of unequal length, a grade that is no fraction, an empty mix.
    Reference: mass balance.
    """
    limits.same_length(volumes=volumes, densities=densities, grades=grades)
    limits.not_negative(**{f"volume_{i}": volume for i, volume in enumerate(volumes, 1)})
    limits.positive(**{f"density_{i}": density for i, density in enumerate(densities, 1)})
    limits.positive(volume_of_the_mix=sum(volumes))
    masses = [volume * density for volume, density in zip(volumes, densities, strict=True)]
    return Blend(sum(masses) / sum(volumes), _mixed_grade(masses, grades))


def _mixed_grade(masses: list[float], grades: Sequence[Mapping[str, float]]) -> dict[str, float]:
    """Grade of the mix, one fraction for each nutrient that any part lists."""
    mixed: dict[str, float] = {}
    for mass, grade in zip(masses, grades, strict=True):
        limits.fraction(**grade)
        for nutrient, share in grade.items():
            mixed[nutrient] = mixed.get(nutrient, 0.0) + mass * share / sum(masses)
    return mixed


def price_per_nutrient(price_per_mass: float, fraction: float) -> float:
    """Price of a nutrient = price of the product / grade.

    Units: money per mass, as the product's price; fraction above 0 to 1. Error: ValueError for
    a negative price or a product without the nutrient.
    Reference: NMSU Guide A-133 (Flynn); UW-Extension FertMath.
    """
    limits.not_negative(price_per_mass=price_per_mass)
    limits.part(fraction=fraction)
    return price_per_mass / fraction


def residual_price(
    price_per_mass: float, *, fraction: float, other_fraction: float, other_price: float
) -> float:
    """Price of one nutrient of a two-nutrient product, the other paid at its own price.

    price = (product price - other grade x other price) / grade. Negative when the other
    nutrient alone is worth more than the product costs.
    Units: money per mass throughout; fractions 0 to 1. Error: ValueError outside the limits.
    Reference: NMSU Guide A-133 (Flynn), method for a product with two nutrients.
    """
    limits.not_negative(price_per_mass=price_per_mass, other_price=other_price)
    limits.part(fraction=fraction)
    limits.fraction(other_fraction=other_fraction)
    return (price_per_mass - other_fraction * other_price) / fraction


def loads_needed(total: float, usable: float) -> int:
    """Full and part loads = total / usable, rounded up.

    Units: one volume or mass unit. A quotient that misses a whole number by binary rounding
    alone counts as that number. Error: ValueError for a negative total or no usable volume.
    Reference: derived.
    """
    limits.not_negative(total=total)
    limits.positive(usable=usable)
    loads = total / usable
    whole = round(loads)
    return whole if isclose(loads, whole, rel_tol=FLOAT_DUST_FRACTION) else ceil(loads)


def area_per_load(usable: float, rate: float) -> float:
    """Area one load covers = usable load / rate.

    Units: the load in the rate's volume or mass; the rate's area comes out. Error: ValueError
    for a negative load or no rate.
    Reference: derived; MU and Iowa State sheets print 200 gal at 20 gal/ac as 10 ac.
    """
    limits.not_negative(usable=usable)
    limits.positive(rate=rate)
    return usable / rate


def order_quantity(total: float, allowance_fraction: float) -> float:
    """Amount to order = total x (1 + allowance).

    Units: as the total; the allowance is a fraction 0 to 1. Error: ValueError outside that.
    Reference: derived.
    """
    limits.not_negative(total=total)
    limits.fraction(allowance_fraction=allowance_fraction)
    return total * (1 + allowance_fraction)


def nutrient_value(
    amounts: Mapping[str, float | None], prices: Mapping[str, float | None]
) -> float | None:
    """Value = sum of amount x price over nutrients; None when a part of it is unknown.

    A nutrient with amount zero needs no price. An unknown amount (None), or an amount whose
    price is absent or None, makes the sum unknown: a part is never shown as the whole.
    Units: amounts in one mass unit (or mass per area), prices per that mass.
    Error: ValueError for a negative amount or price.
    Reference: UW-Madison Extension (Clark 2023) and NDSU 2021, value from contents and prices.
    """
    values = [_value_of(amount, prices.get(nutrient)) for nutrient, amount in amounts.items()]
    known = [value for value in values if value is not None]
    return sum(known) if len(known) == len(values) else None


def _value_of(amount: float | None, price: float | None) -> float | None:
    """Amount x price; None when either is unknown, except that nothing is worth nothing."""
    if amount == 0:
        return 0.0
    if amount is None or price is None:
        return None
    limits.not_negative(amount=amount, price=price)
    return amount * price
