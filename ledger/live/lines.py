"""What every line of an entry sheet is asked first: which ground it is for, and is it whole."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.live.columns import LiveColumn
from ledger.live.text import chain, quoted
from ledger.live.words import OK, PLANNED
from ledger.model import Column, Sheet

AREA_SLACK = 1.001  # as in the check of areas covered: areas typed with few digits
DUST = 1.000000001  # sums of converted figures may differ by this in binary
WHOLE = "all"
POSTED = ("manure_spread", "fertilizer", "harvest", "credits", "past_manure")
SUPPLYING = ("manure_spread", "fertilizer", "credits", "past_manure")  # what to go hangs on
Tests = Sequence[tuple[str, str]]


def ground() -> list[LiveColumn]:
    """The line's field, zone (0 is the whole field) and the area of the ground it is for."""
    zone = (
        f'IF([zone]="",0,IFERROR(MATCH([_field]&"|"&[zone],[zones._key],0),'
        f'IF([zone]={quoted(WHOLE)},0,"zone?")))'
    )
    area = "IF([_zone]>0,INDEX([zones.area],[_zone]),INDEX([fields._ground],[_field]))"
    return [
        LiveColumn(
            id="_field",
            formula='IF([field]="","",IFERROR(MATCH([field],[fields.field],0),"field?"))',
        ),
        LiveColumn(id="_zone", formula=f'IF(ISNUMBER([_field]),{zone},"")'),
        LiveColumn(id="_area", formula=f'IF(ISNUMBER([_zone]),{area},"")'),
    ]


def unit() -> LiveColumn:
    """The line of the unit in the table of units."""
    return LiveColumn(
        id="_unit", formula='IF([unit]="","",IFERROR(MATCH([unit],[units.key],0),"unit?"))'
    )


def state(sheet: Sheet, filled: Sequence[str], own: Tests) -> list[LiveColumn]:
    """Whether the line counts: blank, planned, ok, or the word for what it lacks.

    ``filled`` are the columns that make a line one; ``own`` are the sheet's tests beyond
    ground, dates and area covered. The second column is the field of lines that count.
    """
    tests = [("ISNUMBER([_field])", "field?"), ("ISNUMBER([_zone])", "zone?")]
    tests += [("ISNUMBER([_area])", "area?"), *own]
    for column in sheet.columns:
        if column.within:
            tests.append((day_fits(column), "date?"))
    if "area_covered" in sheet.by_id:
        fits = f"AND(ISNUMBER([area_covered]),[area_covered]<=[_area]*{AREA_SLACK})"
        tests.append((f'OR([area_covered]="",{fits})', "area?"))
    blank = "&".join(f"[{name}]" for name in filled)
    word = chain(tests, quoted(OK))
    if "status" in sheet.by_id:
        word = f"IF([status]={quoted(PLANNED)},{quoted(PLANNED)},{word})"
    return [
        LiveColumn(id="_state", formula=f'IF({blank}="","",IFERROR({word},"see balance"))'),
        LiveColumn(id="_counts", formula=f'IF([_state]={quoted(OK)},[_field],"")'),
    ]


def day_fits(column: Column) -> str:
    """A test: the day is in the crop year; blank will do where it is not required."""
    day = f"[{column.id}]"
    within = f"AND(ISNUMBER({day}),{day}>=[now.first_day],{day}<=[now.last_day])"
    return within if column.required else f'OR({day}="",{within})'


def per_ground(sheet: Sheet, amount: str) -> str:
    """A typed amount per area of the ground, in the ledger's units: a rate, or a total shared."""
    per_area = f"IF(INDEX([units.per_area],[_unit])=1,{covered(sheet)},1)"
    return f"{amount}*INDEX([units.factor],[_unit])*{per_area}/[_area]"


def covered(sheet: Sheet) -> str:
    """The area a line covers: what it says, else all of its ground."""
    if "area_covered" not in sheet.by_id:
        return "[_area]"
    return "IF(ISNUMBER([area_covered]),[area_covered],[_area])"


def positive(column: str) -> str:
    """A test: the cell holds a number above zero."""
    return f"AND(ISNUMBER([{column}]),[{column}]>0)"
