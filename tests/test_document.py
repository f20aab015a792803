"""The result document: its schema, its units, its freedom from not-a-number."""

import json
from copy import deepcopy
from typing import Any

import pytest
from farms import ONE_FIELD, STANDARD
from finding_cases import CASES
from jsonschema import Draft202012Validator, ValidationError
from lines import farm, fed
from workbooks import SHIPPED, document, figures, put

from ledger import __version__, resources
from ledger.definitions.data import read_json

SCHEMA = read_json(resources.templates_folder() / "meta" / "result.schema.json")
VALIDATOR = Draft202012Validator(SCHEMA)
RESULT = document(STANDARD)


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA)


def test_the_standard_farm_passes_the_schema() -> None:
    VALIDATOR.validate(RESULT)


def test_an_empty_ledger_passes_the_schema() -> None:
    VALIDATOR.validate(document(""))
    VALIDATOR.validate(document("", system="metric"))


@pytest.mark.parametrize("code", [code for code, case in CASES.items() if not case.change])
def test_a_ledger_with_a_finding_passes_the_schema(code: str) -> None:
    VALIDATOR.validate(document(CASES[code].source))


@pytest.mark.parametrize(
    "spoil",
    [
        lambda d: d.pop("farm"),
        lambda d: d["zones"][0].pop("incomplete"),
        lambda d: d["zones"][0].update(area=0),
        lambda d: d["zones"][0]["nutrients"]["N"].update(manure="unknown"),
        lambda d: d["zones"][0]["nutrients"]["N"].pop("to_go"),
        lambda d: d["findings"].append({"code": "x"}),
        lambda d: d["ledger"].update(units="imperial"),
        lambda d: d.update(extra=1),
    ],
)
def test_the_schema_refuses_what_is_not_promised(spoil: Any) -> None:
    spoilt = deepcopy(RESULT)
    spoil(spoilt)
    with pytest.raises(ValidationError):
        VALIDATOR.validate(spoilt)


def test_the_document_is_json_without_infinities() -> None:
    text = json.dumps(RESULT, allow_nan=False)
    assert json.loads(text) == RESULT


def test_the_head_says_what_it_was_made_with() -> None:
    head = document(farm(manure_set="AB-NMPG") + ONE_FIELD)["ledger"]
    assert head["units"] == "us"
    assert head["year"] == 2026
    assert head["manure_set"] == "AB-NMPG"
    assert head["removal_set"] == "general"
    assert head["template_version"] == SHIPPED.version
    assert head["tool_version"] == __version__


def test_a_set_that_is_not_one_is_replaced_by_the_default_and_said() -> None:
    result = document(put(ONE_FIELD, "farm", "manure_set", "XX-none"))
    assert [f["code"] for f in result["findings"]] == ["unknown-choice"]
    assert result["ledger"]["manure_set"] == "MN-UMN"


def test_amounts_are_in_the_units_of_the_ledger() -> None:
    us = document(ONE_FIELD + fed(amount=100, unit="lb/ac"))
    metric = document(ONE_FIELD + fed(amount=100, unit="kg/ha"), system="metric")
    assert figures(us)["fertilizer"] == pytest.approx(46)  # lb/ac
    assert figures(metric)["fertilizer"] == pytest.approx(46)  # kg/ha
    for result in (us, metric):
        assert result["zones"][0]["area"] == pytest.approx(40)  # ac, ha
        assert result["farm"]["nutrients"]["N"]["fertilizer_total"] == pytest.approx(46 * 40)
        masses = sorted(p["mass"] for p in result["postings"] if p["nutrient"] == "N")
        assert masses == [pytest.approx(-46 * 40), pytest.approx(46 * 40)]


def test_a_rate_typed_in_the_other_units_is_converted() -> None:
    result = document(ONE_FIELD + fed(amount=100, unit="kg/ha"))
    # 1 kg/ha = 0.8921791 lb/ac (0.40468564224 / 0.45359237)
    assert figures(result)["fertilizer"] == pytest.approx(46 * 0.892179122)


def test_postings_point_to_their_line() -> None:
    spread = [p for p in RESULT["postings"] if p["stream"] == "manure"]
    assert {(p["sheet"], p["row"]) for p in spread} == {("Manure spread", n) for n in (6, 7, 8)}
    assert {p["date"] for p in spread} == {"2025-11-03", "2025-11-05", "2026-04-02"}
