"""The command line: parse, call the pipeline, say what happened.

Machine output goes to stdout alone, words for people to stderr. Exit 0: clean or warnings
only; 1: errors in the workbook; 2: nothing could be done. Heavy libraries are loaded by the
commands that need them, so that ``--help`` answers at once.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ledger import __version__

if TYPE_CHECKING:
    from ledger.model import Definitions, Finding

CLEAN, ERRORS, REFUSED = 0, 1, 2


class Refusal(Exception):
    """Something that stops a command before it did anything; the text says what to do."""


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
    from ledger.build.csv_entries import EntryFileFault
    from ledger.definitions import DataFault
    from ledger.graft import GraftError
    from ledger.read import Unreadable
    from ledger.units import UnitFault

    kinds = (EntryFileFault, DataFault, GraftError, Unreadable, UnitFault, OSError)
    return isinstance(problem, kinds)


def say(text: str) -> None:
    """A line for people."""
    print(text, file=sys.stderr)


def progress(text: str) -> None:
    """Where long work stands; only when somebody watches."""
    if sys.stderr.isatty():
        say(f"... {text}")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="nutrient-ledger",
        description="A whole-farm nutrient ledger kept in a spreadsheet: it makes the workbook, "
        "checks what was filled in, credits manure, and balances every field.",
        epilog="Estimates only. Local rules, the product label and licensed advice come first.",
    )
    parser.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    _add_new(commands)
    _add_check(commands)
    _add_balance(commands)
    return parser


def _command(commands: Any, name: str, does: str, run: Any) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = commands.add_parser(name, help=does, description=does)
    parser.add_argument("file", type=Path, metavar="FILE", help="the workbook (.xlsx)")
    parser.add_argument(
        "--templates", type=Path, metavar="DIR", help="definitions other than the ledger's own"
    )
    parser.set_defaults(command=run)
    return parser


def _definitions(options: argparse.Namespace) -> Definitions:
    from ledger import definitions

    folder: Path | None = options.templates
    if folder is not None and not (folder / "settings.json").is_file():
        raise Refusal(f"{folder} holds no definitions; copy the ledger's templates folder there")
    return definitions.load(folder)


# ------------------------------------------------------------------------ new
def _add_new(commands: Any) -> None:
    parser = _command(commands, "new", "make a workbook to fill in", _new)
    parser.add_argument("--year", type=int, metavar="Y", help="crop year (default: this year)")
    parser.add_argument("--units", choices=("us", "metric"), default=None)
    parser.add_argument(
        "--entries",
        type=Path,
        metavar="DIR",
        help="pre-fill from DIR/<sheet id>.csv, whose headers are column ids",
    )


def _new(options: argparse.Namespace) -> int:
    if options.file.exists():
        raise Refusal(f"{options.file} is there already; choose another name, nothing was changed")
    content = workbook_for(
        _definitions(options), year=options.year, units=options.units, folder=options.entries
    )
    with options.file.open("xb") as target:
        target.write(content)
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
    chosen = year or (int(said) if isinstance(said, (int, float)) else date.today().year)
    return pipeline.blank(
        definitions,
        year=chosen,
        system="metric" if system == "metric" else "us",
        entries=entries,
    )


# ---------------------------------------------------------------------- check
def _add_check(commands: Any) -> None:
    parser = _command(commands, "check", "list everything to mend, cell by cell", _check)
    parser.add_argument("--json", action="store_true", help="print the findings as JSON")


def _check(options: argparse.Namespace) -> int:
    from ledger import pipeline
    from ledger.report.document import finding_item

    done = pipeline.run(options.file.read_bytes(), _definitions(options))
    found = done.results.findings
    if options.json:
        print(json.dumps([finding_item(item) for item in found], indent=2, ensure_ascii=False))
    else:
        _list(found)
    return CLEAN if done.clean else ERRORS


def _list(found: Sequence[Finding]) -> None:
    from ledger.findings import as_line
    from ledger.report.results import counted

    for item in found:
        print(as_line(item))
    say(counted(found))


# -------------------------------------------------------------------- balance
def _add_balance(commands: Any) -> None:
    does = "check, post and balance; write the result sheets into the workbook"
    parser = _command(commands, "balance", does, _balance)
    parser.add_argument("--out", type=Path, metavar="FILE", help="write to a copy instead")
    parser.add_argument(
        "--json",
        action="store_true",
        help="print the result document; the workbook is then left alone unless --out is given",
    )
    parser.add_argument("--no-write", action="store_true", help="write no workbook")
    parser.add_argument("--force", action="store_true", help="write though a lock file is there")


def _balance(options: argparse.Namespace) -> int:
    from ledger import pipeline, report
    from ledger.graft.save import stamp

    definitions = _definitions(options)
    progress("reading and reckoning")
    seen = stamp(options.file)
    content = options.file.read_bytes()
    done = pipeline.run(content, definitions)
    if options.json:
        document = report.document(done.results, definitions)
        print(json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _list(done.results.findings)
    if not options.no_write and (options.out or not options.json):
        progress("writing the result sheets")
        _write(options, pipeline.with_results(content, done, definitions), seen)
    return CLEAN if done.clean else ERRORS


def _write(options: argparse.Namespace, content: bytes, seen: Any) -> None:
    from ledger.graft.save import replace_atomically

    target = options.out or options.file
    same = target.exists() and options.file.samefile(target)
    expected = seen if same else None
    if options.out and target.exists() and not same and not options.force:
        raise Refusal(f"{target} is there already; choose another name or add --force")
    backup = replace_atomically(target, content, expected=expected, force=options.force)
    say(f"Wrote the result sheets into {target}.")
    if backup:
        say(f"The workbook as it was: {backup}")
