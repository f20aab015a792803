"""``share``: a copy for one landlord or customer that holds only their ground."""

from __future__ import annotations

import argparse
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

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
from ledger.cli.older import add_option, beside, older
from ledger.cli.papers import with_year, write_new

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ledger.model import Definitions, Results


def add(commands: Any) -> None:
    does = "make a copy for one landlord or customer that holds only their ground"
    parser = command(commands, "share", does, _run)
    parser.add_argument("--with", dest="name", required=True, metavar="NAME", help="who gets it")
    parser.add_argument("--out", type=Path, metavar="FILE", help="default: FILE-NAME.xlsx")
    add_option(parser, "Trend")
    parser.add_argument("--force", action="store_true", help="replace a copy that is there")


def _run(options: argparse.Namespace) -> int:
    from ledger import pipeline
    from ledger.report.paper import paper
    from ledger.report.part import left_out, part_of
    from ledger.report.share import share_footer, share_sheets

    definitions = load_definitions(options)
    progress("reading and reckoning")
    results = with_year(pipeline.run(content_of(options.file), definitions).results)
    name = _known(results, options.name)
    part = part_of(results, name, definitions)
    if options.with_years:
        parts = _older_parts(options.with_years, results, name, definitions)
        part = beside(part, list(parts), definitions)
    missing = left_out(results, name)
    sheets = share_sheets(part, missing, definitions)
    if options.with_years and not any(sheet.id == "trend" for sheet in sheets):
        say(f"warning: the copy for {name} has no sheet Trend; it is about ground that you farm.")
    target = options.out or options.file.with_name(f"{options.file.stem}-{_slug(name)}.xlsx")
    content = paper(sheets, part.book.system, definitions, share_footer(part))
    write_new(target, content, ledger=options.file, force=options.force)
    say(f"Wrote {target}, with the ground of {name} alone. Look through it before you pass it on.")
    if missing:
        say(f"Lines about this ground with errors, which are not in it: {missing}. Run check.")
    return ERRORS if missing else CLEAN


def _older_parts(
    files: list[Path], own: Results, name: str, definitions: Definitions
) -> Iterator[Results]:
    """What other years' workbooks say of the ground that was this person's then."""
    from ledger.report.part import fields_of, part_of, person_named

    for one in older(files, own, definitions):
        person = person_named(one.book, name)
        if person and fields_of(one.book, person.text("name")):
            yield part_of(one, person.text("name"), definitions)
        else:
            say(f"warning: the workbook of {one.book.year} has no ground of {name}.")


def _known(results: Any, wanted: str) -> str:
    from ledger import findings
    from ledger.report.part import fields_of, person_named

    person = person_named(results.book, wanted)
    if person is None:
        people = [entry.text("name") for entry in results.book.entries.get("people", ())]
        hint = findings.hint(wanted, people)
        raise Refusal(f"Nobody on the People sheet is called {wanted!r}{hint}.")
    name = person.text("name")
    if not fields_of(results.book, name):
        raise Refusal(f"No line of the Fields sheet names {name} as the owner.")
    return name


def _slug(name: str) -> str:
    return re.sub(r"\W+", "-", name).strip("-").lower() or "copy"
