"""What cells may hold: the unambiguous is taken, the rest is reported, nothing is guessed.

The spellings of numbers and dates here are common practice, no source.
"""

from datetime import date, datetime, time, timedelta
from typing import Any

import pytest
from farms import ONE_FIELD
from finding_cases import BASE
from hypothesis import given
from hypothesis import strategies as st
from lines import fed
from workbooks import cell_of, codes, document, edit, figures, put, set_cell, workbook

from ledger.check.values import own_unit, seen, typed
from ledger.model import Column, Flaw

AREA = Column(id="a", title="Area", type="number", note="", unit={"us": "ac", "metric": "ha"})
SHARE = Column(id="s", title="Moisture [%]", type="number", note="")
AMOUNT = Column(id="m", title="Amount", type="number", note="", unit_column="u")
TOTAL = Column(
    id="n", title="N", type="number", note="", unit_column="u",
    unit_of_choice={"ton": "lb/ton", "1000 gal": "lb/1000 gal"},
)  # fmt: skip
DAY = Column(id="d", title="Day", type="string", note="", is_date=True)
TEXT = Column(id="t", title="Text", type="string", note="")
DAY_TYPED = date(2026, 5, 14)


def code(column: Column, cell: object, unit: str = "") -> str:
    value, problem = typed(column, cell, unit)
    assert (value is None) != (problem is None)
    return problem[0] if problem else ""


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("1 234", 1234), ("12 345 678", 12345678), ("1\u202f234,5", 1234.5), ("-1 234.5", -1234.5),
        ("0,125", 0.125), ("1234,567", 1234.567), ("\ufeff40\u200b", 40), ("40_x000D_", 40),
        ("40\u00a0", 40), ("1\u2019234", 1234), ("\u0664\u0660", 40),
    ],
)  # fmt: skip
def test_numbers_kept_as_text_are_read_where_they_are_clear(text: str, number: float) -> None:
    assert typed(AREA, text) == (number, None)


@pytest.mark.parametrize(
    "text", ["1 2", "4 0", "1 23", "1 2345", "40-", "(40)", "10\u00b2", "1.234,56", "\u00bd", "$40"]
)
def test_numbers_that_need_a_guess_are_reported(text: str) -> None:
    assert code(AREA, text) == "not-a-number"


@pytest.mark.parametrize("text", ["40 ac", "40ac", "40 AC ", "40,0 ac", "40\u00a0ac"])
def test_a_number_may_carry_its_own_unit(text: str) -> None:
    assert typed(AREA, text, "ac") == (40.0, None)


@pytest.mark.parametrize("text", ["40 ha", "40 ac or so", "40 lb/ac", "40%", "40 x"])
def test_a_number_with_another_unit_is_reported(text: str) -> None:
    assert code(AREA, text, "ac") == "unit-in-number"


def test_a_doubtful_number_stays_doubtful_with_its_unit() -> None:
    assert code(AREA, "1,234 ac", "ac") == "not-a-number"
    assert code(AREA, "about 40 ac", "ac") == "not-a-number"


@pytest.mark.parametrize(
    ("column", "cells", "unit"),
    [
        (AREA, {"a": "40 ac"}, "ac"),
        (SHARE, {"s": "15 %"}, "%"),
        (AMOUNT, {"m": "5 gal/ac", "u": "Gal/Ac"}, "gal/ac"),
        (AMOUNT, {"m": "5 gal/ac"}, ""),
        (TOTAL, {"n": "48 lb/1000 gal", "u": "1000  gal"}, "lb/1000 gal"),
        (TOTAL, {"n": "48 lb", "u": "barrel"}, ""),
        (AREA, {"a": 40.0}, ""),
    ],
)
def test_the_unit_of_a_cell(column: Column, cells: dict[str, Any], unit: str) -> None:
    assert own_unit(column, "us", cells) == unit


def test_the_unit_of_a_heading_is_the_workbooks() -> None:
    assert own_unit(AREA, "metric", {"a": "40 ha"}) == "ha"


def test_units_in_numbers_through_the_ledger() -> None:
    plain = figures(document(ONE_FIELD + fed(amount=100, unit="lb/ac")))
    assert figures(document(put(ONE_FIELD + fed(), "fertilizer", "amount", "100 lb/ac"))) == plain
    spoilt = document(put(BASE, "fields", "area", "40 ha"))
    found = {(f["code"], f["cell"]) for f in spoilt["findings"]}
    assert ("unit-in-number", cell_of("fields", "area")) in found


