"""The applicator: rate, flow, speed, pressure and work rate.

Units: L/ha, L/min, km/h, m and kPa. Flows are for one outlet when the width is one outlet's,
for the whole machine when it is the machine's. Density corrects flow; viscosity does not
enter, so a catch test with the product has the last word.
"""

from __future__ import annotations

from math import sqrt

from ledger.formulas import limits

# 1 km/h x 1 m = 1,000 m2/h = 0.1 ha/h = 1/600 ha/min
KMH_M_PER_HA_MIN = 600.0
KMH_M_PER_HA_H = 10.0


def outlet_flow(rate: float, *, speed: float, width: float) -> float:
    """Flow, L/min = rate L/ha x speed km/h x width m / 600.

    Width: outlet spacing, or row spacing / outlets per row. Error: ValueError for a negative
    rate, or no speed or width. Reference: MU Extension G1270A (5940 in US units).
    """
    limits.not_negative(rate=rate)
    limits.positive(speed=speed, width=width)
    return rate * speed * width / KMH_M_PER_HA_MIN


def rate_from_flow(flow: float, *, speed: float, width: float) -> float:
    """Rate, L/ha = 600 x flow L/min / (speed km/h x width m).

    Error: ValueError for a negative flow, or no speed or width. Reference: MU G1270A.
    """
    limits.not_negative(flow=flow)
    limits.positive(speed=speed, width=width)
    return KMH_M_PER_HA_MIN * flow / (speed * width)


def speed_from_flow(flow: float, *, rate: float, width: float) -> float:
    """Speed, km/h = 600 x flow L/min / (rate L/ha x width m).

    Error: ValueError for a negative flow, or no rate or width. Reference: MU G1270A.
    """
    limits.not_negative(flow=flow)
    limits.positive(rate=rate, width=width)
    return KMH_M_PER_HA_MIN * flow / (rate * width)


def density_factor(specific_gravity: float) -> float:
    """Factor = square root of specific gravity (liquid density / water density).

    Error: ValueError at zero or below. Reference: UNL CropWatch 2016; UGA (Sumner) Table 1.
    """
    limits.positive(specific_gravity=specific_gravity)
    return sqrt(specific_gravity)


def water_equivalent_flow(flow: float, specific_gravity: float) -> float:
    """Flow to look up in a water chart = solution flow x density factor.

    Units: any flow or rate. Error: ValueError for a negative flow or no specific gravity.
    Reference: UNL CropWatch 2016, Example 1.
    """
    limits.not_negative(flow=flow)
    return flow * density_factor(specific_gravity)


def solution_flow_from_water(flow_water: float, specific_gravity: float) -> float:
    """Solution flow = flow caught with water at the same pressure / density factor.

    Units: any flow or rate. Error: ValueError for a negative flow or no specific gravity.
    Reference: NC State Extension, Duplin County 2014.
    """
    limits.not_negative(flow_water=flow_water)
    return flow_water / density_factor(specific_gravity)


def pressure_for_flow(
    flow: float, *, known_flow: float, known_pressure: float, sg_ratio: float = 1.0
) -> float:
    """Pressure = known pressure x density ratio x (flow / known flow)^2.

    sg_ratio: density of the liquid / density of the fluid of the known point (1 when it is
    the same). Units: any one flow unit; pressure as the known one, at the orifice.
    Error: ValueError for a negative flow or a known point at zero.
    Reference: orifice law, checked against the Hydraulic Institute table.
    """
    limits.not_negative(flow=flow)
    limits.positive(known_flow=known_flow, known_pressure=known_pressure, density_ratio=sg_ratio)
    return known_pressure * sg_ratio * (flow / known_flow) ** 2


def flow_at_pressure(
    pressure: float, *, known_flow: float, known_pressure: float, sg_ratio: float = 1.0
) -> float:
    """Flow = known flow x square root of (pressure / (known pressure x density ratio)).

    The inverse of pressure_for_flow: same units, limits and reference.
    """
    limits.not_negative(pressure=pressure)
    limits.positive(known_flow=known_flow, known_pressure=known_pressure, density_ratio=sg_ratio)
    return known_flow * sqrt(pressure / (known_pressure * sg_ratio))


def speed_window(
    rate: float,
    *,
    width: float,
    known_flow: float,
    known_pressure: float,
    pressure_min: float,
    pressure_max: float,
    sg_ratio: float = 1.0,
) -> tuple[float, float]:
    """Slowest and fastest speed, km/h, that hold the rate within the pressure limits.

    Their ratio is sqrt(pressure_max / pressure_min), whatever the orifice. Units: L/ha, m,
    L/min, kPa. Error: ValueError for limits in the wrong order, or no rate, width or known
    point. Reference: derived from the flow and orifice equations above.
    """
    limits.ordered("pressure_min", pressure_min, "pressure_max", pressure_max)
    slow, fast = (
        speed_from_flow(
            flow_at_pressure(
                pressure, known_flow=known_flow, known_pressure=known_pressure, sg_ratio=sg_ratio
            ),
            rate=rate,
            width=width,
        )
        for pressure in (pressure_min, pressure_max)
    )
    return slow, fast


def sizing_flow(
    flow: float,
    *,
    rated_pressure: float,
    pressure_min: float,
    pressure_max: float,
    sg_ratio: float = 1.0,
) -> float:
    """Rated flow of the orifice that delivers the flow midway between the pressure limits.

    Rated flow = flow x sqrt(sg_ratio x rated pressure / mid pressure), the mid pressure being
    the mean of the limits; sg_ratio as in pressure_for_flow, against the rating's fluid.
    Units: any one flow and one pressure unit. Error: ValueError for limits in the wrong order
    or at zero. Reference: derived from the orifice law.
    """
    limits.ordered("pressure_min", pressure_min, "pressure_max", pressure_max)
    limits.positive(pressure_min=pressure_min, rated_pressure=rated_pressure)
    mid_pressure = (pressure_min + pressure_max) / 2
    water_like = water_equivalent_flow(flow, sg_ratio)
    return flow_at_pressure(rated_pressure, known_flow=water_like, known_pressure=mid_pressure)


def field_capacity(speed: float, *, width: float, efficiency: float) -> float:
    """Work rate, ha/h = speed km/h x width m x efficiency / 10.

    A published efficiency holds turning and ordinary refilling already. Limits: efficiency
    above 0 to 1. Error: ValueError outside them, or no speed or width.
    Reference: Iowa State PM 696 (2001).
    """
    limits.positive(speed=speed, width=width)
    limits.part(efficiency=efficiency)
    return speed * width * efficiency / KMH_M_PER_HA_H
