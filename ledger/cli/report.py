"""``report``: the annual nutrient report as a workbook ready to print, and as PDF."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from ledger.cli.common import CLEAN, ERRORS, command, content_of, load_definitions, progress, say
from ledger.cli.papers import as_pdf, with_year, write_new

PERIODS = ("crop-year", "calendar-year", "september-august")


def add(commands: Any) -> None:
    does = "make the annual nutrient report, ready to print and sign"
    parser = command(commands, "report", does, _run)
    parser.add_argument("--out", type=Path, metavar="FILE", help="default: FILE-report.xlsx")
    parser.add_argument("--pdf", action="store_true", help="a PDF too, made by LibreOffice")
    parser.add_argument("--period", choices=PERIODS, default=PERIODS[0], help="days it covers")
    parser.add_argument("--money", action="store_true", help="add costs and the value of manure")
    parser.add_argument("--force", action="store_true", help="replace a report that is there")


def _run(options: argparse.Namespace) -> int:
    from ledger import pipeline
    from ledger.report.annual import annual_sheets, footer
    from ledger.report.paper import paper
    from ledger.report.period import period_of

    definitions = load_definitions(options)
    progress("reading and reckoning")
    done = pipeline.run(content_of(options.file), definitions)
    whole = with_year(done.results)
    period = period_of(options.period, whole.book.year, definitions)
    results = pipeline.for_period(whole, period, definitions)
    sheets = annual_sheets(results, period, definitions, money=options.money)
    target = options.out or options.file.with_name(f"{options.file.stem}-report.xlsx")
    content = paper(sheets, results.book.system, definitions, footer(results))
    write_new(target, content, ledger=options.file, force=options.force)
    say(f"Wrote {target}: read its first page, fill in what is missing, print it and sign.")
    if options.pdf:
        say(f"Wrote {as_pdf(target)}.")
    return CLEAN if done.clean else ERRORS
