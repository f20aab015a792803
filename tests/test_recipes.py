"""The recipes of templates/README.md, each performed in a copy: data is touched and no code."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from farms import ONE_FIELD
from lines import cut, farm, fed, lot, spread, table
from recipes import add_line, figure, through, with_source, write
from workbooks import BOOK, codes, document, figures, rewrite, run, workbook

from ledger import definitions
from ledger.explain.places import places
from ledger.explain.result import explain_result
from ledger.report import result_sheets


@pytest.fixture
def templates(tmp_path: Path) -> Path:
    return with_source(tmp_path)


def test_a_nutrient_is_one_line_and_has_its_columns_and_postings(templates: Path) -> None:
    rewrite(templates, "nutrients.json", lambda d: d["nutrients"].append({
        "id": "Zn", "title": "Zinc", "stated_as": "Zn", "elemental_symbol": "Zn",
        "elemental_factor": 1, "columns": {"product": "zn_pct", "harvest": "zn_dm_pct",
                                           "lot": "zn", "need": "zn_entered"},
    }))  # fmt: skip
    data = definitions.load(templates)
    for sheet, column in (("products", "zn_pct"), ("harvest", "zn_dm_pct"), ("manure_lots", "zn"),
                          ("crops", "zn_entered"), ("past_manure", "zn")):  # fmt: skip
        assert "Zn" in data.sheets[sheet].by_id[column].title
    source = (
        ONE_FIELD
        + table("products", {"product": "Zinc sulfate", "n_pct": 0, "zn_pct": 36, "form": "dry"})
        + table("crops", {"field": "Home", "crop": "corn", "n_entered": 0, "zn_entered": 5})
        + fed(product="Zinc sulfate", amount=10)
        + lot(zn=0.25)
        + spread()
        + cut(moisture_pct=15.5, zn_dm_pct=0.002)
    )
    result = through(source, data)
    zinc = figures(result, "Zn")
    assert zinc["fertilizer"] == pytest.approx(3.6)
    assert zinc["manure"] == pytest.approx(1.0)  # 4000 gal x 0.25 lb / 1000
    assert zinc["manure_credit"] is None  # no set says how much of it the crop can use
    assert zinc["removal"] == pytest.approx(200 * 56 * 0.845 * 0.00002)
    assert zinc["need"] == pytest.approx(5)
    assert result["farm"]["nutrients"]["Zn"]["applied_total"] == pytest.approx(4.6 * 40)
    assert figures(result, "N")["manure"] == pytest.approx(200)


def test_a_nutrient_really_is_one_line(templates: Path) -> None:
    add_line(
        templates, "nutrients.json", '"elemental_symbol": "S"',
        '}, {"id": "B", "title": "Boron", "stated_as": "B", "columns": {"product": "b_pct"},'
        ' "elemental_factor": 1, "elemental_symbol": "B"',
    )  # fmt: skip
    data = definitions.load(templates)
    source = table("products", {"product": "Borate", "n_pct": 0, "b_pct": 15, "form": "dry"})
    result = document(ONE_FIELD + source + fed(product="Borate", amount=10), data=data)
    assert figures(result, "B")["fertilizer"] == pytest.approx(1.5)


def test_a_fertilizer_is_filled_in_and_posts(templates: Path) -> None:
    product = {"id": "polymer urea", "form": "dry", "grade": {"N": 44}, "source": "invented",
               "status": "memory"}  # fmt: skip
    rewrite(templates, "products.json", lambda d: d["products"].append(product))
    data = definitions.load(templates)
    result = through(ONE_FIELD + fed(product="polymer urea"), data)
    assert figures(result)["fertilizer"] == pytest.approx(44)
    assert figures(result, "S")["fertilizer"] == 0


def test_a_crop_and_its_removal_rows_post(templates: Path) -> None:
    crop = {
        "id": "camelina", "main_part": "grain", "legume": False,
        "yield_unit": {"us": "bu/ac", "metric": "t/ha"}, "bushel_weight": figure(50, "lb/bu"),
        "parts": {"grain": {"standard_moisture": figure(8, "percent")}},
    }  # fmt: skip
    row = {"crop": "camelina", "part": "grain", "nutrient": "N", "moisture": "standard",
           **figure(1.9, "lb/bu")}  # fmt: skip
    rewrite(templates, "crops.json", lambda d: d["crops"].append(crop))
    rewrite(templates, "removal/general.json", lambda d: d["rows"].append(row))
    data = definitions.load(templates)
    source = table("crops", {"field": "Home", "crop": "camelina", "n_entered": 50})
    result = through(ONE_FIELD + source + cut(crop="camelina", **{"yield": 30}), data)
    assert figures(result)["removal"] == pytest.approx(57)
    assert figures(result, "K2O")["removal"] is None
    assert {"from-memory", "removal-missing"} <= codes(result)


def test_a_removal_set_is_a_file(templates: Path) -> None:
    # Ohio State, Knox County, 13 Jul 2023 (nutrient value of wheat straw): 100 bu of wheat take
    # 50 lb P2O5 and 25 lb K2O, at 0.5 and 0.25 lb a bushel
    # https://u.osu.edu/knoxcountyag/2023/07/13/nutrient-value-of-wheat-straw/
    wheat = {"crop": "wheat", "part": "grain", "moisture": "standard", "unit": "lb/bu"}
    write(templates, "removal/Ohio.json", {
        "id": "Ohio", "title": "Ohio wheat", "about": "Wheat grain alone.",
        "common": {"source": "ohio-knox-straw-2023", "status": "verified"},
        "rows": [{**wheat, "nutrient": "P2O5", "value": 0.5},
                 {**wheat, "nutrient": "K2O", "value": 0.25}],
    })  # fmt: skip
    data = definitions.load(templates)
    source = farm(removal_set="Ohio") + ONE_FIELD + cut(crop="wheat", **{"yield": 100})
    result = through(source, data)
    assert figures(result, "P2O5")["removal"] == pytest.approx(50)
    assert figures(result, "K2O")["removal"] == pytest.approx(25)
    assert figures(result, "N")["removal"] is None
    assert result["ledger"]["removal_set"] == "Ohio"


def test_a_manure_kind_is_credited_by_the_sets_that_name_it(templates: Path) -> None:
    kind = {"id": "mink manure", "species": "mink", "form": "solid", "composted": False}
    rewrite(templates, "manure/kinds.json", lambda d: d["kinds"].append(kind))
    rewrite(
        templates, "manure/set-MN-UMN.json", lambda d: d["groups"]["swine"].append("mink manure")
    )
    data = definitions.load(templates)
    assert figures(through(ONE_FIELD + lot("mink manure") + spread(), data))["manure_credit"] == (
        pytest.approx(160)
    )


def all_of_total(set_id: str, kind: str) -> dict[str, Any]:
    """A set that credits the whole of the total nitrogen."""
    return {
        "id": set_id, "title": "All of it", "edition": "test", "year": 2026, "source": "invented",
        "about": "No discount for what comes late.", "groups": {"all": [kind]},
        "placements": {"any": ["broadcast"]}, "years": 1,
        "nitrogen": [{"pool": "total", "retain": None, "release": "all", "rest": "reserve"}],
        "tables": {"all": {"keys": ["year"], "rows": [
            {"when": {"year": 1}, **figure(1, "fraction")}]}},
        "availability": {"P2O5": [{"year": 1, **figure(1, "fraction")}],
                         "K2O": [{"year": 1, **figure(1, "fraction")}]},
    }  # fmt: skip


def test_a_manure_set_is_a_file(templates: Path) -> None:
    # University of Kentucky, Organic Manures and Fertilizers for Vegetable Crops: 1.25 ton/ac of
    # composted poultry manure (3.2-5.2-1.8 %), no discount, gives 80-130-45 lb/ac
    # http://businessdocbox.com/Agriculture/76930615-Organic-manures-and-fertilizers-for-vegetable-crops.html
    write(templates, "manure/set-KY.json", all_of_total("KY", "composted manure"))
    data = definitions.load(templates)
    compost = lot("composted manure", form="solid", per="ton", n_total=64, n_ammonium=None,
                  p2o5=104, k2o=36, s=None)  # fmt: skip
    broadcast = spread(amount=1.25, unit="ton/ac", method="broadcast")
    result = through(farm(manure_set="KY") + ONE_FIELD + compost + broadcast, data)
    for nutrient, published in (("N", 80), ("P2O5", 130), ("K2O", 45)):
        assert figures(result, nutrient)["manure_credit"] == pytest.approx(published)
    assert result["ledger"]["manure_set"] == "KY"


def test_a_manure_set_by_pools_is_a_file(templates: Path) -> None:
    # Montana State University, CNMP workbook step 5: 21 lb/ton total and 8 lb ammonium N, organic
    # release 0.25, 0.66 of the ammonium kept on the surface: 8.53 lb/ton the crop can use;
    # 18.757 ton/ac then give the 160 lb/ac the crop needs
    # http://animalrangeextension.montana.edu/articles/natresourc/cnmp/nonprint/step5.htm
    content = all_of_total("MT", "beef solid")
    tables = {"kept": 0.66, "freed": 0.25}
    content["tables"] = {
        name: {"keys": ["year"], "rows": [{"when": {"year": 1}, **figure(value, "fraction")}]}
        for name, value in tables.items()
    }
    content["nitrogen"] = [
        {"pool": "ammonium", "retain": "kept", "release": None, "rest": "air"},
        {"pool": "organic", "retain": None, "release": "freed", "rest": "reserve"},
    ]
    write(templates, "manure/set-MT.json", content)
    data = definitions.load(templates)
    bedded = lot("beef solid", form="solid", per="ton", n_total=21, n_ammonium=8, n_nitrate=0)
    one_ton = spread(amount=1, unit="ton/ac", method="broadcast")
    result = document(farm(manure_set="MT") + ONE_FIELD + bedded + one_ton, data=data)
    assert figures(result)["manure_credit"] == pytest.approx(8.53, abs=0.005)
    enough = spread(amount=18.757, unit="ton/ac", method="broadcast")
    result = document(farm(manure_set="MT") + ONE_FIELD + bedded + enough, data=data)
    assert figures(result)["manure_credit"] == pytest.approx(160, abs=0.05 * 8.53)


def test_a_legume_set_is_a_file(templates: Path) -> None:
    write(templates, "need/legume-Flat.json", {
        "id": "Flat", "title": "Flat", "about": "One figure.", "same_as": {},
        "keys": ["year", "crop"],
        "rows": [{"when": {"year": 1, "crop": "soybean"}, **figure(42, "lb/ac")}],
    })  # fmt: skip
    data = definitions.load(templates)
    crop = {"field": "Home", "crop": "corn", "previous_crop": "soybean", "yield_goal": 200}
    crops = table("crops", {**crop, "n_method": "yield factor", "n_per_yield": 1})
    result = through(farm(legume_set="Flat") + ONE_FIELD + crops, data)
    assert figures(result)["credits"] == pytest.approx(42)
    assert figures(result)["to_go"] == pytest.approx(200 - 42)


def test_a_nitrate_reading_is_a_file(templates: Path) -> None:
    ohio = json.loads((templates / "need" / "nitrate-Ohio-PSNT.json").read_text("utf-8"))
    steps = [{"to": 30, "value": 55, "unit": "lb/ac"}]
    write(templates, "need/nitrate-Step.json", {**ohio, "id": "Step", "steps": steps})
    data = definitions.load(templates)
    crops = {"field": "Home", "crop": "corn", "n_entered": 180, "n_method": "pre-sidedress nitrate"}
    test = {"field": "Home", "date": "2026-06-01", "nitrate_ppm": 22, "nitrate_depth": 12,
            "sample_kind": "pre-sidedress nitrate"}  # fmt: skip
    source = farm(nitrate_set="Step") + ONE_FIELD + table("crops", crops)
    result = through(source + table("soil_tests", test), data)
    assert figures(result)["need"] == pytest.approx(125)


def test_an_own_product_needs_no_recipe() -> None:
    own = table(
        "products",
        {
            "product": "Dealer 28-0-0-5",
            "n_pct": 28,
            "s_pct": 5,
            "p2o5_pct": 0,
            "k2o_pct": 0,
            "form": "liquid",
            "density": 10.9,
        },
    )
    result = document(workbook(ONE_FIELD + own + fed(product="dealer 28-0-0-5", amount=10,
                                                     unit="gal/ac")))  # fmt: skip
    assert figures(result)["fertilizer"] == pytest.approx(10 * 10.9 * 0.28)
    assert BOOK > 20


def test_how_a_figure_follows_is_an_entry_in_words(templates: Path) -> None:
    def reword(data: Any) -> None:
        (over,) = [cell for cell in data["cells"] if cell["cell"] == "Over"]
        over["how"], over["from"] = "Said in other words", ["Need", "farm.units"]

    rewrite(templates, "explain.json", reword)
    data = definitions.load(templates)
    done = run(ONE_FIELD + table("crops", {"field": "Home", "crop": "corn", "n_entered": 90}))
    (sheet,) = [s for s in result_sheets(done.results, data) if s.id == "nitrogen-to-go"]
    places_ = places(sheet).items()
    cell, _ = next((cell, place) for cell, place in places_ if place.heading.text == "Over")
    told = explain_result(done.results, data, sheet.id, sheet.name, cell).how
    assert told[0] == "Said in other words"
    assert told[1].startswith("Need = 90 lb/ac (")
    assert told[2] == "Units = us (Farm!C9)"
