"""``new``: make a workbook to fill in, blank or from CSV entries."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ledger.cli.common import CLEAN, Refusal, command, load_definitions, say

if TYPE_CHECKING:
    from ledger.model import Definitions


def add(commands: Any) -> None:
    parser = command(commands, "new", "make a workbook to fill in", _run)
    parser.add_argument("--year", type=int, metavar="Y", help="crop year (default: this year)")
    parser.add_argument("--units", choices=("us", "metric"), default=None)
    parser.add_argument(
        "--entries",
        type=Path,
        metavar="DIR",
        help="pre-fill from DIR/<sheet id>.csv, whose headers are column ids",
    )


def _run(options: argparse.Namespace) -> int:
    from ledger.graft.save import replace_atomically

    if options.file.exists():
        raise Refusal(f"{options.file} is there already; choose another name, nothing was changed")
    content = workbook_for(
        load_definitions(options), year=options.year, units=options.units, folder=options.entries
    )
    replace_atomically(options.file, content, expected=None)
    say(f"Made {options.file}. Open it in a spreadsheet program and begin at the sheet Start.")
    return CLEAN


def workbook_for(
    definitions: Definitions, *, year: int | None, units: str | None, folder: Path | None
) -> bytes:
    """A new workbook's bytes; year and units fall back to the entries' farm sheet."""
    from datetime import date

    from ledger import pipeline
    from ledger.build.csv_entries import read_entries

    entries = read_entries(folder, definitions) if folder else {}
    farm: Mapping[str, object] = next(iter(entries.get("farm", [])), {})
    written = str(farm.get("units", ""))
    system = units or written or "us"
    if written not in ("", system):
        raise Refusal(f"farm.csv says units {written!r} and --units says {system}; make them one")
    if system not in ("us", "metric"):
        raise Refusal(f"farm.csv: units reads {system!r}; expected us or metric")
    said = farm.get("year", date.today().year)
    read = year if year is not None else said
    chosen = int(read) if isinstance(read, (int, float)) else date.today().year
    _refuse_far_year(chosen, "--year" if year is not None else "farm.csv: year", definitions)
    return pipeline.blank(
        definitions,
        year=chosen,
        system="metric" if system == "metric" else "us",
        entries=entries,
    )


def _refuse_far_year(year: int, place: str, definitions: Definitions) -> None:
    """Refuse a crop year that ``check`` would refuse, by the bounds of the Farm sheet."""
    bounds = definitions.sheets["farm"].schema["properties"]["year"]
    first, last = bounds["minimum"], bounds["maximum"]
    if not first <= year <= last:
        raise Refusal(f"{place} reads {year}; expected a crop year from {first} to {last}")
