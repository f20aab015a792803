"""What lines post, by hand arithmetic: the sums beside each case can be done on paper.

The coefficients are those of the shipped data, whose sources stand in templates/.
"""

import pytest
from farms import ONE_FIELD
from lines import ZONED, cut, fed, lot, past, spread, table
from workbooks import SHIPPED, codes, document, figures, run

from ledger.contents import part_name


# ------------------------------------------------------------------ how much it was
@pytest.mark.parametrize(
    "cells",
    [
        {"amount": 4000, "unit": "gal/ac"},
        {"amount": 160_000, "unit": "gal"},
        {"amount": 40, "unit": "loads", "load_size": 4000},
    ],
    ids=["rate", "total", "loads"],
)
def test_rate_total_and_loads_say_the_same(cells: dict[str, object]) -> None:
    got = figures(document(ONE_FIELD + lot() + spread(**cells)))
    assert got["manure"] == pytest.approx(200)


def test_loads_of_solid_manure_are_in_tons() -> None:
    pack = lot("beef solid", form="solid", n_total=14, n_ammonium=4, per="ton")
    loads = spread(amount=25, unit="loads", load_size=8, method="broadcast",
                   incorporated_after_h="never")  # fmt: skip
    assert figures(document(ONE_FIELD + pack + loads))["manure"] == pytest.approx(70)


@pytest.mark.parametrize(("unit", "amount"), [("gal/ac", 4000), ("gal", 120_000)])
def test_area_covered_limits_a_rate_and_not_a_total(unit: str, amount: int) -> None:
    part = spread(amount=amount, unit=unit, area_covered=30)
    # 30 ac x 4000 gal x 50 lb, spread over the 40 ac of the statement
    assert figures(document(ONE_FIELD + lot() + part))["manure"] == pytest.approx(150)


def test_a_blank_zone_is_shared_by_area() -> None:
    result = document(ZONED + lot() + spread(amount=80_000, unit="gal"))
    # 4000 lb of N: 1000 on 10 ac, 3000 on 30 ac
    for name in ("west", "east"):
        assert figures(result, name=name)["manure"] == pytest.approx(100)


def test_a_named_zone_gets_all_of_it() -> None:
    result = document(ZONED + lot() + spread(amount=80_000, unit="gal", zone="west"))
    assert figures(result, name="west")["manure"] == pytest.approx(400)
    assert figures(result, name="east")["manure"] == 0


def test_density_turns_gallons_into_tons() -> None:
    heavy = lot(per="ton", n_total=12, n_ammonium=8, density=8.4)
    # 4000 gal x 8.4 lb / 2000 = 16.8 ton/ac x 12 lb
    assert figures(document(ONE_FIELD + heavy + spread()))["manure"] == pytest.approx(201.6)


def test_density_turns_tons_into_gallons() -> None:
    tons = spread(amount=21, unit="ton/ac")
    # 21 x 2000 / 8.4 = 5000 gal/ac x 50 lb / 1000
    assert figures(document(ONE_FIELD + lot(density=8.4) + tons))["manure"] == pytest.approx(250)


# ---------------------------------------------------------------------- fertilizer
@pytest.mark.parametrize(
    ("cells", "nutrient", "expected"),
    [
        ({}, "N", 46.0),
        ({"amount": 2, "unit": "ton"}, "N", 46.0),  # 4000 lb on 40 ac
        ({"product": "UAN-28", "amount": 20, "unit": "gal/ac"}, "N", 20 * 10.67 * 0.28),
        ({"product": "UAN-28", "amount": 800, "unit": "gal"}, "N", 20 * 10.67 * 0.28),
        ({"product": "UAN-28", "amount": 213.4, "unit": "lb/ac"}, "N", 20 * 10.67 * 0.28),
        ({"product": "10-34-0", "amount": 5, "unit": "gal/ac"}, "P2O5", 5 * 11.65 * 0.34),
        ({"product": "ammonium sulfate"}, "S", 24.0),
        ({"product": "anhydrous ammonia", "amount": 150}, "N", 123.0),
        ({"area_covered": 10}, "N", 11.5),
    ],
)
def test_fertilizer_is_amount_times_density_times_grade(
    cells: dict[str, object], nutrient: str, expected: float
) -> None:
    got = figures(document(ONE_FIELD + fed(**cells)), nutrient)
    assert got["fertilizer"] == pytest.approx(expected)
    assert got["applied"] == pytest.approx(expected)
    assert got["supply"] == pytest.approx(expected)


def test_a_planned_line_posts_nothing() -> None:
    result = document(ONE_FIELD + fed(status="planned") + lot() + spread(status="planned"))
    assert result["postings"] == []
    assert figures(result)["applied"] == 0


def test_a_line_marked_applied_posts_like_one_without_a_mark() -> None:
    plain, marked = document(ONE_FIELD + fed()), document(ONE_FIELD + fed(status="applied"))
    assert plain["postings"] == marked["postings"]


def test_a_grade_left_blank_is_unknown_and_zero_is_zero() -> None:
    blend = table("products", {"product": "Mix", "n_pct": 20, "p2o5_pct": 0, "form": "dry"})
    result = document(ONE_FIELD + blend + fed(product="Mix"))
    assert figures(result, "N")["fertilizer"] == pytest.approx(20)
    assert figures(result, "P2O5")["fertilizer"] == 0
    assert figures(result, "K2O")["fertilizer"] is None


