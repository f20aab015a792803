"""What manure posts, this year and later, by hand arithmetic beside each case.

The coefficients are those of the shipped sets, whose sources stand in templates/manure.
"""

import pytest
from farms import ONE_FIELD
from lines import ZONED, cut, farm, lot, past, spread
from workbooks import (
    SHIPPED,
    codes,
    document,
    figures,
    flows,
    postings,
    put,
    run,
    zone,
)

LB = SHIPPED.units["lb"].factor


# ----------------------------------------------------------- manure, share of total N
@pytest.mark.parametrize(
    ("kind", "cells", "share"),
    [
        ("hog liquid", {}, 0.80),
        ("hog liquid", {"method": "injected knife"}, 0.70),
        ("hog liquid", {"method": "broadcast", "incorporated_after_h": 6}, 0.75),
        ("hog liquid", {"method": "broadcast", "incorporated_after_h": 12}, 0.75),
        ("hog liquid", {"method": "broadcast", "incorporated_after_h": 24}, 0.55),
        ("hog liquid", {"method": "broadcast", "incorporated_after_h": 96}, 0.55),
        ("hog liquid", {"method": "broadcast", "incorporated_after_h": 100}, 0.35),
        ("hog liquid", {"method": "broadcast", "incorporated_after_h": "never"}, 0.35),
        ("dairy liquid", {}, 0.55),
        ("beef liquid", {"method": "broadcast", "incorporated_after_h": 2}, 0.60),
    ],
)
def test_minnesota_credits_a_share_of_total_n(
    kind: str, cells: dict[str, object], share: float
) -> None:
    got = figures(document(ONE_FIELD + lot(kind) + spread(**cells)))
    assert got["manure"] == pytest.approx(200)  # 4000 x 50 / 1000
    assert got["manure_credit"] == pytest.approx(200 * share)
    assert got["applied"] == pytest.approx(200)
    assert got["supply"] == pytest.approx(200 * share)


def test_minnesota_flows_name_store_field_and_air() -> None:
    # 8000 lb on 40 ac: 0.80 at once, 0.15 in the second year, no third year printed for swine
    sums = flows(run(ONE_FIELD + lot() + spread()))
    assert sums == {
        "store/Pit": pytest.approx(-8000 * LB),
        "field/Home/all/available": pytest.approx(6400 * LB),
        "field/Home/all/reserve": pytest.approx(1200 * LB),
        "air/ammonia/Pit": pytest.approx(400 * LB),
    }


def test_minnesota_credits_phosphate_potash_and_sulfur_by_their_own_shares() -> None:
    result = document(ONE_FIELD + lot() + spread())
    # 4000 gal hold 80, 120 and 16 lb; 0.8, 0.9 and 0.5 of it in the first year
    for nutrient, total, credit in (("P2O5", 80, 64), ("K2O", 120, 108), ("S", 16, 8)):
        assert figures(result, nutrient)["manure"] == pytest.approx(total)
        assert figures(result, nutrient)["manure_credit"] == pytest.approx(credit)


# --------------------------------------------------------- manure, ammonium and organic
@pytest.mark.parametrize(
    ("cells", "kept"),
    [
        ({}, 1.0),
        ({"method": "broadcast", "incorporated_after_h": 20}, 0.75),
        ({"method": "broadcast", "incorporated_after_h": 40, "weather": "cool-wet"}, 0.87),
        ({"method": "broadcast", "incorporated_after_h": 100, "weather": "warm-dry"}, 0.20),
    ],
)
def test_alberta_keeps_ammonium_and_releases_organic_n(
    cells: dict[str, object], kept: float
) -> None:
    done = run(farm(manure_set="AB-NMPG") + ONE_FIELD + lot() + spread(**cells))
    # 4000 gal hold 120 lb ammonium N and 80 lb organic N; a quarter of the latter is released
    sums = flows(done)
    assert sums["field/Home/all/available"] == pytest.approx((120 * kept + 20) * 40 * LB)
    assert sums["field/Home/all/reserve"] == pytest.approx(60 * 40 * LB)
    assert sums.get("air/ammonia/Pit", 0.0) == pytest.approx(120 * (1 - kept) * 40 * LB)


def test_nitrate_in_manure_is_wholly_usable_and_no_organic_n() -> None:
    source = farm(manure_set="AB-NMPG") + ONE_FIELD + lot(n_nitrate=5) + spread()
    got = figures(document(source))
    assert got["manure_credit"] == pytest.approx(120 + 20 + 0.25 * 60)


def test_alberta_has_no_sulfur_figure_so_its_credit_is_unknown_and_its_total_known() -> None:
    result = document(farm(manure_set="AB-NMPG") + ONE_FIELD + lot() + spread())
    assert figures(result, "S")["manure"] == pytest.approx(16)
    assert figures(result, "S")["manure_credit"] is None
    assert figures(result, "S")["supply"] is None
    assert "set-cannot-answer" in codes(result)


