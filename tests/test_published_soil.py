"""Published worked examples of soil and water tests and of loss in wet soil."""

import pytest
from us_units import INCH_MM, LB_AC

from ledger import formulas

FOOT_MM = 12 * INCH_MM
NITRATE_TO_N = 0.225897  # templates/conversions.json, nitrate-to-n


# UC ANR: https://ucanr.edu/sites/INM/NM/N_in_water/ (109 lb, nearest lb)
# UC ANR: https://ucanr.edu/sites/Nutrient_Management_Solutions/Nitrogen_Management_and_Budgeting/
#   Nitrogen_in_Irrigation_Water/index.cfm (27 lb, nearest lb)
# North Platte NRD: https://www.npnrd.org/water-management/best-management-practices/
#   nitrogen-credits-for-soil-and-water.html (2.72 lb per ppm and acre-foot)
# Colorado fact sheet on irrigation-water nitrogen credits (0.23 lb per ppm and inch)
WATER = [
    pytest.param(20, 24 * INCH_MM, 109, 0.5, id="UC ANR: strawberry"),
    pytest.param(10, FOOT_MM, 27, 0.5, id="UC ANR: an acre-foot"),
    pytest.param(1, FOOT_MM, 2.72, 0.005, id="North Platte NRD: an acre-foot"),
    pytest.param(1, INCH_MM, 0.227, 0.0005, id="UC ANR: an inch"),
    pytest.param(1, INCH_MM, 0.23, 0.005, id="Colorado: an inch"),
]


@pytest.mark.parametrize(("ppm", "depth_mm", "published", "within"), WATER)
def test_nitrate_in_irrigation_water(
    ppm: float, depth_mm: float, published: float, within: float
) -> None:
    assert formulas.water_nitrate(ppm, depth_mm) / LB_AC == pytest.approx(published, abs=within)


def test_nitrate_becomes_nitrate_nitrogen_first() -> None:
    # UC ANR (above): 45 ppm nitrate is 10 ppm nitrate-N; nearest ppm
    assert formulas.nutrient_in(45, NITRATE_TO_N) == pytest.approx(10, abs=0.5)


@pytest.mark.parametrize(
    ("ppm", "factor", "published"),
    [
        pytest.param(20, 4, 80, id="Illinois: top foot"),
        pytest.param(10, 2, 20, id="Illinois: 6 to 7 inches"),
        pytest.param(30, 2, 60, id="Ohio State: soil-test P"),
    ],
)
def test_soil_ppm_by_convention(ppm: float, factor: float, published: float) -> None:
    # Nafziger: http://cornandsoybeandigest.com/fertilizer/sample-spring-soil-nitrogen-adjust-rates-when-needed?page=2
    # Ohio State: https://agbmps.osu.edu/faq/understanding-soil-test-reports-phosphorus-values
    assert formulas.convention_mass(ppm, factor) == pytest.approx(published)


def test_general_soil_mass_has_the_two_million_pound_layer_as_a_case() -> None:
    # MU Extension WQ420 (ppm x 2 for six inches); computed: 0.2266 x 6.67 in x 1.323 g/cm3
    mass = formulas.ppm_to_mass_per_area(1, depth_m=6.67 * 0.0254, bulk_density=1.323)
    assert mass / LB_AC == pytest.approx(2, abs=0.005)


def test_root_zone_mean_weighs_by_depth() -> None:
    # EC117 definition; layers constructed: (12 x 8 + 6 x 16) / 24
    assert formulas.depth_weighted([12, 6], [8, 16]) == pytest.approx(8)


@pytest.mark.parametrize(
    ("applied", "nitrate", "days", "daily", "free", "published", "within"),
    [
        # http://www.agweb.com/farmjournal/article/how_to_calculate_n_loss_after_torrential_rains_naa_ben_potter/
        pytest.param(120, 0.95, 10, 0.04, 0, 45, 1, id="Iowa State 2014: UAN, 45.6 cut to 45"),
        # https://no-tillfarmer.com/articles/1438-estimating-nitrogen-losses-from-wet-soils
        # (88 lb nitrate N and 5 days printed; the product was cut off and is computed)
        pytest.param(175, 0.50, 7, 0.03, 2, 88 * 5 * 0.03, 0.101, id="Kentucky: urea, 3 %"),
        pytest.param(175, 0.50, 7, 0.04, 2, 88 * 5 * 0.04, 0.101, id="Kentucky: urea, 4 %"),
    ],
)
def test_loss_in_saturated_soil(
    *,
    applied: float,
    nitrate: float,
    days: float,
    daily: float,
    free: float,
    published: float,
    within: float,
) -> None:
    lost = formulas.wet_loss(
        applied, nitrate_fraction=nitrate, days=days, daily=daily, free_days=free
    )
    assert lost == pytest.approx(published, abs=within)


@pytest.mark.parametrize(("applied", "share", "published"), [(175, 0.5, 88), (150, 0.25, 37.5)])
def test_nitrogen_at_risk(applied: float, share: float, published: float) -> None:
    # Kentucky (above), nearest lb; Purdue (Quinn) 6 May 2024, exact
    # https://www.farmprogress.com/corn/determine-how-much-nitrogen-is-left
    assert formulas.nutrient_in(applied, share) == pytest.approx(published, abs=0.501)
