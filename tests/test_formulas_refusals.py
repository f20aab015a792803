"""Impossible input that the formulas refuse, each with a sentence that names the culprit."""

from collections.abc import Callable
from math import inf, nan

import pytest

from ledger import formulas

Call = Callable[[], object]
OR = {"known_flow": 1.0, "known_pressure": 40.0}
HISTORY = formulas.HistoryNitrate(
    per_yield=1.1,
    none_from_ppm=21,
    manure_now=3.5,
    no_manure_now=0.75,
    manure_before=1.75,
    no_manure_before=0,
    previous_crop={"corn": 0},
)
SIGNED = formulas.EC117(
    base=35,
    per_yield=1.2,
    less_per_ppm=-8,
    less_per_yield_pct=0.14,
    organic_matter_min_pct=0.5,
    organic_matter_max_pct=3,
)

REFUSED: list[tuple[str, Call, str]] = [
    ("parts over total", lambda: formulas.organic_nitrogen(10, 8, 3), "more than the total"),
    ("negative mass", lambda: formulas.nutrient_in(-1, 0.3), "mass must be zero or more"),
    ("unknown mass", lambda: formulas.nutrient_in(nan, 0.3), "mass must be zero or more"),
    ("endless mass", lambda: formulas.nutrient_in(inf, 0.3), "mass must be zero or more"),
    ("percent as fraction", lambda: formulas.nutrient_in(1, 28), "fraction from 0 to 1"),
    ("no content", lambda: formulas.product_mass_rate(100, 0), "fraction above 0"),
    ("no density", lambda: formulas.product_volume_rate(100, 0.3, 0), "density must be more"),
    ("retained over 1", lambda: formulas.split_pool(1, retained=1.1, released=0), "retained"),
    ("all water", lambda: formulas.to_moisture(1, moisture_pct=10, standard_pct=100), "below 100"),
    ("dry below 0", lambda: formulas.shrink_per_point(-1), "standard pct"),
    ("content over 1", lambda: formulas.removal(1, 1.2), "fraction from 0 to 1"),
    ("no divisor", lambda: formulas.protein_to_nitrogen(10, 0), "divisor"),
    ("zero speed", lambda: formulas.outlet_flow(100, speed=0, width=1), "speed must be more"),
    ("zero width", lambda: formulas.rate_from_flow(1, speed=8, width=0), "width must be more"),
    ("zero rate", lambda: formulas.speed_from_flow(1, rate=0, width=1), "rate must be more"),
    ("no gravity", lambda: formulas.density_factor(0), "specific gravity"),
    ("negative flow", lambda: formulas.pressure_for_flow(-1, **OR), "flow must be zero or more"),
    ("negative pressure", lambda: formulas.flow_at_pressure(-1, **OR), "pressure must be zero"),
    (
        "zero known flow",
        lambda: formulas.flow_at_pressure(1, known_flow=0, known_pressure=1),
        "known flow",
    ),
    (
        "window upside down",
        lambda: formulas.speed_window(100, width=1, pressure_min=70, pressure_max=20, **OR),
        "must not lie above",
    ),
    (
        "efficiency in percent",
        lambda: formulas.field_capacity(8, width=5, efficiency=70),
        "efficiency",
    ),
    ("no usable load", lambda: formulas.loads_needed(10, 0), "usable"),
    ("no rate for a load", lambda: formulas.area_per_load(10, 0), "rate"),
    ("negative allowance", lambda: formulas.order_quantity(10, -0.1), "allowance fraction"),
    ("negative price", lambda: formulas.nutrient_value({"N": 1.0}, {"N": -1.0}), "price"),
    ("unpaired parts", lambda: formulas.blend([1, 2], [1], [{}]), "of one length"),
    ("empty mix", lambda: formulas.blend([0], [1], [{"N": 0.3}]), "volume of the mix"),
    ("grade in percent", lambda: formulas.blend([1], [1], [{"N": 30.0}]), "N must be a fraction"),
    ("no layers", lambda: formulas.depth_weighted([], []), "not empty"),
    ("flat layer", lambda: formulas.depth_weighted([1], [0]), "depth 1"),
    (
        "no bulk density",
        lambda: formulas.ppm_to_mass_per_area(1, depth_m=0.3, bulk_density=0),
        "bulk density",
    ),
    ("negative nitrate", lambda: formulas.water_nitrate(-1, 100), "ppm"),
    ("no factor", lambda: formulas.convention_mass(1, 0), "factor"),
    (
        "daily in percent",
        lambda: formulas.wet_loss(1, nitrate_fraction=0.5, days=5, daily=4, free_days=2),
        "daily",
    ),
    ("no years", lambda: formulas.buildup_rate(test=1, critical=2, per_unit=5, years=0), "years"),
    (
        "levels upside down",
        lambda: formulas.soil_test_need(
            test=1, critical=40, limit=20, removal_rate=0, per_unit=5, years=4
        ),
        "critical level",
    ),
    ("steps upside down", lambda: formulas.step_value(1, [(20, 1), (10, 2)]), "must rise"),
    ("above the steps", lambda: formulas.step_value(30, [(20, 1)]), "above the last step"),
    (
        "signed deduction",
        lambda: formulas.ec117(
            expected_yield=200, nitrate_ppm=3, organic_matter_pct=2, coefficients=SIGNED
        ),
        "less per ppm",
    ),
    (
        "crop without coefficient",
        lambda: formulas.history_nitrate_need(
            expected_yield=150,
            nitrate_ppm=12,
            manure_now=True,
            manure_before=True,
            previous_crop="rice",
            coefficients=HISTORY,
        ),
        "has no coefficient",
    ),
]


@pytest.mark.parametrize(
    ("call", "sentence"),
    [pytest.param(call, sentence, id=name) for name, call, sentence in REFUSED],
)
def test_impossible_input_is_refused(call: Call, sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        call()
