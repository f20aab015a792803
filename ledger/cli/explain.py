"""``explain``: the postings, factors and sources that one cell took part in."""

from __future__ import annotations

import argparse
import json
from typing import Any

from ledger.cli.common import CLEAN, Refusal, command, content_of, load_definitions
from ledger.cli.older import add_option, beside, older


def add(commands: Any) -> None:
    """Add the subcommand."""
    does = "say how a cell came about, or what became of it: postings, factors, sources"
    parser = command(commands, "explain", does, _run)
    parser.add_argument("cell", metavar="CELL", help="such as 'Field balance'!G12")
    add_option(parser, "Years")
    parser.add_argument("--json", action="store_true", help="print it as JSON")


def _run(options: argparse.Namespace) -> int:
    from dataclasses import asdict

    from ledger import pipeline
    from ledger.explain import NothingThere, explain, split_address

    definitions = load_definitions(options)
    try:
        sheet, cell = split_address(options.cell)
        content = content_of(options.file)
        done = pipeline.run(content, definitions)
        results = done.results
        if options.with_years:
            others = older(options.with_years, results, definitions)
            results = beside(results, others, definitions)
        told = explain(done.reading, results, definitions, sheet, cell, content)
    except NothingThere as nothing:
        raise Refusal(str(nothing)) from nothing
    if options.json:
        print(json.dumps(asdict(told), indent=2, ensure_ascii=False))
    else:
        print("\n".join(told.lines()))
    return CLEAN
