"""``carry``: make next year's workbook from this year's."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from ledger.cli.common import CLEAN, Refusal, command, content_of, load_definitions, progress, say
from ledger.cli.papers import write_new


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
    done = pipeline.run(content_of(options.file), definitions)
    if not done.clean and not options.despite_errors:
        raise Refusal(
            f"{options.file} has errors, so what it would hand on is not whole. Mend them "
            "(nutrient-ledger check lists them), or add --despite-errors; nothing was made"
        )
    content, carried = pipeline.next_year(done.results, definitions)
    write_new(options.new, content, ledger=options.file, force=False)
    for line in carried.told(definitions):
        print(line)
    say(f"Made {options.new} for the crop year {carried.year}; {options.file} stays as it was.")
    return CLEAN
