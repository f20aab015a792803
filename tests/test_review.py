"""What the review points out across lines, what it leaves alone, and how it is shown.

The provoking case of every code is in ``finding_cases.py``; here are the edges. All ledgers
are invented. That rules ask for such records is cited in ``templates/records.json``.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from finding_cases import BASE, FARM, SOIL, changed
from programs import NEEDS_OFFICE, SOFFICE, office
from test_definitions import refusal
from workbooks import (
    FIRST_LINE,
    SHIPPED,
    Document,
    Entries,
    altered,
    cell_of,
    copied,
    document,
    edit,
    parse,
    put,
    rewrite,
    run,
    title,
    workbook,
)

from ledger import pipeline
from ledger.model import Finding
from ledger.report.found import findings_sheet
from ledger.review.lines import rows

FERTILIZER = "\n## fertilizer\n| date | pass | product | field | zone | amount | unit |\n"
PARTS = "\n## fertilizer\n| date | pass | product | field | amount | unit | area_covered |\n"
HALVES = """
## zones
| field | zone | area |
| Home  | west | 20   |
| Home  | east | 20   |
"""


def said(source: str | Entries, code: str) -> list[Document]:
    """The findings of one code."""
    return [found for found in document(source)["findings"] if found["code"] == code]


def cells(source: str | Entries, code: str) -> list[str]:
    """Where the findings of one code are."""
    return [found["cell"] for found in said(source, code)]


# -------------------------------------------------------------------- duplicates
@pytest.mark.parametrize(
    ("line", "alike"),
    [
        ("| 2026-04-20 | preplant | urea | Home | | 100 | lb/ac |", True),
        ("| 2026-04-20 | preplant | urea | Home | | 4010 | lb |", True),  # 0.25 percent off
        ("| 2026-04-20 | preplant | urea | Home | | 4100 | lb |", False),
        ("| 2026-04-20 | preplant | urea | Home | | 2 | ton |", True),
        ("| 2026-04-21 | preplant | urea | Home | | 100 | lb/ac |", False),
        ("| 2026-04-20 | topdress | urea | Home | | 100 | lb/ac |", False),
        ("| 2026-04-20 | preplant | UAN-28 | Home | | 100 | lb/ac |", False),
    ],
)
def test_a_second_line_of_the_same_load(line: str, alike: bool) -> None:
    assert bool(cells(BASE + FERTILIZER + line, "looks-twice")) == alike


def test_lines_for_different_zones_are_not_alike() -> None:
    lines = "".join(
        f"| 2026-05-01 | planter | urea | Home | {zone} | 50 | lb/ac |\n"
        for zone in ("west", "east")
    )
    assert cells(BASE + HALVES + FERTILIZER + lines, "looks-twice") == []


def test_each_repetition_is_pointed_out_once() -> None:
    line = "| 2026-04-20 | preplant | urea | Home | | 100 | lb/ac |\n"
    found = cells(BASE + FERTILIZER + line * 2, "looks-twice")
    assert found == [cell_of("fertilizer", "amount", n) for n in (2, 3)]


def test_a_planned_line_repeats_nothing() -> None:
    line = "| 2026-04-20 | preplant | urea | Home | | 100 | lb/ac |\n"
    assert (
        cells(put(BASE + FERTILIZER + line, "fertilizer", "status", "planned"), "looks-twice") == []
    )


def test_loads_of_a_lot_without_an_analysis_are_compared_as_typed() -> None:
    blank = "## manure_lots\n| lot | kind | form |\n| Heap | beef solid | solid |\n"
    line = "| 2025-11-09 | Heap | Home | {} | loads | 9 | broadcast | never |\n"
    head = (
        "## manure_spread\n| date | lot | field | amount | unit | load_size | method |"
        " incorporated_after_h |\n"
    )
    twice = BASE + blank + head + line.format(6) + line.format(6) + line.format(7)
    assert cells(twice, "looks-twice") == [cell_of("manure_spread", "amount", 3)]
    liquid = blank.replace("beef solid | solid", "hog liquid | liquid")
    six_litres = line.format(1.585).replace("loads | 9", "gal | ")  # are not six loads
    assert cells(BASE + liquid + head + line.format(6) + six_litres, "looks-twice") == []


# ---------------------------------------------------------------------- coverage
@pytest.mark.parametrize(
    ("first", "second", "day", "over"),
    [(25, 15, "2026-05-01", False), (25, 16, "2026-05-01", True), (25, 16, "2026-05-02", False)],
)
def test_parts_of_one_day_against_the_field(first: int, second: int, day: str, over: bool) -> None:
    lines = (
        f"| 2026-05-01 | planter | urea | Home | 50 | lb/ac | {first} |\n"
        f"| {day} | planter | urea | Home | 60 | lb/ac | {second} |\n"
    )
    assert bool(cells(BASE + PARTS + lines, "parts-over-whole")) == over


# ----------------------------------------------------------------------- harvest
def test_a_book_without_crop_lines_has_nothing_to_differ_from() -> None:
    source = changed("harvest", crop="oats")
    assert len(said(source, "cut-unplanned")) == 1
    assert said({**source, "crops": []}, "cut-unplanned") == []


def test_harvest_on_ground_that_the_crops_sheet_leaves_out() -> None:
    more = (
        "## fields\n| field | area |\n| Away | 10 |\n"
        "## harvest\n| date | field | crop | part | yield | unit |\n"
        "| 2026-08-01 | Away | oats | grain | 70 | bu/ac |\n"
    )
    found = said(BASE + more, "cut-unplanned")
    assert [(f["cell"], "no crop" in f["message"]) for f in found] == [
        (cell_of("harvest", "crop", 2), True)
    ]


# ----------------------------------------------------------------- after harvest
LATE = "\n## fertilizer\n| date | pass | product | field | amount | unit | status |\n"
CUTS = "\n## harvest\n| date | field | zone | crop | part | yield | unit |\n"


def late(day: str, amount: int = 50, status: str = "") -> str:
    """A line of fall fertilizer on the field."""
    return f"| {day} | fall | urea | Home | {amount} | lb/ac | {status} |\n"


@pytest.mark.parametrize(
    ("day", "status", "told"),
    [
        ("2026-10-09", "", False),
        ("2026-10-10", "", False),  # the day of the harvest
        ("2026-10-11", "", True),
        ("2026-10-11", "planned", False),  # is counted to nothing
    ],
)
def test_fertilizer_about_the_day_of_the_harvest(day: str, status: str, told: bool) -> None:
    found = cells(BASE + LATE + late(day, status=status), "after-harvest")
    assert found == ([cell_of("fertilizer", "date", 2)] if told else [])


def test_manure_after_harvest_is_pointed_out_too() -> None:
    found = said(put(BASE, "manure_spread", "date", date(2026, 11, 3)), "after-harvest")
    assert [f["cell"] for f in found] == [cell_of("manure_spread", "date")]
    assert "carry" in found[0]["fix"]


def test_the_last_harvest_counts_be_it_of_straw() -> None:
    stover = CUTS + "| 2026-10-20 | Home | | corn | stover | 1 | ton/ac |\n"
    assert cells(BASE + LATE + late("2026-10-15"), "after-harvest")
    assert cells(BASE + stover + LATE + late("2026-10-15"), "after-harvest") == []


@pytest.mark.parametrize(
    "spoil",
    [
        pytest.param({"yield": -3}, id="a harvest line with an error"),
        pytest.param({"yield": 0}, id="a crop that failed and may have been replanted"),
    ],
)
def test_no_sound_harvest_nothing_late(spoil: dict[str, object]) -> None:
    source = changed("harvest", BASE + LATE + late("2026-11-03"), **spoil)
    assert cells(source, "after-harvest") == []


def test_hay_goes_on_after_its_cuts() -> None:
    source = changed("harvest", BASE + LATE + late("2026-11-03"), crop="alfalfa", part="hay",
                     unit="ton/ac", **{"yield": 2})  # fmt: skip
    assert cells(put(source, "crops", "crop", "alfalfa"), "after-harvest") == []


def test_a_crop_still_to_be_cut_can_use_what_came_after_the_one_before() -> None:
    """Wheat seeded into bean stubble: the beans' harvest in the book ends nothing."""
    beans = changed("harvest", BASE + LATE + late("2025-11-03"), date=date(2025, 10, 9),
                    crop="soybean")  # fmt: skip
    wheat = put(beans, "crops", "crop", "wheat")
    assert cells(wheat, "after-harvest") == []
    grain = "| 2026-07-10 | Home | | wheat | grain | 70 | bu/ac |\n"
    cut = {**wheat, "harvest": [*wheat["harvest"], *parse(CUTS + grain)["harvest"]]}
    assert cells(cut, "after-harvest") == []
    fall = {**cut, "fertilizer": parse(LATE + late("2026-09-20"))["fertilizer"]}
    assert cells(fall, "after-harvest") == [cell_of("fertilizer", "date")]


