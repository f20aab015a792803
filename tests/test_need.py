"""Need by every method, taken through the ledger; credits; what is missing is said, not guessed.

Constructed cases repeat published equations with invented fields; sources stand beside them.
"""

from __future__ import annotations

from typing import Any

import pytest
from lines import farm, table
from us_units import LB_AC
from workbooks import Document, codes, document, figures

GROUND = "## fields\n| field | area |\n| Home | 40 |\n"
BUSHEL_AC_TO_T_HA = 56 * 0.45359237 / 0.40468564224 / 1000  # corn of 56 lb


def crop(**cells: object) -> str:
    """Corn at 200 bu/ac."""
    return table("crops", {"field": "Home", "crop": "corn", "yield_goal": 200, **cells})


def soil(**cells: object) -> str:
    """A routine soil test."""
    return table("soil_tests", {"field": "Home", "date": "2025-10-01", **cells})


def nitrate(ppm: float, kind: str = "pre-sidedress nitrate", **cells: object) -> str:
    """A nitrate sample of the top foot."""
    base = {"field": "Home", "date": "2026-06-05", "nitrate_ppm": ppm, "nitrate_depth": 12}
    return table("soil_tests", {**base, "sample_kind": kind, **cells})


def need(source: str, **more: Any) -> Any:
    return figures(document(GROUND + source, **more))["need"]


def plan(result: Document) -> Any:
    """The only item of the plan."""
    (item,) = result["plan"]
    return item


# --------------------------------------------------------------------- yield factor
def test_corn_without_a_factor_takes_the_rule_of_thumb_and_says_so() -> None:
    # one pound a bushel: Beegle 2007 and Progressive Farmer 2021; the range is common practice
    result = document(GROUND + crop(n_method="yield factor", yield_goal=230))
    assert figures(result)["need"] == pytest.approx(230, rel=1e-12)
    (said,) = [f for f in result["findings"] if f["code"] == "yield-factor-taken"]
    assert "0.8 to 1.2" in said["message"] and "Agronomy" in said["message"]


def test_the_rule_of_thumb_is_the_same_in_metric() -> None:
    goal = 230 * BUSHEL_AC_TO_T_HA
    source = crop(n_method="yield factor", yield_goal=goal)
    assert need(source, system="metric") == pytest.approx(230 * LB_AC, rel=1e-9)


@pytest.mark.parametrize(
    ("goal", "factor", "published"),
    [
        # https://www.dtnpf.com/agriculture/web/ag/magazine/article/2021/06/03/nitrogen-math
        pytest.param(240, 1.0, 240, id="Progressive Farmer 2021: after corn"),
        pytest.param(240, 0.8, 192, id="Progressive Farmer 2021: after soybean, printed 190"),
    ],
)
def test_yield_factor_of_the_person(goal: float, factor: float, published: float) -> None:
    by_crop = crop(n_method="yield factor", yield_goal=goal, n_per_yield=factor)
    by_farm = farm(n_per_yield=factor) + crop(n_method="yield factor", yield_goal=goal)
    assert need(by_crop) == pytest.approx(published)
    assert need(by_farm) == pytest.approx(published)


@pytest.mark.parametrize(
    ("name", "goal", "factor", "published"),
    [
        # Oklahoma State in Enid News 2021, 40 bu of wheat at 2 lb
        pytest.param("wheat", 40, 2, 80, id="Oklahoma State: wheat"),
        # K-State (Mengel), old rule, 3 tons at 40 lb
        pytest.param("bromegrass", 3, 40, 120, id="K-State: bromegrass"),
    ],
)
def test_other_crops_by_their_own_factor(
    name: str, goal: float, factor: float, published: float
) -> None:
    source = crop(crop=name, n_method="yield factor", yield_goal=goal, n_per_yield=factor)
    assert need(source) == pytest.approx(published)


def test_the_farms_factor_is_not_used_on_bushels_or_tons_of_other_crops() -> None:
    result = document(farm(n_per_yield=0.9) + GROUND + crop(crop="wheat", n_method="yield factor"))
    assert figures(result)["need"] is None
    assert "need-figure-missing" in codes(result)
    assert "N per unit of yield" in plan(result)["remark"]


