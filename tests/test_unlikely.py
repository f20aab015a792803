"""Figures far from the usual are pointed out and counted; the usual is data of our own choice."""

from pathlib import Path

import pytest
from finding_cases import BASE, slip
from workbooks import altered, cell_of, codes, document, figures, put

from ledger.definitions import DataFault


def blamed(source: object) -> list[tuple[str, str]]:
    found = document(source)["findings"]  # type: ignore[arg-type]
    return [(f["sheet"], f["cell"]) for f in found if f["code"] == "unlikely"]


def test_a_slipped_point_is_pointed_out_and_counted() -> None:
    result = document(put(BASE, "fertilizer", "amount", 10_000))
    assert codes(result) >= {"unlikely"}
    assert figures(result)["fertilizer"] == pytest.approx(4600)  # urea holds 46 % (its grade)


def test_the_unit_that_was_picked_decides() -> None:
    rate = put(BASE, "manure_spread", "amount", 160_000)
    assert blamed(rate) == [("Manure spread", cell_of("manure_spread", "amount"))]
    assert blamed(put(rate, "manure_spread", "unit", "gal")) == []  # 40 acres' worth


def test_it_is_said_in_the_unit_that_was_typed() -> None:
    metric = put(put(BASE, "fertilizer", "amount", 9_000), "fertilizer", "unit", "kg/ha")
    [found] = [f for f in document(metric)["findings"] if f["code"] == "unlikely"]
    assert "read 9000 kg/ha" in found["message"] and "and 4483 kg/ha" in found["message"]


def test_each_slip_of_a_lot_is_judged_by_its_own_figure() -> None:
    """The lot's mean of 48 and 500 is beyond the usual, but only the slip with 500 is odd."""
    place = ("Manure samples", cell_of("manure_samples", "n_total"))
    assert blamed(slip(n_total=500)) == [place]
    assert blamed(put(slip(n_total=500), "manure_lots", "n_total", None)) == [place]
    assert blamed(slip()) == []
    odd = ("Manure lots", cell_of("manure_lots", "n_total"))  # its mean with the slip is usual
    assert blamed(put(slip(), "manure_lots", "n_total", 200)) == [odd]


def told(source: object) -> str:
    (item,) = [f for f in document(source)["findings"] if f["code"] == "unlikely"]  # type: ignore[arg-type]
    return str(item["message"])


def test_a_share_of_one_in_a_column_of_percent_is_asked_about() -> None:
    source = put(BASE, "harvest", "moisture_pct", 0.155)
    assert told(source).endswith("0.155 here means 0.155 percent, perhaps 15.5 was meant")


@pytest.mark.parametrize(
    ("sheet", "column", "number"),
    [
        ("harvest", "moisture_pct", 0.001),  # 0.1 percent would be as odd
        ("harvest", "moisture_pct", 95),
        ("manure_lots", "n_total", 0.32),  # no percent
    ],
)
def test_other_odd_figures_are_not_asked_about_in_percent(
    sheet: str, column: str, number: float
) -> None:
    lots = put(put(BASE, "manure_lots", "n_ammonium", None), sheet, column, number)
    assert "percent" not in told(lots)


@pytest.mark.parametrize(
    ("crop", "goal", "odd"),
    [
        ("corn", 2000, True),  # a digit too many
        ("corn", 5, True),  # tons of silage under a crop of grain
        ("corn", 200, False),
        ("soybean", 200, True),  # corn's goal on the soybean line
        ("wheat", 80, False),
        ("alfalfa", 60, True),  # bushels, or one decimal point
        ("alfalfa", 6, False),
        ("sunflower", 1800, False),  # pounds an acre
    ],
)
def test_a_yield_goal_is_held_against_what_its_crop_yields(
    crop: str, goal: float, odd: bool
) -> None:
    place = ("Crops", cell_of("crops", "yield_goal"))
    source = put(put(BASE, "crops", "yield_goal", goal), "crops", "crop", crop)
    assert (place in blamed(source)) is odd


