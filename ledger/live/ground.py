"""Live columns of the Zones and Fields sheets: what every part of the ground got and gave.

The figures of a zone are sums of its lines and of the lines for its whole field, all per area.
A field with zones shows their mean by area; one without is a zone itself.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Literal

from ledger.live import cab
from ledger.live.columns import LiveColumn
from ledger.live.lines import POSTED, SUPPLYING
from ledger.live.text import NUMBER, minus, plus, quoted, summed
from ledger.live.words import BALANCE, CROP, LINES, NEED, TWICE, ZONES
from ledger.model import FIGURES, TO_GO, Definitions, Sheet, System

Kind = Literal["zones", "fields"]
SEEN = ("need", "supply", "to_go")  # of nitrogen; of every nutrient the balance is seen
TITLES = {
    "need": "{n} need",
    "supply": "{n} supplied",
    "to_go": "{n} still to go",
    "balance": "{n} balance",
}
NOTES = {
    "need": "What the crop wants of {n}.",
    "supply": "What the crop can use of {n} from all lines so far.",
    "to_go": "Need less supply; below zero is over. Of a field with zones: what those that are "
    "short still want, over the whole field. 'see lines' while a line of the field does not count.",
    "balance": "All {n} applied less what harvest carried off.",
}


def zone_columns(definitions: Definitions, system: System) -> list[LiveColumn]:
    """Live columns of the Zones sheet."""
    place = 'IFERROR(MATCH([field],[fields.field],0),"")'
    crop = (
        'IFERROR(MATCH([_field]&"|"&[_zone],[crops._key],0),'
        f'IFERROR(MATCH([_field]&"|0",[crops._key],0),{quoted(CROP)}))'
    )
    return [
        *_figures("zones", definitions, system),
        LiveColumn(
            id="_field",
            formula=f'IF(OR([field]="",[zone]="",ISNUMBER([area])=FALSE),"",{place})',
        ),
        LiveColumn(id="_key", formula='IF(ISNUMBER([_field]),[_field]&"|"&[zone],"")'),
        LiveColumn(id="_zone", formula='IF([_key]="","",MATCH([_key],[zones._key],0))'),
        LiveColumn(id="_crop", formula=f'IF([_key]="","",{crop})'),
        *cab.zone_helpers(),
    ]


def field_columns(sheet: Sheet, definitions: Definitions, system: System) -> list[LiveColumn]:
    """Live columns of the Fields sheet."""
    name = "[field]"
    place = f"IF(COUNTIF([fields.field],{name})>1,{quoted(TWICE)},MATCH({name},[fields.field],0))"
    return [
        LiveColumn(
            id="_gap",
            title="Zones less field",
            unit=definitions.shown_in[system]["area"],
            note="How far the areas of the zones miss the field's; 'none' when it has no zones.",
            formula='IF(ISNUMBER([_field]),IF([_zones]=0,"none",[_ground]-[area]),[_field])',
            look="live_two",
        ),
        LiveColumn(
            id="_mend",
            title="Lines to mend",
            note="Lines of this field that do not count yet; their live columns say why.",
            formula=f'IF(ISNUMBER([_field]),{_not_counted(POSTED, definitions)},"")',
            look="live_whole",
        ),
        *_figures("fields", definitions, system),
        *_field_helpers(place),
        LiveColumn(
            id="_unsure",
            formula=f'IF(ISNUMBER([_field]),{_not_counted(SUPPLYING, definitions)},"")',
        ),
        *cab.field_helpers(),
    ]


def _field_helpers(place: str) -> list[LiveColumn]:
    """What the live columns of fields lean on: the field's own line, its zones, its crop."""
    return [
        LiveColumn(
            id="_field",
            formula=f'IF([field]="","",IF(ISNUMBER([area]),{place},"area?"))',
        ),
        LiveColumn(
            id="_zones", formula='IF(ISNUMBER([_field]),COUNTIF([zones._field],[_field]),"")'
        ),
        LiveColumn(
            id="_ground",
            formula="IF(ISNUMBER([_field]),"
            'IF([_zones]>0,SUMIFS([zones.area],[zones._field],[_field]),[area]),"")',
        ),
        LiveColumn(id="_own", formula='IF(ISNUMBER([_field]),IF([tenure]="custom",0,1),"")'),
        LiveColumn(
            id="_crop",
            formula="IF(ISNUMBER([_field]),"
            f'IFERROR(MATCH([_field]&"|0",[crops._key],0),{quoted(CROP)}),"")',
        ),
    ]


def _not_counted(sheets: Sequence[str], definitions: Definitions) -> str:
    """How many lines of some sheets name the field and do not count yet."""
    return "+".join(
        f"COUNTIFS([{s}._field],[_field])"
        f"-COUNTIFS([{s}._counts],[_field])-{_planned(s, definitions)}"
        for s in sheets
    )


def _planned(sheet: str, definitions: Definitions) -> str:
    if "status" not in definitions.sheets[sheet].by_id:
        return "0"
    return f'COUNTIFS([{sheet}._field],[_field],[{sheet}._state],"planned")'


