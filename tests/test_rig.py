"""The rig: flow, pressure and speeds of a rate, and what is said when none fits.

A rate is asked for by the nitrogen that gives it: UAN-28 holds 10.67 x 0.28 lb a gallon.
"""

from __future__ import annotations

from typing import Any

import pytest
from lines import farm, table
from us_units import GAL, GAL_AC, LB_GAL, MPH, PSI
from workbooks import SHIPPED, Document, codes, document, run

from ledger.report.plan import plan_sheet
from ledger.report.units import Shown

GROUND = "## fields\n| field | area |\n| Home | 40 |\n"
RIG: dict[str, Any] = {
    "sidedress_product": "UAN-28", "orifice_flow": 1.5, "orifice_pressure": 40,
    "orifice_fluid_density": 8.34, "outlet_spacing": 30, "pressure_min": 20, "pressure_max": 70,
    "speed": 6,
}  # fmt: skip


def told(gallons: float, *, product: str = "", **answers: object) -> tuple[Any, Document]:
    """The plan item of a field that wants so many gallons an acre of 28 percent, and all."""
    crop = {"field": "Home", "crop": "corn", "n_entered": gallons * 10.67 * 0.28}
    result = document(farm(**{**RIG, **answers}) + GROUND + table("crops", crop) + product)
    (item,) = result["plan"]
    return item, result


@pytest.mark.parametrize(("rated", "psi", "fits"), [(1.0, 75.19, False), (1.5, 33.42, True)])
def test_flow_and_pressure(rated: float, psi: float, fits: bool) -> None:
    # constructed: 40 gal/ac, 30 in, 6 mph is 1.212121 gal/min; water chart 1.371 at SG 1.27938
    item, result = told(40, orifice_flow=rated)
    assert item["flow_per_outlet"] == pytest.approx(1.212121, abs=1e-6)
    assert item["pressure"] == pytest.approx(psi, abs=0.005)
    assert item["pressure_ok"] is fits
    assert ("rig-out-of-range" in codes(result)) is not fits


def test_speed_window() -> None:
    # constructed: 4.642 mph at 20 psi, 8.684 at 70 psi; their ratio is sqrt(70 / 20)
    item, _ = told(40)
    assert item["speed_min"] == pytest.approx(4.642, abs=0.001)
    assert item["speed_max"] == pytest.approx(8.684, abs=0.001)
    assert item["speed_max"] / item["speed_min"] == pytest.approx((70 / 20) ** 0.5)


def test_flow_of_a_dealer_chart() -> None:
    # dealer chart: 100 lb at 3.3 lb/gal is 30.3 gal/ac; 4 mph and 30 in make 0.61 gal/min
    uan = table("products", {"product": "UAN-30", "density": 11.0})
    crop = table("crops", {"field": "Home", "crop": "corn", "n_entered": 100})
    answered = farm(**{**RIG, "sidedress_product": "UAN-30", "speed": 4})
    (item,) = document(answered + GROUND + crop + uan)["plan"]
    assert item["rate"] == pytest.approx(30.3, abs=0.05)
    assert item["flow_per_outlet"] == pytest.approx(0.61, abs=0.005)


def test_a_heavier_liquid_needs_more_pressure_for_the_same_flow() -> None:
    # UNL CropWatch 2016: the rate on a water chart is the rate times the root of the gravity,
    # 1.13 for UAN-28; pressure goes with the square of flow, so with the gravity itself
    in_water, _ = told(40)
    in_itself, _ = told(40, orifice_fluid_density=10.67)
    ratio = in_water["pressure"] / in_itself["pressure"]
    assert ratio == pytest.approx(10.67 / 8.34)
    assert ratio**0.5 == pytest.approx(1.13, abs=0.005)


def test_pressure_goes_with_the_square_of_speed() -> None:
    # orifice law; common practice, no source: half again the speed asks 2.25 times the pressure
    slow, fast = told(40, speed=4)[0], told(40, speed=6)[0]
    assert fast["pressure"] / slow["pressure"] == pytest.approx(2.25)


def test_another_speed_would_fit() -> None:
    item, _ = told(40, speed=9.5, speed_min=3, speed_max=10)
    assert item["pressure_ok"] is False and item["speed_fits"] is True
    assert item["speed_max"] < 9.5
    assert "planned speed does not fit" in item["remark"]


def test_no_speed_fits_and_which_outlet_would() -> None:
    item, result = told(40, orifice_flow=0.5, speed_min=4, speed_max=8)
    assert item["speed_fits"] is False
    assert "no speed fits" in item["remark"]
    assert "rig-out-of-range" in codes(result)
    mended, _ = told(40, orifice_flow=item["outlet_wanted"], speed_min=4, speed_max=8)
    assert mended["pressure_ok"] is True and mended["speed_fits"] is True
    assert mended["pressure"] == pytest.approx((20 + 70) / 2)


def test_speeds_are_told_without_a_planned_one() -> None:
    item, _ = told(40, speed=None)
    assert item["flow_per_outlet"] is None and item["pressure"] is None
    assert item["speed_min"] == pytest.approx(4.642, abs=0.001)


def test_no_speed_fits_without_a_planned_one() -> None:
    item, result = told(40, orifice_flow=0.5, speed=None, speed_min=4, speed_max=8)
    assert item["speed_fits"] is False and item["outlet_wanted"] is not None
    assert "rig-out-of-range" in codes(result)


