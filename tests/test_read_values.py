"""The quick reader of cells and openpyxl see the same in every cell."""

from datetime import date, datetime, time
from typing import Any

import pytest
from farms import standard
from workbooks import SHIPPED, edit, put_raw, title

from ledger.read import values
from ledger.read.package import open_package
from ledger.read.preflight import inspect
from ledger.read.values import Line, Values

ODD: dict[str, object] = {
    "A70": 5, "B70": 5.25, "C70": True, "D70": "#N/A", "E70": "#DIV/0!", "F70": "  two words ",
    "A72": datetime(2026, 4, 20), "B72": datetime(2026, 4, 20, 5, 30), "C72": time(5, 30),
    "D72": date(2026, 1, 1), "E72": 1e300, "F72": -0.5, "G72": "\u200b", "H72": "1,234",
}  # fmt: skip


def odd(book: Any) -> None:
    for cell, content in ODD.items():
        put_raw(book[title("fertilizer")][cell], content)
    book.create_sheet("Blank")
    book.create_sheet("Far right")["ZZ3"] = "too far"
    book["Far right"]["C9"] = 1


def lines(content: bytes) -> dict[str, list[Line]]:
    """Everything in a workbook, sheet by sheet."""
    inspection = inspect(open_package(content), SHIPPED.settings["mark"])
    read = Values(content)
    return {n: list(read.lines(n, scan, 10_000)) for n, scan in inspection.sheets.items()}


@pytest.mark.parametrize("change", [None, odd])
def test_both_ways_see_the_same(change: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    content = standard() if change is None else edit(standard(), change)
    quick = lines(content)
    monkeypatch.setattr(values, "MOST_PLACES", 0)
    assert lines(content) == quick
    assert sum(map(len, quick.values())) > 100


def test_the_text_of_error_cells_is_seen() -> None:
    seen = dict(lines(edit(standard(), odd))[title("fertilizer")])
    assert (seen[70][3], seen[70][4]) == ("#N/A", "#DIV/0!")


def test_a_stray_cell_far_out_does_not_fill_the_memory() -> None:
    def far(book: Any) -> None:
        book[title("fertilizer")]["XFD1048576"] = 1

    content = edit(standard(), far)
    found = lines(content)[title("fertilizer")]
    assert found == lines(standard())[title("fertilizer")]


def test_cells_that_are_equal_and_not_the_same_stay_what_they_are() -> None:
    row = [1.0, True, 0.0, False, -0.0, 2.5, "", " ", "\u200b", "1", date(2026, 4, 2), None, 1e300]
    day = datetime(2026, 4, 2)
    wanted = {0: 1, 1: True, 2: 0, 3: False, 4: 0, 5: 2.5, 9: "1", 10: day, 12: int(1e300)}
    texts: dict[Any, Any] = {}
    numbers: dict[float, float] = {}
    for given in (row, row[:], [*row[:5], 2.5 + 0, *row[6:]]):
        cells = values._cells(given, 0, len(given), texts, numbers)
        assert repr(cells) == repr(wanted)
    assert cells[5] is numbers[2.5]
