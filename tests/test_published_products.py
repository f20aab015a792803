"""Published worked examples of product content, rate, mixing, loads, price and value."""

import pytest
from us_units import ACRE, GAL, GAL_AC, LB_AC, LB_GAL, TON, USD_PER_LB, USD_PER_TON

from ledger import formulas


def lb_per_gal(density: float, percent: float) -> float:
    """lb of nutrient in a gallon, from lb/gal and percent."""
    return formulas.nutrient_in(density, percent / 100)


# NC State Extension, Duplin County (Fountain), 24 Apr 2014; 1 decimal
# https://duplin.ces.ncsu.edu/2014/04/liquid-nitrogen-calibration-information/
# Purdue (Camberato) in Farm Progress, 17 Jan 2023; 2 decimals
# https://www.farmprogress.com/soil-health/basic-calculations-for-nitrogen-fertilizers
# University of Minnesota corn S research text; 60 F agronomy page
# https://sdro.com/docs/hdjmp7i.php?id=690587-ammonium-thiosulfate-fertilizer-on-corn
CONTENT = [
    pytest.param(11.1, 32, 3.6, 0.05, id="NC Duplin: UAN-32"),
    pytest.param(10.7, 24, 2.6, 0.05, id="NC Duplin: 24-0-0-3S, N"),
    pytest.param(10.7, 3, 0.3, 0.05, id="NC Duplin: 24-0-0-3S, S"),
    pytest.param(10.6, 28, 2.97, 0.005, id="Purdue 2023: UAN-28"),
    pytest.param(11.10, 26, 2.89, 0.005, id="thiosulfate, S"),
    pytest.param(11.10, 12, 1.33, 0.005, id="thiosulfate, N"),
]


@pytest.mark.parametrize(("density", "percent", "published", "within"), CONTENT)
def test_pounds_in_a_gallon(
    density: float, percent: float, published: float, within: float
) -> None:
    assert lb_per_gal(density, percent) == pytest.approx(published, abs=within)


def test_thirty_percent_at_10_8_is_not_3_3() -> None:
    # NC Duplin (above) prints 3.3 lb N/gal
    assert lb_per_gal(10.8, 30) == pytest.approx(3.24)
    assert lb_per_gal(10.8, 30) != pytest.approx(3.3, abs=0.05)


# Virginia Tech SPES-199NP, Table 1: lb/gal at 30, 50, 60, 70, 80, 90 F; 2 decimals
# https://ext.vt.edu/content/pubs_ext_vt_edu/en/SPES/SPES-199/SPES-199NP.html
UAN_28 = [(10.76, 3.01), (10.70, 3.00), (10.67, 2.99), (10.64, 2.98), (10.61, 2.97), (10.58, 2.96)]
UAN_30 = [(10.99, 3.30), (10.93, 3.28), (10.90, 3.27), (10.87, 3.26), (10.84, 3.25), (10.81, 3.24)]


@pytest.mark.parametrize(
    ("percent", "density", "published"),
    [(28, *row) for row in UAN_28] + [(30, *row) for row in UAN_30],
)
def test_nitrogen_in_a_gallon_by_temperature(
    percent: float, density: float, published: float
) -> None:
    assert lb_per_gal(density, percent) == pytest.approx(published, abs=0.0051)


@pytest.mark.parametrize(("gallons", "published"), [(20, 60), (30, 90)])
def test_rule_of_thumb_of_three_pounds(gallons: float, published: float) -> None:
    # Purdue 2023 (above): 59.4 and 89.0 unrounded, used as 3 lb a gallon
    applied = formulas.nutrient_in(gallons * GAL_AC * 10.6 * LB_GAL, 0.28)
    assert applied / LB_AC == pytest.approx(published, abs=1)


@pytest.mark.parametrize(("gallons", "published"), [(2, 6), (3.5, 10)])
def test_sulfur_from_thiosulfate(gallons: float, published: float) -> None:
    # University of Minnesota text (above): 6 to 10 lb S/ac, rounded
    applied = formulas.nutrient_in(gallons * GAL_AC * 11.10 * LB_GAL, 0.26)
    assert applied / LB_AC == pytest.approx(published, abs=0.5)