@pytest.mark.parametrize(
    ("crop", "goal", "odd"),
    [("corn", 200, True), ("corn", 12, False), ("alfalfa", 13, False), ("alfalfa", 60, True)],
)
def test_a_yield_goal_in_tonnes_is_held_against_tonnes(crop: str, goal: float, odd: bool) -> None:
    ground = "## fields\n| field | area |\n| Home | 40 |\n## crops\n| field | crop | yield_goal |\n"
    found = document(f"{ground}| Home | {crop} | {goal} |", system="metric")["findings"]
    messages = [f["message"] for f in found if f["code"] == "unlikely"]
    assert bool(messages) is odd and all("t/ha" in text for text in messages)


@pytest.mark.parametrize(
    ("column", "number", "says"),
    [
        ("speed", 55, "read 55 mph; such a figure usually lies between 1 and 20 mph"),
        ("field_efficiency_pct", 0.65, "perhaps 65 was meant"),
        ("outlet_spacing", 2.5, "between 5 and 120 in"),  # feet
    ],
)
def test_answers_of_the_farm_are_judged_too(column: str, number: float, says: str) -> None:
    assert says in told(put(BASE, "farm", column, number))


@pytest.mark.parametrize(
    ("form", "percent", "odd"),
    [("solid", 0.32, True), ("solid", 32, False), ("liquid", 0.32, False), ("solid", 0.05, True)],
)
def test_dry_matter_of_solid_manure_is_no_share_of_one(
    form: str, percent: float, odd: bool
) -> None:
    """0.32 is 32 percent typed as a share in a stack, and clear lagoon water in a pit."""
    source = put(put(BASE, "manure_lots", "form", form), "manure_lots", "dry_matter_pct", percent)
    place = ("Manure lots", cell_of("manure_lots", "dry_matter_pct"))
    assert blamed(source).count(place) == (1 if odd else 0)


@pytest.mark.parametrize(
    ("day", "odd"),
    [("2025-10-10", True), ("2025-12-31", True), ("2026-01-01", False), ("2026-12-31", False)],
)
def test_a_harvest_of_the_fall_before_is_asked_about(day: str, odd: bool) -> None:
    result = document(put(BASE, "harvest", "date", day))
    assert ("day-unlikely" in codes(result)) is odd
    assert figures(result)["removal"] == figures(document(BASE))["removal"]


@pytest.mark.parametrize("number", [0, None])
def test_zero_and_blank_are_never_unlikely(number: object) -> None:
    assert blamed(put(BASE, "manure_lots", "s", number)) == []


@pytest.mark.parametrize(
    "change", [{"sheet": "barn"}, {"column": "colour"}, {"unit": "stone"}, {"low": 9.9}]
)
def test_data_that_fit_no_column_are_refused(tmp_path: Path, change: dict[str, object]) -> None:
    def spoil(data: dict[str, list[dict[str, object]]]) -> None:
        line = next(u for u in data["usual"] if u["column"] == "ph")
        line.update(change)

    with pytest.raises(DataFault, match=r"usual\.json"):
        altered(tmp_path, "usual.json", spoil)


@pytest.mark.parametrize(
    ("part", "change"),
    [
        ("usual", {"when": {"crop": ["corn"]}}),  # the Farm sheet has no crop
        ("crops", {"when": {"crop": ["kale"]}}),
        ("days", {"column": "field"}),
        ("days", {"sheet": "barn"}),
        ("days", {"first": "02-29"}),
        ("days", {"first": "12-31"}),
    ],
)
def test_days_and_crops_that_do_not_fit_are_refused(
    tmp_path: Path, part: str, change: dict[str, object]
) -> None:
    def spoil(data: dict[str, list[dict[str, object]]]) -> None:
        lines = data["days" if part == "days" else "usual"]
        if part == "crops":
            lines = [line for line in lines if line["sheet"] == "crops"]
        lines[-1].update(change)

    with pytest.raises(DataFault, match=r"usual\.json"):
        altered(tmp_path, "usual.json", spoil)


@pytest.mark.parametrize("column", ["order_allowance_pct", "over_tolerance_pct"])
@pytest.mark.parametrize(("share", "odd"), [(0.05, True), (5, False), (0, False)])
def test_a_share_of_one_in_a_column_of_percent(column: str, share: float, odd: bool) -> None:
    found = document(put(BASE, "farm", column, share))["findings"]
    told = [f["message"] for f in found if f["code"] == "unlikely"]
    assert bool(told) is odd
    assert all("0.05 here means 0.05 percent, perhaps 5 was meant" in text for text in told)
