"""A percentage typed in a spreadsheet program is kept as a fraction shown with a percent sign."""

from typing import Any

import pytest
from finding_cases import BASE
from workbooks import cell_of, document, edit, put, title, workbook

HARVEST = put(put(BASE, "harvest", "moisture_pct", 12), "harvest", "n_pct", 1.5)
PLAIN = document(HARVEST)


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
    assert result["findings"] == PLAIN["findings"]


@pytest.mark.parametrize("code", ['0.0"%"', "0.0\\%", "General"])
def test_a_sign_that_is_only_written_behind_multiplies_nothing(code: str) -> None:
    assert document(shown("harvest", "n_pct", 1.5, code))["zones"] == PLAIN["zones"]


def test_a_percentage_where_no_percent_belongs_is_reported_in_its_cell() -> None:
    found = document(shown("fertilizer", "amount", 1.0, "0%"))["findings"]
    told = [(f["code"], f["cell"]) for f in found]
    assert ("unit-in-number", cell_of("fertilizer", "amount")) in told
    assert "100%" in next(f["message"] for f in found if f["code"] == "unit-in-number")