def test_without_a_crop_line_the_crop_last_cut_counts() -> None:
    source = changed("crops", BASE + LATE + late("2026-11-03"))
    assert cells({**source, "crops": []}, "after-harvest") == [cell_of("fertilizer", "date", 2)]


def test_ground_of_which_a_part_stands_is_told_by_its_zone() -> None:
    source = put(BASE + HALVES + LATE + late("2026-11-03"), "harvest", "zone", "west")
    (found,) = said(source, "after-harvest")
    assert "'Home, west'" in found["message"]


@pytest.mark.parametrize(("count", "found"), [(3, 3), (4, 1)])
def test_of_many_late_lines_the_first_is_told_and_how_many(count: int, found: int) -> None:
    lines = "".join(late("2026-11-03", 50 + n) for n in range(count))
    told = said(BASE + LATE + lines, "after-harvest")
    assert len(told) == found
    more = f"3 more lines of this field (rows {FIRST_LINE + 2} to {FIRST_LINE + 4})"
    assert (more in told[0]["message"]) == (count == 4)


# ------------------------------------------------------------------------ ground
@pytest.mark.parametrize(
    ("ground", "words"),
    [("fit", None), ("wet", "wet ground"), ("snow", "snow-covered"), ("frozen", "frozen")],
)
def test_state_of_the_ground(ground: str, words: str | None) -> None:
    found = said(put(BASE, "manure_spread", "ground", ground), "unfit-ground")
    assert [words in f["message"] and "local rule" in f["fix"] for f in found if words] == (
        [True] if words else []
    )
    assert bool(found) == bool(words)


