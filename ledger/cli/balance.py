"""``balance``: check, post, balance, and write the result sheets."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

from ledger.cli.common import (
    CLEAN,
    ERRORS,
    Refusal,
    command,
    list_findings,
    load_definitions,
    progress,
    say,
)


def add(commands: Any) -> None:
    does = "check, post and balance; write the result sheets into the workbook"
    parser = command(commands, "balance", does, _run)
    parser.add_argument("--out", type=Path, metavar="FILE", help="write to a copy instead")
    parser.add_argument(
        "--json",
        action="store_true",
        help="print the result document; the workbook is then left alone unless --out is given",
    )
    parser.add_argument("--no-write", action="store_true", help="write no workbook")
    parser.add_argument("--force", action="store_true", help="write though a lock file is there")


def _run(options: argparse.Namespace) -> int:
    from ledger import pipeline, report
    from ledger.graft.save import stamp

    definitions = load_definitions(options)
    progress("reading and reckoning")
    seen = stamp(options.file)
    content = options.file.read_bytes()
    done = pipeline.run(content, definitions)
    if options.json:
        document = report.document(done.results, definitions)
        print(json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        list_findings(done.results.findings)
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
