"""Manure stores: volumes from shape and depth, what rain adds, what should be left.

Lengths in one unit, volumes in its cube; nothing here knows feet from metres.
"""

from __future__ import annotations

from math import cos, pi, radians
from typing import NamedTuple

from ledger.formulas import limits


class Basin(NamedTuple):
    """Length and width of a sloped basin's liquid surface."""

    length: float
    width: float


def box_volume(length: float, width: float, depth: float) -> float:
    """Volume of a straight-sided store = length x width x depth.

    Error: ValueError below zero. Reference: Brodie, University of Maryland Facts 176.
    """
    limits.not_negative(length=length, width=width, depth=depth)
    return length * width * depth


def tank_volume(diameter: float, depth: float) -> float:
    """Volume of an upright round tank = pi x diameter^2 / 4 x depth.

    Error: ValueError below zero. Reference: University of Missouri dairy sheet 2003, which
    takes pi as 3.14.
    """
    limits.not_negative(diameter=diameter, depth=depth)
    return pi * diameter**2 / 4 * depth


def prismoid_volume(top: float, middle: float, bottom: float, depth: float) -> float:
    """Volume from the areas at the surface, at half depth and at the floor.

    V = depth / 6 x (top + 4 x middle + bottom). Error: ValueError below zero.
    Reference: form of the design calculations in NC DEQ file 550007.
    """
    limits.not_negative(top=top, middle=middle, bottom=bottom, depth=depth)
    return depth / 6 * (top + 4 * middle + bottom)


def basin_at(full: Basin, full_depth: float, depth: float, slope: float) -> Basin:
    """The liquid surface of a sloped basin that stands at ``depth`` of its ``full_depth``.

    Every side draws in by slope x (full depth - depth). ``slope`` is run per rise.
    Error: ValueError below zero, above the full depth or when the sides meet above the floor.
    """
    limits.not_negative(depth=depth, slope=slope, length=full.length, width=full.width)
    limits.ordered("depth", depth, "full depth", full_depth)
    drawn = 2 * slope * (full_depth - depth)
    surface = Basin(full.length - drawn, full.width - drawn)
    limits.not_negative(length_at_that_depth=surface.length, width_at_that_depth=surface.width)
    return surface


def basin_volume(full: Basin, full_depth: float, depth: float, slope: float) -> float:
    """Liquid in a sloped basin at ``depth``: the prismoid below its surface.

    Error: as for ``basin_at``. Reference: prismoid as in NC DEQ file 550007, its sides drawn
    in by the slope (algebra).
    """
    areas = [
        surface.length * surface.width
        for part in (1.0, 0.5, 0.0)
        for surface in [basin_at(full, full_depth, depth * part, slope)]
    ]
    return prismoid_volume(areas[0], areas[1], areas[2], depth)


def depth_on_slope(wall: float, freeboard: float, slope_degrees: float) -> float:
    """Upright depth from lengths measured along a sloped wall.

    depth = cos(angle from upright) x (wall - freeboard), the angle from upright being 90
    degrees less the wall's slope. Error: ValueError for a slope outside 0 to 90 or a
    freeboard longer than the wall. Reference: Alberta Nutrient Management Planning Guide p. 134.
    """
    limits.not_negative(freeboard=freeboard)
    limits.ordered("freeboard", freeboard, "wall", wall)
    limits.ordered("slope", slope_degrees, "upright", 90)
    return cos(radians(90 - slope_degrees)) * (wall - freeboard)


def level_below_top(freeboard: float, storm: float, runoff: float, area: float) -> float:
    """How far below its top a basin may be filled: freeboard + storm + runoff / surface.

    Error: ValueError below zero or without a surface. Reference: NC DEQ file 550007.
    """
    limits.not_negative(freeboard=freeboard, storm=storm, runoff=runoff)
    limits.positive(area=area)
    return freeboard + storm + runoff / area


def lot_runoff(rain: float, kept: float, area: float) -> float:
    """Volume that runs off a lot = (rain - what the lot keeps) x area, never below zero.

    Units: rain and kept in one length, area in that length squared (or as acre-lengths).
    Error: ValueError below zero. Reference: Montana State University, liquid manure page,
    which keeps half an inch.
    """
    limits.not_negative(rain=rain, kept=kept, area=area)
    return max(rain - kept, 0.0) * area


def closing(
    opening: float, made: float, brought: float, spread: float, sold: float, lost: float
) -> float:
    """What a store should hold: opening + made + brought - spread - sold - lost.

    One unit for all. Below zero is an answer: more left than there was. Error: ValueError
    for a part below zero.
    """
    limits.not_negative(
        opening=opening, made=made, brought=brought, spread=spread, sold=sold, lost=lost
    )
    return opening + made + brought - spread - sold - lost


def manure_made(per_unit_year: float, units: float, days: float) -> float:
    """Manure of a herd = amount a unit and year x units x days / 365.

    In the unit of the first figure. Error: ValueError below zero. Reference: arithmetic on
    USDA NRCS manure production and nutrient content data.
    """
    limits.not_negative(per_unit_year=per_unit_year, units=units, days=days)
    days_a_year = 365
    return per_unit_year * units * days / days_a_year
