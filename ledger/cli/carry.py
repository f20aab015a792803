"""``carry``: make next year's workbook from this year's."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from ledger.cli.common import CLEAN, Refusal, command, load_definitions, progress, say


def add(commands: Any) -> None:
    does = "make next year's workbook: what lasts is carried, the old one stays as it is"
    parser = command(commands, "carry", does, _run)
    parser.add_argument("new", type=Path, metavar="NEWFILE", help="the workbook to make (.xlsx)")
    parser.add_argument(
        "--despite-errors",
        action="store_true",
        help="carry a ledger with errors; the lines at fault are dropped",
    )


def _run(options: argparse.Namespace) -> int:
    from ledger import pipeline

    if options.new.exists():
        raise Refusal(f"{options.new} is there already; choose another name, nothing was changed")
    definitions = load_definitions(options)
    progress("reading and reckoning")
    done = pipeline.run(options.file.read_bytes(), definitions)
    if not done.clean and not options.despite_errors:
        raise Refusal(
            f"{options.file} has errors, so what it would hand on is not whole. Mend them "
            "(nutrient-ledger check lists them), or add --despite-errors; nothing was made"
        )
    content, carried = pipeline.next_year(done.results, definitions)
    with options.new.open("xb") as target:
        target.write(content)
    for line in carried.told(definitions):
        print(line)
    say(f"Made {options.new} for the crop year {carried.year}; {options.file} stays as it was.")
    return CLEAN
