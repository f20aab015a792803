"""Nitrogen is conserved: what a lot brought is used, in reserve or in the air, over the years.

Three crop years are carried one into the next, with spreading in each. A lot's total is
reckoned here from amounts and analysis, apart from the ledger.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from workbooks import SHIPPED, YEAR, Entries, run

from ledger.carry import carry
from ledger.model import LotYears, Results
from ledger.years import years

LB = 0.45359237
AREAS = {"Home": 40, "Creek": 12.5}
LOTS = {"Pit": ("hog liquid", "liquid", "1000 gal", "gal/ac", 1000, 5000),
        "Pack": ("beef solid", "solid", "ton", "ton/ac", 1, 15)}  # fmt: skip
SETS = sorted(SHIPPED.manure_sets)
# Sets that speak of shares of total N book what they never credit to the air, so that after
# their last year nothing is left in reserve.
SHARE_SETS = [
    name for name in SETS if all(t.rest == "air" for t in SHIPPED.manure_sets[name].nitrogen)
]


@st.composite
def spreading(draw: st.DrawFn) -> dict[str, Any]:
    """A line of manure on a whole field; the day is put in later."""
    lot = draw(st.sampled_from(sorted(LOTS)))
    _, _, _, unit, low, high = LOTS[lot]
    return {
        "lot": lot,
        "field": draw(st.sampled_from(sorted(AREAS))),
        "amount": draw(st.integers(low, high)),
        "unit": unit,
        "method": draw(st.sampled_from(["broadcast", "injected sweep", "irrigated"])),
        "incorporated_after_h": draw(st.sampled_from([3, 20, 48, "never"])),
        "weather": draw(st.sampled_from(["average", "cool-wet", "warm-dry"])),
    }


@st.composite
def lots(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Analyses of both lots; ammonium is part of the total."""
    found = []
    for name, (kind, form, per, *_) in LOTS.items():
        total = draw(st.integers(5, 60))
        ammonium = draw(st.integers(0, total))
        found.append({"lot": name, "kind": kind, "form": form, "per": per, "n_total": total,
                      "n_ammonium": ammonium, "p2o5": 10, "k2o": 10, "s": 1,
                      "dry_matter_pct": draw(st.integers(2, 60))})  # fmt: skip
    return found


FIRST: Entries = {"fields": [{"field": name, "area": area} for name, area in AREAS.items()]}
SEASON = st.lists(spreading(), max_size=3)
QUICK = settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.too_slow])


def three_years(
    analyses: list[dict[str, Any]], seasons: Sequence[list[dict[str, Any]]], chosen: str
) -> list[Results]:
    """Results of three years, each begun with what the one before carried."""
    entries: Entries = {**FIRST, "manure_lots": analyses, "farm": [{"manure_set": chosen}]}
    found = []
    for number, season in enumerate(seasons):
        year = YEAR + number
        entries["farm"] = [{**entries["farm"][0], "year": year}]
        entries["manure_spread"] = [{**line, "date": f"{year}-04-02"} for line in season]
        results = run(entries).results
        found.append(results)
        carried = carry(results, SHIPPED)
        assert carried.year == year + 1
        entries = {name: list(rows) for name, rows in carried.entries.items()}
    return found


def brought(line: dict[str, Any], analyses: list[dict[str, Any]]) -> float:
    """Nitrogen of a line [kg], by hand."""
    lot = next(one for one in analyses if one["lot"] == line["lot"])
    per = 1000 if line["unit"] == "gal/ac" else 1
    return float(line["amount"] / per * lot["n_total"] * AREAS[line["field"]] * LB)


def conserved(one: LotYears, total: float) -> None:
    """In = used + left + air + not divided, and nothing is given twice."""
    assert one.total == pytest.approx(total, rel=1e-9)
    parts = (one.used, one.left, one.air, one.undivided)
    assert sum(parts) == pytest.approx(total, rel=1e-9)
    assert all(part >= -1e-9 * total for part in parts)


@QUICK
@given(lots(), st.tuples(SEASON, SEASON, SEASON), st.sampled_from(SETS))
def test_nitrogen_of_every_lot_is_conserved_over_three_carried_years(
    analyses: list[dict[str, Any]], seasons: tuple[list[dict[str, Any]], ...], chosen: str
) -> None:
    together = years(three_years(analyses, seasons, chosen), SHIPPED)
    sums: dict[tuple[int, str], float] = {}
    for number, season in enumerate(seasons):
        for line in season:
            key = (YEAR + number, line["lot"])
            sums[key] = sums.get(key, 0.0) + brought(line, analyses)
    assert {(one.year, one.lot) for one in together.lots} == set(sums)
    for one in together.lots:
        conserved(one, sums[one.year, one.lot])


@QUICK
@given(lots(), SEASON.filter(bool), st.sampled_from(SHARE_SETS))
def test_a_share_set_leaves_nothing_in_reserve_after_its_last_year(
    analyses: list[dict[str, Any]], season: list[dict[str, Any]], chosen: str
) -> None:
    together = years(three_years(analyses, (season, [], []), chosen), SHIPPED)
    for one in together.lots:
        assert one.left == pytest.approx(0, abs=1e-9 * one.total)
