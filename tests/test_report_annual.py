"""The annual report: what it holds, the days it covers, how it prints."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

import pytest
from farms import ONE_FIELD, STANDARD
from lines import cut, farm, lot, spread
from papers import annual, example, labelled, members, opened, results_of, rows, table, text_of
from programs import NEEDS_GNUMERIC, NEEDS_OFFICE, SOFFICE, SSCONVERT, gnumeric, office
from record_items_page import PAGE, page
from workbooks import (
    SHIPPED,
    cell_of,
    document,
    entries_of,
    put,
    run,
    set_cell,
    title,
    workbook,
)

from ledger import pipeline
from ledger.cli import main
from ledger.model import RecordPlace
from ledger.report.annual import annual_sheets, footer
from ledger.report.missing import missing_items
from ledger.report.paper import paper
from ledger.report.period import PERIODS, period_of
from ledger.report.record_places import BY_ITEM, place_of, places_of
from ledger.report.summary import SUMMARY_FIGURES

REPORT = annual(STANDARD)
NUTRIENTS = list(SHIPPED.nutrients)


@pytest.fixture(scope="module")
def example_report() -> bytes:
    return annual(example(), money=True)


def test_sheets_in_order() -> None:
    assert opened(REPORT).sheetnames == [
        "Annual report",
        "Fields and crops",
        "Applications",
        "Field balance",
        "Manure",
        "Custom work",
        "Cautions and sources",
    ]
    assert "Cost and value" in opened(annual(STANDARD, money=True)).sheetnames
    assert "Custom work" not in opened(annual(ONE_FIELD)).sheetnames


# ------------------------------------------------------------------- first page
def test_first_page_says_whose_and_when() -> None:
    words = text_of(REPORT, ["Annual report"])
    assert "Willow Bend Farm. Operator: A. Abel." in words
    assert "Period covered: crop year, 2025-07-01 to 2026-12-31." in words
    assert "no legal advice" in words


def test_areas_by_tenure_and_what_was_fed() -> None:
    lines = labelled(REPORT, "Annual report", "Area")
    areas = {name.strip(): line[0] for name, line in lines.items() if name != "Ground"}
    assert areas["Own and rented ground"] == pytest.approx(112.5)
    assert areas["owned"] == pytest.approx(52.5)
    assert areas["crop share"] == pytest.approx(60)
    assert areas["zones of it that got manure"] == pytest.approx(24 + 40)
    assert areas["zones of it that got fertilizer"] == pytest.approx(60 + 12.5)
    assert areas["Ground of others that was worked for them"] == pytest.approx(25)


def test_totals_are_those_of_balance() -> None:
    wanted = document(STANDARD)["farm"]["nutrients"]
    lines = labelled(REPORT, "Annual report", "Own and rented ground, all of it")
    for figure, words in SUMMARY_FIGURES.items():
        for cell, nutrient in zip(lines[words][::2], NUTRIENTS, strict=True):  # a range beside each
            mass = wanted[nutrient][f"{figure}_total"]
            assert cell == ("unknown" if mass is None else pytest.approx(mass)), (figure, nutrient)


def test_missing_record_items_stand_on_the_first_page() -> None:
    lines = labelled(REPORT, "Annual report", "Record items that are missing")
    weather = next(
        m
        for m in missing_items(results_of(STANDARD).book, SHIPPED)
        if any("Manure spread" in cell for cell in m.cells)
    )
    assert lines[weather.words][0] == len(weather.cells)
    assert lines["a soil test of the field"][1] == "Home, Long Bottom, Creek Meadow"


def test_an_item_is_missing_where_its_cell_is_blank_and_only_there() -> None:
    def blanks(source: str) -> set[str]:
        found = missing_items(results_of(source).book, SHIPPED)
        return {cell for item in found for cell in item.cells}

    def at(column: str) -> str:
        sheet = SHIPPED.sheets["manure_spread"]
        return f"{sheet.title}!{cell_of('manure_spread', column)}"

    assert at("applicator") in blanks(ONE_FIELD + lot() + spread())
    assert at("applicator") not in blanks(ONE_FIELD + lot() + spread(applicator="Me"))
    assert at("applicator") not in blanks(ONE_FIELD + lot() + spread(status="planned"))
    hours = at("incorporated_after_h")
    assert hours in blanks(ONE_FIELD + lot() + spread(method="broadcast"))
    assert hours not in blanks(ONE_FIELD + lot() + spread(method="injected sweep"))


def test_lines_to_sign_cautions_keeping_and_what_is_not_held() -> None:
    signed = table(REPORT, "Annual report", "To sign")
    assert "To the best of my knowledge" in str(signed[0][0])
    assert [str(line[0]).split("\n")[0] for line in signed[1:]] == [
        "Operator",
        "Prepared by",
        "Applicator or certified person",
    ]
    words = " ".join(text_of(REPORT, ["Cautions and sources"]).split())
    for text in (*SHIPPED.settings["cautions"], *SHIPPED.settings["retention"]):
        assert " ".join(text.split()) in words
    for item in SHIPPED.records:
        if item.kept == "not covered":
            assert item.words in words


def test_every_publication_behind_a_figure_is_named() -> None:
    done = results_of(STANDARD)
    words = text_of(REPORT, ["Cautions and sources"])
    origins = {f.origin for p in done.journal.postings for f in p.factors if "http" in f.origin}
    assert origins
    assert all(origin in words for origin in origins)
    assert "Manure spread!" not in words


# ------------------------------------------------------------------ applications
def test_every_application_with_all_that_is_known_of_it() -> None:
    given = spread(
        method="broadcast",
        incorporated_after_h=6,
        ground="wet",
        weather="rain at 4",
        wind="SW 5",
        applicator="Pat, no. 7",
        amount=12,
        unit="loads",
        load_size=3500,
    )
    content = annual(ONE_FIELD + lot() + given)
    line = table(content, "Applications", "Manure: what was put on")[1]
    assert line[1:4] == [datetime(2025, 11, 3), "Home", "all"]
    assert line[5] == "Pit"
    assert line[6] == ("N 50, NH4-N 30, P2O5 20, K2O 30, S 4 lb/1000 gal; sampling day unknown")
    assert line[7:10] == [pytest.approx(12 * 3500 / 40), pytest.approx(42000), "gal"]
    assert line[10:] == [pytest.approx(42 * n / 40) for n in (50, 20, 30, 4)]
    how = [c for c in table(content, "Applications", "Manure: how")[1] if c != ""]
    assert how[4:] == [
        "Pit",
        "12 x 3500 gal",
        "broadcast",
        6,
        "wet",
        "rain at 4",
        "SW 5",
        "Pat, no. 7",
    ]


def test_all_lines_are_listed_planned_ones_are_not() -> None:
    lines = table(REPORT, "Applications", "Fertilizer: what was put on")
    assert len(lines) == 1 + 4
    planned = {**example()["fertilizer"][0], "status": "planned", "field": "Home"}
    entries = entries_of(STANDARD)
    more = {**entries, "fertilizer": [*entries["fertilizer"], planned]}
    assert table(annual(more), "Applications", "Fertilizer: what was put on") == lines


def test_a_line_with_an_error_says_so() -> None:
    content = annual(put(STANDARD, "fertilizer", "product", "no such thing"))
    lines = table(content, "Applications", "Fertilizer: what was put on")
    assert sum("has an error; not counted" in line for line in lines) == 1
    assert "INCOMPLETE" in text_of(content, ["Annual report"])


def test_solid_manure_in_tons_and_metric_in_cubic_metres() -> None:
    tons = table(REPORT, "Applications", "Manure: what was put on")[2]
    assert tons[7:10] == [pytest.approx(10), pytest.approx(400), "ton"]
    done = run(ONE_FIELD + lot(per="1000 L") + spread(amount=30, unit="m3/ha"), system="metric")
    sheets = annual_sheets(done.results, period_of("crop-year", 2026, SHIPPED), SHIPPED)
    content = paper(sheets, "metric", SHIPPED, footer(done.results))
    line = table(content, "Applications", "Manure: what was put on")[1]
    assert line[7:10] == [pytest.approx(30), pytest.approx(1200), "m3"]


# ------------------------------------------------------------- fields and crops
def test_yield_goal_yield_and_recommendation() -> None:
    lines = table(REPORT, "Fields and crops", "Fields, crops and rec")
    east = next(line for line in lines if line[:2] == ["Long Bottom", "east"])
    assert "corn" in east
    assert pytest.approx(200) in [c for c in east if isinstance(c, (int, float))]
    assert pytest.approx(201) in [c for c in east if isinstance(c, (int, float))]
    assert "bu/ac" in east


def test_bales_and_totals_become_a_yield() -> None:
    # common practice, no source: 90 bales of 1150 lb on 12.5 ac are 4.14 ton an acre
    line = labelled(REPORT, "Fields and crops", "Fields, crops and rec")["Creek Meadow"]
    assert pytest.approx(90 * 1150 / 2000 / 12.5) in [c for c in line if isinstance(c, float)]


def test_soil_tests_with_their_age() -> None:
    tests = """
