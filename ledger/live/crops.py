"""Live columns of the Crops sheet: need of every nutrient, credit for the crops before."""

from __future__ import annotations

from ledger.live.columns import LiveColumn
from ledger.live.lines import ground
from ledger.live.text import chain, joined, listed, quoted, times
from ledger.live.words import BALANCE, CROP, FACTOR, NEED, YIELD
from ledger.model import Definitions, Nutrient, System

PREVIOUS = ((1, "previous_crop"), (2, "crop_before"))


def crop_columns(definitions: Definitions, system: System) -> list[LiveColumn]:
    """Needs as seen columns; the credit for the crops before joins the zone's credits."""
    per_area = definitions.shown_in[system]["mass per area"]
    shown = [
        LiveColumn(
            id=f"_need_{nutrient.id}",
            title=f"{nutrient.stated_as} need, reckoned",
            unit=per_area,
            note=f"{nutrient.stated_as} this crop needs in all, by the method chosen. Where that "
            "asks for more than a formula can do, the balance command gives the figure.",
            formula=f'IF([_key]="","",{_need(nutrient, definitions)})',
        )
        for nutrient in definitions.nutrients.values()
        if "need" in nutrient.columns
    ]
    credit = LiveColumn(
        id="_credit",
        title="N from crops before",
        unit=per_area,
        note="What the crops before leave to this one, by the legume credit set. None where the "
        "need has it inside already.",
        formula=f'IF([_key]="","",{_before()})',
    )
    return [*shown, credit, *_helpers()]


def _helpers() -> list[LiveColumn]:
    method = "IFERROR(INDEX([methods.key],MATCH([n_method],[methods.key],0)),[now.n_method])"
    key = 'IF(AND(ISNUMBER([_field]),ISNUMBER([_zone])),[_field]&"|"&[_zone],"")'
    return [
        *ground(),
        LiveColumn(id="_key", formula=f'IF([field]="","",{key})'),
        LiveColumn(
            id="_crop",
            formula=f'IF([crop]="","",IFERROR(MATCH([crop],[crops_known.key],0),{quoted(CROP)}))',
        ),
        LiveColumn(id="_method", formula=f'IF([field]="","",{method})'),
    ]


def _need(nutrient: Nutrient, definitions: Definitions) -> str:
    entered = f"[{nutrient.columns['need']}]"
    value = (
        _nitrogen(entered) if nutrient.id == "N" else _mineral(nutrient.id, entered, definitions)
    )
    return f"IF(ISNUMBER([_crop]),{value},[_crop])"


def _nitrogen(entered: str) -> str:
    usual = "INDEX([crops_known.usual],[_crop])"
    known = (
        f"IF(ISNUMBER({usual}),IF(ISNUMBER([farm.n_per_yield]),[farm.n_per_yield],{usual}),{usual})"
    )
    factor = f"IF(ISNUMBER([n_per_yield]),[n_per_yield],{known})"
    tests = [("ISNUMBER([yield_goal])", YIELD), (f"ISNUMBER({factor})", FACTOR)]
    by_yield = chain(tests, f"[yield_goal]*{factor}")
    as_entered = f"IF(ISNUMBER({entered}),{entered},{quoted(NEED)})"
    other = f'IF([_method]="entered",{as_entered},{quoted(BALANCE)})'
    return f'IF([_method]="yield factor",{by_yield},{other})'


def _mineral(nutrient: str, entered: str, definitions: Definitions) -> str:
    taken = f"INDEX([crops_known.need_{nutrient}],[_crop])"
    removal = f"IF(ISNUMBER([yield_goal]),{times('[yield_goal]', taken)},{quoted(YIELD)})"
    tested = nutrient in definitions.need.soil_tests.levels
    by_test = quoted(BALANCE) if tested else removal
    other = f'IF([pk_method]="soil test",{by_test},{quoted(NEED)})'
    method = f'IF([pk_method]="removal",{removal},{other})'
    return f"IF(ISNUMBER({entered}),{entered},{method})"


def _before() -> str:
    inside = "INDEX([methods.previous],MATCH([_method],[methods.key],0))=1"
    legume = "INDEX([crops_known.legume],[_crop])=1"
    years = [
        listed(
            joined(["[now.legume_set]", str(year), f"[{column}]", "[stand]", "[soil]"]),
            "legume",
            "credit",
            "0",
        )
        for year, column in PREVIOUS
    ]
    first, second = years
    both = f"IF(ISNUMBER({first}),IF(ISNUMBER({second}),{first}+{second},{second}),{first})"
    return f"IF(ISNUMBER([_crop]),IF(OR({inside},{legume}),0,{both}),0)"
