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


def told(source: object) -> str:
    (item,) = [f for f in document(source)["findings"] if f["code"] == "unlikely"]  # type: ignore[arg-type]
    return str(item["message"])


def test_a_share_of_one_in_a_column_of_percent_is_asked_about() -> None:
    source = put(BASE, "harvest", "moisture_pct", 0.155)
    assert told(source).endswith("0.155 here means 0.155 percent: did you mean 15.5?")


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
