"""Every unit that a person may pick, against pint's own registry as a second opinion."""

from pathlib import Path
from typing import Any

import pint
import pytest
from workbooks import SHIPPED

from ledger import resources
from ledger.definitions.data import read_json
from ledger.units import UnitFault, load_units

DATA = read_json(resources.templates_folder() / "units.json")
EXACT = 1e-12


@pytest.fixture(scope="module")
def registry() -> Any:
    """pint's default units, with money added and an acre of the international foot.

    pint's own acre is the survey acre, which is the very reason the ledger has its own file.
    """
    registry: Any = pint.UnitRegistry()
    registry.define("dollar = [currency]")
    registry.define("acre = 43560 * foot ** 2")
    return registry


@pytest.mark.parametrize("unit", DATA["units"], ids=lambda unit: str(unit["id"]))
def test_a_unit_has_the_factor_that_pint_knows(unit: dict[str, str], registry: Any) -> None:
    base = DATA["quantities"][unit["quantity"]]
    theirs = registry.Quantity(unit["pint"]).to(base).magnitude
    assert SHIPPED.units[unit["id"]].factor == pytest.approx(theirs, rel=EXACT)


@pytest.mark.parametrize(
    ("unit", "factor"),
    [
        # NIST Handbook 44 (2024), appendix C: all exact by definition
        ("ac", 0.40468564224),
        ("lb", 0.45359237),
        ("ton", 907.18474),
        ("gal", 3.785411784),
        ("in", 0.0254),
        ("mph", 1.609344),
        # NIST SP 811 (2008), appendix B.8
        ("psi", 6.894757293168),
    ],
)
def test_a_unit_has_its_legal_value(unit: str, factor: float) -> None:
    assert SHIPPED.units[unit].factor == pytest.approx(factor, rel=EXACT)


def test_the_acre_is_the_international_one() -> None:
    # NIST Handbook 44, appendix C: a survey foot is 1200/3937 m, an acre 43,560 square feet
    survey_acre_ha = 43_560 * (1200 / 3937) ** 2 / 10_000
    ratio = survey_acre_ha / SHIPPED.units["ac"].factor
    assert ratio == pytest.approx(1.000004, abs=1e-8)
    default = pint.UnitRegistry().Quantity(1, "acre").to("hectare").magnitude
    assert default == pytest.approx(survey_acre_ha, rel=EXACT)


def test_every_quantity_is_shown_in_units_that_measure_it() -> None:
    for system in ("us", "metric"):
        for quantity, unit in SHIPPED.shown_in[system].items():
            assert SHIPPED.units[unit].quantity == quantity


@pytest.mark.parametrize(
    "unit",
    [
        {"id": "wrong", "pint": "pound", "quantity": "volume"},
        {"id": "wrong", "pint": "furlong", "quantity": "length"},
        {"id": "wrong", "pint": "pound", "quantity": "weight"},
    ],
    ids=["another dimension", "unknown to the file", "unknown quantity"],
)
def test_a_unit_that_does_not_measure_its_quantity_is_refused(unit: dict[str, str]) -> None:
    file: Path = resources.templates_folder() / "units.txt"
    with pytest.raises(UnitFault, match="wrong"):
        load_units(file, DATA["quantities"], [unit])