def test_limits_that_are_not_given_leave_the_answer_open() -> None:
    item, _ = told(40, pressure_max=None, speed_min=4, speed_max=8)
    assert item["pressure"] == pytest.approx(33.42, abs=0.005)
    assert item["pressure_ok"] is None and item["speed_fits"] is None


@pytest.mark.parametrize("product", ["urea", "anhydrous ammonia"])
def test_what_is_weighed_has_no_outlet(product: str) -> None:
    item, _ = told(40, sidedress_product=product)
    assert item["pressure"] is None and item["rate_unit"] == "lb/ac"


def test_hours_of_work() -> None:
    # Iowa State PM 696: speed x width x efficiency / 8.25 acres an hour (43,560 / 5,280)
    _, result = told(40, outlets=12, field_efficiency_pct=65)
    width_ft = 12 * 30 / 12
    assert result["order"]["hours"] == pytest.approx(40 / (6 * width_ft * 0.65 / 8.25))


def unknown(source: str) -> str:
    """What the plan says below its order."""
    results = run(source).results
    sheet = plan_sheet(results, Shown(definitions=SHIPPED, system="us"))
    return next(table.note for table in sheet.tables if table.title == "Order")


def test_hours_take_no_orifice() -> None:
    _, result = told(40, outlets=12, field_efficiency_pct=65, orifice_flow=None)
    assert result["order"]["hours"] == pytest.approx(40 / (6 * 30 * 0.65 / 8.25))


WORKED = {"speed": 6, "outlet_spacing": 30, "outlets": 12, "field_efficiency_pct": 65}
COUNTED = {"sidedress_product": "UAN-28", "tank_volume": 500, "delivery_size": 4000}
PRICED = {"product": "UAN-28", "price": 300, "price_per": "ton"}


@pytest.mark.parametrize(
    ("answers", "product", "words"),
    [
        ({}, {}, ""),
        ({"speed": None}, {}, "Hours of work unknown for want of 'Planned speed' on Farm."),
        (
            {"outlets": None, "field_efficiency_pct": None},
            {},
            "Hours of work unknown for want of 'Outlets' on Farm, "
            "'Field efficiency (percent)' on Farm.",
        ),
        ({}, {"price_per": None}, "Cost unknown for want of 'Price per' of UAN-28 on Products."),
        (
            {},
            {"price": None, "price_per": None},
            "Cost unknown for want of 'Price' of UAN-28 on Products.",
        ),
        (
            {"tank_volume": None, "delivery_size": None, "refill_minutes": 10},
            {},
            "Tank loads unknown for want of 'Usable tank volume' on Farm. "
            "Deliveries unknown for want of 'Delivery size' on Farm. "
            "Hours of work unknown for want of 'Usable tank volume' on Farm.",
        ),
    ],
)
def test_what_is_unknown_of_an_order_says_which_cell_it_wants(
    answers: dict[str, Any], product: dict[str, Any], words: str
) -> None:
    wanted = table("crops", {"field": "Home", "crop": "corn", "n_entered": 100})
    price = table("products", {**PRICED, **product})
    source = farm(**{**COUNTED, **WORKED, **answers}) + GROUND + wanted + price
    assert unknown(source) == words
    order = document(source)["order"]
    figures = {"Tank loads": "loads", "Deliveries": "deliveries", "Cost": "cost_total"}
    for title, figure in {**figures, "Hours of work": "hours"}.items():
        assert (order[figure] is None) is (f"{title} unknown" in words)


def test_a_dry_product_is_counted_in_no_tanks_and_wants_none() -> None:
    wanted = table("crops", {"field": "Home", "crop": "corn", "n_entered": 100})
    price = table("products", {"product": "urea", "price": 500, "price_per": "ton"})
    answers = {**WORKED, "sidedress_product": "urea", "refill_minutes": 10}
    assert unknown(farm(**answers) + GROUND + wanted + price) == ""


def test_refilling_is_added_by_the_load() -> None:
    rig: dict[str, Any] = {"outlets": 12, "field_efficiency_pct": 65, "tank_volume": 500}
    bare, filled = told(40, **rig)[1], told(40, refill_minutes=15, **rig)[1]
    assert bare["order"]["loads"] == 4
    assert filled["order"]["hours"] - bare["order"]["hours"] == pytest.approx(1.0)


def test_us_and_metric_rigs_agree() -> None:
    item, _ = told(40)
    answers = {
        "sidedress_product": "UAN-28", "orifice_flow": 1.5 * GAL, "orifice_pressure": 0.4 * PSI,
        "orifice_fluid_density": 8.34 * LB_GAL, "outlet_spacing": 30 * 2.54,
        "pressure_min": 0.2 * PSI, "pressure_max": 0.7 * PSI, "speed": 6 * MPH,
    }  # fmt: skip
    crop = {"field": "Home", "crop": "corn", "n_entered": 40 * GAL_AC * 10.67 * LB_GAL * 0.28}
    source = farm(**answers) + GROUND + table("crops", crop)
    (metric,) = document(source, system="metric")["plan"]
    assert metric["rate"] == pytest.approx(item["rate"] * GAL_AC, rel=1e-9)
    assert metric["flow_per_outlet"] == pytest.approx(item["flow_per_outlet"] * GAL, rel=1e-9)
    assert metric["pressure"] == pytest.approx(item["pressure"] * PSI, rel=1e-9)
    assert metric["speed_max"] == pytest.approx(item["speed_max"] * MPH, rel=1e-9)
