"""Manure nitrogen: how an analysis divides into pools, and where each pool goes."""

from __future__ import annotations

from typing import NamedTuple

from ledger.formulas import limits

# An analysis whose parts add up to the total may come out this far below zero in binary.
FLOAT_DUST_FRACTION = 1e-9


class PoolSplit(NamedTuple):
    """Where one pool goes, in the unit of the amount that was split; the three sum to it."""

    available: float
    reserve: float
    air: float


def organic_nitrogen(total: float, ammonium: float, nitrate: float = 0.0) -> float:
    """Organic N = total N - ammonium N - nitrate N.

    Units: any one unit, all three as N. Error: ValueError below zero or when the parts
    exceed the total.
    Reference: Montana State University, CNMP workbook step 5; Alberta Agdex 400/28-3 p. 162.
    """
    limits.not_negative(total=total, ammonium=ammonium, nitrate=nitrate)
    organic = total - ammonium - nitrate
    if organic < -FLOAT_DUST_FRACTION * total:
        raise ValueError(
            f"ammonium {ammonium} and nitrate {nitrate} add up to more than the total {total}"
        )
    return max(organic, 0.0)


def split_pool(amount: float, *, retained: float, released: float) -> PoolSplit:
    """Split a pool: kept = amount x retained; available = kept x released.

    What is kept and not released is reserve; what is not kept has gone to the air.
    Units: amount in any unit; retained and released as fractions 0 to 1, released being a
    fraction of what was kept. Error: ValueError outside those limits.
    Reference: Alberta Agdex 400/28-3 (2007) case study for retention, p. 162 for release.
    """
    limits.not_negative(amount=amount)
    limits.fraction(retained=retained, released=released)
    kept = amount * retained
    available = kept * released
    return PoolSplit(available, kept - available, amount - kept)
