"""Write the combined tables line by line: a workbook, CSV or Parquet.

CSV and Parquet hold one table whose column ``level`` tells files, farms, fields and zones
apart; the workbook has a sheet for each. Files appear whole or not at all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.combine.rows import COLUMNS, COUNTS, LEVELS, TOTALS, Records, rows
from ledger.look import Look, set_up_page
from ledger.model import Definitions, System
from ledger.report.export import guarded
from ledger.report.units import Shown
from ledger.report.write import write_cell

if TYPE_CHECKING:
    import pandas as pd

ROWS_AT_ONCE = 5_000
MOST_LINES = 1_048_000  # of a sheet, by the file format
UNFINISHED = ".part"
_WHO = ("file", "farm", "year")
_WHERE = ("field", "zone", "crop", "custom", "incomplete", "area", "nutrient", *TOTALS)
SHEETS: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "file": ("Ledgers", (*_WHO, *COUNTS, "manure_set", "removal_set", "problem")),
    "all": ("All farms", ("year", "farm", "incomplete", "area", "nutrient", *TOTALS)),
    "farm": ("Farms", (*_WHO, "incomplete", "area", "nutrient", *TOTALS)),
    "custom": ("Custom work", (*_WHO, "area", "nutrient", *TOTALS)),
    "field": ("Fields", (*_WHO, "field", "incomplete", "area", "nutrient", *TOTALS)),
    "zone": ("Zones", (*_WHO, *_WHERE)),
}
FORMATS = {"float64": "one", "Int64": "text", "string": "text", "boolean": "text"}
WIDTHS = {"file": 40, "farm": 26, "field": 20, "zone": 14, "crop": 14, "problem": 80}


def write(records: Records, out: Path, definitions: Definitions, system: System | None) -> None:
    """Write the records in one system of units, that of the ledgers where they agree.

    Raises OSError when it cannot be written, or when a workbook cannot hold as many lines.
    """
    shown = Shown(definitions=definitions, system=system or _common(records))
    unfinished = out.with_name(f"{out.stem}{UNFINISHED}{out.suffix}")
    try:
        WRITERS[out.suffix.casefold()](records, unfinished, shown)
        unfinished.replace(out)
    finally:
        unfinished.unlink(missing_ok=True)


def _common(records: Records) -> System:
    units = {record["units"] for _, record in records if record["units"]}
    return "metric" if units == {"metric"} else "us"


# ------------------------------------------------------------------ workbook
def _workbook(records: Records, out: Path, shown: Shown) -> None:
    import xlsxwriter

    workbook = xlsxwriter.Workbook(str(out), {"constant_memory": True})
    look = Look(workbook)
    for level, (title, columns) in SHEETS.items():
        worksheet = workbook.add_worksheet(title)
        set_up_page(worksheet, title, "nutrient-ledger combine", repeat_row=0)
        worksheet.freeze_panes(1, 0)
        for at, column in enumerate(columns):
            worksheet.set_column(at, at, WIDTHS.get(column, 12))
            worksheet.write_string(0, at, _heading(column, shown), look["heading"])
        for number, row in enumerate(rows(records, level, shown), start=1):
            if number > MOST_LINES:
                raise OSError(f"the sheet {title} would be too long; write .csv or .parquet")
            for at, column in enumerate(columns):
                _cell(worksheet, number, at, row[column], column, look)
    workbook.close()


def _heading(column: str, shown: Shown) -> str:
    words = column.removesuffix("_total").replace("_", " ").capitalize()
    quantity = "mass" if column.endswith("_total") else column
    return f"{words} [{shown.label(quantity)}]" if quantity in ("mass", "area") else words


def _cell(worksheet: object, number: int, at: int, value: object, column: str, look: Look) -> None:
    name = FORMATS[COLUMNS[column]]
    if value is None and COLUMNS[column] == "float64":
        write_cell(worksheet, number, at, None, look["unknown"])
    elif isinstance(value, bool):
        write_cell(worksheet, number, at, "yes" if value else "", look[name])
    elif isinstance(value, (int, float, str)):
        write_cell(worksheet, number, at, value, look[name])


# ------------------------------------------------------------ CSV and Parquet
def _frames(records: Records, shown: Shown) -> Iterator[pd.DataFrame]:
    """All lines in frames of bounded size, each column of its type, missing values missing."""
    import pandas as pd  # heavy: only what writes tables loads it

    lines = (row for level in LEVELS for row in rows(records, level, shown))
    while chunk := list(islice(lines, ROWS_AT_ONCE)):
        yield pd.DataFrame(chunk, columns=list(COLUMNS)).astype(dict(COLUMNS))


def _csv(records: Records, out: Path, shown: Shown) -> None:
    with out.open("w", encoding="utf-8", newline="") as target:
        for number, frame in enumerate(_frames(records, shown)):
            for text in (name for name, kind in COLUMNS.items() if kind == "string"):
                frame[text] = frame[text].map(guarded, na_action="ignore")
            frame.to_csv(target, index=False, header=number == 0, lineterminator="\n")


def _parquet(records: Records, out: Path, shown: Shown) -> None:
    import pyarrow as pa
    import pyarrow.parquet as pq

    kinds = {"string": pa.string(), "Int64": pa.int64(), "boolean": pa.bool_()}
    schema = pa.schema([(name, kinds.get(kind, pa.float64())) for name, kind in COLUMNS.items()])
    with pq.ParquetWriter(out, schema) as target:
        for frame in _frames(records, shown):
            target.write_table(pa.Table.from_pandas(frame, schema=schema, preserve_index=False))


Writer = Callable[[Records, Path, Shown], None]
WRITERS: Mapping[str, Writer] = {".xlsx": _workbook, ".csv": _csv, ".parquet": _parquet}
