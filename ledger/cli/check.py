"""``check``: list everything to mend, cell by cell; writes nothing."""

from __future__ import annotations

import argparse
import json
from typing import Any

from ledger.cli.common import CLEAN, ERRORS, command, content_of, list_findings, load_definitions
from ledger.collector import at_rest


def add(commands: Any) -> None:
    parser = command(commands, "check", "list everything to mend, cell by cell", _run)
    parser.add_argument("--json", action="store_true", help="print the findings as JSON")


@at_rest()
def _run(options: argparse.Namespace) -> int:
    from ledger import pipeline
    from ledger.report.document import finding_item

    done = pipeline.run(content_of(options.file), load_definitions(options))
    found = done.results.findings
    if options.json:
        print(json.dumps([finding_item(item) for item in found], indent=2, ensure_ascii=False))
    else:
        list_findings(found)
    return CLEAN if done.clean else ERRORS