@pytest.mark.parametrize(
    "cell",
    ["14 May 2026", "14-May-2026", "May 14, 2026", "may 14 2026", "14. May 2026", " 14 MAY 2026 "],
)
def test_a_date_with_the_name_of_its_month_is_read(cell: str) -> None:
    assert typed(DAY, cell) == (DAY_TYPED, None)


@pytest.mark.parametrize(
    "cell", ["14 Ma 2026", "31 Feb 2026", "14 May 26", "May 2026", "14 Mai 2026", "0 May 2026"]
)
def test_a_date_that_needs_a_guess_is_reported(cell: str) -> None:
    assert code(DAY, cell) == "not-a-date"


@pytest.mark.parametrize("cell", [time(6, 30), timedelta(hours=3), True, float("nan")])
def test_what_is_no_day_is_reported(cell: object) -> None:
    assert code(DAY, cell) == "not-a-date"


@pytest.mark.parametrize(
    "cell", [float("nan"), float("inf"), -float("inf"), "NaN", "inf", "1e400", 1.7e308, -1e16]
)
def test_numbers_that_are_none_are_reported(cell: object) -> None:
    assert code(AREA, cell) == "not-a-number"


@pytest.mark.parametrize("cell", ["#REF!", " #N/A ", "#SPILL!", "Err:502", "#NAME?"])
@pytest.mark.parametrize("column", [AREA, DAY, TEXT])
def test_error_cells_are_reported_in_any_column(column: Column, cell: str) -> None:
    assert code(column, cell) == "error-cell"


def test_a_flaw_of_reading_becomes_its_finding() -> None:
    flaw = Flaw(code="merged-cells", words={"read": "B6:B9"})
    assert typed(TEXT, flaw) == (None, ("merged-cells", {"read": "B6:B9"}))


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        ("Home ", "Home"), ("\u200bHome\ufeff", "Home"), ("Ho\u00admeland", "Homeland"),
        ("Long\u00a0Bottom", "Long Bottom"), ("Home_x000D_", "Home"), (12.0, "12"), (12, "12"),
        (True, "TRUE"), ("# 7", "# 7"),
    ],
)  # fmt: skip
def test_texts_are_what_a_person_sees(cell: object, text: str) -> None:
    assert typed(TEXT, cell) == (text, None)


@given(st.text())
def test_seeing_twice_is_seeing_once(text: str) -> None:
    once = seen(text)
    assert seen(once) == once or "_x" in once


def test_names_that_look_alike_are_suggested_not_taken() -> None:
    cyrillic = "H\u043eme"  # the second letter is not the Latin one
    result = document(put(BASE, "fertilizer", "field", cyrillic))
    assert codes(result) == {"unknown-name"}
    assert "did you mean 'Home'" in result["findings"][0]["message"]
    assert codes(document(put(BASE, "fertilizer", "field", "home"))) == set()
    for same in (" HOME ", "Ｈｏｍｅ", "Home\u200b"):  # no formula takes these for Home
        result = document(put(BASE, "fertilizer", "field", same))
        assert codes(result) == {"live-columns-miss-it"}


def test_zero_and_blank_are_never_confused() -> None:
    zero = document(put(BASE, "manure_lots", "s", 0))
    blank = document(put(BASE, "manure_lots", "s", None))
    assert codes(zero) == set() and codes(blank) == {"analysis-missing"}
    assert figures(zero, "S")["manure"] == 0.0
    assert figures(blank, "S")["manure"] is None
    content, place = workbook(BASE), cell_of("manure_lots", "s")
    for cell, expected in ((0, 0.0), ("0", 0.0), ("0,0", 0.0), (None, None), ("  ", None)):
        assert figures(document(set_cell(content, "Manure lots", place, cell)), "S")["manure"] == (
            expected
        )


def test_days_kept_as_numbers_follow_the_workbooks_date_system() -> None:
    content, place = workbook(BASE), cell_of("fertilizer", "date")

    def from_1904(book: Any) -> None:
        book.epoch = datetime(1904, 1, 1)
        cell = book["Fertilizer"][place]
        cell.value, cell.number_format = 46132 - 1462, "General"  # 2026-04-20

    posted = document(edit(content, from_1904))["postings"]
    days = {p["date"] for p in posted if p["stream"] == "fertilizer"}
    assert days == {"2026-04-20"}
