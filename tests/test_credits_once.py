"""No credit twice: every way to reckon the need against every supply, and supplies together.

``Yield factor`` contains no credit, so that what a supply takes off there is its worth. With
any other method the same supply takes off its worth or, when the method says that it holds
the supply already, nothing. Amounts are invented.
"""

from __future__ import annotations

from itertools import combinations

import pytest
from lines import farm, lot, table
from workbooks import SHIPPED, document, figures

GROUND = "## fields\n| field | area |\n| Home | 40 |\n" + lot()
TEST_DAY, BEFORE, AFTER = "2026-06-05", "2026-05-01", "2026-06-20"
# 3 ppm to two feet is what EC117 takes unsampled, so that the sample does not move its answer
SAMPLES = """
## soil_tests
| field | date       | om_pct | nitrate_ppm | nitrate_depth | sample_kind           |
| Home  | 2025-10-01 | 2      |             |               | routine               |
| Home  | 2026-06-05 |        | 5           | 12            | pre-sidedress nitrate |
"""
PREPLANT = """
## soil_tests
| field | date       | nitrate_ppm | nitrate_depth | sample_kind      |
| Home  | 2026-04-01 | 3           | 24            | preplant nitrate |
"""


def spread(day: str) -> str:
    cells = {"date": day, "lot": "Pit", "field": "Home", "amount": 1000, "unit": "gal/ac"}
    return table("manure_spread", {**cells, "method": "injected sweep"})


def fed(day: str) -> str:
    cells = {"date": day, "pass": "planter", "product": "urea", "field": "Home"}
    return table("fertilizer", {**cells, "amount": 20, "unit": "lb/ac"})


def credit(day: str | None) -> str:
    cells = {"field": "Home", "kind": "irrigation nitrate", "amount": 7, "unit": "lb/ac"}
    return table("credits", {**cells, "date": day})


PAST = table(
    "past_manure",
    {"year": 2025, "field": "Home", "kind": "beef solid", "n_organic": 60, "n_total": 90},
)
# supply -> (lines, cells of the Crops line, what a method calls it when it holds it already)
SUPPLIES: dict[str, tuple[str, dict[str, object], str]] = {
    "crop before": ("", {"previous_crop": "soybean"}, "previous crop"),
    "soil nitrate": (PREPLANT, {}, "soil nitrate"),
    "earlier manure": (PAST, {}, "residual manure"),
    "manure before the test": (spread(BEFORE), {}, "manure before test"),
    "manure after the test": (spread(AFTER), {}, ""),
    "fertilizer before the test": (fed(BEFORE), {}, "fertilizer before test"),
    "fertilizer after the test": (fed(AFTER), {}, ""),
    "water before the test": (credit(BEFORE), {}, "credits before test"),
    "water after the test": (credit(AFTER), {}, ""),
    "water without a day": (credit(None), {}, ""),
}
WAYS = {
    **{m: (m, "Iowa-LSNT") for m in SHIPPED.need.methods if m != "pre-sidedress nitrate"},
    **{s: ("pre-sidedress nitrate", s) for s in ("Iowa-LSNT", "Ohio-PSNT")},
}


def contained(way: str) -> frozenset[str]:
    method, chosen = WAYS[way]
    inside = SHIPPED.need.methods[method].contains
    test = method == "pre-sidedress nitrate"
    return inside | SHIPPED.need.nitrate_sets[chosen].contains if test else inside


def to_go(way: str, *names: str) -> float:
    """What is to go with some supplies, by one way; need less supply is the same figure."""
    method, chosen = WAYS[way]
    cells: dict[str, object] = {"field": "Home", "crop": "corn", "yield_goal": 200}
    cells |= {"n_method": method, "n_entered": 200, "n_per_yield": 1}
    source = farm(nitrate_set=chosen, legume_set="general") + GROUND + SAMPLES
    for name in names:
        lines, more, _ = SUPPLIES[name]
        source, cells = source + lines, {**cells, **more}
    found = figures(document(source + table("crops", cells)))
    left: float = found["to_go"]
    assert left == pytest.approx(found["need"] - found["supply"], abs=1e-9)
    return left


def worth(name: str) -> float:
    """What a supply takes off where no credit is contained."""
    return to_go("yield factor") - to_go("yield factor", name)


@pytest.mark.parametrize("name", SUPPLIES)
def test_every_supply_is_worth_something(name: str) -> None:
    assert worth(name) > 3


@pytest.mark.parametrize("name", SUPPLIES)
@pytest.mark.parametrize("way", WAYS)
def test_a_supply_counts_once_or_is_contained(way: str, name: str) -> None:
    inside = SUPPLIES[name][2] in contained(way)
    taken = to_go(way) - to_go(way, name)
    assert taken == pytest.approx(0 if inside else worth(name), abs=1e-9)


@pytest.mark.parametrize("way", WAYS)
def test_two_supplies_take_off_what_each_does_alone(way: str) -> None:
    bare = to_go(way)
    alone = {name: bare - to_go(way, name) for name in SUPPLIES}
    for first, second in combinations(SUPPLIES, 2):
        both = bare - to_go(way, first, second)
        assert both == pytest.approx(alone[first] + alone[second], abs=1e-9), (first, second)


def test_what_the_methods_say_they_contain_is_tried_here() -> None:
    said = set().union(*(contained(way) for way in WAYS))
    assert said == {name for _, _, name in SUPPLIES.values() if name}