def test_planned_manure_on_wet_ground_is_not_blamed() -> None:
    source = changed("manure_spread", ground="wet", status="planned")
    assert said(source, "unfit-ground") == []


@pytest.mark.parametrize(
    ("method", "hours", "contradicts"),
    [
        ("injected knife", 3, True),
        ("injected sweep", "never", True),
        ("injected sweep", None, False),
        ("broadcast", 3, False),
    ],
)
def test_injected_and_worked_in(method: str, hours: object, contradicts: bool) -> None:
    source = changed("manure_spread", method=method, incorporated_after_h=hours)
    assert bool(said(source, "injected-yet-worked-in")) == contradicts


def test_past_manure_is_held_to_the_same_rule() -> None:
    source = changed("past_manure", method="injected knife", incorporated_after_h=5)
    place = cell_of("past_manure", "incorporated_after_h")
    assert cells(source, "injected-yet-worked-in") == [place]


# ------------------------------------------------------------------------- ages
SPREAD = date(2025, 11, 3)


@pytest.mark.parametrize(("days", "old"), [(60, False), (61, True), (-5, False)])
def test_age_of_a_manure_sample_in_days(days: int, old: bool) -> None:
    source = put(BASE + FARM, "manure_lots", "sampled", SPREAD - timedelta(days))
    source = put(source, "farm", "manure_test_max_age", 60)
    assert bool(said(source, "manure-sample-old")) == old


