"""Live level of every store: opening + what came in - what left it, as the Stores result has it."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

from ledger.live.columns import LiveColumn
from ledger.live.lines import day_fits, positive, unit
from ledger.live.shown import shown_factor
from ledger.live.text import chain, found_in, no_less_than_zero, plus, quoted, stands_once, summed
from ledger.live.words import DENSITY, DEPTH, OK, OPENING, TWICE
from ledger.model import Definitions, Sheet, System
from ledger.yard import MOVE_SIGNS

SIZES = {
    "box": ("length", "width"),
    "round tank": ("diameter",),
    "sloped basin": ("length", "width", "depth", "side_slope"),
}
SEEN = {  # heading and note of what people see
    "_opening": ("At the start", "On hand on the opening date, in the unit the store is kept in."),
    "_moved": ("In less out", "Made and brought, less sold and lost, since the opening date."),
    "_taken": ("Spread", "What your fields took since then, below zero because it left."),
    "_level": (
        "Level now",
        "The three before added up. A measured level changes nothing here; the balance shows the "
        "difference.",
    ),
}


def store_columns(definitions: Definitions, system: System) -> list[LiveColumn]:
    """The level now, in the unit the store is kept in, or the word for what is missing."""
    seen = {
        "_opening": (_opening(definitions, system), *SEEN["_opening"]),
        "_moved": (_since("store_moves", "_amount"), *SEEN["_moved"]),
        "_taken": (_since("manure_spread", "_taken"), *SEEN["_taken"]),
        "_level": (plus("[_opening]", "[_moved]", "[_taken]"), *SEEN["_level"]),
    }
    shown = [
        LiveColumn(
            id=name,
            title=title,
            unit="as kept",
            note=note,
            formula=_of_sound_store(value),
            width=12,
            look="live_whole",
        )
        for name, (value, title, note) in seen.items()
    ]
    return [
        *shown,
        LiveColumn(id="_state", formula=f'IF([store]="","",IFERROR({_whole()},"number?"))'),
        LiveColumn(id="_row", formula='IF([store]="","",MATCH([store],[stores.store],0))'),
        unit(),
        LiveColumn(id="_kind", formula=_of_unit("kind")),
        LiveColumn(id="_factor", formula=_of_unit("factor")),
    ]


def _of_sound_store(value: str) -> str:
    return f"IF([_state]={quoted(OK)},{value},[_state])"


def _of_unit(column: str) -> str:
    return f'IF(ISNUMBER([_unit]),INDEX([units.{column}],[_unit]),"")'


def _whole() -> str:
    """What must be there for a store to count, as the check has it."""
    tests = [(stands_once("stores", "store"), TWICE), ("ISNUMBER([_unit])", "unit?")]
    tests += [(f"OR([shape]<>{quoted(shape)},{_told(SIZES[shape])})", "size?") for shape in SIZES]
    depths = "[opening_depth]&[counted_depth]"
    tests += [
        (f'OR({depths}="",[shape]<>"")', "shape?"),
        ('OR([counted]&[counted_depth]="",ISNUMBER([counted_date]))', "date?"),
        ('OR([opening_date]="",ISNUMBER([opening_date]))', "date?"),
        (no_less_than_zero(("opening", "opening_depth", "counted", "counted_depth")), OPENING),
    ]
    return chain(tests, quoted(OK))


def _told(columns: Sequence[str]) -> str:
    return f"AND({','.join(f'ISNUMBER([{column}])' for column in columns)})"


def _since(sheet: str, column: str) -> str:
    """The sum of a sheet's lines about this store from its opening date on."""
    first = '">="&IF([opening_date]="",0,[opening_date])'
    return summed(sheet, column, [("_store", "[_row]", "date", first)])


def _opening(definitions: Definitions, system: System) -> str:
    """The opening in the store's unit: as typed, else by depth and shape."""
    depth = "[opening_depth]"
    by_depth = f"IF(ISNUMBER({depth}),{_at(depth, definitions, system)},{quoted(OPENING)})"
    return f"IF(ISNUMBER([opening]),[opening],{by_depth})"