def test_gallons_for_a_rate_on_a_dealer_chart() -> None:
    # dealer nitrogen chart, https://demo.citeit.net/tag/pdf/ : 100 lb at 3.3 lb/gal; 1 decimal
    rate = formulas.product_volume_rate(100 * LB_AC, 0.30, 11.0 * LB_GAL)
    assert rate / GAL_AC == pytest.approx(30.3, abs=0.05)


@pytest.mark.parametrize(
    ("nutrient", "fraction", "published", "within"),
    [
        # https://crops.extension.iastate.edu/dont-double-dip-soybean
        pytest.param(124, 0.82, 151, 0.5, id="Iowa State: anhydrous ammonia"),
        # https://www.beckshybrids.com/Blog/ArtMID/841/ArticleID/2313/CropTalk-Nutrient-Removal-Rates-Revisited
        pytest.param(200 * 0.03, 0.46, 13, 0.5, id="Beck's 2019: saved DAP"),
        pytest.param(200 * 0.08, 0.60, 27, 0.5, id="Beck's 2019: saved potash"),
        # http://aggie-turf.tamu.edu/aggieturf2/calibration/rotaryspreader1.html
        pytest.param(1, 0.21, 4.76, 0.005, id="Texas A&M: 21-0-0 on 1,000 ft2"),
        # http://what-when-how.com/Tutorial/topic-166581h5j/Agrochemical-and-Pesticide-Safety-128.html
        pytest.param(2, 0.80, 2.5, 1e-9, id="safety handbook p. 128: strength 80 %"),
    ],
)
def test_product_for_a_rate(
    nutrient: float, fraction: float, published: float, within: float
) -> None:
    rate = formulas.product_mass_rate(nutrient, fraction)
    assert rate == pytest.approx(published, abs=within)


@pytest.mark.parametrize(
    ("pounds", "percent", "published"),
    [
        # https://brown.osu.edu/program-areas/agriculture-and-natural-resources/field-reports/forages/russellville-orchardgrass-hay
        pytest.param(300, 9, 27, id="Ohio State Brown: 9-23-30, N"),
        pytest.param(300, 23, 69, id="Ohio State Brown: 9-23-30, P2O5"),
        pytest.param(300, 30, 90, id="Ohio State Brown: 9-23-30, K2O"),
        # https://www.agry.purdue.edu/ext/corn/news/articles.02/fert_math-0326.html
        pytest.param(2000, 82, 1640, id="Purdue 2002: N in a ton of ammonia"),
        # https://cropwatch.unl.edu/archive/-/asset_publisher/VHeSpfv0Agju/content/892181
        pytest.param(2000, 45, 900, id="UNL 2007: N in a ton of urea"),
        # http://www.uwex.edu/ces/crops/FertMath.htm
        pytest.param(2000, 46, 920, id="UW FertMath: N in a ton of urea"),
        pytest.param(2000, 28, 560, id="UW FertMath: N in a ton of UAN"),
    ],
)
def test_nutrient_in_product(pounds: float, percent: float, published: float) -> None:
    assert formulas.nutrient_in(pounds, percent / 100) == pytest.approx(published)


@pytest.mark.parametrize(("pounds", "grade"), [(210, 0.52), (240, 0.46), (180, 0.60)])
def test_rotation_products_lie_in_the_printed_range(pounds: float, grade: float) -> None:
    # Ohio State ANR-74: MAP, DAP and potash that carry 100 to 120 lb of oxide
    # https://ohioline.osu.edu/factsheet/anr-74
    assert 100 <= formulas.nutrient_in(pounds, grade) <= 120


