"""Need from a pre-sidedress nitrate test, and what of the supply the test holds already.

The test tells what is still needed from its day on. So the amount to go is the test's rate
less what was applied afterwards, and the need shown is that rate plus everything the test
contains: need less supply then gives the same amount to go, and nothing is counted twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import fsum, isclose

from ledger.factors import cell_factor, figure_factor
from ledger.formulas import HistoryNitrate, history_nitrate_need, linear_nitrate_need, step_value
from ledger.ground import nitrogen_method
from ledger.lookup import NoAnswer, find
from ledger.model import Entry, Factor, Gap, Need, NitrateSet, Postings, Zone
from ledger.need.desk import NeedDesk
from ledger.soil import samples

METHOD = "pre-sidedress nitrate"
MANURE_LOOK_BACK_YEARS = 3  # "manure in the three years before", Penn State Table 1.4-4


def nitrate_need(crop: Entry, zone: Zone, desk: NeedDesk) -> Need:
    """Need and amount to go by the nitrate test of the zone, read by the farm's set."""
    sets = desk.definitions.need.nitrate_sets
    default = desk.definitions.sheets["farm"].by_id["nitrate_set"].default
    chosen = sets.get(desk.book.farm.text("nitrate_set")) or sets[default]
    about = desk.crop(crop)
    if about.removal_as != chosen.crop:
        raise desk.misfit(crop, chosen.id, chosen.crop)
    tests = samples(desk.book, zone, METHOD, desk.definitions)
    if not tests:
        raise desk.no_test(crop, METHOD, "Nitrate-N of this crop year")
    rate, reasons = READINGS[chosen.form](chosen, crop, tests, zone, desk)
    day = tests[0].day("date") or date.min
    _remark_on_validity(tests, zone, day, desk)
    contained = _supply(zone, day, chosen, crop, desk, inside=True)
    later = _supply(zone, day, chosen, crop, desk, inside=False)
    held = cell_factor(
        "and what the test holds already", tests[0], "date", contained or 0.0, "kg/ha"
    )
    return Need(
        method=METHOD,
        figures={"N": None if contained is None else rate + contained},
        reasons=(*reasons, held),
        outright={"N": None if later is None else rate - later},
    )


Reading = tuple[float, tuple[Factor, ...]]


def _ppm(tests: Sequence[Entry]) -> tuple[float, tuple[Factor, ...]]:
    """The mean of samples taken the same day, and each of them."""
    values = [test.number("nitrate_ppm") or 0.0 for test in tests]
    told = [
        cell_factor("nitrate-N", test, "nitrate_ppm", value, "ppm")
        for test, value in zip(tests, values, strict=True)
    ]
    return fsum(values) / len(values), tuple(told)


def _linear(
    chosen: NitrateSet, crop: Entry, tests: Sequence[Entry], zone: Zone, desk: NeedDesk
) -> Reading:
    assert chosen.critical is not None
    assert chosen.slope is not None
    keys = {
        "spring_rain": tests[0].text("spring_rain", "normal"),
        "manured": _manured(zone, desk),
    }
    critical = find(chosen.critical, keys)
    if isinstance(critical, NoAnswer):
        raise desk.lacks(tests[0], "spring_rain", METHOD)
    ppm, told = _ppm(tests)
    value = linear_nitrate_need(critical=critical.value, measured=ppm, slope=chosen.slope.value)
    factors = (
        *told,
        figure_factor("critical level", critical),
        figure_factor("rate a ppm", chosen.slope),
    )
    return desk.per_area(value, "lb/ac"), factors


def _steps(
    chosen: NitrateSet, crop: Entry, tests: Sequence[Entry], zone: Zone, desk: NeedDesk
) -> Reading:
    column = desk.definitions.nutrients["N"].columns["need"]
    base = crop.number(column)
    if base is None:
        raise desk.lacks(crop, column, chosen.id)
    ppm, sampled = _ppm(tests)
    told = (*sampled, cell_factor("N need entered", crop, column, base, "kg/ha"))
    if ppm > chosen.steps[-1][0]:
        return 0.0, (*told, figure_factor("last step", chosen.steps[-1][1]))
    cut = step_value(ppm, [(to, figure.value) for to, figure in chosen.steps])
    figure = next(f for to, f in chosen.steps if ppm <= to)
    return max(0.0, base - desk.per_area(cut, "lb/ac")), (*told, figure_factor("deduction", figure))


