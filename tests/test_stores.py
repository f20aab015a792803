"""Stores: what the lines leave, what the level says, and what does not fit."""

from __future__ import annotations

from typing import Any

import pytest
from farms import ONE_FIELD
from lines import farm, lot, spread, table
from workbooks import SHIPPED, codes, document, run

from ledger.model import Finding
from ledger.report.stores import stores_sheet
from ledger.report.units import Shown

GAL_A_FT3 = 1728 / 231


def store(**cells: object) -> str:
    """A pit that is kept in gallons."""
    return table("stores", {"store": "Deep", "unit": "gal", **cells})


def move(kind: str, amount: float, **cells: object) -> str:
    """A move of the pit's lot."""
    base = {"date": "2025-10-01", "store": "Deep", "kind": kind, "amount": amount, "unit": "gal"}
    return table("store_moves", {**base, **cells})


LOT = lot(store="Deep")  # 50 N, 20 P2O5, 30 K2O, 4 S a 1000 gal


def deep(source: str) -> dict[str, Any]:
    """The only store of a ledger."""
    found: list[dict[str, Any]] = document(ONE_FIELD + LOT + source)["stores"]
    assert len(found) == 1
    return found[0]


def test_the_lines_of_a_store_add_up_to_its_closing() -> None:
    """Opening, produced, exported, applied as in the built inventory of the storage notes."""
    lines = [
        store(opening=943_982),
        move("produced", 900_000),
        move("produced", 50_000, to_from="rain"),
        move("exported", 100_000),
        spread(amount=700_000, unit="gal"),
    ]
    got = deep("".join(lines))
    assert got["closing"] == pytest.approx(1_093_982)
    assert (got["made"], got["spread"], got["sold"]) == pytest.approx((950_000, 700_000, 100_000))
    assert (got["brought"], got["lost"]) == (0, 0)


def test_a_closing_holds_the_lots_analysis() -> None:
    got = deep(store(opening=100_000))
    assert got["nutrients_total"] == pytest.approx({"N": 5000, "P2O5": 2000, "K2O": 3000, "S": 400})


@pytest.mark.parametrize(
    ("shape", "cubic_feet"),
    [
        ({"shape": "box", "length": 100, "width": 40, "opening_depth": 5}, 20_000),
        ({"shape": "round tank", "diameter": 60, "opening_depth": 10}, 28_274.334),
        (
            {"shape": "sloped basin", "length": 200, "width": 150, "depth": 10, "side_slope": 2}
            | {"opening_depth": 6},
            126_192,
        ),
    ],
)
def test_a_depth_and_a_shape_make_a_volume(shape: dict[str, object], cubic_feet: float) -> None:
    assert deep(store(**shape))["opening"] == pytest.approx(cubic_feet * GAL_A_FT3, rel=1e-7)


def test_an_unknown_opening_leaves_the_closing_unknown() -> None:
    got = deep(store() + move("produced", 1000))
    assert got["opening"] is None and got["closing"] is None
    assert got["made"] == pytest.approx(1000)


def test_movements_before_the_opening_date_are_in_the_opening() -> None:
    got = deep(store(opening=5000, opening_date="2025-10-02") + move("produced", 1000))
    assert got["closing"] == pytest.approx(5000)


# ------------------------------------------------------------------- measured levels
COUNTED = {"opening": 200_000, "counted": 50_000, "counted_date": "2026-01-01"}


def test_a_level_is_held_against_the_books_of_its_day() -> None:
    later = move("produced", 70_000, date="2026-03-01")
    got = deep(store(**COUNTED) + spread() + later)
    assert got["expected"] == pytest.approx(40_000)  # 200,000 less 4,000 gal on 40 ac
    assert got["difference"] == pytest.approx(10_000)
    assert got["within_tolerance"] is True
    assert got["made_by_level"] == pytest.approx(10_000)
    assert got["closing"] == pytest.approx(110_000), "a level changes nothing in the books"


@pytest.mark.parametrize(("tolerance", "off"), [(4, True), (5, False)])
def test_the_farm_says_how_far_a_level_may_differ(tolerance: float, off: bool) -> None:
    source = ONE_FIELD + LOT + store(**COUNTED) + spread() + farm(store_tolerance_pct=tolerance)
    assert ("store-off" in codes(document(source))) is off


def off(source: str) -> Finding:
    """The finding about the measured level of the only store."""
    found = run(ONE_FIELD + LOT + source).results.findings
    (item,) = [f for f in found if f.code == "store-off"]
    return item


def test_a_level_that_is_off_for_lines_in_error_says_so() -> None:
    spoiled = spread(amount="lots") + move("produced", -5) + move("produced", 9, unit="pails")
    item = off(store(**COUNTED) + spoiled)
    assert "3 lines (Store moves rows 6, 7; Manure spread row 6)" in item.message
    assert "are left out for errors" in item.message
    assert item.fix.startswith("Mend the lines that are left out")


def test_the_sheet_of_stores_says_which_lines_it_misses() -> None:
    done = run(ONE_FIELD + LOT + store(**COUNTED) + spread(amount="lots"))
    shown = Shown(definitions=SHIPPED, system="us")
    sound = run(ONE_FIELD + LOT + store(**COUNTED) + spread())
    notes = [stores_sheet(r.results, shown).tables[0].note for r in (done, sound)]
    assert notes == ["Deep is incomplete; left out for errors: Manure spread row 6.", ""]


