"""A line that does not count yet never leaves a full rate behind it, live or printed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from lines import farm, lot, table
from live_figures import lines, opened
from programs import NEEDS_OFFICE, SOFFICE, office
from small import small
from workbooks import Entries, document, entries_of, put, workbook

GROUND = """
## fields
| field | area |
| Home  | 40   |
| Creek | 25   |
## zones
| field | zone | area |
| Home  | west | 10   |
| Home  | east | 30   |
"""
SPREAD = {"date": "2025-11-03", "lot": "Pit", "field": "Home", "zone": "west", "amount": 3500,
          "unit": "gal/ac", "method": "injected sweep"}  # fmt: skip
CROPS = """
## crops
| field | crop | yield_goal | n_method | n_entered |
| Home  | corn | 200        | entered  | 190       |
| Creek | corn | 200        | entered  | 20        |
"""
SLIPS: dict[str, tuple[str, object]] = {
    "lot": ("lot", "Pot"),
    "blank": ("lot", "Pit "),
    "date": ("date", "3 Nov"),
    "amount": ("amount", "3500 gal"),
    "unit": ("unit", "gallons"),
    "method": ("method", None),
    "zone": ("zone", "wst"),
}
ELSEWHERE = {"field": ("field", "Hme")}


def entries() -> Entries:
    tank = farm(sidedress_product="UAN-28", smallest_pass=5)
    return entries_of(tank + GROUND + lot() + CROPS + table("manure_spread", SPREAD))


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """The farm without a slip and with each, as LibreOffice reckons it, by the slip's name."""
    if not SOFFICE:
        pytest.skip(NEEDS_OFFICE)
    folder = tmp_path_factory.mktemp("slips")
    files = {"none": entries()}
    files |= {
        name: put(entries(), "manure_spread", column, cell)
        for name, (column, cell) in {**SLIPS, **ELSEWHERE}.items()
    }
    for name, told in files.items():
        (folder / f"{name}.xlsx").write_bytes(workbook(told, data=small()))
    out = folder / "out"
    office(folder / "profile", "xlsx", out, [folder / f"{name}.xlsx" for name in files])
    return {name: opened(out / f"{name}.xlsx") for name in files}


def to_go(book: Any, field: str = "Home") -> list[Any]:
    """Nitrogen and product to go of the zones of a field, or of the field itself, on Cab."""
    cab = book["Cab"]
    found = []
    for row in cab.iter_rows(min_row=6, max_col=8, values_only=True):
        for block in (row[:4], row[4:]):
            if str(block[0]).startswith(field):
                found += block[2:]
    return found


def test_without_a_slip_the_rates_are_those_of_balance(books: dict[str, Any]) -> None:
    plan = {(item["field"], item["zone"]): item for item in document(entries())["plan"]}
    west, east = (plan["Home", zone] for zone in ("west", "east"))
    told = to_go(books["none"])
    assert told == pytest.approx([west["to_go"], west["rate"], east["to_go"], east["rate"]])
    assert not books["none"]["Cab"]["C2"].value


@pytest.mark.parametrize("slip", SLIPS)
def test_a_line_that_does_not_count_hides_what_is_to_go_on_its_field(
    books: dict[str, Any], slip: str
) -> None:
    book = books[slip]
    assert to_go(book) == ["see lines"] * 4
    assert to_go(book, "Creek") == to_go(books["none"], "Creek")
    (home,) = [line for line in lines(book, "Fields") if line["field"] == "Home"]
    assert home["_mend"] == 1
    assert home["_to_go_N"] == "see zones"
    assert "Lines that do not count yet: 1." in book["Cab"]["C2"].value


def test_a_line_of_no_known_field_is_warned_of_where_the_rates_stand(
    books: dict[str, Any],
) -> None:
    assert "Lines that do not count yet: 1." in books["field"]["Cab"]["C2"].value
    overview = books["field"]["Overview"]
    (row,) = [r for r in overview.iter_rows(max_col=2, values_only=True)
              if r[0] == "Lines that do not count yet"]  # fmt: skip
    assert row[1] == 1


# ------------------------------------------------------------ over makes up for none
def test_a_zone_that_is_over_makes_up_for_no_other_in_any_sum(books: dict[str, Any]) -> None:
    """Creek wants 20 lb and has nothing; Home west wants 190 and has most of it in manure."""
    rich = put(entries(), "manure_spread", "amount", 9000)
    told = document(rich)
    zones = {(z["field"], z["zone"]): z["nutrients"]["N"]["to_go"] for z in told["zones"]}
    assert zones["Home", "west"] < -50
    short = 30 * zones["Home", "east"] + 25 * zones["Creek", "all"]
    assert told["farm"]["nutrients"]["N"]["to_go_total"] == pytest.approx(short)
    (home,) = [f for f in told["fields"] if f["field"] == "Home"]
    assert home["nutrients"]["N"]["to_go_total"] == pytest.approx(30 * zones["Home", "east"])


def test_live_sums_of_what_is_to_go_are_those_of_balance(tmp_path: Path) -> None:
    if not SOFFICE:
        pytest.skip(NEEDS_OFFICE)
    rich = put(entries(), "manure_spread", "amount", 9000)
    file = tmp_path / "rich.xlsx"
    file.write_bytes(workbook(rich, data=small()))
    office(tmp_path / "profile", "xlsx", tmp_path / "out", [file])
    book = opened(tmp_path / "out" / "rich.xlsx")
    told = document(rich)
    (home,) = [line for line in lines(book, "Fields") if line["field"] == "Home"]
    (total,) = [f["nutrients"]["N"]["to_go_total"] for f in told["fields"] if f["field"] == "Home"]
    assert home["_to_go_N"] * 40 == pytest.approx(total)
    assert home["_rate"] == "see zones"
    heads = [cell.value for cell in book["Overview"][5]]
    whole = book["Overview"].cell(6, heads.index("Still to go") + 1).value
    assert whole == pytest.approx(told["farm"]["nutrients"]["N"]["to_go_total"])
