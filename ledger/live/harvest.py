"""Live columns of the Harvest sheet: what every line carried off, per area of its ground."""

from __future__ import annotations

from ledger.live.columns import LiveColumn
from ledger.live.lines import ground, per_ground, state, unit
from ledger.live.text import joined, on_sound_lines, quoted
from ledger.live.words import NO_FIGURE, OK, YIELD
from ledger.model import Definitions, Nutrient, Sheet, System


def harvest_columns(sheet: Sheet, definitions: Definitions, system: System) -> list[LiveColumn]:
    """Mass x content: by the analysis on the line, else by the removal set."""
    cut = [n for n in definitions.nutrients.values() if "harvest" in n.columns]
    shown = [
        LiveColumn(
            id=f"_{nutrient.id}",
            title=f"{nutrient.stated_as} removed",
            unit=definitions.shown_in[system]["mass per area"],
            note=f"{nutrient.stated_as} that left the field or zone with this line.",
            formula=on_sound_lines(_removed(nutrient)),
        )
        for nutrient in cut
    ]
    return [*shown, *_helpers(sheet, [n.columns["harvest"] for n in cut])]


def _removed(nutrient: Nutrient) -> str:
    percent = f"[{nutrient.columns['harvest']}]"
    share = f"INDEX([cut.share_{nutrient.id}],[_cut])"
    basis = f"INDEX([cut.basis_{nutrient.id}],[_cut])"
    analysis = f"[_mass]*(100-[moisture_pct])/100*{percent}/100*[now.element_{nutrient.id}]"
    dried = f"IF(AND(ISNUMBER([_moisture]),ISNUMBER({basis})),(100-[_moisture])/(100-{basis}),1)"
    book = f"IF(ISNUMBER({share}),[_mass]*{share}*{dried},{quoted(NO_FIGURE)})"
    return f"IF(AND(ISNUMBER({percent}),ISNUMBER([moisture_pct])),{analysis},{book})"


def _helpers(sheet: Sheet, percents: list[str]) -> list[LiveColumn]:
    number = 'INDEX([units.kind],[_unit])="number"'
    bushel = "INDEX([cut.bushel],[_cut])"
    told = "&".join(f"[{column}]" for column in percents)
    tests = [
        ("ISNUMBER([_cut])", "part?"),
        ("AND(ISNUMBER([yield]),[yield]>=0)", YIELD),
        ("ISNUMBER([_unit])", "unit?"),
        ('OR([unit]<>"bales",ISNUMBER([bale_weight]))', "bale weight?"),
        (f'IF(AND({number},[unit]<>"bales"),ISNUMBER({bushel}),[unit]<>"")', "unit?"),
        (f'OR({told}="",ISNUMBER([moisture_pct]))', "moisture?"),
    ]
    weight = f'IF([unit]="bales",[bale_weight],IF({number},{bushel},1))'
    mass = f"{per_ground(sheet, '[yield]')}*{weight}"
    moisture = "IF(ISNUMBER([moisture_pct]),[moisture_pct],INDEX([cut.moisture],[_cut]))"
    key = joined(["[now.removal_set]", "[crop]", "[part]"])
    return [
        *ground(),
        LiveColumn(
            id="_cut", formula=f'IF([part]="","",IFERROR(MATCH({key},[cut.key],0),"part?"))'
        ),
        unit(),
        *state(sheet, ("field", "crop", "yield"), tests),
        LiveColumn(id="_mass", formula=f'IF([_state]={quoted(OK)},{mass},"")'),
        LiveColumn(id="_moisture", formula=f'IF([_state]={quoted(OK)},{moisture},"")'),
    ]
