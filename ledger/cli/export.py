"""``export``: statements and postings as CSV with a Data Package descriptor, and as JSON."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from ledger.cli.common import (
    CLEAN,
    ERRORS,
    Refusal,
    command,
    content_of,
    load_definitions,
    progress,
    say,
)


def add(commands: Any) -> None:
    does = "write statements and postings as CSV (Data Package) and JSON for other programs"
    parser = command(commands, "export", does, _run)
    parser.add_argument("--out", type=Path, required=True, metavar="DIR", help="folder to write")
    parser.add_argument("--force", action="store_true", help="replace files that are there")


def _run(options: argparse.Namespace) -> int:
    from ledger import pipeline
    from ledger.report.export import export_files

    definitions = load_definitions(options)
    progress("reading and reckoning")
    done = pipeline.run(content_of(options.file), definitions)
    files = export_files(done.results, definitions)
    _write(options.out, files, force=options.force)
    say(f"Wrote {', '.join(files)} into {options.out}.")
    return CLEAN if done.clean else ERRORS


def _write(folder: Path, files: dict[str, bytes], *, force: bool) -> None:
    from ledger.graft.save import replace_atomically

    if folder.exists() and not folder.is_dir():
        raise Refusal(f"{folder} is a file; name a folder")
    there = [name for name in files if (folder / name).exists()]
    if there and not force:
        raise Refusal(f"{folder / there[0]} is there already; name another folder or add --force")
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        replace_atomically(folder / name, content, expected=None, force=force, backup=False)
