"""Workbooks of other crop years, read beside the one at hand; they stay as they are."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ledger.cli.common import Refusal, content_of, progress, say
from ledger.cli.papers import with_year

if TYPE_CHECKING:
    from ledger.model import Definitions, Results
    from ledger.pipeline import Run


def add_option(parser: argparse.ArgumentParser, sheet: str) -> None:
    """The option that names the other workbooks, for a sheet made of all."""
    words = f"workbooks of other crop years of this farm, for the sheet {sheet}"
    parser.add_argument("--with-years", type=Path, nargs="+", metavar="FILE", help=words)


def older(files: Sequence[Path], own: Results, definitions: Definitions) -> list[Results]:
    """The results of other workbooks; what is odd about one is said."""
    name = own.book.farm.text("farm_name")
    found = []
    for file in files:
        progress(f"reading {file}")
        other = _run(file, definitions)
        if not other.clean:
            say(f"warning: {file} has errors; its lines at fault are missing from the years.")
        if other.results.book.farm.text("farm_name") != name:
            say(f"warning: {file} gives another farm name than {name}.")
        found.append(other.results)
    return found


def _run(file: Path, definitions: Definitions) -> Run:
    """A workbook taken through all stages; of several files a refusal has to say which."""
    from ledger import pipeline
    from ledger.read import Unreadable

    try:
        done = pipeline.run(content_of(file), definitions)
    except Unreadable as problem:
        raise Refusal(f"{file}: {problem}") from problem
    if not done.results.book.year:
        raise Refusal(f"{file} states no sound crop year on its Farm sheet; fill it in")
    return done


def beside(own: Results, others: Sequence[Results], definitions: Definitions) -> Results:
    """The results with other years beside them; refuses two workbooks of one year."""
    from ledger import pipeline
    from ledger.years import SameYear

    try:
        return pipeline.beside(with_year(own), others, definitions)
    except SameYear as problem:
        raise Refusal(str(problem)) from problem