@pytest.mark.parametrize(
    ("per_ton", "percent", "published"),
    [
        pytest.param(700, 46, 0.76, id="UW FertMath: urea"),
        pytest.param(600, 28, 1.07, id="UW FertMath: UAN-28"),
        # http://aces.nmsu.edu/pubs/_a/A133/
        pytest.param(567, 46, 0.62, id="NMSU A-133: urea"),
        pytest.param(996, 46, 1.08, id="NMSU A-133: 0-46-0"),
        pytest.param(350, 45, 0.39, id="UNL 2007: urea"),
        # https://chippewa.extension.wisc.edu/2023/04/24/estimating-the-value-of-manure
        pytest.param(525, 46, 0.57, id="UW Chippewa 2023: urea"),
        pytest.param(545, 60, 0.45, id="UW Chippewa 2023: potash"),
        pytest.param(285, 82, 0.174, id="Purdue 2002: ammonia (computed)"),
        pytest.param(225, 28, 0.402, id="Purdue 2002: UAN-28 (computed)"),
    ],
)
def test_price_of_a_nutrient(per_ton: float, percent: float, published: float) -> None:
    price = formulas.price_per_nutrient(per_ton * USD_PER_TON, percent / 100)
    assert price / USD_PER_LB == pytest.approx(published, abs=0.005)


def test_no_convention_gives_the_phosphate_price_of_70_cents() -> None:
    # UW Chippewa 2023 (above) prints $0.70/lb from DAP at $775: 0.84 without N, 0.62 with
    alone = formulas.price_per_nutrient(775 * USD_PER_TON, 0.46) / USD_PER_LB
    credited = (
        formulas.residual_price(
            775 * USD_PER_TON, fraction=0.46, other_fraction=0.18, other_price=0.57 * USD_PER_LB
        )
        / USD_PER_LB
    )
    assert alone == pytest.approx(0.842, abs=0.0005)
    assert credited == pytest.approx(0.619, abs=0.0005)
    assert alone != pytest.approx(0.70, abs=0.005)
    assert credited != pytest.approx(0.70, abs=0.005)


# UW Chippewa 2023 (above), per 1,000 gal. NDSU 29 Jul 2021, per ton of straw:
# https://www.ndsu.edu/agriculture/ag-hub/ag-topics/crop-production/crop-pest-report/soils/fertilizer-value-wheat-and-barley-straw
# NDSU in Aberdeen News 15 Aug 2008, "about $23":
# http://articles.aberdeennews.com/2008-08-15/news/26415015_1_cover-crop-weed-seeds-straw
# Southern Ag Today 26 Jul 2023, per acre of bermudagrass hay (92 lb P2O5 was priced):
# https://southernagtoday.org/2023/07/26/bermuda-grass-hay-nutrient-removal/
VALUE = [
    pytest.param((10, 6, 17), (0.57, 0.70, 0.45), 17.55, 0.005, id="UW Chippewa: manure"),
    pytest.param((10, 5, 24), (0.40, 0.66, 0.53), 20.02, 0.005, id="NDSU 2021: wheat straw"),
    pytest.param((15, 5, 30), (0.40, 0.66, 0.53), 25.20, 0.005, id="NDSU 2021: barley straw"),
    pytest.param((13, 4.5, 16), (0.80, 1.00, 0.50), 23, 1, id="NDSU 2008: straw"),
    pytest.param((400, 92, 345), (0.71, 0.73, 0.61), 561.61, 0.005, id="Southern Ag Today"),
]


def value_of(
    amounts: tuple[float, float, float], prices: tuple[float, float, float]
) -> float | None:
    names = ("N", "P2O5", "K2O")
    return formulas.nutrient_value(
        dict(zip(names, amounts, strict=True)), dict(zip(names, prices, strict=True))
    )


@pytest.mark.parametrize(("amounts", "prices", "published", "within"), VALUE)
def test_value_of_nutrients(
    amounts: tuple[float, float, float],
    prices: tuple[float, float, float],
    published: float,
    within: float,
) -> None:
    assert value_of(amounts, prices) == pytest.approx(published, abs=within)


def test_bale_value_is_not_54_24() -> None:
    # Southern Ag Today (above): per ton and per 1,200 lb bale; $54.24 is a slip for $84.24
    per_acre = value_of((400, 92, 345), (0.71, 0.73, 0.61))
    assert per_acre is not None
    assert per_acre / 4 == pytest.approx(140.40, abs=0.005)
    assert per_acre / (8000 / 1200) == pytest.approx(84.24, abs=0.005)
    assert per_acre / (8000 / 1200) != pytest.approx(54.24, abs=1)