def test_iowa_multiplies_two_shares_and_carries_their_ranges() -> None:
    done = run(farm(manure_set="IA-PMR1003") + ONE_FIELD + lot() + spread())
    sums = flows(done)
    # 200 lb x 0.99 kept x 0.95 available
    assert sums["field/Home/all/available"] == pytest.approx(188.1 * 40 * LB)
    assert sums["field/Home/all/reserve"] == pytest.approx((198 - 188.1) * 40 * LB)
    assert sums["air/ammonia/Pit"] == pytest.approx(2 * 40 * LB)
    ranges = {(f.value, f.low, f.high) for p in postings(done, "N") for f in p.factors}
    assert {(0.99, 0.98, 1.0), (0.95, 0.9, 1.0)} <= ranges


def test_iowa_does_not_answer_hours_between_at_once_and_never() -> None:
    broadcast = spread(method="broadcast", incorporated_after_h=48)
    result = document(farm(manure_set="IA-PMR1003") + ONE_FIELD + lot() + broadcast)
    assert figures(result)["manure_credit"] is None
    assert figures(result)["manure"] == pytest.approx(200)
    said = [f["message"] for f in result["findings"] if f["code"] == "set-cannot-answer"]
    assert any("48" in text and "IA-PMR1003" in text for text in said)


def test_nebraska_releases_organic_n_and_does_not_answer_ammonium() -> None:
    base = farm(manure_set="NE-G1335-2021") + ONE_FIELD
    aged = document(base + lot("beef liquid", n_ammonium=0) + spread())
    assert figures(aged)["manure_credit"] == pytest.approx(200 * 0.40)
    fresh = document(base + lot("beef liquid") + spread())
    assert figures(fresh)["manure_credit"] is None
    assert figures(fresh)["manure"] == pytest.approx(200)


# ------------------------------------------------------------- what is not known
def test_a_set_that_splits_needs_the_ammonium_figure() -> None:
    source = farm(manure_set="AB-NMPG") + ONE_FIELD + lot(n_ammonium=None) + spread()
    result = document(source)
    assert "analysis-missing" in codes(result)
    assert figures(result)["manure"] == pytest.approx(200)
    assert figures(result)["manure_credit"] is None


def test_a_nutrient_without_analysis_is_unknown_and_the_others_are_not() -> None:
    result = document(ONE_FIELD + lot(p2o5=None) + spread() + cut())
    for figure in ("manure", "manure_credit", "applied", "supply", "balance"):
        assert figures(result, "P2O5")[figure] is None
    assert figures(result, "P2O5")["fertilizer"] == 0
    assert figures(result, "K2O")["manure"] == pytest.approx(120)
    assert not zone(result)["incomplete"]


def test_hours_that_a_set_needs_and_the_line_lacks_leave_the_credit_unknown() -> None:
    result = document(ONE_FIELD + lot() + spread(method="broadcast"))
    assert "set-key-missing" in codes(result)
    assert figures(result)["manure_credit"] is None
    assert figures(result)["balance"] == pytest.approx(200)


# ------------------------------------------------------------------- earlier manure
@pytest.mark.parametrize(
    ("chosen", "cells", "expected"),
    [
        ("MN-UMN", {}, 200 * 0.25),
        ("MN-UMN", {"year": 2024}, 200 * 0.10),
        ("MN-UMN", {"kind": "hog liquid"}, 200 * 0.15),
        ("MN-UMN", {"year": 2023}, 0.0),
        ("AB-NMPG", {}, 80 * 0.12),
        ("AB-NMPG", {"year": 2024}, 80 * 0.06),
        ("AB-NMPG", {"kind": "composted manure"}, 80 * 0.07),
        ("NE-G1335-2021", {}, 80 * 0.20),
        ("NE-G1335-2021", {"year": 2024}, 80 * 0.10),
    ],
)
def test_earlier_manure_is_credited_by_its_year(
    chosen: str, cells: dict[str, object], expected: float
) -> None:
    phosphate = {"p2o5": 0, "k2o": 0, "s": 0}
    got = figures(document(farm(manure_set=chosen) + ONE_FIELD + past(**{**phosphate, **cells})))
    assert got["residual"] == pytest.approx(expected)
    assert got["supply"] == pytest.approx(expected)


def test_alberta_carries_phosphate_over_too() -> None:
    result = document(farm(manure_set="AB-NMPG") + ONE_FIELD + past(p2o5=100))
    assert figures(result, "P2O5")["residual"] == pytest.approx(20)


def test_earlier_manure_on_a_field_with_zones_counts_on_each_acre() -> None:
    result = document(ZONED + past())
    for name in ("west", "east"):
        assert figures(result, name=name)["residual"] == pytest.approx(50)


def test_past_manure_without_the_figure_its_set_needs_is_unknown() -> None:
    result = document(put(ONE_FIELD + past(), "past_manure", "n_total", None))
    assert figures(result)["residual"] is None
    assert figures(result)["supply"] is None
