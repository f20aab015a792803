"""Crop need: nitrogen by yield or by a nitrate test, phosphate and potash by a soil test.

Every coefficient is an argument and sets the unit of the answer; results are mass per area.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ledger.formulas import limits


@dataclass(frozen=True, slots=True, kw_only=True)
class EC117:
    """Coefficients of the Nebraska EC117 corn equation; those subtracted are given positive.

    base: mass per area. per_yield: per unit of yield. less_per_ppm: per ppm of root-zone mean
    nitrate-N. less_per_yield_pct: per unit of yield and percent of organic matter. The last
    two bound the organic matter that counts, percent.
    """

    base: float
    per_yield: float
    less_per_ppm: float
    less_per_yield_pct: float
    organic_matter_min_pct: float
    organic_matter_max_pct: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryNitrate:
    """Coefficients of a nitrate test read by field history (Penn State form).

    per_yield: need per unit of yield. none_from_ppm: at or above it nothing is needed. The
    rest are amounts per ppm that history adds up: manure since the last harvest (with,
    without), manure in the years before (with, without), and one for each previous crop.
    """

    per_yield: float
    none_from_ppm: float
    manure_now: float
    no_manure_now: float
    manure_before: float
    no_manure_before: float
    previous_crop: Mapping[str, float]


def yield_need(yield_goal: float, factor: float, *, offset: float = 0.0) -> float:
    """Need = yield goal x factor + offset, never below zero.

    Units: factor per unit of yield, offset in the answer's unit (may be negative).
    Error: ValueError for a negative yield or factor.
    Reference: Tri-State E-2567 (1995), with offset; Progressive Farmer 2021, without.
    """
    limits.not_negative(yield_goal=yield_goal, factor=factor)
    return max(0.0, yield_goal * factor + offset)


def ec117(
    *,
    expected_yield: float,
    nitrate_ppm: float,
    organic_matter_pct: float,
    coefficients: EC117,
    credits_total: float = 0.0,
    price_factor: float = 1.0,
    timing_factor: float = 1.0,
) -> float:
    """N = [base + a EY - b NO3 - c EY OM - credits] x price factor x timing factor.

    Never below zero; organic matter counts within its bounds alone. Contained in it already:
    soil nitrate, organic matter, and the credits that are passed (legume, manure, water,
    earlier N). Units: the coefficients'; nitrate as the depth-weighted mean in ppm of N.
    Error: ValueError for input or coefficients below zero.
    Reference: University of Nebraska EC117, editions 2008 to 2019.
    """
    limits.not_negative(expected_yield=expected_yield, nitrate_ppm=nitrate_ppm)
    limits.not_negative(organic_matter_pct=organic_matter_pct, credits_total=credits_total)
    limits.positive(price_factor=price_factor, timing_factor=timing_factor)
    taken = _ec117_deductions(expected_yield, nitrate_ppm, organic_matter_pct, coefficients)
    need = coefficients.base + coefficients.per_yield * expected_yield - taken - credits_total
    return max(0.0, need * price_factor * timing_factor)


def _ec117_deductions(yield_: float, nitrate_ppm: float, matter_pct: float, by: EC117) -> float:
    """What soil nitrate and organic matter supply."""
    # A data file that stores the deductions with a minus sign is caught here.
    limits.not_negative(less_per_ppm=by.less_per_ppm, less_per_yield_pct=by.less_per_yield_pct)
    counted_pct = min(max(matter_pct, by.organic_matter_min_pct), by.organic_matter_max_pct)
    return by.less_per_ppm * nitrate_ppm + by.less_per_yield_pct * yield_ * counted_pct


def linear_nitrate_need(*, critical: float, measured: float, slope: float) -> float:
    """Need = (critical - measured) x slope, zero from the critical level up.

    Units: critical and measured in ppm of nitrate-N, slope in mass per area and ppm.
    Error: ValueError below zero. Reference: Iowa State PM 1714; Lang 2004.
    """
    limits.not_negative(critical=critical, measured=measured, slope=slope)
    return max(0.0, critical - measured) * slope


def step_value(value: float, steps: Sequence[tuple[float | None, float]]) -> float:
    """Result of the first step whose upper bound the value does not exceed.

    steps: (upper bound, result) in rising order; a bound belongs to its own step, None has
    none. A value in the gap between two printed whole-number classes takes the upper class.
    Units: any. Error: ValueError for a value below zero, unordered steps, or one above all.
    Reference: Ohio State C.O.R.N. 2022 (stepped deduction), Bulletin 974 (level by CEC).
    """
    limits.not_negative(value=value)
    bounds = [float("inf") if bound is None else bound for bound, _ in steps]
    if bounds != sorted(set(bounds)):
        raise ValueError(f"steps must rise, not run {bounds}")
    for bound, (_, result) in zip(bounds, steps, strict=True):
        if value <= bound:
            return result
    raise ValueError(f"value {value} lies above the last step of {bounds}")


def history_nitrate_need(
    *,
    expected_yield: float,
    nitrate_ppm: float,
    manure_now: bool,
    manure_before: bool,
    previous_crop: str,
    coefficients: HistoryNitrate,
) -> float:
    """Need = a EY - H x ppm with H summed from field history; zero from a threshold up.

    Contained in it already: manure of this and earlier years, and the previous legume.
    Units: the coefficients'; ppm of nitrate-N in the top foot. Error: ValueError for input
    below zero or a previous crop without a coefficient.
    Reference: Penn State Agronomy Guide, Table 1.4-4.
    """
    limits.not_negative(expected_yield=expected_yield, nitrate_ppm=nitrate_ppm)
    if previous_crop not in coefficients.previous_crop:
        raise ValueError(f"previous crop {previous_crop!r} has no coefficient")
    if nitrate_ppm >= coefficients.none_from_ppm:
        return 0.0
    history = (
        (coefficients.manure_now if manure_now else coefficients.no_manure_now)
        + (coefficients.manure_before if manure_before else coefficients.no_manure_before)
        + coefficients.previous_crop[previous_crop]
    )
    return max(0.0, coefficients.per_yield * expected_yield - history * nitrate_ppm)


def buildup_rate(*, test: float, critical: float, per_unit: float, years: float) -> float:
    """Yearly build-up = (critical - test) x amount per unit of test / years; zero above critical.

    Units: test and critical on one laboratory scale; per_unit in mass per area and unit of
    test, over the whole build-up. Error: ValueError below zero or for no years.
    Reference: Tri-State E-2567 (1995), kept as optional in Bulletin 974 (2020); form from memory.
    """
    limits.not_negative(test=test, critical=critical, per_unit=per_unit)
    limits.positive(years=years)
    return max(0.0, critical - test) * per_unit / years


def maintenance_rate(removal_rate: float, *, addition: float = 0.0) -> float:
    """Maintenance = removal by the crop + a fixed addition (potash has one).

    Units: mass per area. Error: ValueError below zero. Reference: Ohio State ANR-96.
    """
    limits.not_negative(removal_rate=removal_rate, addition=addition)
    return removal_rate + addition


def soil_test_need(
    *,
    test: float,
    critical: float,
    limit: float,
    removal_rate: float,
    per_unit: float,
    years: float,
    addition: float = 0.0,
) -> float:
    """Phosphate or potash need: build-up + maintenance, maintenance, or nothing above the limit.

    A test equal to the critical level or to the limit gets maintenance. Pass per_unit zero
    where the build-up is not wanted: it is optional. Units: as in buildup_rate.
    Error: ValueError below zero, or a critical level above the limit.
    Reference: Tri-State Bulletin 974 (2020), Mehlich-3.
    """
    limits.ordered("critical level", critical, "limit", limit)
    build = buildup_rate(test=test, critical=critical, per_unit=per_unit, years=years)
    keep = maintenance_rate(removal_rate, addition=addition)
    return 0.0 if test > limit else build + keep
