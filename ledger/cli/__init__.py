"""The command line: parse, call the pipeline, say what happened.

Machine output goes to stdout alone, words for people to stderr. Exit 0: clean or warnings
only; 1: errors in the workbook; 2: nothing could be done. Heavy libraries are loaded by the
commands that need them, so that ``--help`` answers at once. One module a command; each has
``add(commands)``.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from pathlib import Path

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

TRACE = "LEDGER_TRACE"  # set in the environment of who hunts a fault of the program


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; return the exit code."""
    options = _parser().parse_args(arguments)
    try:
        return int(options.command(options))
    except Refusal as refusal:
        say(str(refusal))
    except KeyboardInterrupt:
        say("Stopped. A workbook is either as it was or written whole.")
    except Exception as problem:
        say(_in_words(problem) if _is_foreseen(problem) else _own_fault(problem))
        if TRACE in os.environ and not _is_foreseen(problem):
            raise
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


def _in_words(problem: Exception) -> str:
    if isinstance(problem, OSError) and problem.filename and problem.strerror:
        return f"{problem.filename}: {problem.strerror}. Look at the name and the folder."
    return str(problem)


def _own_fault(problem: Exception) -> str:
    """What to say of a fault that is the program's and not the workbook's."""
    from traceback import extract_tb

    last = extract_tb(problem.__traceback__)[-1]
    place = f"{Path(last.filename).name} line {last.lineno}"
    return (
        f"The program itself failed ({type(problem).__name__}: {problem}; {place}). "
        "Nothing in the workbook was changed. Please tell who maintains it, with this message "
        f"and, if you can, the workbook; {TRACE}=1 shows all of it."
    )


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
