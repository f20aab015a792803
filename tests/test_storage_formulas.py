"""Volumes of stores and what should be left in them, against published and built examples.

Lengths here are feet, so volumes are cubic feet. A gallon is 231 cubic inches, exactly.
"""

from __future__ import annotations

from math import nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger.formulas import (
    Basin,
    basin_at,
    basin_volume,
    box_volume,
    closing,
    depth_on_slope,
    level_below_top,
    lot_runoff,
    manure_made,
    prismoid_volume,
    tank_volume,
)

GAL_A_FT3 = 1728 / 231
FT2_AN_ACRE = 43_560
GAL_AN_ACRE_FOOT = FT2_AN_ACRE * GAL_A_FT3
NC_DEQ = "NC DEQ file 550007, design calculations"


# ------------------------------------------------------------------ published shapes
@pytest.mark.parametrize(
    ("bottom", "top", "middle", "depth", "expected"),
    [
        ((115, 200), (173.8, 258.8), (144.4, 229.4), 9.8, 327_452),
        ((115, 200), (187, 272), (151, 236), 12, 432_816),
        ((52, 127), (106.9, 188), (79.5, 157.5), 12.2, 156_132),
    ],
    ids=["3:1 pond to 9.8 ft", "3:1 pond full", "older 2.5:1 pond"],
)
def test_ponds_of_a_published_design(
    bottom: tuple[float, float],
    top: tuple[float, float],
    middle: tuple[float, float],
    depth: float,
    expected: int,
) -> None:
    """NC DEQ file 550007."""
    areas = [length * width for length, width in (top, middle, bottom)]
    assert prismoid_volume(areas[0], areas[1], areas[2], depth) == pytest.approx(expected, abs=1)


def test_the_full_pond_in_acre_feet() -> None:
    """NC DEQ file 550007 prints 9.93, cut and not rounded: the figure is 9.936."""
    full = prismoid_volume(187 * 272, 151 * 236, 115 * 200, 12)
    assert full / FT2_AN_ACRE == pytest.approx(9.94, abs=0.005)


def test_highest_level_of_a_published_pond() -> None:
    """NC DEQ file 550007: 1.8 ft below the top, printed to one decimal."""
    below = level_below_top(freeboard=0.5, storm=1.0, runoff=11_539, area=175 * 260)
    assert below == pytest.approx(1.75, abs=0.005)
    assert round(below, 1) == 1.8


def test_pump_pit_of_a_published_design() -> None:
    """NC DEQ file 550007: 1,404 ft3 of manure in three days take 14 gal a cow, not the 1.4."""
    days, cows = 3, 250
    flush = 2500 * days / GAL_A_FT3
    assert flush == pytest.approx(1003, abs=1)
    assert cows * 14 * days / GAL_A_FT3 == pytest.approx(1404, abs=1)
    assert cows * 1.4 * days / GAL_A_FT3 != pytest.approx(1404, rel=0.5)


@pytest.mark.parametrize(
    ("boxes", "expected"), [([(8, 19, 19)], 2888), ([(86, 4.5, 3), (4, 28, 28)], 4297)]
)
def test_straight_walled_pits(boxes: list[tuple[float, float, float]], expected: int) -> None:
    """NC DEQ file 550007; the formula as in University of Maryland Facts 176."""
    assert sum(box_volume(*box) for box in boxes) == pytest.approx(expected, abs=1)


def test_depth_along_a_sloped_wall() -> None:
    """Alberta planning guide (Agdex 400/28-3) p. 134: wall 8.7, freeboard 2.1 m, 70 degrees."""
    assert depth_on_slope(wall=8.7, freeboard=2.1, slope_degrees=70) == pytest.approx(6.2, abs=0.05)


def test_round_tank_takes_pi_as_it_is() -> None:
    """University of Missouri 2003 sheet: 3.14 x D^2 / 4 x height; its pi is 0.05 percent low."""
    assert tank_volume(60, 10) == pytest.approx(3.14 * 60**2 / 4 * 10, rel=6e-4)


