"""Published worked examples of rate, flow, speed, pressure and density correction."""

from math import sqrt

import pytest
from us_units import ACRE, FOOT, GAL_AC, GPM, INCH, LB_AC, LB_GAL, MPH, PSI

from ledger import formulas

# Water as the base of specific gravity in US sprayer charts, lb/gal (UNL CropWatch 2016).
WATER = 8.34


def flow_gpm(gal_ac: float, mph: float, inches: float) -> float:
    """gal/min of one outlet, taken through the base."""
    flow = formulas.outlet_flow(gal_ac * GAL_AC, speed=mph * MPH, width=inches * INCH)
    return flow / GPM


def rate_gal_ac(gpm: float, mph: float, inches: float) -> float:
    """gal/ac from one outlet's gal/min, taken through the base."""
    rate = formulas.rate_from_flow(gpm * GPM, speed=mph * MPH, width=inches * INCH)
    return rate / GAL_AC


def test_printed_constants_are_ours() -> None:
    # MU Extension G1270A: 5940 for inches; Mesa County CO boom sheet: 495 for feet;
    # Albany County WY: 46.4 for fluid ounces; Iowa State PM 696 (2001): 8.25 for ac/h
    assert 1 / flow_gpm(1, 1, 1) == pytest.approx(5940)
    assert 1 / flow_gpm(1, 1, 12) == pytest.approx(495)
    assert 1 / (flow_gpm(1, 1, 1) * 128) == pytest.approx(46.4, abs=0.05)
    work = formulas.field_capacity(1 * MPH, width=1 * FOOT, efficiency=1) / ACRE
    assert 1 / work == pytest.approx(8.25)


def test_work_rate_of_a_spreader() -> None:
    # constructed with the 8.25 and the 70 % of Iowa State PM 696 (above): 8 mph, 40 ft
    work = formulas.field_capacity(8 * MPH, width=40 * FOOT, efficiency=0.70) / ACRE
    assert work == pytest.approx(8 * 40 * 0.70 / 8.25)


def test_uan_rate_on_a_water_chart() -> None:
    # UNL CropWatch 2016, Example 1: UAN-28 of 10.65 lb/gal at 20 gal/ac; 2, 2 and 1 decimals
    # https://cropwatch.unl.edu/2016/setting-sprayer-flow-rate-non-water-solutions
    gravity = 10.65 / WATER
    assert gravity == pytest.approx(1.28, abs=0.005)
    assert formulas.density_factor(gravity) == pytest.approx(1.13, abs=0.005)
    assert formulas.water_equivalent_flow(20, gravity) == pytest.approx(22.6, abs=0.05)


@pytest.mark.parametrize(("factor", "published"), [(1.15, 13.0), (1.14, 13.2), (1.13, 13.3)])
def test_water_catch_becomes_solution(factor: float, published: float) -> None:
    # NC State Extension, Duplin County (Fountain), 24 Apr 2014: 15 gal/ac of water; 1 decimal
    # https://duplin.ces.ncsu.edu/2014/04/liquid-nitrogen-calibration-information/
    assert formulas.solution_flow_from_water(15, factor**2) == pytest.approx(published, abs=0.05)


# UGA (Sumner) Table 1, https://studylib.net/doc/11102397/spraying-solutions-other-than-water
# UNL 2016 (above); Oklahoma State Extension, Using Water to Calibrate Sprayers, Table 1
# https://extension.okstate.edu/fact-sheets/using-water-to-calibrate-sprayers-for-fertilizers-and-other-liquid-solutions.html
FACTORS = [
    (6.6, 0.89),
    (7.0, 0.92),
    (8.0, 0.98),
    (9.0, 1.04),
    (10.0, 1.10),
    (10.65, 1.13),
    (11.0, 1.15),
    (12.0, 1.20),
    (14.0, 1.30),
    (16.0, 1.39),
    (10.8, 1.14),
    (11.06, 1.15),
    (11.2, 1.16),
    (11.4, 1.17),
    (11.5, 1.17),
    (11.6, 1.18),
]


@pytest.mark.parametrize(("density", "published"), FACTORS)
def test_density_factor_table(density: float, published: float) -> None:
    assert formulas.density_factor(density / WATER) == pytest.approx(published, abs=0.0051)


@pytest.mark.parametrize(
    ("density", "misprint", "right"),
    [
        pytest.param(12.0, 1.30, 1.20, id="Oklahoma State row of 12 lb repeats that of 14 lb"),
        pytest.param(8.0, 0.88, 0.98, id="a nozzle page, 8.0 lb"),
    ],
)
def test_misprinted_density_factors(density: float, misprint: float, right: float) -> None:
    factor = formulas.density_factor(density / WATER)
    assert factor == pytest.approx(right, abs=0.0051)
    assert factor != pytest.approx(misprint, abs=0.02)


def test_orifice_disc_at_a_row_spacing() -> None:
    # dealer nitrogen chart, https://demo.citeit.net/tag/pdf/ : 30.3 gal/ac, 4 mph, 30 in;
    # its disc passes 0.62 gal/min at 30 psi, so the wanted flow needs no more than that
    flow = flow_gpm(100 / 3.3, 4, 30)
    assert flow == pytest.approx(0.61, abs=0.005)
    pressure = formulas.pressure_for_flow(flow, known_flow=0.62, known_pressure=30)
    assert pressure == pytest.approx(29.2, abs=0.1)  # computed


def test_rate_from_a_catch_is_not_88() -> None:
    # Oklahoma State turf sprayer sheet: 101 fl oz/min, 3 mph, 18 in; 88 comes from 0.8 gal/min
    # http://www.turf.okstate.edu/FactSheets/sprayer.htm
    assert pytest.approx(0.79, abs=0.005) == 101 / 128
    assert rate_gal_ac(101 / 128, 3, 18) == pytest.approx(86.8, abs=0.05)
    assert rate_gal_ac(0.8, 3, 18) == pytest.approx(88)
    assert rate_gal_ac(101 / 128, 3, 18) != pytest.approx(88, abs=0.5)


