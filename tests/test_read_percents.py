"""A percentage typed in a spreadsheet program is kept as a fraction shown with a percent sign."""

from typing import Any

import pytest
from finding_cases import BASE, OWN, REFERENCE_LINE, own_figure
from lxml import etree
from workbooks import SHIPPED, cell_of, codes, document, edit, put, title, workbook

from ledger.check.values import own_unit, typed
from ledger.live.figures import reference_lines
from ledger.pipeline import run
from ledger.read.percents import percent_styles

WARNED = "percent-kept-as-share"
HARVEST = put(put(BASE, "harvest", "moisture_pct", 12), "harvest", "n_pct", 1.5)
PLAIN = document(HARVEST)
PERCENT_LINE = REFERENCE_LINE + next(
    at for at, line in enumerate(reference_lines(SHIPPED)) if line.figure.unit == "percent"
)


def shown(sheet: str, column: str, number: float, code: str) -> bytes:
    """The workbook with a number in a cell of that number format."""

    def change(book: Any) -> None:
        cell = book[title(sheet)][cell_of(sheet, column)]
        cell.value, cell.number_format = number, code

    return edit(workbook(HARVEST), change)


@pytest.mark.parametrize("code", ["0%", "0.00%", "0.0 %", "[Red]0.0%;-0%"])
def test_a_share_shown_as_percent_is_that_percent(code: str) -> None:
    result = document(shown("harvest", "n_pct", 0.015, code))
    assert result["zones"] == PLAIN["zones"]
    assert codes(result) - codes(PLAIN) == {WARNED}


def test_a_percentage_is_warned_of_where_formulas_take_what_the_cell_keeps() -> None:
    found = document(shown("harvest", "n_pct", 0.015, "0.0%"))["findings"]
    one = next(item for item in found if item["code"] == WARNED)
    assert (one["sheet"], one["cell"]) == ("Harvest", cell_of("harvest", "n_pct"))
    assert all(words in one["message"] for words in ("1.5%", "0.015", "takes it for 1.5,"))
    assert one["severity"] == "warning"


def test_a_percentage_that_no_formula_looks_at_is_not_warned_of() -> None:
    def change(book: Any) -> None:
        cell = book["Farm"][cell_of("farm", "over_tolerance_pct")]
        cell.value, cell.number_format = 0.1, "0%"

    done = run(edit(workbook(HARVEST), change), SHIPPED)
    assert done.results.book.farm.number("over_tolerance_pct") == 10
    assert WARNED not in {item.code for item in done.results.findings}


@pytest.mark.parametrize("code", ['0.0"%"', "0.0\\%", "General"])
def test_a_sign_that_is_only_written_behind_multiplies_nothing(code: str) -> None:
    assert document(shown("harvest", "n_pct", 1.5, code))["zones"] == PLAIN["zones"]


def test_a_percentage_where_no_percent_belongs_is_reported_in_its_cell() -> None:
    found = document(shown("fertilizer", "amount", 1.0, "0%"))["findings"]
    told = [(f["code"], f["cell"]) for f in found]
    assert ("unit-in-number", cell_of("fertilizer", "amount")) in told
    assert "100%" in next(f["message"] for f in found if f["code"] == "unit-in-number")


def test_a_share_of_ones_own_may_be_typed_as_a_percentage() -> None:
    def change(book: Any) -> None:
        own_figure(REFERENCE_LINE, 0.35)(book)
        own_figure(PERCENT_LINE, 0.042)(book)
        for row in (REFERENCE_LINE, PERCENT_LINE):
            book["Reference"][f"{OWN}{row}"].number_format = "0.0%"

    results = run(edit(workbook(BASE), change), SHIPPED).results
    assert [one.value for one in results.book.own_figures] == [0.35, 4.2]
    assert not [f for f in results.findings if f.code.startswith("own-figure")]
    warned = [f for f in results.findings if f.code == WARNED]  # a share of 35% is kept as 0.35
    assert [(f.sheet, f.cell) for f in warned] == [("Reference", f"{OWN}{PERCENT_LINE}")]
    assert "takes it for 4.2," in warned[0].message and "for 0.042," in warned[0].message


def test_every_column_of_percentages_takes_a_percent_sign() -> None:
    for sheet in SHIPPED.sheets.values():
        for column in sheet.columns:
            if "%" in column.title or "(percent)" in column.title:
                unit = own_unit(column, "us", {column.id: "32%"})
                assert typed(column, "32%", unit) == (32, None), column.id


def test_formats_of_conditional_looks_are_no_formats_of_cells() -> None:
    """Both number their formats by themselves (ECMA-376 part 1, 18.8.14 and 18.8.30)."""
    styles = etree.fromstring(
        '<styleSheet><numFmts><numFmt numFmtId="164" formatCode="0.00"/></numFmts>'
        '<cellXfs><xf numFmtId="164"/><xf numFmtId="9"/></cellXfs>'
        '<dxfs><dxf><numFmt numFmtId="164" formatCode="0%"/></dxf></dxfs></styleSheet>'
    )
    assert percent_styles(styles) == {b"1"}