def test_a_legume_without_a_factor_is_not_asked_for_one() -> None:
    source = farm(n_method="yield factor", n_per_yield=0.9) + GROUND + crop(crop="soybean")
    result = document(source)
    assert figures(result)["need"] is None
    assert "need-figure-missing" not in codes(result)
    assert "soybean fetches its own nitrogen" in plan(result)["remark"]


def test_a_field_without_a_yield_goal_shows_what_is_missing() -> None:
    result = document(GROUND + crop(n_method="yield factor", yield_goal=None))
    item = plan(result)
    assert item["need"] is None and item["to_go"] is None and item["rate"] is None
    assert "Yield goal" in item["remark"]


# --------------------------------------------------------------------------- EC117
EC117 = [
    pytest.param(200, 2, None, 195.00, id="default nitrate"),
    pytest.param(200, 4, None, 167.00, id="organic matter capped at 3"),
    pytest.param(180, 0.3, "sandy", 226.40, id="sandy default, organic matter raised to 0.5"),
]


@pytest.mark.parametrize(("goal", "matter", "texture", "expected"), EC117)
def test_ec117(goal: float, matter: float, texture: str | None, expected: float) -> None:
    # constructed from the equation of University of Nebraska EC117 (educator note, March 2021)
    source = crop(n_method="EC117", yield_goal=goal, soil=texture) + soil(om_pct=matter)
    assert need(source) == pytest.approx(expected, abs=0.005)


def test_ec117_takes_the_mean_of_the_layers_by_their_depth() -> None:
    # (12 in x 9 + 12 in x 3) / 24 in = 6 ppm; three above the default, 8 lb each
    layers = "".join(
        nitrate(ppm, "preplant nitrate", date="2026-04-01", nitrate_depth=depth)
        for ppm, depth in ((9, 12), (3, 24))
    )
    source = crop(n_method="EC117") + soil(om_pct=2) + layers
    assert need(source) == pytest.approx(195 - 3 * 8)


def test_ec117_less_the_alfalfa_credit() -> None:
    # constructed: EC117 less 150 for a good stand on medium soil, UNL 2017 Table 1
    source = farm(legume_set="Nebraska-EC117") + GROUND + soil(om_pct=2)
    killed = {"previous_crop": "alfalfa", "stand": "good", "soil": "medium or fine"}
    result = document(source + crop(n_method="EC117", **killed))
    assert figures(result)["to_go"] == pytest.approx(45)


def test_ec117_without_organic_matter_says_so() -> None:
    result = document(GROUND + crop(n_method="EC117"))
    assert figures(result)["need"] is None
    assert "Organic matter" in plan(result)["remark"]


def test_nitrate_of_another_crop_year_is_not_used() -> None:
    old = nitrate(20, "preplant nitrate", date="2025-04-01", nitrate_depth=24)
    source = crop(n_method="EC117") + soil(om_pct=2)
    assert need(source + old) == need(source)
    credited = GROUND + crop(n_entered=150) + old
    assert figures(document(credited))["credits"] == 0


# --------------------------------------------------------------- nitrate tests
def sidedress(source: str, **cells: object) -> Any:
    """What is to go by the nitrate test."""
    return figures(document(source + GROUND + crop(n_method="pre-sidedress nitrate", **cells)))


@pytest.mark.parametrize(
    ("ppm", "rain", "expected"),
    [(14, None, 88), (25, None, 0), (31, None, 0), (14, "wet", 7 * 8)],
)
def test_iowa_late_spring_test(ppm: float, rain: str | None, expected: float) -> None:
    # constructed from PM 1714 (Lang 2004): (25 - ppm) x 8, 20 to 22 in a wet spring
    assert sidedress(nitrate(ppm, spring_rain=rain))["to_go"] == pytest.approx(expected)


def test_samples_of_one_day_are_averaged() -> None:
    assert sidedress(nitrate(10) + nitrate(18))["to_go"] == pytest.approx(88)