def _at(depth: str, definitions: Definitions, system: System) -> str:
    """What a shape holds at a depth; a store kept by weight takes its first lot's density."""
    length = definitions.sheets["stores"].by_id["depth"].unit[system]
    cube_l = definitions.units[length].factor ** 3 * definitions.units["m3"].factor
    cubes = cube_l * shown_factor("L", definitions, system)
    by_shape = (
        f'IF([shape]="box",[length]*[width]*{depth},'
        f'IF([shape]="round tank",{pi / 4!r}*[diameter]*[diameter]*{depth},{_basin(depth)}))'
    )
    density = "INDEX([manure_lots.density],MATCH([_row],[manure_lots._store],0))"
    held = f"{cubes!r}/[_factor]*({by_shape})"
    by_weight = f"IF(ISNUMBER({density}),{held}*{density},{quoted(DENSITY)})"
    turned = f'IF([_kind]="volume",{held},IFERROR({by_weight},{quoted(DENSITY)}))'
    meets = "[side_slope]*2*[depth]>MIN([length],[width])"
    outside = f'IF([shape]="sloped basin",OR({depth}>[depth],{meets}),{depth}<0)'
    return f"IF({outside},{quoted(DEPTH)},{turned})"


def _basin(depth: str) -> str:
    """The prismoid below the surface: its area there, at half the depth and at the floor."""

    def area(part: str) -> str:
        drawn = f"2*[side_slope]*([depth]-{part}*{depth})"
        return f"([length]-{drawn})*([width]-{drawn})"

    return f"{depth}/6*({area('1')}+4*{area('0.5')}+{area('0')})"


# ---------------------------------------------------------------------- what moves a level
def move_columns(sheet: Sheet) -> list[LiveColumn]:
    """Helpers of a store move: its store, and its amount there, above zero when it came in."""
    signs = "".join(f"IF([kind]={quoted(kind)},{sign}," for kind, sign in MOVE_SIGNS.items())
    sign = f'{signs}""{")" * len(MOVE_SIGNS)}'
    tests = [
        ("ISNUMBER([_store])", "store?"),
        (f"ISNUMBER({sign})", "kind?"),
        (positive("amount"), "amount?"),
        ("ISNUMBER([_unit])", "unit?"),
        (day_fits(sheet.by_id["date"]), "date?"),
        ('OR([lot]="",ISNUMBER(MATCH([lot],[manure_lots.lot],0)))', "lot?"),
    ]
    density = "INDEX([manure_lots.density],[_lot])"
    own = "INDEX([units.kind],[_unit])"
    amount = f"({sign})*[amount]*INDEX([units.factor],[_unit])"
    return [
        LiveColumn(
            id="_state",
            formula=f'IF([store]&[amount]="","",IFERROR({chain(tests, quoted(OK))},"number?"))',
        ),
        LiveColumn(id="_store", formula=found_in("store", "stores", "store", "store?")),
        unit(),
        LiveColumn(id="_lot", formula=f'IF(ISNUMBER([_store]),IFERROR({_lot()},""),"")'),
        LiveColumn(id="_amount", formula=_of_sound_line(in_store(amount, own, density))),
    ]


def _lot() -> str:
    """The lot whose density holds: the one named, if it lies there, else the store's first."""
    named = "MATCH([lot],[manure_lots.lot],0)"
    first = "MATCH([_store],[manure_lots._store],0)"
    lies = f"INDEX([manure_lots._store],{named})=[_store]"
    return f'IF([lot]="",{first},IF({lies},{named},{first}))'


def _of_sound_line(value: str) -> str:
    return f"IF([_state]={quoted(OK)},{value},[_state])"


def in_store(amount: str, kind: str, density: str) -> str:
    """An amount of a kind (mass or volume) in the unit of the line's store."""
    kept = "INDEX([stores._kind],[_store])"
    turned = f'IF({kind}={kept},1,IF({kept}="mass",{density},1/{density}))'
    known = f"IF({kind}={kept},TRUE,IFERROR(ISNUMBER({density}),FALSE))"
    held = f"{amount}*{turned}/INDEX([stores._factor],[_store])"
    return f"IF({known},{held},{quoted(DENSITY)})"


def draw_columns(amount: str, density: str) -> list[LiveColumn]:
    """Helpers of a spreading line: the store it draws on; how much, below zero, as kept there."""
    counts = 'OR([_state]="",[_state]="planned",ISNUMBER([_lot])=FALSE)'
    store = f'IF({counts},"",INDEX([manure_lots._store],[_lot]))'
    taken = in_store(f"-{amount}", "[_kind]", density)
    return [
        LiveColumn(id="_store", formula=store),
        LiveColumn(id="_taken", formula=f'IF(ISNUMBER([_store]),{_of_sound_line(taken)},"")'),
    ]
