"""Read a workbook: find our sheets by their marks and take their rows as typed.

A stage: ``read(file, definitions) -> (Reading, findings)``. What cannot be opened at all
raises ``Unreadable``; everything else that is wrong is a finding.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ledger import findings
from ledger.model import Definitions, Finding, Grid, Reading, Row
from ledger.read.package import Unreadable, open_workbook
from ledger.read.recognise import Spotted, spot
from ledger.read.rows import rows_of

__all__ = ["Unreadable", "read"]


def read(content: bytes, definitions: Definitions) -> tuple[Reading, list[Finding]]:
    """Rows of every entry sheet in a workbook's bytes, as typed, blank cells left out.

    Sheets and columns are found by the hidden key row, or by their headings when that row
    is gone; never by sheet name, order or position. Raises ``Unreadable``.
    """
    workbook = open_workbook(content)
    looked = (spot(sheet, definitions) for sheet in workbook.worksheets)
    spotted = [sheet for sheet in looked if sheet]
    entry_sheets = [found for found in spotted if found.kind == "entry"]
    if not entry_sheets:
        raise Unreadable(
            "no sheet of this workbook carries the ledger's marks or headings",
            "Make a workbook with 'nutrient-ledger new' and fill that in.",
        )
    chosen, found = _choose(entry_sheets, definitions)
    rows: dict[str, Sequence[Row]] = {}
    for sheet_id, sheet in chosen.items():
        found += sheet.findings
        rows[sheet_id] = rows_of(sheet, definitions)
    reading = Reading(
        system=next((s.system for s in entry_sheets if s.system), "us"),
        rows=rows,
        grids=_grids(chosen, definitions),
        result_sheets={s.sheet_id: s.grid.sheet_name for s in spotted if s.kind == "result"},
        names=tuple(workbook.sheetnames),
    )
    return reading, found


def _choose(
    spotted: Sequence[Spotted], definitions: Definitions
) -> tuple[dict[str, Spotted], list[Finding]]:
    chosen: dict[str, Spotted] = {}
    found = []
    for sheet in spotted:
        first = chosen.setdefault(sheet.sheet_id, sheet)
        if first is not sheet:
            names = {"read": sheet.grid.sheet_name, "expected": first.grid.sheet_name}
            found.append(
                findings.at(definitions, "sheet-twice", sheet.grid.sheet_name, "A1", **names)
            )
    for sheet_id, sheet_definition in definitions.sheets.items():
        if sheet_id not in chosen:
            title = sheet_definition.title
            found.append(findings.at(definitions, "sheet-missing", title, "", expected=title))
    return chosen, found


def _grids(chosen: Mapping[str, Spotted], definitions: Definitions) -> dict[str, Grid]:
    missing = {
        name: Grid(sheet_id=name, sheet_name=sheet.title, letters={}, pair_rows={})
        for name, sheet in definitions.sheets.items()
    }
    return {**missing, **{name: sheet.grid for name, sheet in chosen.items()}}
