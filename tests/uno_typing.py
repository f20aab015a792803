"""Type into a workbook as a person does, in LibreOffice; run by the system's own Python.

    /usr/bin/python3 uno_typing.py PIPE WORKBOOK.xlsx TYPED.json OUT.xlsx

TYPED.json is a list of [sheet, cell, text]. Every text goes in as if typed; where the cell has
a drop-down, the text must be among the words that it offers at that moment.
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

from uno_operations import connect, uno, value

LISTED = "LIST"  # the kind of validation that offers words


def main(pipe: str, workbook: str, typed: str, out: str) -> None:
    desktop = connect(pipe)
    try:
        document = desktop.loadComponentFromURL(
            Path(workbook).as_uri(), "_blank", 0, (value("Hidden", True),)
        )
        for sheet, address, text in json.loads(Path(typed).read_text("utf-8")):
            cell = document.Sheets.getByName(sheet).getCellRangeByName(address)
            offered = words_offered(document, cell)
            if offered is not None and text not in offered:
                raise SystemExit(f"{sheet}!{address}: the drop-down does not offer {text!r}")
            cell.FormulaLocal = text
        document.calculate()
        as_xlsx = value("FilterName", "Calc MS Excel 2007 XML")
        document.storeToURL(Path(out).as_uri(), (as_xlsx,))
        document.close(True)
    finally:
        desktop.terminate()


def words_offered(document: Any, cell: Any) -> set[str] | None:
    """The words of a cell's drop-down, or None when it has none (or only hints)."""
    validation = cell.Validation
    if validation.Type.value != LISTED or validation.ErrorAlertStyle.value != "STOP":
        return None
    formula = str(validation.getFormula1())
    if '"' in formula:
        return set(re.findall(r'"([^"]*)"', formula))
    sheet, _, cells = formula.replace("$", "").rpartition(".")
    area = document.Sheets.getByName(sheet.strip("'")).getCellRangeByName(cells)
    return {str(line[0]) for line in area.DataArray if line[0] != ""}


if __name__ == "__main__":
    assert uno is not None
    main(*sys.argv[1:])