@pytest.mark.parametrize(("taken", "old"), [(date(2023, 4, 21), False), (date(2023, 4, 18), True)])
def test_age_of_a_soil_test_in_years_on_the_last_day_the_ground_was_fed(
    taken: date, old: bool
) -> None:
    source = put(BASE + FARM + SOIL, "soil_tests", "date", taken)
    assert bool(said(put(source, "farm", "soil_test_max_age", 3), "soil-test-old")) == old


def test_ground_that_got_nothing_is_judged_at_the_new_year() -> None:
    source = put(BASE + FARM + SOIL, "soil_tests", "date", date(2021, 12, 30))
    source = {**put(source, "farm", "soil_test_max_age", 4), "fertilizer": [], "manure_spread": []}
    found = said(source, "soil-test-old")
    assert len(found) == 1 and "2026-01-01" in found[0]["message"]


def test_only_the_newest_test_of_the_ground_counts() -> None:
    newer = SOIL.replace("2025-10-01", "2015-10-01") + SOIL
    assert said(put(BASE + FARM + newer, "farm", "soil_test_max_age", 4), "soil-test-old") == []


def test_one_test_for_all_zones_is_pointed_out_once() -> None:
    source = put(BASE + FARM + SOIL + HALVES, "soil_tests", "date", date(2018, 4, 1))
    assert len(said(put(source, "farm", "soil_test_max_age", 4), "soil-test-old")) == 1


# ------------------------------------------------------------------------ limits
def supply(source: str | Entries) -> float:
    """The nitrogen supply of the one zone [lb/ac]."""
    return float(document(source)["zones"][0]["nutrients"]["N"]["supply"])


@pytest.mark.parametrize(("above_pct", "over"), [(9.9, False), (10.1, True)])
def test_tolerance_above_need(above_pct: float, over: bool) -> None:
    source = put(BASE + FARM, "farm", "over_tolerance_pct", 10)
    source = put(source, "crops", "n_entered", supply(BASE) / (1 + above_pct / 100))
    assert bool([f for f in said(source, "over-need") if "usable N" in f["message"]]) == over


def test_ground_that_got_nothing_is_not_blamed_for_its_credits() -> None:
    source = put(put(BASE + FARM, "farm", "over_tolerance_pct", 0), "crops", "n_entered", 1)
    assert said(source, "over-need")
    assert said({**source, "fertilizer": [], "manure_spread": []}, "over-need") == []


@pytest.mark.parametrize(("limit", "over"), [(104, False), (103.9, True)])
def test_limit_on_all_that_was_applied(limit: float, over: bool) -> None:
    """4,000 gal/ac of 26 lb P2O5 per 1000 gal is 104 lb/ac by plain arithmetic."""
    assert bool(said(put(BASE + FARM, "farm", "p2o5_limit", limit), "over-limit")) == over


def test_a_blank_threshold_makes_no_check() -> None:
    source = put(BASE + FARM + SOIL, "soil_tests", "date", date(1999, 1, 1))
    source = put(put(source, "crops", "n_entered", 6), "manure_lots", "sampled", date(1999, 1, 1))
    assert document(source)["findings"] == []


def test_a_metric_ledger_says_its_own_units() -> None:
    spread = "## manure_spread\n| date | lot | field | amount | unit | method |\n"
    lots = "## manure_lots\n| lot | kind | form | n_total | n_ammonium | p2o5 | k2o | s | per |\n"
    source = (
        "## farm\n| p2o5_limit |\n| 50 |\n## fields\n| field | area |\n| Hof | 10 |\n"
        f"{lots}| Grube | hog liquid | liquid | 5 | 3 | 2 | 3 | 0.4 | 1000 L |\n"
        f"{spread}| 2025-11-03 | Grube | Hof | 30 | m3/ha | injected sweep |\n"
    )
    found = [f.message for f in run(source, system="metric").results.findings]
    assert any("60.0 kg/ha of P2O5" in text and "50.0 kg/ha" in text for text in found)


# ----------------------------------------------------------------- record items
ASKING = changed("farm", BASE + FARM, record_reminders="yes")