# ----------------------------------------------------------------- misprints stay out
def test_a_published_page_with_two_slips_is_not_matched() -> None:
    """Montana State liquid manure page: 5.3 gal at 88.4 % is 4.685 gal, and an acre-foot holds
    325,851 gal. Its 17,901,000 and 217,527 gal follow from neither."""
    a_day = 5.3 * 0.884
    made = 3000 * a_day * 150
    assert made == pytest.approx(2_108_340, rel=1e-4)
    assert made != pytest.approx(17_901_000, rel=0.1)
    runoff = lot_runoff(rain=2.2, kept=0.5, area=4.36) / 12 * GAL_AN_ACRE_FOOT
    assert runoff == pytest.approx(201_269, rel=1e-4)
    assert runoff != pytest.approx(217_527, rel=0.01)


# ------------------------------------------------------------------ the built example
FULL, DEEP, SLOPE = Basin(200, 150), 10.0, 2.0


def test_built_basin_full_and_part_full() -> None:
    """Built for this project (storage notes, section 7), not published."""
    full = basin_volume(FULL, DEEP, DEEP, SLOPE)
    part = basin_volume(FULL, DEEP, 6, SLOPE)
    assert full == pytest.approx(235_333, abs=1)
    assert full * GAL_A_FT3 == pytest.approx(1_760_416, abs=5)
    assert part == pytest.approx(126_192, abs=1)
    assert part * GAL_A_FT3 == pytest.approx(943_982, abs=5)
    assert basin_at(FULL, DEEP, 6, SLOPE) == Basin(184, 134)
    assert basin_at(FULL, DEEP, 0, SLOPE) == Basin(160, 110)


def test_built_inventory() -> None:
    """Built for this project; rain of 50,000 gal counts to what was made."""
    left = closing(943_982, made=950_000, brought=0, spread=700_000, sold=100_000, lost=0)
    assert left == 1_093_982


@given(st.floats(20, 400), st.floats(20, 400), st.floats(0.5, 20), st.floats(0, 4), st.floats(0, 1))
def test_a_basin_is_its_expanded_polynomial(
    length: float, width: float, depth: float, slope: float, share: float
) -> None:
    """V = L W d - Z d^2 (L + W) + 4/3 Z^2 d^3 at the surface of the level (algebra)."""
    if min(length, width) <= 2 * slope * depth:
        return
    level = share * depth
    at = basin_at(Basin(length, width), depth, level, slope)
    expanded = (
        at.length * at.width * level
        - slope * level**2 * (at.length + at.width)
        + 4 / 3 * slope**2 * level**3
    )
    got = basin_volume(Basin(length, width), depth, level, slope)
    assert got == pytest.approx(expanded, rel=1e-9, abs=1e-6)


def test_upright_walls_make_a_box() -> None:
    assert basin_volume(Basin(30, 20), 8, 5, 0) == pytest.approx(box_volume(30, 20, 5))


def test_a_herd_of_a_year() -> None:
    """USDA NRCS table: a dairy animal unit makes 15.24 tons a year; 100 cows are 135 units."""
    assert manure_made(15.24, 100 / 0.74, 365) == pytest.approx(2059.5, abs=0.1)
    assert manure_made(15.24, 10, 73) == pytest.approx(15.24 * 2)


# ------------------------------------------------------------------------- refusals
@pytest.mark.parametrize(
    "call",
    [
        lambda: box_volume(-1, 2, 3),
        lambda: tank_volume(10, nan),
        lambda: basin_volume(FULL, DEEP, 11, SLOPE),
        lambda: basin_volume(Basin(30, 30), DEEP, 5, SLOPE),
        lambda: depth_on_slope(2, 3, 70),
        lambda: depth_on_slope(8, 2, 100),
        lambda: level_below_top(0.5, 1, 10, 0),
        lambda: closing(10, -1, 0, 0, 0, 0),
        lambda: manure_made(15, -1, 365),
    ],
)
def test_impossible_measurements_are_refused(call: object) -> None:
    with pytest.raises(ValueError, match="must"):
        call()  # type: ignore[operator]
