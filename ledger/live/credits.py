"""Live columns of credits and of the manure of earlier years, per area of their ground."""

from __future__ import annotations

from ledger.live.columns import LiveColumn
from ledger.live.lines import DUST, covered, ground, per_ground, state, unit
from ledger.live.text import joined, listed, on_sound_lines, quoted
from ledger.live.words import BALANCE, KIND, PAST
from ledger.model import Definitions, Sheet, System


def credit_columns(sheet: Sheet, definitions: Definitions, system: System) -> list[LiveColumn]:
    """The amount of a credit per area."""
    nutrient = str((sheet.posting or {})["nutrient"])
    water = "AND(ISNUMBER([water_ppm]),ISNUMBER([water_depth]))"
    tests = [
        ('[kind]<>""', KIND),
        (f'IF([amount]="",AND({water},[kind]<>"other"),ISNUMBER([amount]))', "amount?"),
        ('OR([amount]="",ISNUMBER([_unit]))', "unit?"),
        (f'OR({water},[water_ppm]&[water_depth]="")', "water?"),
    ]
    in_water = f"[water_ppm]*[water_depth]*[now.water]*{covered(sheet)}/[_area]"
    amount = f'IF([amount]="",{in_water},{per_ground(sheet, "[amount]")})'
    return [
        LiveColumn(
            id=f"_{nutrient}",
            title=f"{nutrient} credited",
            unit=definitions.shown_in[system]["mass per area"],
            note="This credit spread over its field or zone.",
            formula=on_sound_lines(amount),
        ),
        *ground(),
        unit(),
        *state(sheet, ("field", "kind", "amount", "water_ppm"), tests),
    ]


def past_columns(sheet: Sheet, definitions: Definitions, system: System) -> list[LiveColumn]:
    """What manure of an earlier year still gives this one."""
    shown = [
        LiveColumn(
            id=f"_{nutrient.id}",
            title=f"{nutrient.stated_as} this year",
            unit=definitions.shown_in[system]["mass per area"],
            note=f"{nutrient.stated_as} that this manure still gives this year's crop.",
            formula=on_sound_lines(f"IF([_age]>[now.years],0,{_given(nutrient.id, definitions)})"),
        )
        for nutrient in definitions.nutrients.values()
        if nutrient.id == "N" or "lot" in nutrient.columns
    ]
    tests = [
        ("AND(ISNUMBER([year]),ISNUMBER([_age]),[_age]>1)", "year?"),
        (f'OR([n_organic]="",[n_total]="",[n_organic]<=[n_total]*{DUST})', "organic?"),
    ]
    age = 'IF(ISNUMBER([year]),[farm.year]-[year]+1,"year?")'
    return [
        *shown,
        *ground(),
        LiveColumn(id="_age", formula=age),
        *state(sheet, ("field", "year"), tests),
    ]


def _given(nutrient: str, definitions: Definitions) -> str:
    if nutrient == "N":
        applied = 'IF([now.past_pool]="total",[n_total],[n_organic])'
        typed = 'IF([now.past_pool]="total",[n_total],[n_organic])<>""'
        key = joined(["[now.manure_set]", "[_age]", "[kind]"])
        share = listed(key, "past", "share", quoted(BALANCE))
    else:
        applied = f"[{definitions.nutrients[nutrient].columns['lot']}]"
        typed = f'{applied}<>""'
        key = joined(["[now.manure_set]", quoted(nutrient), "[_age]"])
        share = listed(key, "available", "share", "0")
    known = f"IF({typed},{applied}*{share},{quoted(PAST)})"
    return f"IF(ISNUMBER({share}),IF({share}=0,0,{known}),{share})"
