"""Every code of the catalogue is provoked once, and what an error does to the sums."""

from collections.abc import Iterable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from finding_cases import BASE, CASES
from workbooks import (
    BOOK,
    SHIPPED,
    Document,
    Source,
    altered,
    cell_of,
    codes,
    document,
    edit,
    errors,
    figures,
    put,
    run,
    workbook,
    zone,
)

from ledger import report
from ledger.findings import hint
from ledger.model import Definitions, Finding
from ledger.pipeline import Run

CODES = list(SHIPPED.findings)
ERRORS = [code for code in CASES if code in CODES and SHIPPED.findings[code].severity == "error"]


@cache
def provoke(code: str) -> tuple[Run, Document, Definitions]:
    """Take a case through the ledger, once for all tests."""
    case = CASES[code]
    data = SHIPPED
    if case.data:
        with TemporaryDirectory() as folder:
            data = altered(Path(folder), *case.data)
    source: Source = case.source
    if case.change:
        source = edit(workbook(case.source, data=data), case.change)
    done = run(source, data=data)
    return done, report.document(done.results, data), data


def found(done: Run, code: str) -> list[Finding]:
    return [item for item in done.results.findings if item.code == code]


def test_the_base_of_all_cases_has_no_finding() -> None:
    assert document(BASE)["findings"] == []


def test_every_code_has_a_case_and_every_case_a_code() -> None:
    assert sorted(CASES) == sorted(CODES)


@pytest.mark.parametrize("code", CASES)
def test_a_case_gives_its_finding_in_its_cell(code: str) -> None:
    case = CASES[code]
    done, _, data = provoke(code)
    here = [f for f in found(done, code) if (f.sheet, f.cell) == (case.sheet, case.cell)]
    here = [f for f in here if all(fragment in f.message for fragment in case.says)]
    assert len(here) == 1, [(f.code, f.sheet, f.cell, f.message) for f in done.results.findings]
    assert here[0].severity == data.findings[code].severity
    assert here[0].fix and "{" not in here[0].message + here[0].fix
    if case.alone:
        assert errors(done.results.findings) <= {code, *case.cause}


@pytest.mark.parametrize("code", ERRORS)
def test_an_error_leaves_the_farm_incomplete(code: str) -> None:
    case = CASES[code]
    _, result, _ = provoke(code)
    assert result["farm"]["incomplete"]
    if case.hit:
        assert all(z["incomplete"] for z in result["zones"] if z["field"] == "Home")


POSTED = {sheet.title for sheet in SHIPPED.sheets.values() if sheet.posting}


@pytest.mark.parametrize(
    "code", [code for code in ERRORS if CASES[code].hit and CASES[code].sheet in POSTED]
)
def test_a_line_with_an_error_posts_nothing(code: str) -> None:
    done, result, _ = provoke(code)
    rows = {(f.sheet, int(f.cell.strip("ABCDEFGHIJKLMNOPQRSTUVWXYZ"))) for f in found(done, code)}
    assert not rows & {(p["sheet"], p["row"]) for p in result["postings"]}


def test_what_a_faulty_line_leaves_out_is_all_that_is_left_out() -> None:
    result = document(CASES["too-small"].source)
    whole = document(BASE)
    assert figures(result)["fertilizer"] == 0.0
    for figure in ("manure", "manure_credit", "credits", "residual", "removal"):
        assert figures(result)[figure] == figures(whole)[figure]


# ------------------------------------------------ errors that must not spread or hide
def test_a_faulty_field_line_keeps_its_area() -> None:
    result = document(put(BASE, "fields", "owner", "Nobody"))
    assert codes(result) == {"unknown-name"}
    assert zone(result)["area"] == pytest.approx(40)
    assert zone(result)["incomplete"]


@pytest.mark.parametrize("area", [-5, 0, "#REF!", "forty"])
def test_a_field_without_a_sound_area_has_no_statement(area: object) -> None:
    result = document(put(BASE, "fields", "area", area))
    assert result["zones"] == []
    assert result["farm"]["incomplete"]


def test_a_line_whose_zone_is_unknown_leaves_its_whole_field_incomplete() -> None:
    zones = "## zones\n| field | zone | area |\n| Home | west | 15 |\n| Home | east | 25 |"
    result = document(put(BASE + zones, "fertilizer", "zone", "wst"))
    assert "unknown-name" in codes(result)
    assert [z["incomplete"] for z in result["zones"]] == [True, True]


def test_zones_that_do_not_add_up_are_told_once_a_field_and_counted_as_typed() -> None:
    """The finding says so: the areas typed for the zones count, and the field is incomplete."""
    zones = "## zones\n| field | zone | area |\n| Home | a | 20 |\n| Home | b | 10 |\n"
    done = run(BASE + zones + "| Home | c | 5 |")
    (item,) = found(done, "zone-areas-do-not-add-up")
    assert "(rows 6, 7, 8)" in item.message and "counted with the areas typed" in item.fix
    result = report.document(done.results, SHIPPED)
    assert [z["area"] for z in result["zones"]] == pytest.approx([20, 10, 5])
    assert all(z["incomplete"] for z in result["zones"])
    assert [f["area"] for f in result["fields"]] == pytest.approx([35])
    assert figures(result, name="a")["fertilizer"] == pytest.approx(46)  # 100 lb/ac of urea
    assert all(entry.faulty for entry in done.results.book.entries["zones"])
    remarks = {item["remark"] for item in result["plan"]}
    assert all("Fields or Zones has an error; it counts as typed" in text for text in remarks)


