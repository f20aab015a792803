"""The rig: can the outlets deliver a rate at the planned speed within the pressure limits?"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.formulas import outlet_flow, pressure_for_flow, sizing_flow, speed_window
from ledger.model import Book, Definitions, RigCheck
from ledger.plan.product import Filling

NEEDED = ("orifice_flow", "orifice_pressure", "orifice_fluid_density", "outlet_spacing")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rig:
    """One known point of an outlet and what the person wants of the rig; base units."""

    flow: float
    pressure: float
    density: float
    width: float
    outlets: int | None
    speed: float | None
    pressure_min: float | None
    pressure_max: float | None


def rig_of(book: Book, definitions: Definitions) -> tuple[Rig | None, list[str]]:
    """The rig of the Farm sheet, or None with the titles of what is blank."""
    farm = book.farm
    titles = definitions.sheets["farm"].by_id
    wanted = (*NEEDED, "speed", "pressure_min", "pressure_max")
    missing = [titles[name].title for name in wanted if farm.number(name) is None]
    known = {name: farm.number(name) for name in NEEDED}
    if any(value is None for value in known.values()):
        return None, missing
    outlets = farm.number("outlets")
    low, high = farm.number("pressure_min"), farm.number("pressure_max")
    if low is not None and high is not None and low > high:
        low, high = None, None  # reported by a rule of the Farm sheet
    return Rig(
        flow=known["orifice_flow"] or 0.0,
        pressure=known["orifice_pressure"] or 0.0,
        density=known["orifice_fluid_density"] or 0.0,
        width=known["outlet_spacing"] or 0.0,
        outlets=int(outlets) if outlets else None,
        speed=farm.number("speed"),
        pressure_min=low,
        pressure_max=high,
    ), missing


def rig_check(rig: Rig, rate: float, tank: Filling) -> RigCheck | None:
    """What a rate [L/ha] asks of the outlets; the liquid's density against the known fluid's."""
    if tank.density is None or rig.speed is None:
        return None
    ratio = tank.density / rig.density
    window = _window(rig, rate, ratio)
    flow = outlet_flow(rate, speed=rig.speed, width=rig.width)
    pressure = pressure_for_flow(
        flow, known_flow=rig.flow, known_pressure=rig.pressure, sg_ratio=ratio
    )
    fits = _fits(rig, pressure)
    return RigCheck(
        flow_per_outlet=flow,
        pressure=pressure,
        pressure_ok=fits,
        speed_min=window[0],
        speed_max=window[1],
        outlet_wanted=_wanted(rig, flow, ratio) if fits is False else None,
    )


def _window(rig: Rig, rate: float, ratio: float) -> tuple[float | None, float | None]:
    if rig.pressure_min is None or rig.pressure_max is None:
        return None, None
    return speed_window(
        rate,
        width=rig.width,
        known_flow=rig.flow,
        known_pressure=rig.pressure,
        pressure_min=rig.pressure_min,
        pressure_max=rig.pressure_max,
        sg_ratio=ratio,
    )


def _fits(rig: Rig, pressure: float) -> bool | None:
    if rig.pressure_min is None or rig.pressure_max is None:
        return None
    return rig.pressure_min <= pressure <= rig.pressure_max


def _wanted(rig: Rig, flow: float, ratio: float) -> float | None:
    """Flow at the known pressure, in the known fluid, of the outlet that would fit."""
    if not rig.pressure_min or rig.pressure_max is None:
        return None
    return sizing_flow(
        flow,
        rated_pressure=rig.pressure,
        pressure_min=rig.pressure_min,
        pressure_max=rig.pressure_max,
        sg_ratio=ratio,
    )
