"""``balance``: check, post, balance, write the result sheets; and rates to take to the field."""

from __future__ import annotations

import argparse
import json
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ledger.cli.common import (
    CLEAN,
    ERRORS,
    Refusal,
    command,
    content_of,
    list_findings,
    load_definitions,
    progress,
    say,
)
from ledger.cli.older import add_option, beside, older
from ledger.collector import at_rest

if TYPE_CHECKING:
    from ledger.model import Definitions, Results


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
    rates = "write the planned rates of all zones as a table (CSV)"
    parser.add_argument("--rates", type=Path, metavar="FILE", help=rates)
    drawn = "field boundaries (GeoJSON): check zone areas; with --rates write them there too"
    parser.add_argument("--boundaries", type=Path, metavar="FILE", help=drawn)
    add_option(parser, "Years")
    force = "write though a lock file or an output file is there"
    parser.add_argument("--force", action="store_true", help=force)


@at_rest()
def _run(options: argparse.Namespace) -> int:
    from ledger import pipeline, report
    from ledger.graft.save import replace_atomically, stamp

    definitions = load_definitions(options)
    _refuse_to_overwrite(options)
    progress("reading and reckoning")
    seen = stamp(options.file)
    content = content_of(options.file)
    done = pipeline.run(content, definitions)
    if options.with_years:
        others = older(options.with_years, done.results, definitions)
        done = replace(done, results=beside(done.results, others, definitions))
    rates = _rate_texts(options, done.results, definitions)
    if options.json:
        document = report.document(done.results, definitions)
        print(json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        list_findings(done.results.findings)
    code = CLEAN if done.clean else ERRORS
    if not options.no_write and (options.out or not options.json):
        progress("writing the result sheets")
        sheets = pipeline.ready_sheets(done, definitions)
        del done  # of a large ledger it takes most of the memory, and writing takes some
        _write(options, pipeline.put_sheets(content, sheets, definitions), seen)
    for target, text in rates:
        replace_atomically(target, text.encode(), expected=None, backup=False)
        say(f"Wrote the rates into {target}.")
    return code


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


# ------------------------------------------------------------------------ rates
def _rate_files(options: argparse.Namespace) -> list[Path]:
    """The files that the rates go to: the table, and with boundaries a map beside it."""
    if not options.rates:
        return []
    return [options.rates] + ([options.rates.with_suffix(".geojson")] if options.boundaries else [])


def _refuse_to_overwrite(options: argparse.Namespace) -> None:
    for target in _rate_files(options):
        for source in filter(None, (options.file, options.boundaries, options.out)):
            if target.resolve() == source.resolve():
                raise Refusal(f"the rates would replace {source}; choose another name for them")
        if target.exists() and not options.force:
            raise Refusal(f"{target} is there already; choose another name or add --force")


def _rate_texts(
    options: argparse.Namespace, results: Results, definitions: Definitions
) -> list[tuple[Path, str]]:
    """The files of rates and what goes in them; made before anything is written."""
    if not options.rates and not options.boundaries:
        return []
    from ledger.report.rates import rate_items, rates_csv, without_rate

    items = rate_items(results, definitions)
    texts = [rates_csv(items)]
    if options.boundaries:
        texts.append(_boundaries(options.boundaries, results, definitions, items))
    if options.rates and (unknown := without_rate(results, items)):
        say(f"warning: no rate is known for {'; '.join(unknown)}.")
    return list(zip(_rate_files(options), texts, strict=False))


def _boundaries(
    file: Path, results: Results, definitions: Definitions, items: list[dict[str, Any]]
) -> str:
    """The boundary file with rates in it, as text; remarks about it go to the person."""
    from ledger.report.rates import BoundaryFault, NoGeodesy, with_rates

    try:
        content = json.loads(file.read_text("utf-8"))
        drawn = with_rates(content, results, definitions, items)
    except NoGeodesy as missing:
        raise Refusal("boundaries need the library pyproj: pip install -e '.[geo]'") from missing
    except (BoundaryFault, json.JSONDecodeError, UnicodeDecodeError) as problem:
        raise Refusal(f"{file} cannot be used as boundaries: {problem}") from problem
    for text in drawn.remarks:
        say(f"warning: {text}.")
    return json.dumps(drawn.content, indent=1, ensure_ascii=False) + "\n"
