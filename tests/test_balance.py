"""Statements of zones, fields and the farm: what is added up, what is unknown, what stays out."""

from typing import Any

import pytest
from farms import ONE_FIELD, STANDARD
from lines import ZONED, cut, fed, lot, past, spread, table
from workbooks import Document, document, figures, put, zone

from ledger.model import FIGURES

NUTRIENTS = ("N", "P2O5", "K2O", "S")
# Of the whole zone, so that zones of different sizes can be added.
RESULT = document(STANDARD)


def total(result: Document, key: str, nutrient: str, figure: str) -> Any:
    return result[key]["nutrients"][nutrient][f"{figure}_total"]


def summed(zones: list[Document], nutrient: str, figure: str) -> float | None:
    """A figure of several zones together, unknown when one of them is."""
    parts = [(z["nutrients"][nutrient][figure], z["area"]) for z in zones]
    if any(value is None for value, _ in parts):
        return None
    return sum(float(value) * float(area) for value, area in parts)


@pytest.mark.parametrize("nutrient", NUTRIENTS)
def test_derived_figures_follow_from_the_primary_ones(nutrient: str) -> None:
    for statement in RESULT["zones"]:
        f = statement["nutrients"][nutrient]
        assert set(f) == set(FIGURES)
        parts = {
            "applied": (f["manure"], f["fertilizer"]),
            "supply": (f["manure_credit"], f["fertilizer"], f["credits"], f["residual"]),
        }
        for name, values in parts.items():
            unknown = any(value is None for value in values)
            assert f[name] == (None if unknown else pytest.approx(sum(values)))
        if f["applied"] is not None and f["removal"] is not None:
            assert f["balance"] == pytest.approx(f["applied"] - f["removal"])
        if f["need"] is not None and f["supply"] is not None:
            assert f["to_go"] == pytest.approx(f["need"] - f["supply"])


@pytest.mark.parametrize("nutrient", NUTRIENTS)
@pytest.mark.parametrize("figure", FIGURES)
def test_the_farm_is_the_sum_of_its_own_zones(nutrient: str, figure: str) -> None:
    own = [z for z in RESULT["zones"] if not z["custom"]]
    expected = summed(own, nutrient, figure)
    got = total(RESULT, "farm", nutrient, figure)
    assert got == (None if expected is None else pytest.approx(expected))


@pytest.mark.parametrize("figure", FIGURES)
def test_a_field_is_the_sum_of_its_zones(figure: str) -> None:
    for field in RESULT["fields"]:
        parts = [z for z in RESULT["zones"] if z["field"] == field["field"]]
        expected = summed(parts, "N", figure)
        got = field["nutrients"]["N"][f"{figure}_total"]
        assert got == (None if expected is None else pytest.approx(expected))
        assert field["area"] == pytest.approx(sum(z["area"] for z in parts))


def test_ground_worked_for_others_is_recorded_and_stays_out_of_the_farm() -> None:
    custom = [z for z in RESULT["zones"] if z["custom"]]
    assert [z["field"] for z in custom] == ["Linde North"]
    assert RESULT["farm"]["area"] == pytest.approx(40 + 60 + 12.5)
    assert RESULT["custom"]["area"] == pytest.approx(25)
    # 75,000 gal x 48 lb / 1000
    assert total(RESULT, "custom", "N", "manure") == pytest.approx(3600)
    assert any(p["field"] == "Linde North" for p in RESULT["postings"])


def test_custom_ground_alone_leaves_the_farm_empty() -> None:
    source = put(ONE_FIELD + fed(), "fields", "tenure", "custom")
    result = document(source)
    assert result["farm"]["area"] == 0
    assert total(result, "farm", "N", "fertilizer") == 0
    assert total(result, "custom", "N", "fertilizer") == pytest.approx(46 * 40)


def test_totals_by_hand() -> None:
    # Home: 400 ton x 14 lb = 5600. Long Bottom west: 24 ac x 4000 gal x 48 lb / 1000 = 4608.
    assert total(RESULT, "farm", "N", "manure") == pytest.approx(5600 + 4608)
    # 10-34-0: 60 ac x 5 gal x 11.65 lb x 10 %; UAN-28: (36 x 40 + 24 x 10) gal x 10.67 x 28 %
    starter, uan = 60 * 5 * 11.65 * 0.10, (36 * 40 + 24 * 10) * 10.67 * 0.28
    assert total(RESULT, "farm", "N", "fertilizer") == pytest.approx(starter + uan)
    # Soybean 54 bu x 3.26; corn 210 and 201 bu x 0.63, the latter weighed at 19.5 % water;
    # 90 bales of 1150 lb of alfalfa at 50 lb a ton
    corn = (24 * 210 + 36 * 201 * 80.5 / 84.5) * 0.63
    removal = 40 * 54 * 3.26 + corn + 90 * 1150 / 2000 * 50
    assert total(RESULT, "farm", "N", "removal") == pytest.approx(removal)