def reminded(source: str | Entries) -> dict[str, Document]:
    """Reminders by sheet and cell."""
    found = said(source, "record-item-missing")
    return {f"{f['sheet']}!{f['cell']}": f for f in found}


def test_one_note_a_column_however_many_lines() -> None:
    more = (
        "## manure_spread\n| date | lot | field | amount | unit | method | wind |\n"
        "| 2025-11-04 | Pit | Home | 10 | gal/ac | injected sweep | SW 5 |\n"
        "| 2025-11-05 | Pit | Home | 10 | gal/ac | injected sweep | |\n"
    )
    source = put(BASE + FARM + more, "farm", "record_reminders", "yes")
    found = reminded(source)[f"Manure spread!{cell_of('manure_spread', 'wind')}"]
    assert "'Wind' is blank in 2 of 3 lines (rows 6, 8)" in found["message"]
    assert found["severity"] == "note" and "local rule" in found["fix"]
    columns = [re.sub(r"\d", "", place) for place in reminded(source)]
    assert len(columns) == len(set(columns))


@pytest.mark.parametrize(
    ("spoil", "place"),
    [
        (("manure_spread", "status", "planned"), "Manure spread"),
        (("manure_spread", "amount", -1), "Manure spread"),
    ],
)
def test_planned_and_faulty_lines_are_no_record(spoil: tuple[str, str, object], place: str) -> None:
    assert any(key.startswith(place) for key in reminded(ASKING))
    assert not any(key.startswith(place) for key in reminded(put(ASKING, *spoil)))


def test_only_lines_that_the_item_is_for_are_asked() -> None:
    place = f"Manure spread!{cell_of('manure_spread', 'incorporated_after_h')}"
    assert place not in reminded(ASKING)
    assert place in reminded(put(ASKING, "manure_spread", "method", "broadcast"))


def test_an_answer_of_the_farm_sheet_is_asked_for_too() -> None:
    found = reminded(put(ASKING, "farm", "operator", None))
    message = found[f"Farm!{cell_of('farm', 'operator')}"]["message"]
    assert message.startswith("'Operator' is blank;")


def test_reminders_are_on_unless_the_farm_sheet_says_no() -> None:
    assert said(ASKING, "record-item-missing")
    assert said(put(ASKING, "farm", "record_reminders", None), "record-item-missing")
    assert said(put(ASKING, "farm", "record_reminders", "no"), "record-item-missing") == []


def test_a_new_workbook_has_no_reminder() -> None:
    blank = pipeline.blank(SHIPPED, year=2026, system="us", entries={})
    found = pipeline.run(blank, SHIPPED).results.findings
    assert {f.sheet for f in found if f.code == "record-item-missing"} <= {"Farm"}


def test_every_item_names_a_source_and_says_where_it_is_kept() -> None:
    assert len(SHIPPED.records) >= 50
    for item in SHIPPED.records:
        assert item.source.address and item.years
        assert bool(item.places) == (item.kept == "entered")


def test_a_record_item_is_added_as_data_alone(tmp_path: Path) -> None:
    item = {
        "id": "field-notes",
        "words": "what was odd about the field",
        "kept": [{"sheet": "fields", "column": "notes"}],
        "source": "rec-usu",
        "status": "memory",
        "years": "2 years",
    }
    data = altered(tmp_path, "records.json", lambda d: d["items"].append(item))
    found = [f for f in document(ASKING, data=data)["findings"] if f["sheet"] == "Fields"]
    notes = [f for f in found if f["cell"] == cell_of("fields", "notes")]
    assert len(notes) == 1
    for said_too in ("odd about the field", "2 years", "Utah State", "from memory"):
        assert said_too in notes[0]["message"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda item: item.update(source="nobody"), "nobody"),
        (lambda item: item.update(kept=[{"sheet": "barn", "column": "x"}]), "barn"),
        (lambda item: item.update(kept=[{"sheet": "farm", "column": "hat"}]), "hat"),
        (lambda item: item.update(kept=[{"sheet": "crops", "column": "crop"}]), "another item"),
        (
            lambda item: item["kept"][0].update(when={"units": ["furlongs"]}),
            "furlongs",
        ),
    ],
)
def test_a_fault_in_the_record_items_is_refused(
    tmp_path: Path, change: Callable[[Any], object], words: str
) -> None:
    copy = copied(tmp_path)
    rewrite(copy, "records.json", lambda data: change(data["items"][0]))
    assert words in refusal(copy)


