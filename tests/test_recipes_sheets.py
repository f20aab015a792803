"""The recipes for columns, sheets, postings and findings, each performed in a copy of the data."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from farms import ONE_FIELD
from lines import fed, past, table
from recipes import through, with_source, write
from workbooks import cell_of, codes, document, figures, put, rewrite, run, workbook

from ledger import definitions


@pytest.fixture
def templates(tmp_path: Path) -> Path:
    return with_source(tmp_path)


def test_a_column_stands_on_the_sheet_and_is_checked(templates: Path) -> None:
    text = {"title": "Tractor", "type": "string", "description": "Which one."}
    column = {**text, "enum": ["red", "green"]}
    hours = {"title": "Hours", "type": "number", "minimum": 0, "description": "On the meter."}

    def add(sheet: Any) -> None:
        sheet["properties"] = {"tractor": column, **sheet["properties"], "hours": hours}

    rewrite(templates, "sheets/11-fertilizer.json", add)
    data = definitions.load(templates)
    source = ONE_FIELD + fed(tractor="green", hours=3.5)
    content = workbook(source, data=data)
    entry = run(content, data=data).results.book.entries["fertilizer"][0]
    assert (entry.text("tractor"), entry.number("hours")) == ("green", 3.5)
    assert figures(document(content, data=data))["fertilizer"] == pytest.approx(46)
    spoilt = document(put(source, "fertilizer", "tractor", "blue"), data=data)
    place = cell_of("fertilizer", "tractor", data=data)
    assert ("unknown-word", place) in {(f["code"], f["cell"]) for f in spoilt["findings"]}


def foliar(**changes: Any) -> dict[str, Any]:
    """A sheet of feeding over the leaf, with the columns a posting wants."""
    from_unit = {"column": "unit"}
    look_up = {"sheet": "fields", "column": "field"}
    text = {"type": "string", "description": "A note."}
    return {
        "id": "foliar", "title": "Foliar feeding", "layout": "rows", "help": "Over the leaf.",
        "example": "Home, 2 lb/ac.", "type": "object", "required": ["field", "amount", "unit"],
        "properties": {
            "field": {**text, "title": "Field", "lookup": look_up},
            "amount": {**text, "title": "Amount", "type": "number", "unit_from": from_unit},
            "unit": {**text, "title": "Unit", "enum": ["lb/ac", "lb", "gal/ac"]},
        },
        **changes,
    }  # fmt: skip


def test_a_sheet_that_names_amounts_posts_transfers(templates: Path) -> None:
    posting = {"kind": "transfer", "stream": "credits", "from": "soil", "nutrient": "S",
               "amount": "amount"}  # fmt: skip
    write(templates, "sheets/21-foliar.json", foliar(posting=posting))
    data = definitions.load(templates)
    line = table("foliar", {"field": "Home", "amount": 2.5, "unit": "lb/ac"})
    result = through(ONE_FIELD + line, data)
    assert figures(result, "S")["credits"] == pytest.approx(2.5)
    assert figures(result, "N")["credits"] == 0
    assert {p["sheet"] for p in result["postings"]} == {"Foliar feeding"}
    accounts = {p["account"] for p in result["postings"]}
    assert accounts == {"soil/foliar", "field/Home/all/available"}


def test_a_sheet_of_products_posts_like_the_fertilizer_sheet(templates: Path) -> None:
    posting = {"kind": "product", "stream": "fertilizer", "from": "dealer", "material": "product"}
    sheet = foliar(posting=posting)
    sheet["required"].append("product")
    sheet["properties"]["product"] = {
        "title": "Product", "type": "string", "description": "What it was.",
        "lookup": {"sheet": "products", "column": "product"},
    }  # fmt: skip
    write(templates, "sheets/21-foliar.json", sheet)
    data = definitions.load(templates)
    line = {"field": "Home", "product": "uan-28", "amount": 2, "unit": "gal/ac"}
    result = through(ONE_FIELD + table("foliar", line) + fed(), data)
    assert figures(result)["fertilizer"] == pytest.approx(46 + 2 * 10.67 * 0.28)
    wrong = document(ONE_FIELD + table("foliar", {**line, "product": "uan28"}), data=data)
    assert "unknown-name" in codes(wrong)


def test_a_sheet_without_posting_is_kept_and_checked(templates: Path) -> None:
    write(templates, "sheets/21-foliar.json", foliar())
    data = definitions.load(templates)
    line = table("foliar", {"field": "Nowhere", "amount": 2, "unit": "lb/ac"})
    result = through(ONE_FIELD + line + past(), data)
    assert "unknown-name" in codes(result)
    assert {p["sheet"] for p in result["postings"]} == {"Past manure"}


def test_a_kind_of_finding_may_be_given_by_a_rule(templates: Path) -> None:
    finding = {"code": "no-applicator", "severity": "warning", "message": "'{expected}' is blank",
               "fix": "Write who drove.", "example": "Nobody named."}  # fmt: skip
    rule = {"rule": "needs", "when": ["amount"], "column": "applicator", "code": "no-applicator"}
    rewrite(templates, "findings.json", lambda d: d["findings"].append(finding))
    rewrite(templates, "sheets/11-fertilizer.json", lambda d: d["rules"].append(rule))
    data = definitions.load(templates)
    result = document(ONE_FIELD + fed(), data=data)
    said = [f for f in result["findings"] if f["code"] == "no-applicator"]
    assert [(f["severity"], f["message"]) for f in said] == [("warning", "'Applied by' is blank")]
    assert figures(result)["fertilizer"] == pytest.approx(46)
