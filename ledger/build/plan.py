"""What every sheet of a new workbook must know: definitions, year, units, where rows lie.

Rows and columns are counted from 0 here, as XlsxWriter counts them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from ledger.layout import letter
from ledger.model import Column, Definitions, Sheet, System
from ledger.season import crop_year

TITLE_ROW, HELP_ROW, EXAMPLE_ROW, KEY_ROW, HEADING_ROW, FIRST_ROW = range(6)
# The key row of sheets that print on several pages. After a hidden row LibreOffice counts a page
# too many where repeated headings leave the last page all but full; a page break by hand would
# help there, but Gnumeric then counts hundreds.
THIN_PT = 1
START = "Start"
BACK = (f"internal:'{START}'!A1", f"Back to {START}")
FARM_NAME_IN_FOOTER = 100  # characters; a whole footer holds 255


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The arguments of one new workbook, and what follows from them."""

    definitions: Definitions
    system: System
    year: int
    entries: Mapping[str, Sequence[Mapping[str, object]]]
    own: Mapping[str, object] = field(default_factory=dict)

    @property
    def title(self) -> str:
        """The title of the workbook."""
        return f"Nutrient ledger, crop year {self.year}"

    @property
    def footer(self) -> str:
        """Farm name and year for the foot of a page; an ampersand is doubled there."""
        farm = next(iter(self.entries.get("farm", ())), {})
        name = str(farm.get("farm_name", ""))[:FARM_NAME_IN_FOOTER].replace("&", "&&")
        return f"{name} {self.year}".strip()

    @property
    def days(self) -> tuple[date, date]:
        """First and last day of the crop year."""
        return crop_year(self.year, self.definitions)

    def last_row(self, sheet: Sheet, *, live: bool = False) -> int:
        """The last row made ready for entries; more when more are filled in.

        With ``live`` the last row that has live figures: fewer on sheets that stay short.
        """
        filled = len(self.entries.get(sheet.id, ()))
        if sheet.prefill == "products":
            filled += len(self.definitions.products)
        ready = int(self.definitions.settings["prepared_rows"])
        if live:
            ready = int(self.definitions.settings["live_rows"].get(sheet.id, ready))
        return FIRST_ROW + max(ready, filled) - 1

    def source(self, sheet_id: str, column_id: str) -> str:
        """The cells of another sheet's column, as a drop-down refers to them."""
        sheet = self.definitions.sheets[sheet_id]
        at = letter(list(sheet.by_id).index(column_id))
        return f"='{sheet.title}'!${at}${FIRST_ROW + 1}:${at}${self.last_row(sheet) + 1}"


def cell_schema(sheet: Sheet, column: Column) -> Mapping[str, Any]:
    """The limits of a column's cells, apart from the words it takes instead of a number."""
    cell: Mapping[str, Any] = sheet.schema["properties"][column.id]
    return cell["anyOf"][0] if "anyOf" in cell else cell
