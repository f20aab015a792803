"""What commands share: exit codes, refusals, words for people, definitions."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ledger.model import Definitions, Finding

CLEAN, ERRORS, REFUSED = 0, 1, 2


class Refusal(Exception):
    """Something that stops a command before it did anything; the text says what to do."""


def say(text: str) -> None:
    """A line for people."""
    print(text, file=sys.stderr)


def progress(text: str) -> None:
    """Where long work stands; only when somebody watches."""
    if sys.stderr.isatty():
        say(f"... {text}")


def command(
    commands: Any, name: str, does: str, run: Callable[[argparse.Namespace], int]
) -> argparse.ArgumentParser:
    """A subcommand about one workbook; ``run`` returns the exit code."""
    parser: argparse.ArgumentParser = commands.add_parser(name, help=does, description=does)
    parser.add_argument("file", type=Path, metavar="FILE", help="the workbook (.xlsx)")
    add_templates(parser)
    parser.set_defaults(command=run)
    return parser


def add_templates(parser: argparse.ArgumentParser) -> None:
    """The option that names other definitions."""
    parser.add_argument(
        "--templates", type=Path, metavar="DIR", help="definitions other than the ledger's own"
    )


def load_definitions(options: argparse.Namespace) -> Definitions:
    """The definitions a command works with; refuses a folder that holds none."""
    from ledger import definitions

    folder: Path | None = options.templates
    if folder is not None and not (folder / "settings.json").is_file():
        raise Refusal(f"{folder} holds no definitions; copy the ledger's templates folder there")
    return definitions.load(folder)


def content_of(file: Path) -> bytes:
    """A workbook's bytes; one that is too large for a ledger is refused unread."""
    from ledger.read.package import MOST_FILE_BYTES

    if file.stat().st_size > MOST_FILE_BYTES:
        raise Refusal(
            f"{file} has more than {MOST_FILE_BYTES // 1024**2} MB, which no ledger has. "
            "Take pictures and other additions out of the workbook."
        )
    return file.read_bytes()


def list_findings(found: Sequence[Finding]) -> None:
    """Findings on stdout, one a line; their count for people."""
    from ledger.findings import as_line
    from ledger.report.found import counted

    for item in found:
        print(as_line(item))
    say(counted(found))
