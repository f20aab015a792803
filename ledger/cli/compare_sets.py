"""``compare-sets``: the same ledger under every manure credit set that can answer it."""

from __future__ import annotations

import argparse
import json
from typing import Any

from ledger.cli.common import CLEAN, command, content_of, load_definitions


def add(commands: Any) -> None:
    """Add the subcommand."""
    does = "show each zone's manure credit under every credit set, and why they differ"
    parser = command(commands, "compare-sets", does, _run)
    parser.add_argument("--json", action="store_true", help="print it as JSON")


def _run(options: argparse.Namespace) -> int:
    from ledger import pipeline
    from ledger.report.compare import as_lines, compared

    definitions = load_definitions(options)
    by_set = pipeline.under_each_set(content_of(options.file), definitions)
    found = compared(by_set, definitions)
    if options.json:
        print(json.dumps(found, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        print("\n".join(as_lines(found)))
    return CLEAN
