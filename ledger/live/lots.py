"""Live columns of manure lots and their lab slips: contents are means of all slips of a lot."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ledger.live.columns import LiveColumn
from ledger.live.lines import DUST
from ledger.live.text import NUMBER, chain, found_in, listed, no_less_than_zero, quoted, stands_once
from ledger.live.words import ANALYSIS, BASIS, KIND, OK, SAMPLE, TWICE
from ledger.model import Definitions

PARTS = {"ammonium": "n_ammonium", "nitrate": "n_nitrate"}  # of the total, for the check of it


def analyses(definitions: Definitions) -> dict[str, str]:
    """Nutrient -> the column of its content on the Manure lots sheet."""
    columns = {n.id: n.columns["lot"] for n in definitions.nutrients.values() if "lot" in n.columns}
    return {"N": "n_total", **columns}


def lot_columns(definitions: Definitions) -> list[LiveColumn]:
    """The figure used of each nutrient; contents per unit of material; is the line whole."""
    used = [
        LiveColumn(
            id=f"_used_{nutrient}",
            title=f"{definitions.nutrients[nutrient].stated_as} used",
            unit="as analysed",
            note="What is reckoned with: this line's figure, or its mean with the lot's lines on "
            "Manure samples. The balance shows least and most.",
            formula=f'IF([lot]="","",{_per_basis(f"[_content_{nutrient}]")})',
            look="live_two",
        )
        for nutrient in analyses(definitions)
    ]
    return [*used, *_lot_helpers(definitions)]


def _per_basis(content: str) -> str:
    return f"IF(ISNUMBER({content}),{content}/[_per],{content})"


def _lot_helpers(definitions: Definitions) -> Iterator[LiveColumn]:
    columns = analyses(definitions)
    slips = "COUNTIFS([manure_samples._{}],[_row])"
    tests = [
        (stands_once("manure_lots", "lot"), TWICE),
        ('[kind]<>""', KIND),
        ('[form]<>""', "form?"),
        *_sound_analysis(columns),
        (f"{slips.format('lot')}={slips.format('counts')}", SAMPLE),
        (_parts_within("[_content_N]", "[_content_ammonium]", "[_content_nitrate]"), "ammonium?"),
    ]
    yield LiveColumn(id="_state", formula=_state(tests))
    yield from _basis()
    yield LiveColumn(id="_row", formula='IF([lot]="","",MATCH([lot],[manure_lots.lot],0))')
    yield LiveColumn(id="_store", formula=found_in("store", "stores", "store", "store?"))
    for nutrient, column in columns.items():
        yield _mean(nutrient, column, ANALYSIS)
    for part, column in PARTS.items():
        yield _mean(part, column, "")


def _basis() -> list[LiveColumn]:
    """What the figures are per: the factor to a unit of material, and mass or volume."""
    per = listed("[per]", "bases", "factor", quoted(BASIS))
    kind = listed("[per]", "bases", "kind", quoted("mass"))
    return [
        LiveColumn(id="_per", formula=f'IF([lot]="","",{per})'),
        LiveColumn(id="_kind", formula=f'IF([lot]="","",{kind})'),
    ]


def _state(tests: Sequence[tuple[str, str]]) -> str:
    return f'IF([lot]="","",IFERROR({chain(tests, quoted(OK))},"number?"))'


def _sound_analysis(columns: Mapping[str, str]) -> list[tuple[str, str]]:
    """Tests of one slip: its basis, no figure below zero, its parts within its total."""
    told = [*columns.values(), *PARTS.values()]
    filled = "&".join(f"[{column}]" for column in told)
    return [
        (f'OR({filled}="",ISNUMBER([_per]))', BASIS),
        (no_less_than_zero(told), "below zero?"),
        (_parts_within("[n_total]", "[n_ammonium]", "[n_nitrate]"), "ammonium?"),
    ]


def _parts_within(total: str, *parts: str) -> str:
    told = "+".join(f"IF(ISNUMBER({part}),{part},0)" for part in parts)
    return f'IF(ISNUMBER({total}),{told}<={total}*{DUST},[lot]<>"")'


def _mean(name: str, column: str, unknown: str) -> LiveColumn:
    """The mean of the lot's own figure and those of its slips that know it, per unit."""
    content = f"[manure_samples._content_{name}]"
    of_lot = "[manure_samples._counts],[_row]"
    number = f"(ISNUMBER([{column}])*1+COUNTIFS({of_lot},{content},{NUMBER}))"
    total = f"(IF(ISNUMBER([{column}]),[{column}]*[_per],0)+SUMIFS({content},{of_lot}))"
    known = f"IF(ISNUMBER([_per]),{total}/{number},[_per])"
    formula = f'IF([lot]="","",IF({number}=0,{quoted(unknown)},{known}))'
    return LiveColumn(id=f"_content_{name}", formula=formula)


def sample_columns(definitions: Definitions) -> list[LiveColumn]:
    """Helpers of a further slip: its lot, whether it counts, its contents per unit."""
    columns = analyses(definitions)
    same = "[_kind]=INDEX([manure_lots._kind],[_lot])"
    tests = [
        ("ISNUMBER([_lot])", "lot?"),
        ("ISNUMBER([sampled])", "date?"),
        *_sound_analysis(columns),
        (f'OR([per]="",{same})', BASIS),
    ]
    contents = {**columns, **PARTS}
    return [
        LiveColumn(id="_state", formula=_state(tests)),
        LiveColumn(id="_counts", formula=f'IF([_state]={quoted(OK)},[_lot],"")'),
        LiveColumn(id="_lot", formula=found_in("lot", "manure_lots", "lot", "lot?")),
        *_basis(),
        *(
            LiveColumn(
                id=f"_content_{name}",
                formula=f'IF(ISNUMBER([{column}]),IF(ISNUMBER([_per]),[{column}]*[_per],""),"")',
            )
            for name, column in contents.items()
        ),
    ]
