"""Phosphate, potash and sulfur need: what the yield goal takes, entered, or by soil test."""

from __future__ import annotations

from ledger.contents import content_fraction, removal_set_of
from ledger.factors import cell_factor, figure_factor
from ledger.formulas import removal, soil_test_need, to_moisture
from ledger.lookup import in_band
from ledger.model import Entry, Factor, SoilTestLevel, Zone
from ledger.need.desk import Missing, NeedDesk
from ledger.soil import samples

TEST_COLUMNS = {"P2O5": ("p_ppm", "p_method"), "K2O": ("k_ppm", "k_method")}


Reckoned = tuple[float, tuple[Factor, ...]]
UNKNOWN: tuple[None, tuple[()]] = (None, ())


def mineral_need(
    nutrient: str, crop: Entry, zone: Zone, desk: NeedDesk
) -> tuple[float | None, tuple[Factor, ...]]:
    """Need of a nutrient [kg/ha] and its reasons, or None with nothing to reckon it from.

    An entered figure always wins; without a method only entered figures count.
    """
    column = desk.definitions.nutrients[nutrient].columns.get("need", "")
    entered = crop.number(column) if column else None
    if entered is not None:
        return entered, (cell_factor(f"{nutrient} need", crop, column, entered, "kg/ha"),)
    method = crop.text("pk_method")
    try:
        if method == "removal" or (method == "soil test" and nutrient not in TEST_COLUMNS):
            return _by_removal(nutrient, crop, desk)
        if method == "soil test":
            return _by_test(nutrient, crop, zone, desk)
    except Missing:
        return UNKNOWN
    return UNKNOWN


def _by_removal(nutrient: str, crop: Entry, desk: NeedDesk) -> Reckoned:
    """What the yield goal would carry off with the main part of the crop."""
    about = desk.crop(crop)
    chosen = removal_set_of(desk.book.farm.text("removal_set"), desk.definitions)
    figure = chosen.figures.get((about.removal_as, about.main_part, nutrient))
    mass = desk.yield_mass(crop, "removal")
    if figure is None:
        raise Missing(nutrient)
    standard = about.parts[about.main_part].standard_moisture
    if figure.moisture is not None and standard is not None:
        mass = to_moisture(mass, moisture_pct=standard.value, standard_pct=figure.moisture)
    unit = about.yield_unit[desk.book.system]
    goal = cell_factor("yield goal", crop, "yield_goal", crop.number("yield_goal") or 0.0, unit)
    need = removal(mass, content_fraction(figure.figure, about, desk.definitions))
    return need, (goal, figure_factor("removal", figure.figure))


def _by_test(nutrient: str, crop: Entry, zone: Zone, desk: NeedDesk) -> Reckoned:
    tests = desk.definitions.need.soil_tests
    value, method = TEST_COLUMNS[nutrient]
    test = next(
        (
            t
            for t in samples(desk.book, zone, "routine", desk.definitions)
            if t.number(value) is not None
        ),
        None,
    )
    if test is None:
        title = desk.definitions.sheets["soil_tests"].by_id[value].title
        raise desk.no_test(crop, tests.id, title)
    if test.text(method) != tests.extractant:
        words = {"set": tests.id, "read": test.text(method), "expected": tests.extractant}
        desk.note("extractant-does-not-fit", test, method, **words)
        raise Missing(method)
    level = _level(nutrient, crop, test, desk)
    keep, reasons = _by_removal(nutrient, crop, desk)
    ppm = test.number(value) or 0.0
    if ppm < level.critical.value:
        words = {"read": f"{ppm:g}", "expected": f"{level.critical.value:g}", "nutrient": nutrient}
        desk.note("below-critical", test, value, **words)
    elif level.limit.status == "memory":
        words = {"read": f"the {nutrient} maintenance limit", "expected": level.limit.citation()}
        desk.note("from-memory", test, value, **words)
    need = soil_test_need(
        test=ppm,
        critical=level.critical.value,
        limit=level.limit.value,
        removal_rate=keep,
        per_unit=0.0,  # the guide leaves the build-up to the grower
        years=1.0,
        addition=desk.per_area(level.addition.value, level.addition.unit),
    )
    levels = {"critical level": level.critical, "limit": level.limit, "added": level.addition}
    told = (figure_factor(name, figure) for name, figure in levels.items())
    return need, (cell_factor("soil test", test, value, ppm, "ppm"), *reasons, *told)


def _level(nutrient: str, crop: Entry, test: Entry, desk: NeedDesk) -> SoilTestLevel:
    tests = desk.definitions.need.soil_tests
    name = crop.text("crop")
    levels = [level for level in tests.levels[nutrient] if name in level.crops]
    if not levels:
        raise desk.misfit(crop, tests.id, "the crops it was made for")
    cec = test.number("cec")
    if any(level.cec for level in levels) and cec is None:
        raise desk.lacks(test, "cec", tests.id)
    fitting = [lv for lv in levels if lv.cec is None or in_band(cec or 0.0, lv.cec)]
    return fitting[0]
