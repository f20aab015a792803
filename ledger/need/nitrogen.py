"""Nitrogen need by yield factor, entered figure, EC117 or pre-sidedress nitrate."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from ledger.contents import content_fraction
from ledger.factors import cell_factor, figure_factor
from ledger.formulas import EC117, depth_weighted, ec117, yield_need
from ledger.ground import nitrogen_method
from ledger.model import Entry, Factor, Need, Zone
from ledger.need.desk import Missing, NeedDesk
from ledger.need.nitrate import nitrate_need
from ledger.soil import layers, samples


def nitrogen_need(crop: Entry, zone: Zone, desk: NeedDesk) -> Need:
    """The nitrogen need of a zone [kg/ha]; unknown, with a finding, when a figure is missing."""
    method = nitrogen_method(desk.book, crop, desk.definitions)
    try:
        return METHODS[method.id](crop, zone, desk)
    except Missing as lacking:
        words = tuple(filter(None, (str(lacking),)))
        return Need(method=method.id, figures={"N": None}, missing=words)


def _need(method: str, value: float, *reasons: Factor) -> Need:
    return Need(method=method, figures={"N": value}, reasons=reasons)


def _by_yield(crop: Entry, zone: Zone, desk: NeedDesk) -> Need:
    method = "yield factor"
    goal = crop.number("yield_goal")
    if goal is None:
        raise desk.lacks(crop, "yield_goal", method)
    unit = desk.crop(crop).yield_unit[desk.book.system]
    told = cell_factor("yield goal", crop, "yield_goal", goal, unit)
    source = _factor_source(crop, desk)
    if source is None:
        return _by_usual_factor(crop, told, desk)
    factor = source.number("n_per_yield") or 0.0
    shown = desk.definitions.shown_in[desk.book.system]["mass per area"]
    per = f"{shown.split('/')[0]}/{unit.split('/')[0]}"
    typed = cell_factor("N per unit of yield", source, "n_per_yield", factor, per)
    return _need(method, desk.per_area(yield_need(goal, factor), shown), told, typed)


def _factor_source(crop: Entry, desk: NeedDesk) -> Entry | None:
    """The line whose factor holds: the crop's own, or the Farm sheet's where a usual one exists.

    One figure cannot serve bushels of corn and tons of hay, so that the Farm sheet's is for the
    crops the rule of thumb is known for.
    """
    usual = crop.text("crop") in desk.definitions.need.yield_factors
    sources = [crop, desk.book.farm] if usual else [crop]
    return next((s for s in sources if s.number("n_per_yield") is not None), None)


def _by_usual_factor(crop: Entry, told: Factor, desk: NeedDesk) -> Need:
    """Need by the factor of common practice, said in a note; other crops must be given one."""
    usual = desk.definitions.need.yield_factors.get(crop.text("crop"))
    if usual is None:
        if desk.crop(crop).legume:
            raise Missing()
        raise desk.lacks(crop, "n_per_yield", "yield factor")
    words = {"read": f"{usual.value:g} {usual.unit}", "range": f"{usual.low:g} to {usual.high:g}"}
    desk.note("yield-factor-taken", crop, "n_per_yield", **words, expected=usual.citation())
    fraction = content_fraction(usual, desk.crop(crop), desk.definitions)
    value = yield_need(desk.yield_mass(crop, "yield factor"), fraction)
    return _need("yield factor", value, told, figure_factor("N per unit of yield", usual))


def _entered(crop: Entry, zone: Zone, desk: NeedDesk) -> Need:
    column = desk.definitions.nutrients["N"].columns["need"]
    value = crop.number(column)
    if value is None:
        if desk.crop(crop).legume:
            raise Missing()  # legumes fetch their own; nobody need be asked
        raise desk.lacks(crop, column, "entered")
    return _need("entered", value, cell_factor("N need", crop, column, value, "kg/ha"))


def _by_ec117(crop: Entry, zone: Zone, desk: NeedDesk) -> Need:
    need = desk.definitions.need
    about = desk.crop(crop)
    if about.id != need.ec117_crop:
        raise desk.misfit(crop, "EC117", need.ec117_crop)
    goal = desk.bushels_per_acre(crop, "EC117")
    kinds = ("routine", "preplant nitrate")
    tests = [t for kind in kinds for t in samples(desk.book, zone, kind, desk.definitions)]
    matter = next((t for t in tests if t.number("om_pct") is not None), None)
    if matter is None:
        raise desk.no_test(crop, "EC117", "Organic matter")
    om = matter.number("om_pct") or 0.0
    nitrate, sampled = _root_zone_nitrate(crop, zone, desk)
    names = EC117.__dataclass_fields__
    coefficients = EC117(**{name: need.ec117[name].value for name in names})
    value = ec117(
        expected_yield=goal, nitrate_ppm=nitrate, organic_matter_pct=om, coefficients=coefficients
    )
    reasons = (
        cell_factor("yield goal", crop, "yield_goal", goal, "bu/ac"),
        cell_factor("organic matter", matter, "om_pct", om, "percent"),
        *sampled,
        *(figure_factor(name.replace("_", " "), need.ec117[name]) for name in names),
    )
    return _need("EC117", desk.per_area(value, "lb/ac"), *reasons)


def _root_zone_nitrate(crop: Entry, zone: Zone, desk: NeedDesk) -> tuple[float, tuple[Factor, ...]]:
    """Depth-weighted nitrate, or the published default where none was sampled, with a note."""
    need = desk.definitions.need
    found = layers(samples(desk.book, zone, "preplant nitrate", desk.definitions))
    if found:
        values = [entry.number("nitrate_ppm") or 0.0 for entry, _ in found]
        mean = depth_weighted(values, [thickness for _, thickness in found])
        wanted = need.ec117["nitrate_depth"]
        deep = sum(thickness for _, thickness in found)
        if deep < wanted.value * desk.definitions.units[wanted.unit].factor * (1 - 1e-9):
            words = {"set": "EC117", "expected": f"{wanted.value:g} {wanted.unit}"}
            desk.note("nitrate-too-shallow", found[-1][0], "nitrate_depth", **words)
        return mean, tuple(
            cell_factor("nitrate-N of a layer", entry, "nitrate_ppm", ppm, "ppm")
            for (entry, _), ppm in zip(found, values, strict=True)
        )
    sandy = crop.text("soil") == "sandy"
    default = need.ec117["default_nitrate_sandy_ppm" if sandy else "default_nitrate_ppm"]
    words = {"read": f"{default.value:g}", "expected": default.citation()}
    desk.note("nitrate-assumed", crop, "field", **words)
    return default.value, (figure_factor("nitrate-N taken", default),)


Method = Callable[[Entry, Zone, NeedDesk], Need]
METHODS: Mapping[str, Method] = {
    "yield factor": _by_yield,
    "entered": _entered,
    "EC117": _by_ec117,
    "pre-sidedress nitrate": nitrate_need,
}
