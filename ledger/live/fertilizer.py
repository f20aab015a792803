"""Live columns of the Fertilizer sheet: nutrients of every line, per area of its ground."""

from __future__ import annotations

from ledger.live.columns import LiveColumn
from ledger.live.lines import DUST, ground, per_ground, positive, state, unit
from ledger.live.text import found_in, on_sound_lines, quoted
from ledger.live.words import ANALYSIS, OK, TWICE
from ledger.model import Definitions, Sheet, System


def fertilizer_columns(sheet: Sheet, definitions: Definitions, system: System) -> list[LiveColumn]:
    """Amount x density x grade, per area."""
    shown = []
    for nutrient in definitions.nutrients.values():
        if "product" in nutrient.columns:
            grade = f"INDEX([products.{nutrient.columns['product']}],[_product])"
            value = f"IF(ISNUMBER({grade}),[_rate]*{grade}/100,{quoted(ANALYSIS)})"
            shown.append(
                LiveColumn(
                    id=f"_{nutrient.id}",
                    title=nutrient.stated_as,
                    unit=definitions.shown_in[system]["mass per area"],
                    note=f"{nutrient.stated_as} that this line put on its field or zone.",
                    formula=on_sound_lines(value),
                )
            )
    return [*shown, *_helpers(sheet, definitions)]


def _sound_grade(definitions: Definitions) -> str:
    """A test: the percents of the product add up to no more than all of it, none below zero."""
    grades = [
        f"INDEX([products.{n.columns['product']}],[_product])"
        for n in definitions.nutrients.values()
        if "product" in n.columns
    ]
    return f"AND({'+'.join(grades)}<=100*{DUST},MIN({','.join(grades)})>=0)"


def _helpers(sheet: Sheet, definitions: Definitions) -> list[LiveColumn]:
    density = "INDEX([products.density],[_product])"
    volume = 'INDEX([units.kind],[_unit])="volume"'
    tests = [
        ("ISNUMBER([_product])", "product?"),
        ("COUNTIF([products.product],[product])<2", TWICE),
        (_sound_grade(definitions), "grade?"),
        (positive("amount"), "amount?"),
        ("ISNUMBER([_unit])", "unit?"),
        ('[pass]<>""', "pass?"),
        (f'IF({volume},INDEX([products.form],[_product])<>"dry",[unit]<>"")', "unit?"),
        (f'IF({volume},ISNUMBER({density}),[unit]<>"")', "density?"),
    ]
    rate = f"{per_ground(sheet, '[amount]')}*IF({volume},{density},1)"
    return [
        *ground(),
        LiveColumn(id="_product", formula=found_in("product", "products", "product", "product?")),
        unit(),
        *state(sheet, ("field", "product", "amount"), tests),
        LiveColumn(id="_rate", formula=f'IF([_state]={quoted(OK)},{rate},"")'),
    ]