# ------------------------------------------------------------------------- harvest
@pytest.mark.parametrize(
    ("cells", "nutrient", "expected"),
    [
        ({}, "N", 200 * 0.63),
        ({"yield": 8000, "unit": "bu"}, "N", 200 * 0.63),
        ({"yield": 11_200, "unit": "lb/ac"}, "N", 200 * 0.63),  # 56 lb a bushel
        ({"yield": 5.6, "unit": "ton/ac"}, "N", 200 * 0.63),
        ({"moisture_pct": 15.5}, "N", 200 * 0.63),
        ({"moisture_pct": 24}, "N", 200 * 76 / 84.5 * 0.63),
        ({"moisture_pct": 11}, "N", 200 * 89 / 84.5 * 0.63),
        ({"part": "silage", "yield": 20, "unit": "ton/ac", "moisture_pct": 65}, "P2O5", 20 * 3.5),
        (
            {"part": "silage", "yield": 20, "unit": "ton/ac", "moisture_pct": 72},
            "P2O5",
            20 * 28 / 35 * 3.5,
        ),
        ({"part": "silage", "yield": 20, "unit": "ton/ac"}, "N", 20 * 0.35 * 30),
        ({"crop": "corn silage", "part": "silage", "unit": "ton/ac", "yield": 20}, "K2O", 180),
        (
            {"crop": "alfalfa", "part": "hay", "yield": 96, "unit": "bales", "bale_weight": 1150},
            "K2O",
            96 * 1150 / 2000 * 55 / 40,
        ),
    ],
)
def test_removal_is_yield_at_the_figures_moisture_times_content(
    cells: dict[str, object], nutrient: str, expected: float
) -> None:
    got = figures(document(ONE_FIELD + cut(**cells)), nutrient)
    assert got["removal"] == pytest.approx(expected)
    assert got["balance"] == pytest.approx(-expected)


def test_a_lab_analysis_beats_the_book_for_its_own_nutrients() -> None:
    hay = {"crop": "alfalfa", "part": "hay", "yield": 2, "unit": "ton/ac"}
    result = document(ONE_FIELD + cut(**hay, moisture_pct=15, n_pct=2.9, p_pct=0.30, k_pct=2.5))
    dry = 2 * 2000 * 0.85  # lb/ac
    assert figures(result, "N")["removal"] == pytest.approx(dry * 0.029)
    # molar: P2O5/2P = 141.9445/61.9475, K2O/2K = 94.196/78.1966
    assert figures(result, "P2O5")["removal"] == pytest.approx(dry * 0.003 * 2.2914, rel=1e-4)
    assert figures(result, "K2O")["removal"] == pytest.approx(dry * 0.025 * 1.2046, rel=1e-4)
    assert figures(result, "S")["removal"] == pytest.approx(2 * 5)  # the book, 5 lb/ton at 15 %


def test_a_yield_of_zero_removes_nothing_and_is_a_harvest() -> None:
    crop = table("crops", {"field": "Home", "crop": "corn"})
    result = document(ONE_FIELD + crop + cut(**{"yield": 0}))
    assert figures(result)["removal"] == 0
    assert "no-harvest" not in codes(result)


# ------------------------------------------------------------------------- credits
@pytest.mark.parametrize(
    ("amount", "unit", "expected"),
    [(18, "lb/ac", 18.0), (400, "lb", 10.0), (-12.5, "lb/ac", -12.5), (-80, "lb", -2.0)],
)
def test_a_credit_may_be_a_rate_a_total_and_negative(
    amount: float, unit: str, expected: float
) -> None:
    line = {"field": "Home", "kind": "other", "amount": amount, "unit": unit}
    got = figures(document(ONE_FIELD + table("credits", line)))
    assert got["credits"] == pytest.approx(expected)
    assert got["supply"] == pytest.approx(expected)
    assert got["applied"] == 0


# ----------------------------------------------------------------- where figures come from
def test_every_factor_names_its_cell_or_its_publication() -> None:
    done = run(ONE_FIELD + lot() + spread() + fed() + cut(moisture_pct=20) + past())
    citations = {
        figure.citation()
        for chosen in (SHIPPED.manure_sets["MN-UMN"],)
        for table_ in chosen.tables.values()
        for figure in (row.figure for row in table_.rows)
    }
    origins = {f.origin for p in done.results.journal.postings for f in p.factors}
    assert origins & citations
    cells = {o for o in origins if "!" in o}
    assert {"Manure spread!E6", "Manure lots!G6", "Fertilizer!F6", "Harvest!I6"} <= cells
    assert all(p.factors for p in done.results.journal.postings)


@pytest.mark.parametrize(
    ("crop", "part", "said"),
    [
        ("mixed grass hay", "hay", "mixed grass hay"),
        ("corn silage", "silage", "corn silage"),
        ("corn", "grain", "corn grain"),
    ],
)
def test_a_part_that_the_crops_name_ends_with_is_said_once(crop: str, part: str, said: str) -> None:
    assert part_name(crop, part) == said
