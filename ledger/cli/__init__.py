"""The command line: parse, call the pipeline, say what happened.

Machine output goes to stdout alone, words for people to stderr. Exit 0: clean or warnings
only; 1: errors in the workbook; 2: nothing could be done. Heavy libraries are loaded by the
commands that need them, so that ``--help`` answers at once. One module a command; each has
``add(commands)``.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from ledger import __version__
from ledger.cli import (
    balance,
    carry,
    check,
    combine,
    compare_sets,
    explain,
    export,
    new,
    report,
    share,
)
from ledger.cli.common import REFUSED, Refusal, say

COMMANDS = (new, check, balance, carry, report, share, export, explain, compare_sets, combine)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; return the exit code."""
    options = _parser().parse_args(arguments)
    try:
        return int(options.command(options))
    except Refusal as refusal:
        say(str(refusal))
    except Exception as problem:
        if not _is_foreseen(problem):
            raise
        say(f"{problem}")
    return REFUSED


def _is_foreseen(problem: Exception) -> bool:
    """Problems whose message is meant for the person: unreadable, unwritable, faulty data."""
    from xlsxwriter.exceptions import FileCreateError

    from ledger.build.csv_entries import EntryFileFault
    from ledger.definitions import DataFault
    from ledger.graft import GraftError
    from ledger.read import Unreadable
    from ledger.units import UnitFault

    full = FileCreateError  # what XlsxWriter makes of a full or forbidden temporary folder
    kinds = (EntryFileFault, DataFault, GraftError, Unreadable, UnitFault, OSError, full)
    return isinstance(problem, kinds)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="nutrient-ledger",
        description="A whole-farm nutrient ledger kept in a spreadsheet: it makes the workbook, "
        "checks what was filled in, credits manure, and balances every field.",
        epilog="Estimates only. Local rules, the product label and licensed advice come first.",
    )
    parser.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    for module in COMMANDS:
        module.add(commands)
    return parser
