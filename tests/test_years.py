"""Several years together: running balances, soil tests beside them, years of supply banked."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import openpyxl
import pytest
from farms import ONE_FIELD
from jsonschema import Draft202012Validator
from lines import ZONED, cut, farm, fed, table
from workbooks import SHIPPED, Document, entries_of, run, workbook

from ledger import pipeline, report, resources
from ledger.cli import main
from ledger.definitions.data import read_json
from ledger.model import Results
from ledger.pipeline import Run
from ledger.report.units import Shown
from ledger.report.years import years_sheet
from ledger.years import SameYear, years

TSP = {"product": "TSP 0-46-0", "unit": "lb/ac"}
CORN = {"yield": 200}  # takes 70 lb P2O5 and 50 lb K2O an acre by the general set


def year_of(year: int, source: str) -> Run:
    """A ledger of some crop year, its days moved into it."""
    return run(entries_of(source.replace("2026-", f"{year}-") + farm(year=year)))


def together(*runs: Run) -> Document:
    """The ``years`` of the result document of the first, others beside it."""
    done = pipeline.with_years(runs[0], [one.results for one in runs[1:]], SHIPPED)
    result = report.document(done.results, SHIPPED)
    schema = read_json(resources.templates_folder() / "meta" / "result.schema.json")
    Draft202012Validator(schema).validate(result)
    shown: Document = result["years"]
    return shown


def only(shown: Document) -> Document:
    """The only zone."""
    assert len(shown["zones"]) == 1
    zone: Document = shown["zones"][0]
    return zone


THREE = [
    year_of(2024, ONE_FIELD + fed(**TSP, amount=250) + cut(**CORN)),
    year_of(2025, ONE_FIELD + cut(**CORN)),
    year_of(2026, ONE_FIELD + fed(**TSP, amount=400) + cut(**CORN)),
]
REMOVED = -years([THREE[1].results], SHIPPED).zones[0].years[0].balance["P2O5"] / (  # type: ignore[operator]
    SHIPPED.units["lb/ac"].factor
)


# ------------------------------------------------------------------------- balances
def test_balances_are_added_up_from_the_first_year_on() -> None:
    zone = only(together(THREE[2], THREE[0], THREE[1]))
    removed = REMOVED
    steps = [250 * 0.46 - removed, -removed, 400 * 0.46 - removed]
    assert [y["year"] for y in zone["years"]] == [2024, 2025, 2026]
    assert [y["balance"]["P2O5"] for y in zone["years"]] == pytest.approx(steps)
    running = [sum(steps[: n + 1]) for n in range(3)]
    assert [y["running"]["P2O5"] for y in zone["years"]] == pytest.approx(running)


def test_what_is_banked_is_counted_in_years_of_average_removal() -> None:
    zone = only(together(*THREE))
    assert zone["p_supply_years"] == pytest.approx((650 * 0.46 - 3 * REMOVED) / REMOVED)


def test_published_rules_make_a_range_of_the_balance() -> None:
    """Tri-State 1995: 20 lb P2O5 and 6 to 10 lb K2O a ppm; Illinois: 18 and 8."""
    zone = only(together(*THREE))
    surplus = 650 * 0.46 - 3 * REMOVED
    values = [rule["value"] for rule in zone["expected_change"]["P2O5"]]
    assert values == pytest.approx([surplus / 20, surplus / 18])
    potash = zone["years"][-1]["running"]["K2O"]
    assert potash < 0
    first = zone["expected_change"]["K2O"][0]
    assert (first["low"], first["high"]) == pytest.approx((potash / 6, potash / 10))


def test_an_unknown_balance_makes_the_sums_from_it_on_unknown() -> None:
    blend = table("products", {"product": "Mix", "n_pct": 20, "form": "dry"})
    unknown = year_of(2025, ONE_FIELD + blend + fed(product="Mix"))
    zone = only(together(THREE[0], unknown, THREE[2]))
    running = [y["running"]["P2O5"] for y in zone["years"]]
    assert running[0] is not None and running[1:] == [None, None]
    assert zone["p_supply_years"] is None
    assert "P2O5" not in zone["expected_change"]


def test_zones_are_known_again_by_name_and_new_ones_start_later() -> None:
    before = year_of(2025, ONE_FIELD + fed(**TSP, amount=100))
    shown = together(year_of(2026, ZONED + fed(**TSP, amount=100, zone="west")), before)
    assert [(z["zone"], [y["year"] for y in z["years"]]) for z in shown["zones"]] == [
        ("west", [2026]), ("east", [2026])
    ]  # fmt: skip


def test_two_ledgers_of_one_year_are_refused() -> None:
    results: list[Results] = [THREE[0].results, THREE[0].results]
    with pytest.raises(SameYear, match="2024"):
        years(results, SHIPPED)


# ------------------------------------------------------------------ no harvest yet
def crop_of(year: int, *more: str) -> Run:
    """A ledger of a year with corn on the Crops sheet and phosphate put on."""
    corn = table("crops", {"field": "Home", "crop": "corn"})
    return year_of(year, ONE_FIELD + corn + fed(**TSP, amount=100) + "".join(more))


def test_a_year_without_a_harvest_line_yet_says_so() -> None:
    """Its balance is what was put on alone, and looks like a surplus."""
    now, before = crop_of(2026), crop_of(2025, cut(**CORN))
    zone = only(together(now, before))
    assert [year["standing"] for year in zone["years"]] == [False, True]
    done = pipeline.with_years(now, [before.results], SHIPPED)
    sheet = years_sheet(done.results.years, Shown(definitions=SHIPPED, system="us"))
    tables = {table.title: table for table in sheet.tables}
    states = [line.cells[-1] for line in tables["Year by year"].lines]
    assert states == ["", "no harvest yet"]
    running = tables["Phosphate (P2O5), running balance [lb/ac]"]
    assert [line.cells[-1] for line in running.lines] == ["", "no harvest yet"]
    assert running.headings[-1].text == "State"
    assert any("still to come" in words for words in sheet.words)


def test_a_year_with_all_its_harvest_says_nothing() -> None:
    both = [crop_of(year, cut(**CORN)) for year in (2025, 2026)]
    done = pipeline.with_years(both[1], [both[0].results], SHIPPED)
    sheet = years_sheet(done.results.years, Shown(definitions=SHIPPED, system="us"))
    running = sheet.tables[0]
    assert [heading.text for heading in running.headings] == ["Crop year", "Home"]
    assert not any("still to come" in words for words in sheet.words)


def test_ground_that_stands_beside_harvested_ground_is_named() -> None:
    """Also a line at fault is a harvest line, as on Field balance."""
    corn = table("crops", {"field": "Home", "crop": "corn"})
    source = ZONED + corn + cut(**CORN, zone="west")
    broken = cut(**{**CORN, "yield": -1}, zone="east")
    said = []
    for text in (source, source + broken):
        done = pipeline.with_years(year_of(2026, text), [THREE[1].results], SHIPPED)
        sheet = years_sheet(done.results.years, Shown(definitions=SHIPPED, system="us"))
        said.append([line.cells[-1] for line in sheet.tables[0].lines])
    assert said[0] == ["", "no harvest yet: Home, east"]
    assert "no harvest yet" not in str(said[1])


# ----------------------------------------------------------------------- soil tests
def soil(day: str, ppm: float, **cells: object) -> str:
    """A routine test."""
    base = {"field": "Home", "date": day, "p_ppm": ppm, "p_method": "Mehlich-3"}
    return table("soil_tests", {**base, **cells})


def test_soil_tests_stand_beside_and_a_carried_one_counts_once() -> None:
    old = soil("2022-10-01", 21)
    first = run(entries_of(ONE_FIELD + old + farm(year=2024)))
    second = run(entries_of(ONE_FIELD + old + soil("2025-10-01", 27).split("\n", 3)[3] + farm()))
    tests = only(together(second, first))["soil_tests"]
    assert [(t["date"], t["ppm"]) for t in tests] == [("2022-10-01", 21), ("2025-10-01", 27)]


def test_nitrate_samples_are_no_trend() -> None:
    nitrate = soil("2026-06-01", 30, sample_kind="pre-sidedress nitrate", nitrate_ppm=20,
                   nitrate_depth=12)  # fmt: skip
    assert only(together(run(ONE_FIELD + nitrate)))["soil_tests"] == []


# ---------------------------------------------------------------------- the command
def test_the_command_writes_a_sheet_with_charts_and_leaves_the_others(tmp_path: Path) -> None:
    files = {}
    for year in (2025, 2026):
        entries = entries_of(ONE_FIELD.strip() + "\n" + cut(**CORN).replace("2026-", f"{year}-"))
        entries["farm"][0]["year"] = year
        files[year] = tmp_path / f"{year}.xlsx"
        files[year].write_bytes(pipeline.blank(SHIPPED, year=year, system="us", entries=entries))
    before = files[2025].read_bytes()
    assert main(["balance", str(files[2026]), "--with-years", str(files[2025])]) == 0
    assert files[2025].read_bytes() == before
    book = openpyxl.load_workbook(BytesIO(files[2026].read_bytes()))
    assert len(book["Years"]._charts) == 3
    texts = [str(cell.value) for row in book["Years"].iter_rows() for cell in row if cell.value]
    assert "Crop years 2025, 2026." in " ".join(texts)
    changes = [text for text in texts if " expected, " in text]
    assert len(changes) == 4 and all("test change expected" in text for text in changes)
    again = pipeline.run(files[2026].read_bytes(), SHIPPED)
    assert again.reading.result_sheets["years"] == "Years"


def test_the_command_refuses_the_same_year_twice(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "one.xlsx"
    file.write_bytes(workbook(ONE_FIELD))
    assert main(["balance", str(file), "--json", "--with-years", str(file)]) == 2
    assert "2026" in capsys.readouterr().err


def test_without_other_years_there_is_none() -> None:
    result = report.document(run(ONE_FIELD).results, SHIPPED)
    assert result["years"] == {"years": [], "zones": [], "lots": []}