def test_rate_is_not_327_gallons() -> None:
    # Florida examination handout p. 213: 0.15 gal/min, 48 in, 5 mph; the x 88 was left out
    # https://online.flipbuilder.com/qawr/oiuo/files/basic-html/page213.html
    rate = rate_gal_ac(0.15, 5, 48)
    assert rate == pytest.approx(3.7125)
    assert rate * 88 == pytest.approx(327, abs=0.5)
    assert rate != pytest.approx(327, rel=0.5)


@pytest.mark.parametrize(
    ("psi", "published"), [(35, 5.97), (40, 6.41), (45, 6.81), (50, 7.18), (55, 7.51)]
)
def test_sprinkler_table_follows_the_square_root(psi: float, published: float) -> None:
    # irrigation water-measurement guide, 3/16 in nozzle; within 0.7 %
    # https://de.scribd.com/document/150486225/scr23
    flow = formulas.flow_at_pressure(psi, known_flow=5.97, known_pressure=35)
    assert flow == pytest.approx(published, rel=0.007)


def test_twice_the_speed_halves_the_rate() -> None:
    # NC State Extension, turf boom sprayers: 20 gal/ac at 3 mph is 10 at 6 mph; whole gallons
    # https://content.ces.ncsu.edu/the-calibration-of-turfgrass-and-boom-sprayers-and-spreaders
    flow = flow_gpm(20, 3, 20)
    assert rate_gal_ac(flow, 6, 20) == pytest.approx(10)


# Constructed, regression only: 40 gal/ac of UAN-28 (10.67 lb/gal) in 30-in rows
UAN_28 = 10.67 / WATER


def test_constructed_feasibility() -> None:
    flow = flow_gpm(40, 6, 30)
    assert pytest.approx(1.27938, abs=5e-6) == UAN_28
    assert flow == pytest.approx(1.212121, abs=5e-7)
    assert formulas.water_equivalent_flow(flow, UAN_28) == pytest.approx(1.371025, abs=5e-7)


@pytest.mark.parametrize(("rated", "expected"), [(1.0, 75.19), (1.5, 33.42)])
def test_constructed_pressure_of_a_rated_orifice(rated: float, expected: float) -> None:
    pressure = formulas.pressure_for_flow(
        flow_gpm(40, 6, 30) * GPM,
        known_flow=rated * GPM,
        known_pressure=40 * PSI,
        sg_ratio=UAN_28,
    )
    assert pressure / PSI == pytest.approx(expected, abs=0.005)


def test_constructed_speed_window() -> None:
    window = formulas.speed_window(
        40 * GAL_AC,
        width=30 * INCH,
        known_flow=1.5 * GPM,
        known_pressure=40 * PSI,
        pressure_min=20 * PSI,
        pressure_max=70 * PSI,
        sg_ratio=UAN_28,
    )
    slow, fast = (speed / MPH for speed in window)
    assert slow == pytest.approx(4.642, abs=0.0005)
    assert fast == pytest.approx(8.684, abs=0.0005)
    assert fast / slow == pytest.approx(1.871, abs=0.0005)


def test_constructed_speed_at_the_rated_pressure() -> None:
    flow = formulas.flow_at_pressure(
        40 * PSI, known_flow=1.5 * GPM, known_pressure=40 * PSI, sg_ratio=UAN_28
    )
    speed = formulas.speed_from_flow(flow, rate=40 * GAL_AC, width=30 * INCH)
    assert speed / MPH == pytest.approx(6.564, abs=0.0005)


def test_sizing_aims_at_the_middle_of_the_window() -> None:
    # derived: window 20 to 70 psi, an orifice rated with water at 40 psi
    flow = flow_gpm(40, 6, 30)
    rated = formulas.sizing_flow(
        flow, rated_pressure=40, pressure_min=20, pressure_max=70, sg_ratio=UAN_28
    )
    assert rated == pytest.approx(flow * sqrt(UAN_28 * 40 / 45))
    pressure = formulas.pressure_for_flow(
        flow, known_flow=rated, known_pressure=40, sg_ratio=UAN_28
    )
    assert pressure == pytest.approx(45)


def test_split_nitrogen_on_one_rig() -> None:
    # common practice, no source: 230 lb wanted, 28 % of it put on early (between a quarter and
    # a third), the rest sidedressed as UAN-32 of 11.06 lb/gal; whole gallons
    early = 0.28 * 230 * LB_AC
    assert 1 / 4 < early / (230 * LB_AC) < 1 / 3

    def gallons(nitrogen: float) -> float:
        return formulas.product_volume_rate(nitrogen, 0.32, 11.06 * LB_GAL) / GAL_AC

    assert gallons(230 * LB_AC - early) == pytest.approx(47, abs=0.5)
    assert gallons(230 * LB_AC) == pytest.approx(65, abs=0.5)


def test_lighter_rate_at_a_higher_speed_on_the_same_orifice() -> None:
    # common practice, no source: 65 gal/ac at 5 mph runs at 60 to 70 psi; the same outlets
    # show about 45 psi at 32.6 gal/ac and 8 mph, so 45 lies in (or at the edge of) the region
    heavy, light = flow_gpm(65, 5, 30), flow_gpm(32.6, 8, 30)
    low, high = (
        formulas.pressure_for_flow(light, known_flow=heavy, known_pressure=psi) for psi in (60, 70)
    )
    assert low == pytest.approx(60 * (light / heavy) ** 2)
    assert low < 45 < high