def _history(
    chosen: NitrateSet, crop: Entry, tests: Sequence[Entry], zone: Zone, desk: NeedDesk
) -> Reading:
    assert chosen.per_yield is not None
    assert chosen.none_from is not None
    if desk.crop(crop).bushel_weight is None:
        raise desk.misfit(crop, chosen.id, "a grain crop: its equation is in bushels")
    before = desk.definitions.crops.get(crop.text("previous_crop"))
    kind = "other"
    if before and before.legume:
        kind = "soybean" if before.main_part == "grain" else "legume hay"
    ppm, told = _ppm(tests)
    coefficients = HistoryNitrate(
        per_yield=chosen.per_yield.value,
        none_from_ppm=chosen.none_from.value,
        previous_crop={name: figure.value for name, figure in chosen.previous_crop.items()},
        **{name: figure.value for name, figure in chosen.history.items()},
    )
    value = history_nitrate_need(
        expected_yield=desk.bushels_per_acre(crop, chosen.id),
        nitrate_ppm=ppm,
        manure_now=_manured(zone, desk),
        manure_before=_manured_before(zone, desk),
        previous_crop=kind,
        coefficients=coefficients,
    )
    unit = desk.crop(crop).yield_unit[desk.book.system]
    goal = cell_factor("yield goal", crop, "yield_goal", crop.number("yield_goal") or 0.0, unit)
    rates = (figure_factor(n.replace("_", " "), f) for n, f in chosen.history.items())
    factors = (
        *told,
        goal,
        *rates,
        figure_factor(f"previous crop: {kind}", chosen.previous_crop[kind]),
    )
    return desk.per_area(value, "lb/ac"), (*factors, figure_factor("per yield", chosen.per_yield))


def _remark_on_validity(tests: Sequence[Entry], zone: Zone, day: date, desk: NeedDesk) -> None:
    """Point out samples of another depth, and nitrogen put on before them beyond what is valid."""
    limits, units = desk.definitions.need.presidedress, desk.definitions.units
    depth, early = limits["depth"], limits["early_nitrogen"]
    for test in tests:
        typed = test.number("nitrate_depth")
        if typed is not None and not isclose(typed, depth.value * units[depth.unit].factor):
            words = {"set": METHOD, "expected": f"{depth.value:g} {depth.unit}"}
            desk.note("nitrate-depth-does-not-fit", test, "nitrate_depth", **words)
    put_on = [p for p in _available(zone, desk) if p.stream == "fertilizer" and p.date]
    before = [p for p in put_on if p.date and p.date <= day]
    total = fsum(p.mass for p in before) / zone.area
    spread = any(p.entry.text("placement") == "broadcast" for p in before)
    if spread or total > desk.per_area(early.value, early.unit):
        words = {"set": METHOD, "read": desk.shown(total), "expected": early.citation()}
        desk.note("nitrate-test-doubtful", tests[0], "date", **words)


READINGS = {"linear": _linear, "steps": _steps, "history": _history}


def _manured(zone: Zone, desk: NeedDesk) -> bool:
    kinds = desk.journal.postings.kinds
    return any(kind.zone == zone and kind.stream == "manure" for kind in kinds)


def _manured_before(zone: Zone, desk: NeedDesk) -> bool:
    first = desk.book.year - MANURE_LOOK_BACK_YEARS
    return any(
        e.text("field") == zone.field
        and e.text("zone") in ("", zone.zone)
        and (e.number("year") or 0) >= first
        for e in desk.book.entries.get("past_manure", ())
    )


def _supply(
    zone: Zone, day: date, chosen: NitrateSet, crop: Entry, desk: NeedDesk, *, inside: bool
) -> float | None:
    """Nitrogen supplied to a zone [kg/ha] that the test contains, or does not; None unknown."""
    inside_test = _InsideTest(
        contains=nitrogen_method(desk.book, crop, desk.definitions).contains | chosen.contains,
        day=day,
    )
    gaps = [g for g in desk.journal.gaps if g.zone == zone and g.nutrient == "N" and g.unknown]
    if any(inside_test.holds_gap(gap) is inside for gap in gaps if _supplies(gap)):
        return None
    masses = [
        p.mass for p in _available(zone, desk) if inside_test.holds(p.stream, p.date) is inside
    ]
    return fsum(masses) / zone.area


def _available(zone: Zone, desk: NeedDesk) -> Postings:
    """Nitrogen postings into what a zone's crop can use."""
    return desk.journal.postings.where(
        lambda kind: (
            kind.zone == zone
            and kind.nutrient == "N"
            and kind.stream != "removal"
            and kind.account.root == "field"
            and kind.account.path[-1] == "available"
        )
    )


def _supplies(gap: Gap) -> bool:
    return not gap.figures or gap.figures[0] != "removal"


class _InsideTest:
    """Says whether a supply was in the soil, and so in the test, on the day of the sample."""

    def __init__(self, *, contains: frozenset[str], day: date) -> None:
        self._contains = contains
        self._day = day

    def holds(self, stream: str, when: date | None) -> bool:
        early = when is None or when <= self._day
        if stream == "manure":
            return early and "manure before test" in self._contains
        if stream == "fertilizer":
            return early and "fertilizer before test" in self._contains
        if stream == "credits":  # an undated credit counts as still to come
            return when is not None and early and "credits before test" in self._contains
        return stream == "residual" and "residual manure" in self._contains

    def holds_gap(self, gap: Gap) -> bool:
        stream = {"manure": "manure", "manure_credit": "manure"}.get(gap.figures[0], gap.figures[0])
        return self.holds(stream, gap.entry.day("date"))
