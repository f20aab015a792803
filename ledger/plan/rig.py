"""The rig: can the outlets deliver a rate at the planned speed within the pressure limits?"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.formulas import outlet_flow, pressure_for_flow, sizing_flow, speed_window
from ledger.model import Book, Definitions, Entry, RigCheck
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
    speed_min: float | None
    speed_max: float | None
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
    low, high = _limits(farm, "pressure_min", "pressure_max")
    slow, fast = _limits(farm, "speed_min", "speed_max")
    return Rig(
        flow=known["orifice_flow"] or 0.0,
        pressure=known["orifice_pressure"] or 0.0,
        density=known["orifice_fluid_density"] or 0.0,
        width=known["outlet_spacing"] or 0.0,
        outlets=int(outlets) if outlets else None,
        speed=farm.number("speed"),
        speed_min=slow,
        speed_max=fast,
        pressure_min=low,
        pressure_max=high,
    ), missing


def _limits(farm: Entry, lowest: str, highest: str) -> tuple[float | None, float | None]:
    """Two limits of the Farm sheet; crossed ones count as not given, a rule reports them."""
    low, high = farm.number(lowest), farm.number(highest)
    crossed = low is not None and high is not None and low > high
    return (None, None) if crossed else (low, high)


def rig_check(rig: Rig, rate: float, tank: Filling) -> RigCheck | None:
    """What a rate [L/ha] asks of the outlets; the liquid's density against the known fluid's.

    None for what is not metered by volume. Without a planned speed the speeds alone are told.
    """
    if tank.density is None or not tank.by_volume:
        return None
    ratio = tank.density / rig.density
    window = _window(rig, rate, ratio)
    flow = outlet_flow(rate, speed=rig.speed, width=rig.width) if rig.speed else None
    pressure = None if flow is None else _pressure(rig, flow, ratio)
    fits = None if pressure is None else _fits(rig, pressure)
    speed_fits = _speed_fits(rig, window)
    return RigCheck(
        flow_per_outlet=flow,
        pressure=pressure,
        pressure_ok=fits,
        speed_min=window[0],
        speed_max=window[1],
        outlet_wanted=_wanted(rig, rate, ratio) if False in (fits, speed_fits) else None,
        speed_fits=speed_fits,
    )


def _pressure(rig: Rig, flow: float, ratio: float) -> float:
    return pressure_for_flow(flow, known_flow=rig.flow, known_pressure=rig.pressure, sg_ratio=ratio)


def _speed_fits(rig: Rig, window: tuple[float | None, float | None]) -> bool | None:
    """Whether some speed the person would drive lies in the window."""
    slow, fast = window
    if slow is None or fast is None or rig.speed_min is None or rig.speed_max is None:
        return None
    return max(slow, rig.speed_min) <= min(fast, rig.speed_max)


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


def _wanted(rig: Rig, rate: float, ratio: float) -> float | None:
    """Flow at the known pressure, in the known fluid, of the outlet that would fit.

    It is sized for the planned speed, or for the middle of the speeds that would be driven.
    """
    speed = rig.speed
    if speed is None and rig.speed_min is not None and rig.speed_max is not None:
        speed = (rig.speed_min + rig.speed_max) / 2
    if speed is None or not rig.pressure_min or rig.pressure_max is None:
        return None
    flow = outlet_flow(rate, speed=speed, width=rig.width)
    return sizing_flow(
        flow,
        rated_pressure=rig.pressure,
        pressure_min=rig.pressure_min,
        pressure_max=rig.pressure_max,
        sg_ratio=ratio,
    )
