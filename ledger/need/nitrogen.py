"""Nitrogen need by yield factor, entered figure, EC117 or pre-sidedress nitrate."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from ledger.formulas import EC117, depth_weighted, ec117, yield_need
from ledger.ground import nitrogen_method
from ledger.model import Entry, Factor, Need, Zone
from ledger.need.desk import Missing, NeedDesk, book, cell
from ledger.need.nitrate import nitrate_need
from ledger.soil import layers, samples


def nitrogen_need(crop: Entry, zone: Zone, desk: NeedDesk) -> Need:
    """The nitrogen need of a zone [kg/ha]; unknown, with a finding, when a figure is missing."""
    method = nitrogen_method(desk.book, crop, desk.definitions)
    try:
        return METHODS[method.id](crop, zone, desk)
    except Missing:
        return Need(method=method.id, figures={"N": None})


def _need(method: str, value: float, *reasons: Factor) -> Need:
    return Need(method=method, figures={"N": value}, reasons=reasons)


def _by_yield(crop: Entry, zone: Zone, desk: NeedDesk) -> Need:
    method = "yield factor"
    goal = crop.number("yield_goal")
    if goal is None:
        raise desk.lacks(crop, "yield_goal", method)
    source = crop if crop.number("n_per_yield") is not None else desk.book.farm
    factor = source.number("n_per_yield")
    if factor is None:
        raise desk.lacks(crop, "n_per_yield", method)
    shown = "lb/ac" if desk.book.system == "us" else "kg/ha"
    unit = desk.crop(crop).yield_unit[desk.book.system]
    reasons = (
        cell("yield goal", crop, "yield_goal", goal, unit),
        cell("N per unit of yield", source, "n_per_yield", factor, shown.split("/", maxsplit=1)[0]),
    )
    return _need(method, desk.per_area(yield_need(goal, factor), shown), *reasons)


def _entered(crop: Entry, zone: Zone, desk: NeedDesk) -> Need:
    column = desk.definitions.nutrients["N"].columns["need"]
    value = crop.number(column)
    if value is None:
        if desk.crop(crop).legume:
            raise Missing(column)  # legumes fetch their own; nobody need be asked
        raise desk.lacks(crop, column, "entered")
    return _need("entered", value, cell("N need", crop, column, value, "kg/ha"))


def _by_ec117(crop: Entry, zone: Zone, desk: NeedDesk) -> Need:
    need = desk.definitions.need
    about = desk.crop(crop)
    if about.id != need.ec117_crop:
        desk.note("method-does-not-fit", crop, "crop", set="EC117", read=about.id, expected="corn")
        raise Missing("crop")
    goal = desk.bushels_per_acre(crop, "EC117")
    tests = samples(desk.book, zone, "routine") + samples(desk.book, zone, "preplant nitrate")
    matter = next((t for t in tests if t.number("om_pct") is not None), None)
    if matter is None:
        desk.note("soil-test-missing", crop, "field", set="EC117", expected="Organic matter")
        raise Missing("om_pct")
    om = matter.number("om_pct") or 0.0
    nitrate, reason = _root_zone_nitrate(crop, zone, desk)
    names = EC117.__dataclass_fields__
    coefficients = EC117(**{name: need.ec117[name].value for name in names})
    value = ec117(
        expected_yield=goal, nitrate_ppm=nitrate, organic_matter_pct=om, coefficients=coefficients
    )
    reasons = (
        cell("yield goal", crop, "yield_goal", goal, "bu/ac"),
        cell("organic matter", matter, "om_pct", om, "percent"),
        reason,
        *(book(name.replace("_", " "), need.ec117[name]) for name in names),
    )
    return _need("EC117", desk.per_area(value, "lb/ac"), *reasons)


def _root_zone_nitrate(crop: Entry, zone: Zone, desk: NeedDesk) -> tuple[float, Factor]:
    """Depth-weighted nitrate, or the published default where none was sampled, with a note."""
    need = desk.definitions.need
    found = layers(samples(desk.book, zone, "preplant nitrate"))
    if found:
        values = [entry.number("nitrate_ppm") or 0.0 for entry, _ in found]
        mean = depth_weighted(values, [thickness for _, thickness in found])
        wanted = need.ec117["nitrate_depth"]
        deep = sum(thickness for _, thickness in found)
        if deep < wanted.value * desk.definitions.units[wanted.unit].factor * (1 - 1e-9):
            words = {"set": "EC117", "expected": f"{wanted.value:g} {wanted.unit}"}
            desk.note("nitrate-too-shallow", found[-1][0], "nitrate_depth", **words)
        return mean, cell("root-zone nitrate-N", found[0][0], "nitrate_ppm", mean, "ppm")
    sandy = crop.text("soil") == "sandy"
    default = need.ec117["default_nitrate_sandy_ppm" if sandy else "default_nitrate_ppm"]
    words = {"read": f"{default.value:g}", "expected": default.citation()}
    desk.note("nitrate-assumed", crop, "field", **words)
    return default.value, book("nitrate-N taken", default)


Method = Callable[[Entry, Zone, NeedDesk], Need]
METHODS: Mapping[str, Method] = {
    "yield factor": _by_yield,
    "entered": _entered,
    "EC117": _by_ec117,
    "pre-sidedress nitrate": nitrate_need,
}
