"""The sheet *Years*."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ledger.model import LotYears, Years, ZoneYear, ZoneYears
from ledger.report.spans import marked, rough
from ledger.report.tables import CROP_WIDTH, UNCUT, Cell, Chart, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown

NUTRIENTS = ("P2O5", "K2O", "S")
TESTS = {"P2O5": "p_ppm", "K2O": "k_ppm"}
BANKED = "P2O5"
SERIES_AT_MOST = 12  # lines a chart can still tell apart


def years_sheet(together: Years, shown: Shown) -> ResultSheet:
    """Running balances by zone, soil tests beside them, and the nitrogen of every lot."""
    plain = trend_sheet(together, shown)
    lots = _lots_table(together.lots, shown)
    return replace(plain, id="years", name="Years", tables=[*plain.tables, lots])


def trend_sheet(together: Years, shown: Shown) -> ResultSheet:
    """What the years say of the ground alone, for a copy: lots are the farm's own matter."""
    words = [
        f"Crop years {', '.join(map(str, together.years))}. Balance = applied - removed, added up "
        "from the first of these years on.",
        "What a rule expects of a soil test is a rough note: soils differ, and tests vary by "
        "season and sampling.",
        marked("on the sheet How sure of the workbook of each year"),
    ]
    if any(year.standing for zone in together.zones for year in zone.years):
        words.append(
            f"'{UNCUT}': the balance of that year is what was put on; what the crop "
            "takes off is still to come."
        )
    tables = [
        *(_running_table(n, together, shown) for n in NUTRIENTS),
        _bank_table(together.zones, shown),
        _rules_table(shown),
        _year_table(together.zones, shown),
        _tests_table(together.zones),
    ]
    return ResultSheet(id="trend", name="Trend", words=words, tables=tables)


def _name(zone: ZoneYears) -> str:
    return zone.field if zone.zone == "all" else f"{zone.field}, {zone.zone}"


def _running_table(nutrient: str, together: Years, shown: Shown) -> Table:
    headings = [
        Heading(text="Crop year", format="text", width=20),
        *(Heading(text=_name(zone), width=14) for zone in together.zones),
    ]
    uncut = {year: _uncut(year, together.zones) for year in together.years}
    state = [Heading(text="State", format="wrapped", width=30)] if any(uncut.values()) else []
    by_year = [
        {y.year: _running(y, nutrient, shown) for y in zone.years} for zone in together.zones
    ]
    lines = [
        Line(
            cells=[
                str(year),
                *(sums.get(year, "") for sums in by_year),
                *(uncut[year] for _ in state),
            ]
        )
        for year in together.years
    ]
    unit = shown.label("mass per area")
    title = f"{shown.definitions.nutrients[nutrient].title} ({nutrient}), running balance [{unit}]"
    series = tuple(range(1, 1 + min(len(together.zones), SERIES_AT_MOST)))
    chart = Chart(title=title, categories=0, series=series, kind="line", axis=unit)
    chosen = chart if series else None
    return Table(title=title, headings=[*headings, *state], lines=lines, chart=chosen)


def _uncut(year: int, zones: Sequence[ZoneYears]) -> str:
    """Which ground had no harvest yet in a year, in words; nothing where all was harvested."""
    there = {_name(zone): one.standing for zone in zones for one in zone.years if one.year == year}
    names = [name for name, standing in there.items() if standing]
    which = "" if len(names) == len(there) else f": {'; '.join(names)}"
    return f"{UNCUT}{which}" if names else ""


def _running(year: ZoneYear, nutrient: str, shown: Shown) -> Cell:
    return rough(shown.value("mass per area", year.running[nutrient]), nutrient in year.ranged)


def _bank_table(zones: Sequence[ZoneYears], shown: Shown) -> Table:
    headings = [
        Heading(text="Field and zone", format="text", width=20),
        Heading(text="Years of P supply banked", width=14),
        *(
            Heading(text=text, width=14)
            for nutrient, element in (("P2O5", "P"), ("K2O", "K"))
            for text in (
                f"{nutrient} to date [{shown.label('mass per area')}]",
                f"{element} test change expected, low [ppm]",
                f"{element} test change expected, high [ppm]",
                f"{element} test moved [ppm]",
            )
        ),
    ]
    lines = [Line(cells=[_name(zone), *_bank_cells(zone, shown)]) for zone in zones]
    note = "Banked: the running balance over the average removal of years with a harvest."
    return Table(
        title="What is banked, and the soil test", headings=headings, lines=lines, note=note
    )