# --------------------------------------------------------------- unknown and incomplete
def test_unknown_spreads_to_what_is_made_from_it_and_no_further() -> None:
    fields = ONE_FIELD + "## fields\n| field | area |\n| Away | 20 |\n"
    source = fields + lot(s=None) + spread() + fed() + fed(field="Away")
    result = document(source)
    assert figures(result, "S")["manure"] is None
    assert figures(result, "S")["applied"] is None
    assert figures(result, "S")["fertilizer"] == 0
    assert figures(result, "S", field="Away")["applied"] == 0
    assert figures(result, "N")["applied"] == pytest.approx(246)
    assert total(result, "farm", "S", "applied") is None
    assert total(result, "farm", "S", "fertilizer") == 0
    assert not result["farm"]["incomplete"]


def test_a_line_with_an_error_leaves_known_figures_and_a_mark() -> None:
    source = ONE_FIELD + fed() + fed(amount=-100)
    result = document(source)
    assert figures(result)["fertilizer"] == pytest.approx(46)
    assert zone(result)["incomplete"]
    assert [field["incomplete"] for field in result["fields"]] == [True]
    assert result["farm"]["incomplete"]


def test_an_error_on_one_field_does_not_mark_another() -> None:
    fields = ONE_FIELD + "## fields\n| field | area |\n| Away | 20 |\n"
    result = document(fields + fed() + fed(field="Away", amount=-100))
    assert [(z["field"], z["incomplete"]) for z in result["zones"]] == [
        ("Home", False),
        ("Away", True),
    ]


def test_an_error_in_one_zone_does_not_mark_the_other() -> None:
    result = document(ZONED + fed(zone="west", amount=-100) + fed(zone="east"))
    assert [(z["zone"], z["incomplete"]) for z in result["zones"]] == [
        ("west", True),
        ("east", False),
    ]


def test_nothing_entered_is_zero_and_not_unknown() -> None:
    result = document(ONE_FIELD)
    for figure in ("manure", "fertilizer", "credits", "residual", "removal", "balance"):
        assert figures(result)[figure] == 0
    assert figures(result)["need"] is None
    assert not result["farm"]["incomplete"]


def test_an_empty_ledger_has_an_empty_farm() -> None:
    result = document("")
    assert result["zones"] == [] and result["postings"] == []
    assert result["farm"]["area"] == 0
    assert total(result, "farm", "N", "balance") == 0


# ------------------------------------------------------------------------- zones, crops
def test_a_zone_has_its_own_crop_before_the_fields() -> None:
    crops = "## crops\n| field | zone | crop |\n| Home | | corn |\n| Home | west | oats |\n"
    result = document(ZONED + crops)
    assert [(z["zone"], z["crop"]) for z in result["zones"]] == [("west", "oats"), ("east", "corn")]


def test_a_zone_may_be_called_all() -> None:
    zones = "## zones\n| field | zone | area |\n| Home | all | 15 |\n| Home | rest | 25 |\n"
    result = document(ONE_FIELD + zones + fed(zone="all"))
    assert [(z["zone"], z["area"]) for z in result["zones"]] == [
        ("all", pytest.approx(15)),
        ("rest", pytest.approx(25)),
    ]
    assert figures(result)["fertilizer"] == pytest.approx(46)
    assert figures(result, name="rest")["fertilizer"] == 0


def test_over_supply_is_shown_below_zero() -> None:
    crop = table("crops", {"field": "Home", "crop": "corn", "n_entered": 40})
    got = figures(document(ONE_FIELD + crop + fed()))
    assert got["to_go"] == pytest.approx(-6)


def test_earlier_manure_counts_to_supply_and_not_to_the_balance() -> None:
    got = figures(document(ONE_FIELD + past() + cut()))
    assert got["supply"] == pytest.approx(50)
    assert got["balance"] == pytest.approx(-126)


@pytest.mark.parametrize("name", ["N/E 40", 'Smith\'s "back"', "Ödland", "40"])
def test_names_of_fields_are_free(name: str) -> None:
    source = put(ONE_FIELD + fed(field=name), "fields", "field", name)
    assert figures(document(source), field=name)["fertilizer"] == pytest.approx(46)