## soil_tests
| field | date       | p_ppm | p_method  |
| Home  | 2024-12-31 | 30    | Mehlich-3 |
"""
    line = table(annual(ONE_FIELD + tests), "Fields and crops", "Soil tests")[1]
    assert line[2] == datetime(2024, 12, 31)
    assert line[3] == pytest.approx(730 / 365.25)


# ------------------------------------------------------------------------ period
TWO_YEARS = (
    ONE_FIELD
    + """
## fertilizer
| date       | pass      | product | field | amount | unit  |
| 2025-08-20 | fall      | urea    | Home  | 10     | lb/ac |
| 2025-11-20 | fall      | urea    | Home  | 100    | lb/ac |
| 2026-05-20 | preplant  | urea    | Home  | 1000   | lb/ac |
| 2026-09-20 | topdress  | urea    | Home  | 10000  | lb/ac |
"""
    + cut(date="2026-10-10")
)


@pytest.mark.parametrize(
    ("period", "pounds", "harvests"),
    [("crop-year", 11110, 1), ("calendar-year", 11000, 1), ("september-august", 1100, 0)],
)
def test_work_of_the_period_alone_is_listed_and_summed(
    period: str, pounds: float, harvests: int
) -> None:
    content = annual(TWO_YEARS, period)
    total = labelled(content, "Annual report", "Own and rented ground, all of it")["Fertilizer"][0]
    assert total == pytest.approx(pounds * 0.46 * 40)
    lines = table(content, "Applications", "Fertilizer: what was put on")[1:]
    assert sum(line[7] for line in lines) == pytest.approx(pounds)
    assert len(table(content, "Fields and crops", "Harvest")) == (2 if harvests else 0)
    days = period_of(period, 2026, SHIPPED)
    assert f"Period covered: {days.words()}." in text_of(content, ["Annual report"])
    assert ("left out" in text_of(content, ["Annual report"])) == (period != "crop-year")


def test_a_period_is_called_as_people_call_it() -> None:
    told = period_of("september-august", 2026, SHIPPED).words()
    assert told == "September to August, 2025-09-01 to 2026-08-31"


def test_days_of_the_periods() -> None:
    days = {name: period_of(name, 2026, SHIPPED) for name in PERIODS}
    assert (days["calendar-year"].first, days["calendar-year"].last) == (
        date(2026, 1, 1),
        date(2026, 12, 31),
    )
    # Minnesota's report runs September to August (record items, MPCA form)
    assert (days["september-august"].first, days["september-august"].last) == (
        date(2025, 9, 1),
        date(2026, 8, 31),
    )


def test_need_does_not_hang_on_the_period_and_gaps_outside_do_not_count() -> None:
    crops = "\n## crops\n| field | crop | yield_goal | n_entered |\n| Home | corn | 200 | 150 |\n"
    gap = TWO_YEARS + crops + "\n## products\n| product | n_pct | form |\n| Mix | 20 | dry |\n"
    source = put(gap, "fertilizer", "product", "Mix")
    whole = results_of(source)
    part = pipeline.for_period(whole, period_of("calendar-year", 2026, SHIPPED), SHIPPED)
    assert whole.statements[0].figures["P2O5"]["fertilizer"] is None
    assert part.statements[0].figures["P2O5"]["fertilizer"] == 0
    assert part.statements[0].figures["N"]["need"] == whole.statements[0].figures["N"]["need"]


# ------------------------------------------------------------------ record items
def test_the_page_of_record_items_is_what_the_data_makes() -> None:
    anew = "run `python tests/record_items_page.py` and look at what changed"
    assert PAGE.read_text("utf-8") == page(SHIPPED), anew


def test_every_item_has_a_place_or_is_not_covered() -> None:
    assert all(places_of(item) for item in SHIPPED.records)
    made = {item.id for item in SHIPPED.records if item.kept == "made by the ledger"}
    assert made <= set(BY_ITEM)


def shown_places() -> Iterator[RecordPlace]:
    for item in SHIPPED.records:
        for place in item.places:
            column = SHIPPED.sheets[place.sheet].by_id[place.column]
            free = column.type == "string" and not (column.choices or column.lookup)
            if free and not column.is_date and place_of(place):
                yield place


@pytest.mark.parametrize("place", list(shown_places()), ids=lambda p: f"{p.sheet}.{p.column}")
def test_what_is_typed_stands_where_the_page_says(place: RecordPlace) -> None:
    more = """
