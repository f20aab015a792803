"""How far the usable share of a manure's nitrogen reaches between the lab slips of its lot.

Where a set credits ammonium and organic nitrogen unlike, the credit is no share of the total
alone: it hangs on each figure of the slips. The ends are those of all figures at their ends.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import product

from ledger.model import Entry, Factor, Slips

COLUMNS = ("n_total", "n_ammonium", "n_nitrate")
NAME = "usable share of N at the ends of the slips"


def usable_at_ends(lot: Entry, credits: Mapping[str, float], used: float) -> tuple[Factor, ...]:
    """The factor that takes the total's ends to the credit's; none without several slips.

    ``credits`` is what the set makes usable of each pool, ``used`` the usable share of total N
    [fractions]. Times the least (most) total the factor's low (high) gives the least (most)
    credit, so its low may be above its high.
    """
    slips = lot.slips or {}
    told = {column: slips[column] for column in COLUMNS if column in slips}
    if set(credits) <= {"total"} or all(one.low is None for one in told.values()):
        return ()
    ends = {column: _ends(lot, column, told.get(column)) for column in COLUMNS}
    found = [_credit(t, a, n, credits) for t, a, n in product(*ends.values())]
    low_total, high_total = ends["n_total"][0], ends["n_total"][-1]
    cells = ", ".join(dict.fromkeys(cell for one in told.values() for cell in one.cells))
    factor = Factor(
        name=NAME,
        value=used,
        unit="fraction",
        origin=cells,
        low=min(found) / low_total if low_total else used,
        high=max(found) / high_total if high_total else used,
    )
    return (factor,)


def _ends(lot: Entry, column: str, slips: Slips | None) -> Sequence[float]:
    if slips is None or slips.low is None or slips.high is None:
        return (lot.number(column) or 0.0,)
    return slips.low, slips.high


def _credit(total: float, ammonium: float, nitrate: float, credits: Mapping[str, float]) -> float:
    """What is usable of an analysis; parts beyond the total leave nothing organic."""
    organic = max(total - ammonium - nitrate, 0.0)
    pools = {"total": total, "ammonium": ammonium, "nitrate": nitrate, "organic": organic}
    return sum(pools[name] * credit for name, credit in credits.items())
