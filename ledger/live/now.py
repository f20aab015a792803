"""What holds at the moment: the sets, methods and product that the Farm sheet names."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from ledger.formulas import water_nitrate
from ledger.live.text import listed, quoted
from ledger.live.words import BALANCE, PRODUCT
from ledger.model import Definitions, System

LEAP_YEARS = "ROUND(({year}-1901)/4-0.375,0)"  # whole leap years since 1901, to 2099
FIRST_MONTH_AFTER_LEAP_DAY = 3


def now_rows(
    definitions: Definitions, system: System, never: int
) -> Iterator[tuple[str, str | float]]:
    """Name and value of every single cell that formulas share."""
    farm = definitions.sheets["farm"].by_id
    sets = {"manure_set": "manure_sets", "removal_set": "removal_sets", "legume_set": "legume_sets"}
    for name, table in {**sets, "n_method": "methods"}.items():
        yield name, "=" + listed(f"[farm.{name}]", table, "key", quoted(farm[name].default))
    chosen = "[now.manure_set]"
    yield "years", "=" + listed(chosen, "manure_sets", "years", "0")
    yield "past_pool", "=" + listed(chosen, "manure_sets", "past_pool", quoted("total"))
    yield "never", float(never)
    for nutrient in definitions.nutrients.values():
        key = f'{chosen}&"|{nutrient.id}|1"'
        yield f"available_{nutrient.id}", "=" + listed(key, "available", "share", quoted(BALANCE))
        yield f"element_{nutrient.id}", nutrient.elemental_factor
    yield "water", _water(definitions, system)
    yield "least", "=IF(ISNUMBER([farm.smallest_pass]),[farm.smallest_pass],0)"
    yield from _product(definitions.shown_in[system])
    yield from _days(definitions)


def _water(definitions: Definitions, system: System) -> float:
    """Nitrogen per area in a part per million of a unit's depth of water."""
    units, shown = definitions.units, definitions.shown_in[system]
    depth = definitions.sheets["credits"].by_id["water_depth"].unit[system]
    depth_mm = units[depth].factor / units["mm"].factor
    return water_nitrate(1.0, depth_mm) / units[shown["mass per area"]].factor


def _product(shown: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Nitrogen in a unit of the sidedress product, of volume where it is known; the rate's unit."""
    row = "[now.product]"
    percent, density = f"INDEX([products.n_pct],{row})", f"INDEX([products.density],{row})"
    liquid = f'AND(INDEX([products.form],{row})<>"dry",ISNUMBER({density}))'
    word = quoted(PRODUCT)
    found = f"IFERROR(MATCH([farm.sidedress_product],[products.product],0),{word})"
    yield "product", f'=IF([farm.sidedress_product]="",{word},{found})'
    known = f"AND(ISNUMBER({percent}),{percent}>0)"
    held = f"IF({known},{percent}/100*IF({liquid},{density},1),{word})"
    yield "per_product", f"=IF(ISNUMBER({row}),{held},{word})"
    by_volume, by_mass = quoted(shown["volume per area"]), quoted(shown["mass per area"])
    yield "rate_unit", f'=IF(ISNUMBER({row}),IF({liquid},{by_volume},{by_mass}),"")'


def _days(definitions: Definitions) -> Iterator[tuple[str, str]]:
    """First and last day of the crop year as day numbers, by arithmetic every program shares."""
    about = definitions.settings["crop_year"]
    before = about["years_before"]
    yield (
        "first_day",
        "=" + _day(f"([farm.year]-{before})", about["starts_month"], about["starts_day"]),
    )
    yield "last_day", "=" + _day("[farm.year]", about["ends_month"], about["ends_day"])


def _day(year: str, month: int, day: int) -> str:
    """The day number of a date after February: counted back from the next New Year."""
    if month < FIRST_MONTH_AFTER_LEAP_DAY:
        raise ValueError("a crop year that begins or ends before March has no formula yet")
    back = (date(2001, 1, 1) - date(2000, month, day)).days
    following = f"({year}+1)"
    new_year = f"365*({following}-1900)+{LEAP_YEARS.format(year=following)}+2"
    return f"{new_year}-{back}"
