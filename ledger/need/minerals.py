"""Phosphate, potash and sulfur need: what the yield goal takes, entered, or by soil test."""

from __future__ import annotations

from ledger.contents import content_fraction, removal_set_of
from ledger.formulas import removal, soil_test_need, to_moisture
from ledger.lookup import in_band
from ledger.model import Entry, SoilTestLevel, Zone
from ledger.need.desk import Missing, NeedDesk
from ledger.soil import samples

TEST_COLUMNS = {"P2O5": ("p_ppm", "p_method"), "K2O": ("k_ppm", "k_method")}


def mineral_need(nutrient: str, crop: Entry, zone: Zone, desk: NeedDesk) -> float | None:
    """Need of a nutrient [kg/ha], or None when the person gave nothing to reckon it from.

    An entered figure always wins; without a method only entered figures count.
    """
    column = desk.definitions.nutrients[nutrient].columns.get("need", "")
    entered = crop.number(column) if column else None
    if entered is not None:
        return entered
    method = crop.text("pk_method")
    try:
        if method == "removal" or (method == "soil test" and nutrient not in TEST_COLUMNS):
            return _by_removal(nutrient, crop, desk)
        if method == "soil test":
            return _by_test(nutrient, crop, zone, desk)
    except Missing:
        return None
    return None


def _by_removal(nutrient: str, crop: Entry, desk: NeedDesk) -> float:
    """What the yield goal would carry off with the main part of the crop."""
    about = desk.crop(crop)
    chosen = removal_set_of(desk.book.farm.text("removal_set"), desk.definitions)
    book = chosen.figures.get((about.removal_as, about.main_part, nutrient))
    mass = desk.yield_mass(crop, "removal")
    if book is None:
        raise Missing(nutrient)
    standard = about.parts[about.main_part].standard_moisture
    if book.moisture is not None and standard is not None:
        mass = to_moisture(mass, moisture_pct=standard.value, standard_pct=book.moisture)
    return removal(mass, content_fraction(book.figure, about, desk.definitions))


def _by_test(nutrient: str, crop: Entry, zone: Zone, desk: NeedDesk) -> float:
    tests = desk.definitions.need.soil_tests
    value, method = TEST_COLUMNS[nutrient]
    test = next(
        (t for t in samples(desk.book, zone, "routine") if t.number(value) is not None), None
    )
    if test is None:
        title = desk.definitions.sheets["soil_tests"].by_id[value].title
        desk.note("soil-test-missing", crop, "field", set=tests.id, expected=title)
        raise Missing(value)
    if test.text(method) != tests.extractant:
        words = {"set": tests.id, "read": test.text(method), "expected": tests.extractant}
        desk.note("extractant-does-not-fit", test, method, **words)
        raise Missing(method)
    level = _level(nutrient, crop, test, desk)
    keep = _by_removal(nutrient, crop, desk)
    ppm = test.number(value) or 0.0
    if ppm < level.critical.value:
        words = {"read": f"{ppm:g}", "expected": f"{level.critical.value:g}", "nutrient": nutrient}
        desk.note("below-critical", test, value, **words)
    return soil_test_need(
        test=ppm,
        critical=level.critical.value,
        limit=level.limit.value,
        removal_rate=keep,
        per_unit=0.0,  # the guide leaves the build-up to the grower
        years=1.0,
        addition=desk.per_area(level.addition.value, level.addition.unit),
    )


def _level(nutrient: str, crop: Entry, test: Entry, desk: NeedDesk) -> SoilTestLevel:
    tests = desk.definitions.need.soil_tests
    name = crop.text("crop")
    levels = [level for level in tests.levels[nutrient] if name in level.crops]
    if not levels:
        words = {"set": tests.id, "read": name, "expected": "the crops it was made for"}
        desk.note("method-does-not-fit", crop, "crop", **words)
        raise Missing(name)
    cec = test.number("cec")
    if any(level.cec for level in levels) and cec is None:
        raise desk.lacks(test, "cec", tests.id)
    fitting = [lv for lv in levels if lv.cec is None or in_band(cec or 0.0, lv.cec)]
    return fitting[0]