## soil_tests
| field | date       | p_ppm | p_method  |
| Home  | 2024-12-31 | 30    | Mehlich-3 |

## stores
| store | opening | unit |
| Barn  | 10      | ton  |

## manure_samples
| lot  | sampled    | lab |
| Pack | 2026-03-01 | Lab |

## store_moves
| date       | store | kind     | amount | unit |
| 2026-03-01 | Barn  | exported | 5      | ton  |
"""
    full = STANDARD + more
    if place.column in ("field", "lot", "product"):
        words = {"field": "Home", "lot": "Pack", "product": "UAN-28"}[place.column]
        assert words in text_of(REPORT, [place_of(place)])
        return
    line = 2 if place.sheet == "people" else 1
    content = annual(put(full, place.sheet, place.column, "Marked words", line=line))
    assert "Marked words" in text_of(content, [place_of(place)])


# ------------------------------------------------------------------------- paper
def test_same_ledger_same_bytes() -> None:
    assert annual(STANDARD) == REPORT
    assert opened(REPORT).properties.created == datetime(2000, 1, 1)


def test_text_like_a_formula_stays_text_and_an_ampersand_prints() -> None:
    content = annual(farm(farm_name="=1+1 & Sons") + ONE_FIELD)
    assert "=1+1 & Sons. Operator: not stated." in text_of(content)
    assert b"=1+1 &amp;&amp; Sons 2026" in members(content)
    for sheet in opened(content):
        assert not [c for row in sheet.iter_rows() for c in row if c.data_type == "f"]


def test_every_sheet_prints_one_page_wide_with_headings_on_every_page() -> None:
    many = "\n".join(
        f"| 2026-05-{1 + n % 28:02} | other | urea | Home | 1 | lb/ac |" for n in range(110)
    )
    head = "\n## fertilizer\n| date | pass | product | field | amount | unit |\n"
    content = annual(ONE_FIELD + head + many)
    sheet = opened(content)["Applications"]
    assert sheet.page_setup.orientation == "landscape"
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.page_setup.fitToHeight == 0  # as many pages down as it takes
    breaks = len(sheet.row_breaks.brk)
    assert breaks >= 3
    continued = [
        line
        for line in rows(content, "Applications")
        if line and str(line[0]).endswith("(continued)")
    ]
    assert breaks - 1 <= len(continued) <= breaks


# --------------------------------------------------------------------- programs
@pytest.mark.skipif(not SOFFICE, reason=NEEDS_OFFICE)
def test_prints_whole_with_libreoffice(tmp_path: Path, example_report: bytes) -> None:
    (tmp_path / "report.xlsx").write_bytes(example_report)
    office(tmp_path / "profile", "pdf", tmp_path, [tmp_path / "report.xlsx"])
    pdf = tmp_path / "report.pdf"
    assert pdf.read_bytes().startswith(b"%PDF")
    if not (reader := shutil.which("pdftotext")):
        pytest.skip("pdftotext is not installed")
    done = subprocess.run([reader, "-layout", pdf, "-"], capture_output=True, check=True)
    text = done.stdout.decode()
    assert "###" not in text  # a figure that its column is too narrow for
    pages = text.count("\f")
    breaks = sum(len(sheet.row_breaks.brk) + 1 for sheet in opened(example_report))
    assert pages == breaks  # no page but those that were meant
    for name in opened(example_report).sheetnames:
        assert name in text


@pytest.mark.skipif(not SSCONVERT, reason=NEEDS_GNUMERIC)
def test_opens_with_gnumeric(tmp_path: Path, example_report: bytes) -> None:
    (tmp_path / "report.xlsx").write_bytes(example_report)
    gnumeric("-S", tmp_path / "report.xlsx", tmp_path / "report.csv")
    text = "".join(f.read_text("utf-8") for f in sorted(tmp_path.glob("report.csv*")))
    for words in ("Ninebark Draw Farm. Operator: Wren Halvard.", "Sprinkler Flat", "To sign"):
        assert words in text


# ---------------------------------------------------------------------- command
def test_command_makes_the_report_and_replaces_none_unasked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ledger = tmp_path / "farm.xlsx"
    ledger.write_bytes(workbook(STANDARD))
    before = ledger.read_bytes()
    assert main(["report", str(ledger), "--period", "calendar-year", "--money"]) == 0
    made = ledger.with_name("farm-report.xlsx")
    assert made.read_bytes() == annual(before, "calendar-year", money=True)
    assert main(["report", str(ledger)]) == 2
    assert "--force" in capsys.readouterr().err
    assert main(["report", str(ledger), "--out", str(ledger), "--force"]) == 2
    assert ledger.read_bytes() == before


def test_command_without_libreoffice_says_so_and_keeps_the_workbook(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ledger = tmp_path / "farm.xlsx"
    ledger.write_bytes(workbook(STANDARD))
    monkeypatch.setenv("PATH", str(tmp_path))
    assert main(["report", str(ledger), "--pdf"]) == 2
    assert "LibreOffice is not installed" in capsys.readouterr().err
    assert ledger.with_name("farm-report.xlsx").exists()


@pytest.mark.parametrize("command", [["report"], ["share", "--with", "A. Abel"]])
def test_commands_want_a_crop_year(
    command: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ledger = tmp_path / "farm.xlsx"
    ledger.write_bytes(set_cell(workbook(STANDARD), title("farm"), cell_of("farm", "year"), "soon"))
    assert main([command[0], str(ledger), *command[1:]]) == 2
    assert "no sound crop year" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == [ledger]