def _rules_table(shown: Shown) -> Table:
    """The rules behind what is expected of the tests."""
    headings = [
        Heading(text="Rule", format="text", width=20),
        Heading(text="Figure", width=14),
        Heading(text="Low", width=14),
        Heading(text="High", width=14),
        Heading(text="Unit", format="text", width=14),
        *(Heading(text="", format="text", width=14) for _ in range(4)),
        Heading(text="Remark and source", format="wrapped", width=60),
    ]
    lines = [
        Line(
            cells=[
                rule.nutrient,
                rule.figure.value,
                "" if rule.figure.low is None else rule.figure.low,
                "" if rule.figure.high is None else rule.figure.high,
                rule.figure.unit,
                *[""] * 4,
                f"{rule.figure.note} {rule.figure.citation()}".strip(),
            ]
        )
        for rule in shown.definitions.soil_changes
    ]
    return Table(title="Rules for the soil test", headings=headings, lines=lines)


def _bank_cells(zone: ZoneYears, shown: Shown) -> list[Cell]:
    cells: list[Cell] = [rough(zone.banked, _reach(zone, BANKED))]
    for nutrient, test in TESTS.items():
        rules, reach = zone.expected.get(nutrient, ()), _reach(zone, nutrient)
        cells += [
            _running(zone.years[-1], nutrient, shown) if zone.years else None,
            rough(min((rule.low for rule in rules), default=None), reach),
            rough(max((rule.high for rule in rules), default=None), reach),
            _moved(zone, test),
        ]
    return cells


def _reach(zone: ZoneYears, nutrient: str) -> bool:
    """Whether the last running balance of a zone hangs on figures with a range."""
    return bool(zone.years) and nutrient in zone.years[-1].ranged


def _moved(zone: ZoneYears, test: str) -> Cell:
    """Last test less the first, of the extractant of the last; blank with one test."""
    points = [point for point in zone.tests if point.test == test]
    alike = [point for point in points if point.method == points[-1].method]
    return alike[-1].ppm - alike[0].ppm if len(alike) > 1 else ""


def _year_table(zones: Sequence[ZoneYears], shown: Shown) -> Table:
    unit = shown.label("mass per area")
    headings = [
        Heading(text="Field and zone", format="text", width=20),
        Heading(text="Crop year", format="text", width=14),
        Heading(text="Crop", format="text", width=CROP_WIDTH),
        *(Heading(text=f"{n} balance [{unit}]", width=14) for n in NUTRIENTS),
        *(Heading(text=f"{n} running [{unit}]", width=14) for n in NUTRIENTS),
        Heading(text="State", format="text", width=17),
    ]
    lines = [
        Line(
            cells=[
                _name(zone),
                str(year.year),
                year.crop,
                *(
                    rough(shown.value("mass per area", year.balance[n]), n in year.ranged)
                    for n in NUTRIENTS
                ),
                *(_running(year, n, shown) for n in NUTRIENTS),
                _state(year),
            ]
        )
        for zone in zones
        for year in zone.years
    ]
    return Table(title="Year by year", headings=headings, lines=lines)


def _state(year: ZoneYear) -> str:
    said = ("incomplete" if year.incomplete else "", UNCUT if year.standing else "")
    return ", ".join(filter(None, said))


def _tests_table(zones: Sequence[ZoneYears]) -> Table:
    headings = [
        Heading(text="Field and zone", format="text", width=20),
        Heading(text="Date", format="date", width=14),
        Heading(text="Element", format="text", width=14),
        Heading(text="Extractant", format="text", width=14),
        Heading(text="Test [ppm]", width=14),
    ]
    lines = [
        Line(cells=[_name(zone), point.day, point.test[0].upper(), point.method, point.ppm])
        for zone in zones
        for point in zone.tests
    ]
    return Table(title="Soil tests", headings=headings, lines=lines)


def _lots_table(lots: Sequence[LotYears], shown: Shown) -> Table:
    texts = ("Nitrogen in", "Used by crops to date", "Left in reserve", "Air", "Not divided")
    headings = [
        Heading(text="Lot", format="text", width=20),
        Heading(text="Crop year", format="text", width=14),
        *(
            Heading(text=f"{text} [{shown.label('mass')}]", format="whole", width=14)
            for text in texts
        ),
    ]
    lines = [
        Line(
            cells=[
                one.lot,
                str(one.year),
                *(
                    rough(shown.value("mass", mass), one.ranged)
                    for mass in (one.total, one.used, one.left, one.air, one.undivided)
                ),
            ]
        )
        for one in lots
    ]
    note = "In = used + left + air + not divided, by the chosen credit set."
    return Table(title="Manure nitrogen by lot", headings=headings, lines=lines, note=note)