def test_a_field_named_twice_is_counted_once_with_its_first_area() -> None:
    result = document(CASES["name-twice"].source)
    assert [(z["field"], z["area"]) for z in result["zones"]] == [("Home", pytest.approx(40))]


def test_a_zone_named_twice_is_counted_once() -> None:
    zones = "## zones\n| field | zone | area |\n| Home | west | 20 |\n| Home | west | 20 |"
    result = document(BASE + zones)
    assert "name-twice" in codes(result)
    assert [z["zone"] for z in result["zones"]] == ["west"]


def test_a_faulty_harvest_line_is_not_called_a_missing_harvest() -> None:
    assert codes(document(put(BASE, "harvest", "yield", -3))) == {"too-small"}


def test_a_faulty_crops_line_leaves_the_zone_incomplete() -> None:
    result = document(put(BASE, "crops", "yield_goal", "lots"))
    assert zone(result)["incomplete"]


def test_a_planned_line_with_an_error_is_reported() -> None:
    source = put(put(BASE, "fertilizer", "status", "planned"), "fertilizer", "amount", -1)
    assert "too-small" in codes(document(source))


def test_findings_are_sorted_by_gravity_sheet_and_cell() -> None:
    source = put(put(BASE, "manure_lots", "s", None), "harvest", "moisture_pct", 130)
    source = put(put(source, "fertilizer", "amount", -1), "fertilizer", "unit", "x")
    found = document({**source, "crops": []})["findings"]
    assert [(f["severity"], f["sheet"], f["cell"]) for f in found] == [
        ("error", "Fertilizer", "F6"),
        ("error", "Fertilizer", "G6"),
        ("error", "Harvest", cell_of("harvest", "moisture_pct")),
        ("warning", "Manure lots", cell_of("manure_lots", "s")),
        ("note", "Fields", "A6"),
    ]


def test_a_finding_in_a_products_line_is_in_its_own_line() -> None:
    blend = "## products\n| product | n_pct |\n| Thin | 5 |\n| Wrong | 500 |"
    said = [f["cell"] for f in document(BASE + blend)["findings"]]
    assert said == [f"B{5 + BOOK + 2}"]


# ------------------------------------------------------------------- names nearly right
KINDS = list(SHIPPED.manure_kinds)
# What was typed, the names there are, what is suggested.
SUGGESTED: tuple[tuple[str, list[str], str], ...] = (
    ("cow manure", KINDS, ""),
    ("manure", KINDS, ""),
    ("hors manure", KINDS, "'horse manure'"),
    ("Dairy liqid", KINDS, "'dairy liquid'"),
    ("beef manure", KINDS, "'beef liquid' or 'beef solid'"),
    ("grass hay", list(SHIPPED.crops), "'mixed grass hay'"),
    ("alfafa", list(SHIPPED.crops), "'alfalfa'"),
    ("Hmoe", ["Home", "North Forty"], "'Home'"),
    ("north 40", ["Home", "North Forty"], "'North Forty'"),
    ("Forty", ["Home", "North Forty"], "'North Forty'"),
    ("Creek", ["Home", "North Forty"], ""),
    ("Home", [], ""),
)


@pytest.mark.parametrize(("read", "known", "told"), SUGGESTED)
def test_a_suggestion_is_alike_in_more_than_a_common_word(
    read: str, known: list[str], told: str
) -> None:
    assert hint(read, known) == (f" (did you mean {told}?)" if told else "")


def test_what_lies_within_an_unknown_name_is_not_judged() -> None:
    """No part of a crop that is not one, no zone of a field that is not one."""
    crop = document(put(put(BASE, "harvest", "crop", "grass hay"), "harvest", "part", "hay"))
    assert codes(crop) == {"unknown-choice"}
    zones = "## zones\n| field | zone | area |\n| Home | west | 15 |\n| Home | east | 25 |"
    field = put(put(BASE + zones, "fertilizer", "zone", "west"), "fertilizer", "field", "Hmoe")
    assert codes(document(field)) == {"unknown-name"}


@pytest.mark.parametrize(
    ("sheet", "column", "cell", "names"),
    [
        ("farm", "manure_set", "XX-none", SHIPPED.manure_sets),
        ("harvest", "part", "straw", SHIPPED.crops["corn"].parts),
        ("harvest", "crop", "maize", ()),  # too many to tell
    ],
)
def test_names_of_a_short_table_are_told(
    sheet: str, column: str, cell: str, names: Iterable[str]
) -> None:
    said = document(put(BASE, sheet, column, cell))["findings"]
    (fix,) = (f["fix"] for f in said if f["code"] == "unknown-choice")
    told = f": {', '.join(names)}." if names else "."
    assert fix.startswith(f"Pick one from the list{told}")
