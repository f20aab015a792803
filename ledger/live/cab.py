"""Formulas of the Cab sheet: every zone in the order of its field, with what is still to go.

A field without zones is a line by itself. Lines are counted through on the Fields sheet, so
that the n-th of the Cab sheet is found wherever fields and zones stand.
"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.live.columns import LiveColumn
from ledger.live.overview import missed, not_counted
from ledger.live.text import quoted

SHEET_ID = "cab"
BLOCK = 4  # columns of a block: name, area, nitrogen and product still to go
NITROGEN, PRODUCT = 2, 3  # their places in it


def field_helpers() -> list[LiveColumn]:
    """How many lines a field has on the Cab sheet, and the number of the first."""
    lines = 'IF(ISNUMBER([_zones]),MAX([_zones],1),IF([field]="","",1))'
    first = 'SUMIFS([fields._lines],[fields._row],"<"&[_row])+1'
    return [
        LiveColumn(id="_row", formula="ROW()"),
        LiveColumn(id="_lines", formula=lines),
        LiveColumn(id="_line", formula=f'IF(ISNUMBER([_lines]),{first},"")'),
    ]


def zone_helpers() -> list[LiveColumn]:
    """The zone's field and its number among the zones of that field."""
    number = 'COUNTIFS([zones._field],[_field],[zones._row],"<="&[_row])'
    return [
        LiveColumn(id="_row", formula="ROW()"),
        LiveColumn(id="_nth", formula=f'IF(ISNUMBER([_field]),[_field]&"|"&{number},"")'),
    ]


@dataclass(frozen=True, kw_only=True)
class Finders:
    """The cells that find the n-th line: its field and its zone (0 is the whole field)."""

    number: int
    field: str
    zone: str

    def finding(self) -> tuple[str, str]:
        """What finds the field and, in it, the zone; blank past the last line."""
        started = f'COUNTIF([fields._line],"<={self.number}")'
        first = f"SMALL([fields._line],{started})"
        field = f"MATCH({first},[fields._line],0)"
        within = f"{self.number + 1}-INDEX([fields._line],{self.field})"
        zone = f'IFERROR(MATCH({self.field}&"|"&({within}),[zones._nth],0),0)'
        known = f"{self.number}<=SUM([fields._lines])"
        return (
            f'IF({known},IFERROR({field},""),"")',
            f'IF({self.field}="","",{zone})',
        )

    def shown(self) -> tuple[str, ...]:
        """Field and zone, area, nitrogen and product still to go per area."""
        field, zone = "INDEX([fields.{}],{})", "INDEX([zones.{}],{})"

        def of(in_zone: str, in_field: str) -> str:
            there = zone.format(in_zone, self.zone)
            alone = field.format(in_field, self.field)
            return f'IF({self.field}="","",IF({self.zone}>0,{there},{alone}))'

        both = f'{zone.format("field", self.zone)}&", "&{zone.format("zone", self.zone)}'
        alone = field.format("field", self.field)
        name = f'IF({self.field}="","",IF({self.zone}>0,{both},{alone}))'
        ground = f"IF(ISNUMBER({field.format('_field', self.field)}),{{}},{{}})"
        area = ground.format(
            field.format("_ground", self.field), field.format("_field", self.field)
        )
        return (
            name,
            f'IF({self.field}="","",IF({self.zone}>0,{zone.format("area", self.zone)},{area}))',
            of("_to_go_N", "_to_go_N"),
            of("_rate", "_rate"),
        )


def rate_heading() -> str:
    """What is put on and in which unit, by the Farm sheet."""
    product = "[farm.sidedress_product]"
    both = f'{product}&", "&[now.rate_unit]'
    return f'IF([now.rate_unit]="",{quoted("Product per area")},{both})'


def warning() -> str:
    """Words for lines that the figures leave out, or nothing: a rate may be too high then."""
    lines = f"({not_counted()}+{missed()})"
    before = quoted("Lines that do not count yet: ")
    after = quoted(". Rates may be too high; see the sheet Overview.")
    return f'IF({lines}>0,{before}&{lines}&{after},"")'


def not_shown(lines: int) -> str:
    """Words for the ground beyond the lines of the sheet, or nothing."""
    rest = f"SUM([fields._lines])-{lines}"
    words = quoted(" more lines: see the sheets Zones and Fields")
    return f'IF({rest}>0,{rest}&{words},"")'