def test_a_test_of_last_year_does_not_count() -> None:
    assert sidedress(nitrate(14, date="2025-06-05"))["to_go"] is None


@pytest.mark.parametrize(("ppm", "left"), [(8, 185), (12, 155), (18, 140), (22, 95), (26, 0)])
def test_ohio_steps(ppm: float, left: float) -> None:
    # Ohio State C.O.R.N. 2022: 0, 30, 45, 90 lb off a base, none above 25 ppm; base of 185 lb
    # from LaBarge 2023
    source = farm(nitrate_set="Ohio-PSNT") + nitrate(ppm)
    assert sidedress(source, n_entered=185)["to_go"] == pytest.approx(left)


def test_penn_state_history() -> None:
    # constructed from Agronomy Guide Table 1.4-4: 1.1 x 150 - (0.75 + 1) x 12 = 144
    source = farm(nitrate_set="PennState-PSNT") + nitrate(12)
    told = sidedress(source, yield_goal=150, previous_crop="soybean")
    assert told["to_go"] == pytest.approx(144)
    manured = table("past_manure", {
        "year": 2025, "field": "Home", "kind": "beef solid", "n_organic": 60, "n_total": 90,
    })  # fmt: skip
    told = sidedress(source + manured, yield_goal=150, previous_crop="corn")
    assert told["to_go"] == pytest.approx(1.1 * 150 - (0.75 + 1.75) * 12)


def test_a_bushel_equation_is_not_used_on_silage() -> None:
    source = farm(nitrate_set="PennState-PSNT") + nitrate(12)
    told = document(
        source + GROUND + crop(crop="corn silage", yield_goal=22, n_method="pre-sidedress nitrate")
    )
    assert figures(told)["need"] is None
    assert "method-does-not-fit" in codes(told)


# -------------------------------------------------------------------- credits
NEBRASKA = [
    ("good", "medium or fine", 150), ("fair", "medium or fine", 120),
    ("poor", "medium or fine", 90), ("good", "sandy", 100), ("fair", "sandy", 70),
    ("poor", "sandy", 40),
]  # fmt: skip


@pytest.mark.parametrize(("stand", "texture", "credit"), NEBRASKA)
def test_nebraska_alfalfa_credits(stand: str, texture: str, credit: float) -> None:
    # University of Nebraska 2017, Table 1
    cells = {"previous_crop": "alfalfa", "stand": stand, "soil": texture}
    source = farm(legume_set="Nebraska-EC117") + GROUND
    result = document(source + crop(n_method="yield factor", **cells))
    assert figures(result)["credits"] == pytest.approx(credit)


@pytest.mark.parametrize(("stand", "credit"), [("good", 150), ("fair", 100), ("poor", 50)])
def test_minnesota_alfalfa_credits(stand: str, credit: float) -> None:
    # University of Minnesota and USDA in Hay & Forage Grower, 2014
    cells = {"previous_crop": "alfalfa", "stand": stand}
    result = document(GROUND + crop(n_method="yield factor", **cells))
    assert figures(result)["credits"] == pytest.approx(credit)


@pytest.mark.parametrize(
    ("chosen", "before", "credit"),
    [
        pytest.param("general", "soybean", 30, id="Tri-State 1995: soybean"),
        pytest.param("Missouri-coop", "corn", -10, id="Missouri: corn after corn wants more"),
        pytest.param("Missouri-coop", "grain sorghum", -20, id="Missouri: after sorghum"),
    ],
)
def test_credit_of_the_crop_before(chosen: str, before: str, credit: float) -> None:
    source = farm(legume_set=chosen) + GROUND
    result = document(source + crop(n_method="yield factor", previous_crop=before))
    assert figures(result)["credits"] == pytest.approx(credit)
    assert figures(result)["to_go"] == pytest.approx(200 - credit)


def water(ppm: float, depth: float, **cells: object) -> str:
    base = {"field": "Home", "kind": "irrigation nitrate", "water_ppm": ppm}
    return table("credits", {**base, "water_depth": depth, **cells})