def test_michigan_straw_is_not_22_91() -> None:
    # Michigan State E-2904 values print $22.91; the sum of its own figures is $22.82
    # https://www.farms.com/news/what-s-the-nutrient-value-of-wheat-straw-65334.aspx
    value = value_of((13, 3.3, 23), (0.65, 0.52, 0.55))
    assert value == pytest.approx(22.82, abs=0.005)
    assert value != pytest.approx(22.91, abs=0.05)


def test_area_of_a_load() -> None:
    # 200 gal at 20 gal/ac is 10 ac; Iowa State: 2,000 gal at 50 gal/ac is 40 ac;
    # safety handbook p. 128 (above): 52.5 gal at 15 gal/ac is 3.5 ac
    # https://crops.extension.iastate.edu/encyclopedia/equipment-maintenance-fertilizer-applicators
    for gallons, rate, acres in ((200, 20, 10), (2000, 50, 40), (52.5, 15, 3.5)):
        area = formulas.area_per_load(gallons * GAL, rate * GAL_AC)
        assert area / ACRE == pytest.approx(acres)


# Constructed, ideal mixing, regression only: volume shares, lb/gal, grade -> N %, S %, lb/gal
BLENDS = [
    pytest.param(28, 10.67, 0.08, 26.68, 2.15, 10.700, id="UAN-28 with 8 % thiosulfate"),
    pytest.param(28, 10.67, 0.10, 26.35, 2.68, 10.707, id="UAN-28 with 10 % thiosulfate"),
    pytest.param(28, 10.67, 0.20, 24.71, 5.34, 10.744, id="UAN-28 with 20 % thiosulfate"),
    pytest.param(32, 11.06, 0.10, 30.00, 2.60, 11.058, id="UAN-32 with 10 % thiosulfate"),
    pytest.param(32, 11.06, 0.20, 28.01, 5.19, 11.056, id="UAN-32 with 20 % thiosulfate"),
]


@pytest.mark.parametrize(("base", "density", "share", "nitrogen", "sulfur", "mixed"), BLENDS)
def test_constructed_blends(
    *, base: float, density: float, share: float, nitrogen: float, sulfur: float, mixed: float
) -> None:
    mix = formulas.blend(
        [1 - share, share], [density, 11.04], [{"N": base / 100}, {"N": 0.12, "S": 0.26}]
    )
    assert mix.grade["N"] * 100 == pytest.approx(nitrogen, abs=0.005)
    assert mix.grade["S"] * 100 == pytest.approx(sulfur, abs=0.005)
    assert mix.density == pytest.approx(mixed, abs=0.0005)


def test_constructed_dilution_with_water() -> None:
    # UAN-32 cut to 28 %, regression only: 18.94 gal of water to 100 gal, 10.627 lb/gal
    mix = formulas.blend([100, 18.94], [11.06, 8.34], [{"N": 0.32}, {}])
    assert mix.grade["N"] == pytest.approx(0.28, abs=0.0001)
    assert mix.density == pytest.approx(10.627, abs=0.0005)


def test_constructed_sidedress_job() -> None:
    # 150 lb N on 80 ac as UAN-28 of 10.67 lb/gal, regression only
    rate = formulas.product_volume_rate(150 * LB_AC, 0.28, 10.67 * LB_GAL)
    total = rate * 80 * ACRE
    assert rate / GAL_AC == pytest.approx(50.208, abs=0.0005)
    assert total / GAL == pytest.approx(4016.6, abs=0.05)
    assert total * 10.67 * LB_GAL / TON == pytest.approx(21.43, abs=0.005)
    assert formulas.loads_needed(total, 1000 * GAL) == 5
    assert formulas.area_per_load(1000 * GAL, rate) / ACRE == pytest.approx(19.9, abs=0.05)


def test_order_with_an_allowance() -> None:
    # constructed: 4,000 gal and 5 % to spare
    assert formulas.order_quantity(4000, 0.05) == pytest.approx(4200)
