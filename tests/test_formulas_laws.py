"""Laws that the formulas must keep, whatever the numbers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ledger import formulas

amounts = st.floats(0, 1e6)
sizes = st.floats(1e-3, 1e6)
fractions = st.floats(0, 1)
parts = st.floats(1e-3, 1)
moistures = st.floats(0, 95)
gravities = st.floats(0.5, 2)


def close(expected: float) -> object:
    return pytest.approx(expected, rel=1e-9, abs=1e-9)


@given(amounts, moistures, moistures)
def test_moisture_there_and_back(mass: float, here: float, there: float) -> None:
    standard = formulas.to_moisture(mass, moisture_pct=here, standard_pct=there)
    assert formulas.to_moisture(standard, moisture_pct=there, standard_pct=here) == close(mass)


@given(amounts, fractions, moistures, moistures)
def test_moisture_of_yield_and_content_cancel(
    mass: float, content: float, here: float, there: float
) -> None:
    moved = formulas.to_moisture(mass, moisture_pct=here, standard_pct=there)
    as_moved = formulas.content_at_moisture(content, from_pct=here, to_pct=there)
    assert moved * as_moved == close(mass * content)


@given(amounts, fractions, fractions)
def test_split_sums_to_the_amount(amount: float, retained: float, released: float) -> None:
    split = formulas.split_pool(amount, retained=retained, released=released)
    assert sum(split) == close(amount)
    assert min(split) >= 0


@given(amounts, amounts, amounts)
def test_organic_nitrogen_is_what_the_parts_leave(a: float, b: float, c: float) -> None:
    assert formulas.organic_nitrogen(a + b + c, a, b) == pytest.approx(c, rel=1e-9, abs=1e-2)
    assert formulas.organic_nitrogen(a + b, a, b) <= 1e-6 * (a + b + 1)


@given(sizes, sizes, sizes, gravities)
def test_pressure_and_flow_are_inverse(flow: float, known: float, at: float, sg: float) -> None:
    pressure = formulas.pressure_for_flow(flow, known_flow=known, known_pressure=at, sg_ratio=sg)
    back = formulas.flow_at_pressure(pressure, known_flow=known, known_pressure=at, sg_ratio=sg)
    assert back == close(flow)


@given(sizes, sizes, sizes)
def test_rate_flow_and_speed_agree(rate: float, speed: float, width: float) -> None:
    flow = formulas.outlet_flow(rate, speed=speed, width=width)
    assert formulas.rate_from_flow(flow, speed=speed, width=width) == close(rate)
    assert formulas.speed_from_flow(flow, rate=rate, width=width) == close(speed)


@given(amounts, gravities)
def test_water_and_solution_flow_are_inverse(flow: float, gravity: float) -> None:
    water = formulas.water_equivalent_flow(flow, gravity)
    assert formulas.solution_flow_from_water(water, gravity) == close(flow)


@given(rate=sizes, width=sizes, known=sizes, at=sizes, least=sizes, sg=gravities, more=sizes)
def test_speed_window_holds_the_pressure(
    *, rate: float, width: float, known: float, at: float, least: float, sg: float, more: float
) -> None:
    ends = (least, least + more)
    window = formulas.speed_window(
        rate,
        width=width,
        known_flow=known,
        known_pressure=at,
        pressure_min=ends[0],
        pressure_max=ends[1],
        sg_ratio=sg,
    )
    for speed, end in zip(window, ends, strict=True):
        flow = formulas.outlet_flow(rate, speed=speed, width=width)
        pressure = formulas.pressure_for_flow(
            flow, known_flow=known, known_pressure=at, sg_ratio=sg
        )
        assert pressure == pytest.approx(end, rel=1e-6)


solutions = st.lists(st.tuples(sizes, gravities, fractions, fractions), min_size=1, max_size=5)


@given(solutions)
def test_blend_conserves_mass(solution: list[tuple[float, float, float, float]]) -> None:
    volumes = [part[0] for part in solution]
    densities = [part[1] for part in solution]
    mix = formulas.blend(volumes, densities, [{"N": n, "S": s} for *_, n, s in solution])
    mass = sum(volumes) * mix.density
    assert mass == close(sum(v * d for v, d, _, _ in solution))
    assert mass * mix.grade["N"] == close(sum(v * d * n for v, d, n, _ in solution))
    assert mass * mix.grade["S"] == close(sum(v * d * s for v, d, _, s in solution))


# Nothing, or more than a milligram: a quotient that underflows is no load.
totals = st.just(0.0) | st.floats(1e-6, 1e6)


@given(totals, sizes)
def test_loads_carry_the_total_and_no_load_is_spare(total: float, usable: float) -> None:
    loads = formulas.loads_needed(total, usable)
    assert loads * usable >= total * (1 - 1e-9)
    assert max(loads - 1, 0) * usable <= total * (1 + 1e-9)


@given(st.integers(1, 10_000), st.floats(0.1, 1e4))
def test_whole_loads_stay_whole(loads: int, usable: float) -> None:
    by_tenths = sum([usable / 10] * 10) * loads
    assert formulas.loads_needed(by_tenths, usable) == loads


@given(amounts, parts, st.floats(0.1, 3))
def test_product_rate_carries_the_nutrient(rate: float, fraction: float, density: float) -> None:
    mass = formulas.product_mass_rate(rate, fraction)
    volume = formulas.product_volume_rate(rate, fraction, density)
    assert formulas.nutrient_in(mass, fraction) == close(rate)
    assert formulas.nutrient_in(volume * density, fraction) == close(rate)


@given(amounts, parts, fractions, amounts)
def test_residual_price_pays_for_the_product(
    price: float, fraction: float, other: float, other_price: float
) -> None:
    residual = formulas.residual_price(
        price, fraction=fraction, other_fraction=other, other_price=other_price
    )
    paid = residual * fraction + other * other_price
    assert paid == pytest.approx(price, rel=1e-9, abs=1e-6)


@given(amounts, amounts, amounts)
def test_an_unknown_price_makes_the_value_unknown(n: float, p: float, price: float) -> None:
    both = formulas.nutrient_value({"N": n, "P2O5": p}, {"N": price, "P2O5": price})
    part = formulas.nutrient_value({"N": n, "P2O5": p}, {"N": price, "P2O5": None})
    assert both == pytest.approx((n + p) * price)
    assert part == (None if p else n * price)


def test_an_unknown_amount_makes_the_value_unknown() -> None:
    assert formulas.nutrient_value({"N": 10, "S": None}, {"N": 1, "S": 1}) is None
    assert formulas.nutrient_value({}, {"N": 1}) == 0


@given(st.lists(st.tuples(amounts, sizes), min_size=1, max_size=6))
def test_depth_weighted_mean_lies_between_the_layers(layers: list[tuple[float, float]]) -> None:
    values = [value for value, _ in layers]
    mean = formulas.depth_weighted(values, [depth for _, depth in layers])
    assert min(values) - 1e-6 <= mean <= max(values) + 1e-6


@given(amounts, fractions, st.floats(0, 60), fractions, st.floats(0, 10))
def test_no_more_nitrate_is_lost_than_there_is(
    applied: float, nitrate: float, days: float, daily: float, free: float
) -> None:
    lost = formulas.wet_loss(
        applied, nitrate_fraction=nitrate, days=days, daily=daily, free_days=free
    )
    assert 0 <= lost <= applied * nitrate
    assert lost == 0 or days > free


@given(low=amounts, rise=amounts, critical=amounts, room=amounts, per=amounts)
def test_soil_test_need_falls_as_the_test_rises(
    low: float, rise: float, critical: float, room: float, per: float
) -> None:
    def need(test: float) -> float:
        return formulas.soil_test_need(
            test=test,
            critical=critical,
            limit=critical + room,
            removal_rate=40,
            per_unit=per,
            years=4,
        )

    assert need(low + rise) <= need(low)
    assert need(critical) == close(40)