@pytest.mark.parametrize(
    ("ppm", "inches", "published"),
    [
        # https://ucanr.edu/sites/INM/NM/N_in_water/ ; nearest pound
        pytest.param(20, 24, 109, id="UC ANR: strawberry"),
        # https://ucanr.edu/sites/Nutrient_Management_Solutions/
        pytest.param(10, 12, 27, id="UC ANR: an acre-foot"),
    ],
)
def test_nitrate_in_irrigation_water(ppm: float, inches: float, published: float) -> None:
    result = document(GROUND + crop(n_entered=150) + water(ppm, inches))
    assert figures(result)["credits"] == pytest.approx(published, abs=0.5)
    assert not {"credit-amount-missing", "required-blank"} & codes(result)


def test_water_on_a_part_of_the_field_and_in_metric() -> None:
    whole = figures(document(GROUND + crop(n_entered=150) + water(9, 8)))["credits"]
    circle = document(GROUND + crop(n_entered=150) + water(9, 8, area_covered=30))
    assert figures(circle)["credits"] == pytest.approx(whole * 30 / 40)
    metric = document(GROUND + crop(n_entered=150) + water(9, 8 * 25.4), system="metric")
    assert figures(metric)["credits"] == pytest.approx(whole * LB_AC, rel=1e-9)


def test_a_soil_nitrate_credit_by_the_plow_layer() -> None:
    # Nafziger (Illinois): 10 ppm in a 6 to 7 inch sample is about 20 lb
    layer = nitrate(10, "preplant nitrate", date="2026-04-01", nitrate_depth=6.666667)
    result = document(GROUND + crop(n_entered=150) + layer)
    assert figures(result)["credits"] == pytest.approx(20, abs=1e-6)


# --------------------------------------------------- phosphate, potash, sulfur
TESTED = {"p_ppm": 30, "p_method": "Mehlich-3", "k_method": "Mehlich-3", "cec": 12}


def minerals(nutrient: str, source: str, **cells: object) -> Any:
    return figures(document(GROUND + crop(**cells) + source), nutrient)["need"]


@pytest.mark.parametrize(("ppm", "added"), [(95, 20), (125, 20), (175, None)])
def test_tri_state_potash(ppm: float, added: float | None) -> None:
    # Bulletin 974 (2020) levels and ANR-96: removal plus 20 lb up to 170 ppm, then nothing.
    # Below 120 the guide leaves the build-up to the grower: the same is shown, with a note
    removed = minerals("K2O", "", pk_method="removal")
    tested = minerals("K2O", soil(k_ppm=ppm, **TESTED), pk_method="soil test")
    assert tested == pytest.approx(0 if added is None else removed + added)


def test_a_phosphate_limit_from_memory_is_marked() -> None:
    told = document(GROUND + crop(pk_method="soil test") + soil(k_ppm=125, **TESTED))
    said = [f["message"] for f in told["findings"] if f["code"] == "from-memory"]
    assert any("P2O5 maintenance limit" in text for text in said)


def test_another_extractant_is_never_converted() -> None:
    olsen = soil(**{**TESTED, "p_method": "Olsen"}, k_ppm=125)
    assert minerals("P2O5", olsen, pk_method="soil test") is None


def test_an_entered_figure_wins_and_none_is_unknown() -> None:
    assert minerals("P2O5", "", p2o5_entered=45, pk_method="removal") == pytest.approx(45)
    assert minerals("S", "", pk_method="entered") is None


# --------------------------------------------------------------------- units
@pytest.mark.parametrize("method", ["yield factor", "EC117", "pre-sidedress nitrate"])
def test_us_and_metric_needs_agree(method: str) -> None:
    us = soil(om_pct=2.4) + nitrate(14) + crop(n_method=method)
    metric = (
        soil(om_pct=2.4)
        + nitrate(14, nitrate_depth=12 * 2.54)
        + crop(n_method=method, yield_goal=200 * BUSHEL_AC_TO_T_HA)
    )
    assert need(us) * LB_AC == pytest.approx(need(metric, system="metric"), rel=1e-9)