@pytest.mark.parametrize("line", [spread(lot="Pitt"), move("lost", 5, store="Dep")])
def test_a_line_that_may_be_of_the_store_is_told_too(line: str) -> None:
    assert "1 line (" in (said := off(store(**COUNTED) + line).message)
    assert "that may be of this store is left out for errors" in said


def test_manure_of_a_lot_in_error_is_told_as_left_out() -> None:
    ill = lot(store="Deep", n_ammonium=90)
    found = run(ONE_FIELD + ill + store(**COUNTED) + spread()).results.findings
    (item,) = [f for f in found if f.code == "store-off"]
    assert "1 line (Manure spread row 6)" in item.message


@pytest.mark.parametrize(
    "line",
    [
        spread(amount="lots", status="planned"),
        spread(amount="lots", date="2026-05-01"),  # after the level was measured
        move("produced", -5, store="Other") + table("stores", {"store": "Other", "unit": "gal"}),
    ],
)
def test_lines_that_cannot_have_moved_the_level_are_not_told(line: str) -> None:
    item = off(store(**COUNTED) + line)
    assert "left out" not in item.message and item.fix.startswith("Measure again")


def test_a_store_overdrawn_for_a_delivery_in_error_says_so() -> None:
    source = store(opening=1000) + move("produced", -5) + spread()
    found = run(ONE_FIELD + LOT + source).results.findings
    (item,) = [f for f in found if f.code == "store-overdrawn"]
    assert "1 line (Store moves row 6) of this store is left out" in item.message


def test_the_herds_estimate_stands_beside_the_measured() -> None:
    """USDA NRCS table: 0.74 dairy cows an animal unit, 15.24 tons a unit and year."""
    herd = {"kind": "dairy cow", "head": 74, "days": 365, "store": "Deep"}
    got = deep(store(opening=0) + table("herd", herd))
    assert got["made_by_herd"] == pytest.approx(100 * 15.24 * 2000 / 8.34)
    assert got["made"] == 0


def test_a_typed_weight_replaces_the_tables() -> None:
    herd = {"kind": "dairy cow", "head": 50, "days": 365, "weight": 1400, "store": "Deep"}
    got = deep(store() + table("herd", herd))
    assert got["made_by_herd"] == pytest.approx(70 * 15.24 * 2000 / 8.34)


def test_a_herds_nutrients_are_the_tables_with_p_and_k_as_oxides() -> None:
    herd = table("herd", {"kind": "dairy cow", "head": 0.74, "days": 365})
    made = run(ONE_FIELD + herd).results.yard.herd[0]
    lb = 0.45359237
    assert made.excreted["N"] == pytest.approx(15.24 * 10.69 * lb)
    assert made.kept["N"] == pytest.approx(15.24 * 4.30 * lb)
    assert made.excreted["P2O5"] == pytest.approx(15.24 * 1.92 * 2.2914 * lb, rel=1e-4)
    assert made.excreted["S"] is None, "the table has no sulfur"


# ----------------------------------------------------------------- units and findings
def test_tons_out_of_a_pit_need_the_density() -> None:
    tons = spread(amount=42, unit="ton")
    heavy = lot(store="Deep", density=8.4)
    got = document(ONE_FIELD + heavy + store(opening=20_000) + tons)["stores"][0]
    assert got["spread"] == pytest.approx(42 * 2000 / 8.4)
    unknown = document(ONE_FIELD + lot(store="Deep", per="ton") + store(opening=20_000) + tons)
    assert unknown["stores"][0]["closing"] is None
    assert "store-unit" in codes(unknown)


def test_what_comes_in_on_a_day_is_there_to_spread() -> None:
    source = store(opening=0) + move("produced", 160_000, date="2025-11-03") + spread()
    assert "store-overdrawn" not in codes(document(ONE_FIELD + LOT + source))


def test_without_stores_nobody_is_asked_for_them() -> None:
    assert not {"store-unknown", "spread-without-store"} & codes(
        document(ONE_FIELD + lot(store="Somewhere") + spread())
    )


def test_bought_manure_needs_no_store() -> None:
    bought = lot(supplier="the neighbour")
    assert "spread-without-store" not in codes(document(ONE_FIELD + bought + store() + spread()))


def test_a_store_is_known_in_any_case() -> None:
    got = document(ONE_FIELD + lot(store="  DEEP ") + store(opening=200_000) + spread())
    assert got["stores"][0]["spread"] == pytest.approx(160_000)
    assert "store-unknown" not in codes(got)


def test_a_store_of_solid_manure_is_kept_in_tons() -> None:
    pack = lot("beef solid", form="solid", per="ton", store="Stack")
    stack = table("stores", {"store": "Stack", "unit": "ton", "opening": 500})
    loads = spread(amount=20, unit="loads", load_size=10, method="broadcast",
                   incorporated_after_h="never")  # fmt: skip
    got = document(ONE_FIELD + pack + stack + loads)["stores"][0]
    assert (got["closing"], got["unit"]) == (pytest.approx(300), "ton")


def test_us_and_metric_stores_say_the_same() -> None:
    us = deep(store(opening=100_000) + move("produced", 50_000))
    metric = document(
        "## stores\n| store | unit | opening |\n| Deep | m3 | 378.5411784 |\n"
        "## store_moves\n| date | store | kind | amount | unit |\n"
        "| 2025-10-01 | Deep | produced | 189.2705892 | m3 |\n",
        system="metric",
    )["stores"][0]
    assert us["closing"] * 231 / 61_023.7440947 == pytest.approx(metric["closing"])