# ------------------------------------------------------------ the sheet and its links
def test_rows_in_words() -> None:
    assert rows([7]) == "row 7"
    assert rows([9, 6, 7, 8, 12]) == "rows 6 to 9, 12"
    assert rows([9, 10]) == "rows 9, 10"
    assert rows(range(1, 100, 2)).endswith("23 and more")


def finding(severity: Any, sheet: str, cell: str) -> Finding:
    return Finding(code="x", severity=severity, sheet=sheet, cell=cell, message="m", fix="f")


def test_the_findings_sheet_groups_by_sheet_within_each_gravity() -> None:
    found = [
        finding("error", "Fields", "A6"),
        finding("warning", "Fields", "B6"),
        finding("warning", "Harvest", "C6"),
        finding("warning", "Harvest", "C7"),
    ]
    tables = findings_sheet(found).tables
    assert [table.title.split(":")[0] for table in tables] == ["Errors", "Warnings"]
    heads = [[line.cells[0] for line in t.lines if line.kind == "total"] for t in tables]
    assert heads == [["Fields: 1"], ["Fields: 1", "Harvest: 2"]]
    assert [line.kind for line in tables[1].lines] == ["total", "warning"] + ["total"] + [
        "warning"
    ] * 2


def test_a_sheet_without_findings_says_so() -> None:
    sheet = findings_sheet([])
    assert sheet.words[0] == "Nothing to mend." and len(sheet.tables) == 1


AWKWARD = "Bob's spreading #1"


@pytest.fixture(scope="module")
def linked() -> bytes:
    """A balanced workbook whose sheet has an apostrophe in its name, findings in two columns."""
    source = changed("manure_spread", ground="frozen", date="mid May")
    source = put(source, "fertilizer", "product", "ureaa")

    def rename(book: Any) -> None:
        book[title("manure_spread")].title = AWKWARD

    content = edit(workbook(source), rename)
    return pipeline.with_results(content, pipeline.run(content, SHIPPED), SHIPPED)


def test_each_finding_links_to_its_cell(linked: bytes) -> None:
    sheet = openpyxl.load_workbook(BytesIO(linked))["Findings"]
    links = {
        (str(row[1].value), str(row[2].value)): row[2].hyperlink.location
        for row in sheet.iter_rows()
        if row[2].hyperlink
    }
    doubled = AWKWARD.replace("'", "''")
    product = cell_of("fertilizer", "product")
    assert links[AWKWARD, f"A{FIRST_LINE}"] == f"'{doubled}'!$A${FIRST_LINE}"
    assert links["Fertilizer", product] == f"'Fertilizer'!${product[0]}${product[1:]}"


def test_libreoffice_knows_where_the_links_lead(linked: bytes, tmp_path: Path) -> None:
    """LibreOffice respells a place it can read with a dot; column C must not be its row-column C.

    Measured: of ``!C6`` it makes nothing, since C6 may also mean the sixth column.
    """
    if not SOFFICE:
        pytest.skip(NEEDS_OFFICE)
    file = tmp_path / "linked.xlsx"
    file.write_bytes(linked)
    office(tmp_path / "profile", "fods", tmp_path, [file])
    text = (tmp_path / "linked.fods").read_text("utf-8")
    links = re.findall(r'xlink:href="(#[^"]*)"', text.replace("&apos;", "'"))
    product = cell_of("fertilizer", "product")
    assert product.startswith("C")
    assert f"#'{AWKWARD.replace(chr(39), chr(39) * 2)}'.$A${FIRST_LINE}" in links
    assert any(link.endswith(f"Fertilizer'.$C${FIRST_LINE}") for link in links) or (
        f"#Fertilizer.$C${FIRST_LINE}" in links
    )
