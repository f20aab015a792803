"""Lines checked by what was met before come out as lines that are judged one by one."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest
from farms import STANDARD
from hypothesis import given, settings
from hypothesis import strategies as st
from workbooks import SHIPPED, as_read, grid_of

from ledger.check import check, known
from ledger.check.known import KnownLines
from ledger.check.names import Directory
from ledger.check.rows import RowChecker
from ledger.model import Flaw, Percentage, Row

READING = as_read(STANDARD)
SHEETS = ("manure_spread", "fertilizer", "harvest", "manure_lots", "soil_tests")
COMMON: list[Any] = [0, 1, 4000, 2.5, -3, 1e16, True, "1", " ", "all", "x", Percentage("32%")]
COMMON += [
    datetime(2026, 4, 20),
    datetime(2001, 1, 1),
    46_000,
    Flaw(code="formula-without-value", words={}),
]


def pool(sheet: str) -> dict[str, list[Any]]:
    """What may stand in the columns of a sheet: what does on the farm, and some more."""
    columns = SHIPPED.sheets[sheet].columns
    typed = {c.id: [row.get(c.id) for row in READING.rows[sheet]] for c in columns}
    return {
        c.id: [v for v in typed[c.id] if v is not None] * 4 + [*c.choices, c.title.upper(), *COMMON]
        for c in columns
    }


POOLS = {sheet: pool(sheet) for sheet in SHEETS}


@st.composite
def lines(draw: st.DrawFn) -> tuple[str, list[Row]]:
    """Lines of a sheet, most of them as on the farm but for a cell or two."""
    sheet = draw(st.sampled_from(SHEETS))
    grid, rows = grid_of(SHIPPED.sheets[sheet]), []
    start = [dict(row.cells) for row in READING.rows[sheet]] or [{}]
    for number in range(draw(st.integers(2, 14))):
        cells = dict(draw(st.sampled_from(start)))
        for name in draw(st.lists(st.sampled_from(sorted(POOLS[sheet])), max_size=2)):
            cells[name] = draw(st.sampled_from(POOLS[sheet][name]))
        rows.append(Row(grid=grid, number=7 + number, cells=cells))
        start.append(cells)
    return sheet, rows


def checked(sheet: str, rows: list[Row]) -> list[str]:
    """What becomes of every line, to the last digit and the kind of number."""
    checker = RowChecker(SHIPPED, Directory(READING.rows, SHIPPED), "us")
    farm, _ = checker.entry(SHIPPED.sheets["farm"], READING.rows["farm"][0])
    checker.set_year(farm)
    return [repr(checker.entry(SHIPPED.sheets[sheet], row)) for row in rows]


@settings(deadline=None, max_examples=200)
@given(lines())
def test_what_was_met_before_comes_to_the_same(drawn: tuple[str, list[Row]]) -> None:
    quickly = checked(*drawn)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(KnownLines, "entry", lambda self, row: None)
        assert checked(*drawn) == quickly
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(known, "MOST_KEPT", 2)
        assert checked(*drawn) == quickly


def test_lines_like_others_are_not_judged_again(monkeypatch: pytest.MonkeyPatch) -> None:
    judged: list[Row] = []
    inner = RowChecker._judged

    def counted(self: RowChecker, sheet: Any, row: Row) -> Any:
        judged.append(row)
        return inner(self, sheet, row)

    monkeypatch.setattr(RowChecker, "_judged", counted)
    first = READING.rows["manure_spread"][0]
    amounts = [*range(3000, 3040), 12.25]
    rows = [
        Row(grid=first.grid, number=9 + n, cells={**first.cells, "amount": amount})
        for n, amount in enumerate(amounts)
    ]
    assert len(set(checked("manure_spread", rows))) == len(amounts)
    assert len(judged) == 2  # the farm's and the first


def test_what_a_line_holds_as_typed_is_not_kept_twice() -> None:
    first = READING.rows["manure_spread"][0]
    rows = {**READING.rows, "manure_spread": [first, first, first]}
    reading = as_read(STANDARD)
    book, _ = check(type(reading)(**{**_fields(reading), "rows": rows}), SHIPPED)
    for entry in book.entries["manure_spread"]:
        changed = [n for n, v in entry.values.items() if first.get(n) is not v]
        assert len(entry.kept) == len(changed)
        assert {"date", "amount"} <= set(changed)
        assert not {"lot", "field", "zone", "unit", "method"} & set(changed)
    one, other = (book.entries["manure_spread"][at] for at in (1, 2))
    assert one.get("amount") is other.get("amount")
    assert one.day("date") == date(2025, 11, 3)


def _fields(reading: Any) -> dict[str, Any]:
    return {name: getattr(reading, name) for name in type(reading).__dataclass_fields__}


@pytest.mark.parametrize("sheet", ["manure_spread", "fertilizer"])
def test_cells_that_are_equal_and_not_the_same_are_told_apart(sheet: str) -> None:
    first = READING.rows[sheet][0]
    typed = (True, 1, "1", Percentage("32%"), "32%", 0, False)
    rows = [
        Row(grid=first.grid, number=9 + at, cells={**first.cells, "applicator": cell})
        for at, cell in enumerate(typed * 2)
    ]
    found = [checked(sheet, [row]) for row in rows]
    assert [[one] for one in checked(sheet, rows)] == found
    assert [[one] for one in reversed(checked(sheet, rows[::-1]))] == found
