"""Live columns of manure: what a line brought and drew, what of it the crop can use."""

from __future__ import annotations

from ledger.live.columns import LiveColumn
from ledger.live.lines import ground, per_ground, positive, state, unit
from ledger.live.lots import analyses
from ledger.live.stores import draw_columns
from ledger.live.text import found_in, joined, listed, on_sound_lines, quoted, times
from ledger.live.words import BALANCE, OK
from ledger.model import Definitions, Sheet, System


def spread_columns(sheet: Sheet, definitions: Definitions, system: System) -> list[LiveColumn]:
    """Total and credited nutrients of every spreading line, per area of its ground."""
    unit_text = definitions.shown_in[system]["mass per area"]
    shown: list[LiveColumn] = []
    for nutrient in analyses(definitions):
        stated = definitions.nutrients[nutrient].stated_as
        content = f"INDEX([manure_lots._content_{nutrient}],[_lot])"
        total = LiveColumn(
            id=f"_total_{nutrient}",
            title=f"{stated} total",
            unit=unit_text,
            note=f"All {stated} that this line put on, spread over its field or zone.",
            formula=on_sound_lines(times("[_rate]", content)),
        )
        credit = LiveColumn(
            id=f"_credit_{nutrient}",
            title=f"{stated} credited",
            unit=unit_text,
            note=f"What of the {stated} this crop can use, by the credit set of the Farm sheet.",
            formula=on_sound_lines(_credited(nutrient)),
        )
        shown += [total, credit]
    return [*_in_pairs(shown), *_helpers(sheet)]


def _in_pairs(shown: list[LiveColumn]) -> list[LiveColumn]:
    """Totals first, then credits, as a farmer compares them."""
    return [*shown[::2], *shown[1::2]]


def _credited(nutrient: str) -> str:
    total = f"[_total_{nutrient}]"
    share = "[_share]" if nutrient == "N" else f"[now.available_{nutrient}]"
    value = times(total, share)
    if nutrient == "N":
        value = f"IF({total}=0,0,{value})"
    return f"IF(ISNUMBER({total}),{value},{total})"


def _helpers(sheet: Sheet) -> list[LiveColumn]:
    form = "INDEX([manure_lots.form],[_lot])"
    by_load = f"INDEX([loads.kind],MATCH({form},[loads.key],0))"
    is_load = '[unit]="loads"'
    basis = "INDEX([manure_lots._kind],[_lot])"
    density = "INDEX([manure_lots.density],[_lot])"
    tests = [
        ("ISNUMBER([_lot])", "lot?"),
        (f"INDEX([manure_lots._state],[_lot])={quoted(OK)}", "lot?"),
        (positive("amount"), "amount?"),
        ("ISNUMBER([_unit])", "unit?"),
        ('[method]<>""', "method?"),
        ('OR([unit]<>"loads",ISNUMBER([load_size]))', "load size?"),
        (f'OR([_kind]<>"volume",{form}<>"solid",{is_load})', "unit?"),
        (f"OR([_kind]={basis},ISNUMBER({density}))", "density?"),
    ]
    size = f"IF({is_load},[load_size]*INDEX([loads.factor],MATCH({form},[loads.key],0)),1)"
    turned = f'IF([_kind]={basis},1,IF({basis}="mass",{density},1/{density}))'
    counted = f"{per_ground(sheet, '[amount]')}*{size}"
    kind = f"IF({is_load},{by_load},INDEX([units.kind],[_unit]))"
    return [
        *ground(),
        LiveColumn(id="_lot", formula=found_in("lot", "manure_lots", "lot", "lot?")),
        unit(),
        LiveColumn(id="_kind", formula=f'IF([_unit]="","",IFERROR({kind},"unit?"))'),
        *state(sheet, ("field", "lot", "amount"), tests),
        LiveColumn(id="_rate", formula=f'IF([_state]={quoted(OK)},{counted}*{turned},"")'),
        LiveColumn(id="_share", formula=f'IF([_state]={quoted(OK)},{_share(form)},"")'),
        *draw_columns(f"{counted}*[_area]", density),
    ]


def _share(form: str) -> str:
    """The share of total N the set credits; hours are looked up as a step of its bands."""
    hours = "[incorporated_after_h]"
    steps = f"SUMPRODUCT(([hours.key]<{hours})*1)+SUMPRODUCT(([hours.key]<={hours})*1)"
    step = f'IF({hours}="","",IF({hours}="never",[now.never],{steps}))'
    key = joined(["[now.manure_set]", "INDEX([manure_lots.kind],[_lot])", "[method]", step, form])
    return listed(key, "manure", "share", quoted(BALANCE))
