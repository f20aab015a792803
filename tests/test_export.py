"""Statements and postings for other programs: CSV, Data Package descriptor, JSON."""

from __future__ import annotations

import csv
import json
from datetime import date
from io import StringIO
from math import isfinite
from pathlib import Path
from typing import Any

import pytest
from farms import ONE_FIELD, STANDARD
from lines import farm, fed
from papers import results_of
from workbooks import SHIPPED, Entries, document, workbook

from ledger.cli import main
from ledger.report.export import columns_of, export_files, guarded, to_csv

FILES = export_files(results_of(STANDARD), SHIPPED)
PACKAGE: dict[str, Any] = json.loads(FILES["datapackage.json"])
TABLES = [r for r in PACKAGE["resources"] if r["format"] == "csv"]


def lines(name: str, files: dict[str, bytes] | None = None) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO((files or FILES)[f"{name}.csv"].decode("utf-8"))))


def test_the_document_is_that_of_balance() -> None:
    assert json.loads(FILES["result.json"]) == document(STANDARD)


# -------------------------------------------- Frictionless Data Package 1, the rules by hand
def test_the_descriptor_names_every_file_and_no_other() -> None:
    # https://specs.frictionlessdata.io/data-package/ (version 1), from memory: name, resources
    paths = [resource["path"] for resource in PACKAGE["resources"]]
    assert sorted([*paths, "datapackage.json"]) == sorted(FILES)
    assert PACKAGE["name"] == PACKAGE["name"].lower()
    names = [resource["name"] for resource in PACKAGE["resources"]]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("resource", TABLES, ids=lambda r: str(r["name"]))
def test_headers_and_types_are_as_described(resource: dict[str, Any]) -> None:
    # https://specs.frictionlessdata.io/table-schema/ (version 1), from memory: fields and types
    text = FILES[resource["path"]].decode(resource["encoding"])
    rows = list(csv.reader(StringIO(text)))
    fields = resource["schema"]["fields"]
    assert rows[0] == [field["name"] for field in fields]
    for row in rows[1:]:
        assert len(row) == len(fields)
        for cell, field in zip(row, fields, strict=True):
            if cell not in resource["schema"]["missingValues"]:
                assert is_of(field["type"], cell), (field, cell)


def is_of(type_: str, cell: str) -> bool:
    if type_ == "boolean":
        return cell in ("true", "false")
    if type_ == "integer":
        return str(int(cell)) == cell
    if type_ == "date":
        return date.fromisoformat(cell).isoformat() == cell
    return type_ == "string" or isfinite(float(cell))


def test_statements_hold_the_figures_unrounded() -> None:
    found = {(s["field"], s["zone"], s["nutrient"]): s for s in lines("statements")}
    for zone in document(STANDARD)["zones"]:
        for nutrient, figures in zone["nutrients"].items():
            line = found[zone["field"], zone["zone"], nutrient]
            for figure, value in figures.items():
                assert line[figure] == ("" if value is None else repr(value)), figure


def test_totals_and_postings_add_up_as_in_the_document() -> None:
    whole = document(STANDARD)
    (total,) = [t for t in lines("totals") if t["kind"] == "farm" and t["nutrient"] == "N"]
    assert float(total["applied_total"]) == whole["farm"]["nutrients"]["N"]["applied_total"]
    assert len(lines("postings")) == len(whole["postings"])
    assert sum(float(p["mass"]) for p in lines("postings")) == pytest.approx(0, abs=1e-6)


def test_unknown_is_empty_and_zero_is_zero() -> None:
    (line,) = [s for s in lines("statements") if s["field"] == "Home" and s["nutrient"] == "N"]
    assert line["fertilizer"] == "0.0"
    unfilled = export_files(
        results_of(
            ONE_FIELD
            + fed(product="Mix")
            + """
## products
| product | n_pct | form |
| Mix     | 20    | dry  |
"""
        ),
        SHIPPED,
    )
    (line,) = [s for s in lines("statements", unfilled) if s["nutrient"] == "P2O5"]
    assert line["fertilizer"] == ""


# ------------------------------------------------------------------ formulas in text
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_text_that_looks_like_a_formula_is_guarded(start: str) -> None:
    # OWASP, "CSV Injection", from memory: = + - @ tab and carriage return start a formula
    assert guarded(f"{start}1+1") == f"'{start}1+1"
    assert guarded(f"1{start}1") == f"1{start}1"


def test_a_field_named_like_a_formula() -> None:
    name = '=HYPERLINK("http://a.example","x")'
    files = export_files(
        results_of({"farm": [{"farm_name": "+Farm"}], "fields": [{"field": name, "area": 40}]}),
        SHIPPED,
    )
    assert {s["field"] for s in lines("statements", files)} == {f"'{name}"}
    assert {t["name"] for t in lines("totals", files) if t["kind"] == "farm"} == {"'+Farm"}
    assert json.loads(files["result.json"])["zones"][0]["field"] == name


def test_numbers_below_zero_are_not_guarded() -> None:
    row = {**dict.fromkeys(columns_of("postings"), ""), "mass": -1.5, "row": 3}
    assert b",-1.5," in to_csv([row], columns_of("postings"))


def test_commas_quotes_and_letters_of_all_kinds_survive() -> None:
    name = 'Söll, "the wet", 牧場'
    entries: Entries = {"farm": [{}], "fields": [{"field": name, "area": 40}]}
    files = export_files(results_of(entries), SHIPPED)
    assert {s["field"] for s in lines("statements", files)} == {name}


def test_units_stand_beside_the_columns() -> None:
    def unit(files: dict[str, bytes], table: str, column: str) -> str:
        package = json.loads(files["datapackage.json"])
        (schema,) = [r["schema"] for r in package["resources"] if r["name"] == table]
        (field,) = [f for f in schema["fields"] if f["name"] == column]
        return str(field["description"])

    assert unit(FILES, "statements", "applied") == "lb/ac"
    assert unit(FILES, "totals", "applied_total") == "lb"
    assert unit(FILES, "postings", "mass") == "lb"


def test_same_input_same_bytes() -> None:
    assert export_files(results_of(STANDARD), SHIPPED) == FILES


# ------------------------------------------------------------------------ command
def test_command_writes_the_files_and_replaces_none_unasked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ledger, folder = tmp_path / "farm.xlsx", tmp_path / "out"
    ledger.write_bytes(workbook(STANDARD))
    assert main(["export", str(ledger), "--out", str(folder)]) == 0
    assert sorted(f.name for f in folder.iterdir()) == sorted(FILES)
    (folder / "totals.csv").write_text("mine")
    assert main(["export", str(ledger), "--out", str(folder)]) == 2
    assert "--force" in capsys.readouterr().err
    assert (folder / "totals.csv").read_text() == "mine"
    assert main(["export", str(ledger), "--out", str(folder), "--force"]) == 0
    assert (folder / "totals.csv").read_bytes() != b"mine"


def test_command_refuses_a_file_for_a_folder(tmp_path: Path) -> None:
    ledger = tmp_path / "farm.xlsx"
    ledger.write_bytes(workbook(farm() + ONE_FIELD))
    assert main(["export", str(ledger), "--out", str(ledger)]) == 2
    assert ledger.read_bytes() == workbook(farm() + ONE_FIELD)