def _figures(kind: Kind, definitions: Definitions, system: System) -> list[LiveColumn]:
    per_area = definitions.shown_in[system]["mass per area"]
    found: list[LiveColumn] = []
    for nutrient in definitions.nutrients.values():
        for figure, formula in figure_formulas(kind, nutrient.id, definitions).items():
            seen = figure == "balance" or (nutrient.id == "N" and figure in SEEN)
            stated = nutrient.stated_as
            found.append(
                LiveColumn(
                    id=f"_{figure}_{nutrient.id}",
                    title=TITLES[figure].format(n=stated) if seen else "",
                    unit=per_area,
                    note=NOTES.get(figure, "").format(n=stated),
                    formula=f'IF(ISNUMBER([_field]),{formula},"")',
                )
            )
    product = LiveColumn(
        id="_rate",
        title="Product still to go",
        unit="see Farm",
        note="Nitrogen still to go in the sidedress product of the Farm sheet, per area: by volume "
        "when its density is given, else by weight. Nothing below the least worth a pass; a field "
        "with zones has none of its own.",
        formula=f'IF(ISNUMBER([_field]),{_rate(kind)},"")',
    )
    shown = [column for column in found if column.shown]
    order = {figure: rank for rank, figure in enumerate((*SEEN, "balance"))}
    shown.sort(key=lambda column: order[column.id[1 : column.id.rindex("_")]])
    cut = len(SEEN)
    return [*shown[:cut], product, *shown[cut:], *(c for c in found if not c.shown)]


def figure_formulas(kind: Kind, nutrient: str, definitions: Definitions) -> Mapping[str, str]:
    """The formula of every figure of a statement for one nutrient, per area of ground."""
    own = _own(kind)
    roles = definitions.nutrients[nutrient].columns
    lot = nutrient == "N" or "lot" in roles
    need = f"IF(ISNUMBER([_crop]),INDEX([crops._need_{nutrient}],[_crop]),[_crop])"
    primary = {
        "manure": own("manure_spread", f"_total_{nutrient}") if lot else "0",
        "manure_credit": own("manure_spread", f"_credit_{nutrient}") if lot else "0",
        "fertilizer": own("fertilizer", f"_{nutrient}") if "product" in roles else "0",
        "credits": _credits(own, nutrient, definitions),
        "residual": own("past_manure", f"_{nutrient}") if lot else "0",
        "removal": own("harvest", f"_{nutrient}") if "harvest" in roles else "0",
        "need": need if "need" in roles else quoted(NEED),
    }

    def cell(figure: str) -> str:
        return f"[_{figure}_{nutrient}]"

    supply = plus(*(cell(f) for f in ("manure_credit", "fertilizer", "credits", "residual")))
    derived = {
        "applied": plus(cell("manure"), cell("fertilizer")),
        "supply": supply,
        "balance": minus(cell("applied"), cell("removal")),
    }
    every = {**primary, **derived}
    to_go = _if_sure(kind, minus(cell("need"), cell("supply")))
    if kind == "fields":
        # Sums of zones for what zones differ in; what follows from sums follows here too.
        every = {
            figure: formula if figure in derived else _of_zones(f"_{figure}_{nutrient}", formula)
            for figure, formula in every.items()
        }
        to_go = _of_zones(f"_{TO_GO}_{nutrient}", to_go, f"*([zones._{TO_GO}_{nutrient}]>0)")
    every[TO_GO] = to_go
    return {figure: every[figure] for figure in FIGURES}


Own = Callable[[str, str], str]


def _own(kind: Kind) -> Own:
    """How a zone, or a field without zones, sums a column of a sheet."""

    def of_zone(sheet: str, column: str) -> str:
        field = ("_counts", "[_field]")
        return summed(sheet, column, [(*field, "_zone", "0"), (*field, "_zone", "[_zone]")])

    def of_field(sheet: str, column: str) -> str:
        return summed(sheet, column, [("_counts", "[_field]")])

    return of_zone if kind == "zones" else of_field


def _if_sure(kind: Kind, to_go: str) -> str:
    """What is to go, or a word while a line that may supply the ground does not count yet."""
    unsure = "[_unsure]" if kind == "fields" else "INDEX([fields._unsure],[_field])"
    return f"IF({unsure}>0,{quoted(LINES)},{to_go})"


def _of_zones(column: str, alone: str, counting: str = "*1") -> str:
    """The mean over a field's zones by area; ``counting`` says which of them count."""
    whole = f"COUNTIFS([zones._field],[_field],[zones.{column}],{NUMBER})=[_zones]"
    chosen = f"([zones._field]=[_field]){counting}"
    mean = f"SUMPRODUCT({chosen},[zones.area],[zones.{column}])/[_ground]"
    return f"IF([_zones]=0,{alone},IF({whole},{mean},{quoted(ZONES)}))"


def _credits(own: Own, nutrient: str, definitions: Definitions) -> str:
    """Credits, the crops before, and soil nitrate, whose layers are for the balance alone."""
    if nutrient != str((definitions.sheets["credits"].posting or {})["nutrient"]):
        return "0"
    before = "IF(ISNUMBER([_crop]),INDEX([crops._credit],[_crop]),0)"
    sampled = 'COUNTIFS([soil_tests.field],[field],[soil_tests.sample_kind],"preplant nitrate")>0'
    lines = own("credits", f"_{nutrient}")
    total = f"IF(ISNUMBER({before}),{lines}+{before},{before})"
    return f"IF({sampled},{quoted(BALANCE)},IFERROR({total},{quoted(LINES)}))"


def _rate(kind: Kind) -> str:
    enough = "AND([_to_go_N]>0,[_to_go_N]>=[now.least])"
    held = "[now.per_product]"
    rate = f"IF(ISNUMBER({held}),IF({enough},[_to_go_N]/{held},0),{held})"
    rate = f"IF(ISNUMBER([_to_go_N]),{rate},[_to_go_N])"
    return rate if kind == "zones" else f"IF([_zones]=0,{rate},{quoted(ZONES)})"
